package web

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"path"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"github.com/prometheus/client_golang/prometheus"

	"undercroft/survey"
	"undercroft/survey/store"
)

// turnLimit is how long one photo may wait for its turn once its bytes are here, and photoLimit how long it may take from then on. One whose turn does not come is asked for again; one that
// takes too long is kept without a picture.
const (
	turnLimit  = 2 * time.Minute
	photoLimit = 3 * time.Minute
)

// readersAtOnce is how many photos are opened at the same time; each may take over a gigabyte. readersWaiting is how many more may wait for that: with half a second for each
// the last one has its answer before a phone gives up.
const (
	readersAtOnce  = 2
	readersWaiting = 64
)

// busyRetry is how long to wait when that many are waiting.
const busyRetry = 10 * time.Second

// errBusy refuses a photo for which there is no place to wait.
var errBusy = &survey.Error{
	Kind: survey.Busy, Retry: busyRetry,
	Message: "The server is opening as many photos as it takes on at once. Keep this one and send it again in a moment; what has arrived of it need not be sent again.",
}

// errEmpty refuses a photo without bytes.
var errEmpty = survey.Errorf(survey.Invalid, "The photo is empty: no bytes arrived. Choose it again.")

// intake makes photos of bytes.
type intake struct {
	store  *store.Store
	photos PhotoReader
	log    *slog.Logger
	meter  *meter
	places chan struct{} // one element for each photo being opened or waiting for that
	turns  chan struct{} // one element for each photo being opened

	mu    sync.Mutex
	under map[survey.PhotoID]chan struct{} // photos being made, each closed when that has ended
}

func newIntake(s *store.Store, reader PhotoReader, log *slog.Logger, m *meter) *intake {
	return &intake{
		store: s, photos: reader, log: log, meter: m, under: map[survey.PhotoID]chan struct{}{},
		places: make(chan struct{}, readersAtOnce+readersWaiting), turns: make(chan struct{}, readersAtOnce),
	}
}

// full tells whether a photo would find no place now: to be asked before its bytes are taken in.
func (in *intake) full() bool { return len(in.places) == cap(in.places) }

// alone waits until nobody else makes the photo; the caller calls the function when it has made it or has given up.
func (in *intake) alone(ctx context.Context, id survey.PhotoID) (func(), error) {
	for {
		in.mu.Lock()
		other, ok := in.under[id]
		if !ok {
			mine := make(chan struct{})
			in.under[id] = mine
			in.mu.Unlock()
			return func() {
				in.mu.Lock()
				delete(in.under, id)
				in.mu.Unlock()
				close(mine)
			}, nil
		}
		in.mu.Unlock()
		select {
		case <-other:
		case <-ctx.Done():
			return nil, fmt.Errorf("wait for another sender of the photo: %w", context.Cause(ctx))
		}
	}
}

// TakePhoto takes in one photo from r as an upload does: p says its ID, Survey, Name and Caption. An empty r is Invalid, one of more than
// survey.MaxPhotoBytes is TooLarge; a picture that cannot be opened is kept and says why in Meta.Problem.
func TakePhoto(ctx context.Context, s *store.Store, reader PhotoReader, r io.Reader, p survey.Photo) (survey.Photo, error) {
	in := newIntake(s, reader, slog.New(slog.DiscardHandler), newMeter())
	blob, err := in.receive(ctx, r)
	if err != nil {
		return survey.Photo{}, err
	}
	p.Name = photoName(p.Name)
	return in.take(ctx, p, blob)
}

// receive stores the bytes of one photo. None at all is an Invalid error, too many are TooLarge; NoSpace, before one is read, when too little of the disk
// would be left.
func (in *intake) receive(ctx context.Context, r io.Reader) (store.Blob, error) {
	if err := in.store.SpaceForPhoto(0); err != nil {
		in.meter.limited.WithLabelValues(limitLowSpace).Inc()
		return store.Blob{}, err
	}
	body := bufio.NewReaderSize(r, 64<<10)
	if _, err := body.Peek(1); errors.Is(err, io.EOF) {
		return store.Blob{}, errEmpty
	} else if err != nil {
		return store.Blob{}, fmt.Errorf("receive photo: %w", err)
	}
	return in.store.ReceiveBlob(ctx, body, survey.MaxPhotoBytes)
}

