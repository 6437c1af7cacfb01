package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"undercroft/survey"
)

// phonePiece is the size of the pieces that phones send (templates/offline/outbox.js).
const phonePiece = 256 << 10

// phone is one that comes back with a visit: it sends its photos in pieces one after another, and its pins beside them.
type phone struct {
	name    string
	survey  survey.SurveyID
	picture []byte // that all its photos show
	size    loadSize
	random  *rand.Rand
	http    *http.Client
	address string
	cookie  string
	seed    string                // a photo of the survey that was there before
	photos  map[string][32]byte   // what was acknowledged, by id
	pins    map[string]survey.Pin // as it was acknowledged
	told    atomic.Int64          // answers that told it to wait and send again
}

// phones send together.
type phones []*phone

func newPhone(name string, in survey.SurveyID, size loadSize, picture []byte) *phone {
	return &phone{name: name, survey: in, size: size, picture: picture, random: rand.New(rand.NewPCG(uint64(len(name)), 7)),
		http:   &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 4}, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }},
		photos: map[string][32]byte{}, pins: map[string]survey.Pin{}}
}

// call sends a request as a signed-in phone does and gives the answer's body; any status but 2xx is an error. When it is told to wait it waits and sends again, as phones do.
func (p *phone) call(method, address string, body []byte, header map[string]string) ([]byte, error) {
	for {
		got, wait, err := p.once(method, address, body, header)
		if wait == 0 {
			return got, err
		}
		p.told.Add(1)
		time.Sleep(wait)
	}
}

// once sends a request once; wait is how long to wait before it is sent again, 0 when it was answered.
func (p *phone) once(method, address string, body []byte, header map[string]string) (got []byte, wait time.Duration, err error) {
	r, err := http.NewRequest(method, address, bytes.NewReader(body))
	if err != nil {
		return nil, 0, err
	}
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	r.Header.Set("Cookie", p.cookie)
	for key, value := range header {
		r.Header.Set(key, value)
	}
	answer, err := p.http.Do(r)
	if err != nil {
		return nil, 0, err
	}
	defer answer.Body.Close()
	got, err = io.ReadAll(answer.Body)
	if err != nil {
		return nil, 0, err
	}
	seconds, _ := strconv.Atoi(answer.Header.Get("Retry-After"))
	if answer.StatusCode == http.StatusServiceUnavailable && seconds > 0 {
		return nil, time.Duration(seconds) * time.Second, nil
	}
	if answer.StatusCode/100 != 2 {
		return nil, 0, fmt.Errorf("%s %s: status %d: %.300s", method, strings.TrimPrefix(address, p.address), answer.StatusCode, got)
	}
	return got, 0, nil
}

// open signs every phone in and gives every survey a photo to set pins on.
func (list phones) open(t *testing.T, address string) {
	t.Helper()
	seeds := map[survey.SurveyID]string{}
	for _, p := range list {
		p.address = address
		if err := p.signIn(); err != nil {
			t.Fatal(err)
		}
		if seeds[p.survey] == "" {
			seeds[p.survey] = survey.NewID()
			if _, err := p.call(http.MethodPut, p.api("/photos/"+seeds[p.survey]), smallPicture(t), nil); err != nil {
				t.Fatal(err)
			}
		}
		p.seed = seeds[p.survey]
	}
}

func (p *phone) api(path string) string { return p.address + "/api/surveys/" + string(p.survey) + path }

func (p *phone) signIn() error {
	form := url.Values{"name": {p.name}, "password": {loadPassword}}
	answer, err := p.http.PostForm(p.address+"/signin", form)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	cookies := answer.Cookies()
	if answer.StatusCode != http.StatusSeeOther || len(cookies) != 1 {
		return fmt.Errorf("sign in: status %d, %d cookies", answer.StatusCode, len(cookies))
	}
	p.cookie = cookies[0].Name + "=" + cookies[0].Value
	return nil
}

