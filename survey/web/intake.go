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
	"time"
	"unicode/utf8"

	"undercroft/survey"
	"undercroft/survey/store"
)

// photoLimit is how long one photo may take once its bytes are here, waiting for its turn included.
const photoLimit = 5 * time.Minute

// readersAtOnce is how many photos are opened at the same time; each may take over a gigabyte.
const readersAtOnce = 2

// errEmpty refuses a photo without bytes.
var errEmpty = survey.Errorf(survey.Invalid, "The photo is empty: no bytes arrived. Choose it again.")

// intake makes photos of bytes.
type intake struct {
	store  *store.Store
	photos PhotoReader
	log    *slog.Logger
	turns  chan struct{} // one element for each photo being opened
}

func newIntake(s *store.Store, reader PhotoReader, log *slog.Logger) *intake {
	return &intake{store: s, photos: reader, log: log, turns: make(chan struct{}, readersAtOnce)}
}

// TakePhoto takes in one photo from r as an upload does: p says its ID, Survey, Name and Caption. An empty r is Invalid, one of more than
// survey.MaxPhotoBytes is TooLarge; a picture that cannot be opened is kept and says why in Meta.Problem.
func TakePhoto(ctx context.Context, s *store.Store, reader PhotoReader, r io.Reader, p survey.Photo) (survey.Photo, error) {
	in := newIntake(s, reader, slog.New(slog.DiscardHandler))
	blob, err := in.receive(ctx, r)
	if err != nil {
		return survey.Photo{}, err
	}
	p.Name = photoName(p.Name)
	return in.take(ctx, p, blob)
}

// receive stores the bytes of one photo. None at all is an Invalid error, too many are TooLarge.
func (in *intake) receive(ctx context.Context, r io.Reader) (store.Blob, error) {
	body := bufio.NewReaderSize(r, 64<<10)
	if _, err := body.Peek(1); errors.Is(err, io.EOF) {
		return store.Blob{}, errEmpty
	} else if err != nil {
		return store.Blob{}, fmt.Errorf("receive photo: %w", err)
	}
	return in.store.ReceiveBlob(ctx, body, survey.MaxPhotoBytes)
}

// take makes a photo of stored bytes: what it says of itself, its derivatives, its row. The bytes have all arrived, so a client that
// hangs up now does not stop it. A picture that cannot be opened makes a photo that says why.
func (in *intake) take(ctx context.Context, photo survey.Photo, blob store.Blob) (survey.Photo, error) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), photoLimit)
	defer cancel()
	photo.SHA256, photo.Bytes = blob.SHA256, blob.Bytes
	if err := in.openPicture(ctx, &photo); err != nil {
		return survey.Photo{}, err
	}
	return in.store.AddPhoto(ctx, photo)
}

// openPicture reads the photo and stores its derivatives. When the reader itself fails, the photo is kept without a picture, because the
// bytes are what counts; the log says why.
func (in *intake) openPicture(ctx context.Context, photo *survey.Photo) error {
	select {
	case in.turns <- struct{}{}:
		defer func() { <-in.turns }()
	case <-ctx.Done():
		return fmt.Errorf("wait for a photo's turn: %w", context.Cause(ctx))
	}
	from, err := in.store.BlobPath(photo.SHA256)
	if err != nil {
		return err
	}
	dir, remove, err := in.store.TempDir()
	if err != nil {
		return err
	}
	defer remove()
	result, err := in.photos.Read(ctx, from, dir)
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