// take makes a photo of stored bytes: what it says of itself, its derivatives, its row. The bytes have all arrived, so a client that
// hangs up now does not stop it. A picture that cannot be opened makes a photo that says why. When the same photo is being made for another sender, that one's is the answer. Busy when too
// many are waiting.
func (in *intake) take(ctx context.Context, photo survey.Photo, blob store.Blob) (survey.Photo, error) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), turnLimit+2*photoLimit)
	defer cancel()
	photo.SHA256, photo.Bytes = blob.SHA256, blob.Bytes
	done, err := in.alone(ctx, photo.ID)
	if err != nil {
		return survey.Photo{}, err
	}
	defer done()
	if stored, err := in.store.Photo(ctx, photo.Survey, photo.ID); err == nil && stored.SHA256 == photo.SHA256 {
		return stored, nil
	}
	if err := in.openPicture(ctx, &photo); err != nil {
		return survey.Photo{}, err
	}
	stored, err := in.store.AddPhoto(ctx, photo)
	if err == nil {
		in.meter.photos.Inc()
		in.meter.photoBytes.Add(float64(photo.Bytes))
	}
	return stored, err
}

// openPicture reads the photo and stores its derivatives. When the reader itself fails, the photo is kept without a picture, because the
// bytes are what counts; the log says why.
func (in *intake) openPicture(ctx context.Context, photo *survey.Photo) error {
	select {
	case in.places <- struct{}{}:
		defer func() { <-in.places }()
	default:
		in.meter.limited.WithLabelValues(limitQueue).Inc()
		return errBusy
	}
	patience := time.NewTimer(turnLimit)
	defer patience.Stop()
	select {
	case in.turns <- struct{}{}:
		defer func() { <-in.turns }()
	case <-patience.C:
		in.meter.limited.WithLabelValues(limitQueue).Inc()
		return errBusy
	case <-ctx.Done():
		return fmt.Errorf("wait for a photo's turn: %w", context.Cause(ctx))
	}
	ctx, cancel := context.WithTimeout(ctx, photoLimit)
	defer cancel()
	from, err := in.store.BlobPath(photo.SHA256)
	if err != nil {
		return err
	}
	dir, remove, err := in.store.TempDir()
	if err != nil {
		return err
	}
	defer remove()
	took := prometheus.NewTimer(in.meter.ingestTime)
	result, err := in.photos.Read(ctx, from, dir)
	took.ObserveDuration()
	if err != nil {
		in.log.Error("a photo could not be read", "request", requestOf(ctx).id, "photo", photo.ID, "error", err)
		photo.Meta = result.Meta
		photo.Meta.Problem = "The server could not open the picture. The original is kept."
		return nil
	}
	photo.Meta, photo.Width, photo.Height = result.Meta, result.Meta.Width, result.Meta.Height
	if result.Screen == "" || result.Thumb == "" {
		return nil
	}
	for _, d := range []struct {
		path string
		sum  *string
	}{{result.Screen, &photo.Screen}, {result.Thumb, &photo.Thumb}} {
		blob, err := in.store.AdoptBlob(ctx, d.path)
		if err != nil {
			return err
		}
		*d.sum = blob.SHA256
	}
	return nil
}

// photoName is a file's name as it is shown: no folders, nothing that does not print, at most 200 characters.
func photoName(name string) string {
	name = strings.ReplaceAll(cleanText(name), "\n", " ")
	if name = path.Base(strings.ReplaceAll(name, `\`, "/")); name == "." || name == "/" || name == ".." {
		return "photo"
	}
	if utf8.RuneCountInString(name) > 200 {
		name = string([]rune(name)[:200])
	}
	return name
}