// send lets all phones send everything at once and waits for the last.
func (list phones) send(t *testing.T) {
	t.Helper()
	var working sync.WaitGroup
	errs := make(chan error, 2*len(list))
	for _, p := range list {
		working.Go(func() { errs <- p.sendPhotos() })
		working.Go(func() { errs <- p.sendPins() })
	}
	working.Wait()
	close(errs)
	for err := range errs {
		if err != nil {
			t.Error(err)
		}
	}
}

// told counts the answers that told a phone to wait and send again.
func (list phones) told() (n int64) {
	for _, p := range list {
		n += p.told.Load()
	}
	return n
}

func (p *phone) sendPhotos() error {
	for range p.size.photos {
		id := survey.NewID()
		whole := filledPhoto(p.picture, id, p.size.bytes)
		for offset := 0; offset < len(whole); offset += phonePiece {
			if err := p.sendPiece(id, whole, offset); err != nil {
				return err
			}
		}
	}
	return nil
}

// sendPiece sends one piece; the last one's answer is the photo.
func (p *phone) sendPiece(id string, whole []byte, offset int) error {
	piece := whole[offset:min(len(whole), offset+phonePiece)]
	sum := sha256.Sum256(piece)
	answer, err := p.call(http.MethodPatch, p.api("/photos/"+id+"/upload?name=IMG.jpg"), piece, map[string]string{
		"Content-Type": "application/offset+octet-stream", "Upload-Offset": strconv.Itoa(offset), "Upload-Length": strconv.Itoa(len(whole)),
		"Upload-Checksum": "sha256 " + base64.StdEncoding.EncodeToString(sum[:]),
	})
	if err != nil || offset+len(piece) < len(whole) {
		return err
	}
	var photo struct {
		SHA256 string
		Shown  bool
	}
	if err := json.Unmarshal(answer, &photo); err != nil {
		return err
	}
	if photo.SHA256 != sumOf(whole) || !photo.Shown {
		return fmt.Errorf("the photo was acknowledged as %+v, want the sum %s, and shown", photo, sumOf(whole))
	}
	p.photos[id] = sha256.Sum256(whole)
	return nil
}

func (p *phone) sendPins() error {
	for i := range p.size.pins {
		id := survey.NewID()
		sent := survey.Pin{Photo: survey.PhotoID(p.seed), Kind: survey.PinNote, X: p.random.Float64(), Y: p.random.Float64(), Note: fmt.Sprint(p.name, ", pin ", i)}
		body, err := json.Marshal(sent)
		if err != nil {
			return err
		}
		answer, err := p.call(http.MethodPut, p.api("/pins/"+id), body, map[string]string{"Content-Type": "application/json"})
		if err != nil {
			return err
		}
		var saved survey.Pin
		if err := json.Unmarshal(answer, &saved); err != nil {
			return err
		}
		if saved.Note != sent.Note || saved.X != sent.X || saved.Y != sent.Y || saved.Version != 1 {
			return fmt.Errorf("the pin was acknowledged as %+v, want %+v", saved, sent)
		}
		p.pins[id] = saved
	}
	return nil
}

// readBack reads everything that was acknowledged, every byte of every photo too, and wants no more than that.
func (list phones) readBack(t *testing.T) {
	t.Helper()
	photos, pins := map[survey.SurveyID]int{}, map[survey.SurveyID]int{}
	for _, p := range list {
		photos[p.survey] += len(p.photos)
		pins[p.survey] += len(p.pins)
		if len(p.photos) != p.size.photos || len(p.pins) != p.size.pins {
			t.Errorf("%s had %d photos and %d pins acknowledged", p.name, len(p.photos), len(p.pins))
		}
	}
	for _, p := range list {
		gotPhotos, gotPins, err := p.compare()
		if err != nil {
			t.Errorf("%s: %v", p.name, err)
		}
		if gotPhotos != photos[p.survey]+1 || gotPins != pins[p.survey] {
			t.Errorf("survey %s has %d photos and %d pins, want %d and %d", p.survey, gotPhotos, gotPins, photos[p.survey]+1, pins[p.survey])
		}
	}
}

// compare holds a survey against what one phone has sent, and gives how much there is in it.
func (p *phone) compare() (photos, pins int, err error) {
	answer, err := p.call(http.MethodGet, p.api(""), nil, nil)
	if err != nil {
		return 0, 0, err
	}
	var record struct {
		Photos []struct{ ID, SHA256 string }
		Pins   []survey.Pin
	}
	if err := json.Unmarshal(answer, &record); err != nil {
		return 0, 0, err
	}
	var errs []error
	sums, stored := map[string]string{}, map[string]survey.Pin{}
	for _, photo := range record.Photos {
		sums[photo.ID] = photo.SHA256
	}
	for _, pin := range record.Pins {
		stored[string(pin.ID)] = pin
	}
	for id, sum := range p.photos {
		original, err := p.call(http.MethodGet, p.address+"/surveys/"+string(p.survey)+"/photos/"+id+"/original", nil, nil)
		if err != nil || sha256.Sum256(original) != sum || sums[id] != fmt.Sprintf("%x", sum) {
			errs = append(errs, fmt.Errorf("photo %s: %d bytes that are not those sent, %w", id, len(original), err))
		}
	}
	for id, pin := range p.pins {
		if got := stored[id]; got.Note != pin.Note || got.X != pin.X || got.Y != pin.Y || got.Number != pin.Number {
			errs = append(errs, fmt.Errorf("pin %s is %+v, want %+v", id, got, pin))
		}
	}
	return len(record.Photos), len(record.Pins), errors.Join(errs...)
}

// noisyPictures are two pictures that fill most of a photo's size: noise on a gradient, as much of it as fits.
func noisyPictures(t *testing.T, size loadSize) [][]byte {
	t.Helper()
	var list [][]byte
	for seed := range uint64(2) {
		var best []byte
		for amplitude := 4; amplitude < 128 && len(best) < size.bytes*8/10; amplitude = amplitude*3/2 + 1 {
			body := noisyPicture(t, size, seed, amplitude)
			if len(body) > size.bytes*97/100 {
				break
			}
			best = body
		}
		if len(best) < size.bytes/2 {
			t.Fatalf("the picture fills %d of %d bytes only", len(best), size.bytes)
		}
		list = append(list, best)
	}
	return list
}

func noisyPicture(t *testing.T, size loadSize, seed uint64, amplitude int) []byte {
	t.Helper()
	img, random := image.NewYCbCr(image.Rect(0, 0, size.width, size.height), image.YCbCrSubsampleRatio420), rand.New(rand.NewPCG(seed, 1))
	for y := range size.height {
		for x := range size.width {
			img.Y[y*img.YStride+x] = uint8(60 + 100*x/size.width + random.IntN(amplitude))
		}
	}
	for i := range img.Cb {
		img.Cb[i], img.Cr[i] = uint8(110+random.IntN(amplitude/4+1)), uint8(140+random.IntN(amplitude/4+1))
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// filledPhoto is a picture with comments after its first marker (ITU-T T.81, B.2.4.5: FF FE, a length that counts itself, then text), the first of which is the id, of just so many bytes.
func filledPhoto(picture []byte, id string, size int) []byte {
	const most = 65533 // bytes of text in one segment
	out := append([]byte{}, picture[:2]...)
	text := []byte(id)
	for left := size - len(picture); left > 0; {
		n := min(left-4, most)
		if rest := left - 4 - n; rest > 0 && rest < 5 { // what is left must hold a segment
			n -= 5
		}
		segment := append([]byte{0xff, 0xfe, byte((n + 2) >> 8), byte(n + 2)}, bytes.Repeat([]byte{' '}, n)...)
		copy(segment[4:], text)
		out, left = append(out, segment...), left-len(segment)
	}
	return append(out, picture[2:]...)
}
