package web

import (
	"bytes"
	"encoding/binary"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"undercroft/survey"
)

// withTexts is a JPEG with a text in every Exif field that holds one (Exif 2.32, 4.6.4: description, make, model, software, artist, copyright), and in a comment.
func withTexts(t *testing.T, text string) []byte {
	t.Helper()
	tags := []uint16{0x010e, 0x010f, 0x0110, 0x0131, 0x013b, 0x8298}
	value := append([]byte(text), 0)
	tiff := binary.LittleEndian.AppendUint32([]byte("II*\x00"), 8)
	tiff = binary.LittleEndian.AppendUint16(tiff, uint16(len(tags)))
	at := len(tiff) + 12*len(tags) + 4
	for _, tag := range tags {
		tiff = binary.LittleEndian.AppendUint16(binary.LittleEndian.AppendUint16(tiff, tag), 2)
		tiff = binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(tiff, uint32(len(value))), uint32(at))
	}
	tiff = append(binary.LittleEndian.AppendUint32(tiff, 0), value...)
	segment := func(marker byte, body []byte) []byte {
		return append(binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(2+len(body))), body...)
	}
	picture := gradient(t)
	return slices.Concat(picture[:2], segment(0xe1, append([]byte("Exif\x00\x00"), tiff...)), segment(0xfe, []byte(text)), picture[2:])
}

// TestTextsOfACameraAreInert: each payload in the Exif fields of a photo, in its comment and in its name reaches the photo's page, the report and the API as text or not at all, and no picture
// that is shown holds it.
func TestTextsOfACameraAreInert(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	shown := 0
	for i, payload := range payloads() {
		id := survey.NewID()
		a := w.put(photoAPI(v.ID, id), bytes.NewReader(withTexts(t, payload)), "X-Photo-Name", url.PathEscape(payload+".jpg")).wants(http.StatusCreated)
		if strings.Contains(a.Body.String(), "<") || a.Header().Get("Content-Type") != "application/json" {
			t.Errorf("%q: the answer holds markup: %s", payload, a.Body)
		}
		photo, _ := w.record(v.ID).Photo(survey.PhotoID(id))
		if !photo.Shown() || photo.Meta.Make == "" {
			t.Fatalf("%q: the photo was not read: %+v", payload, photo.Meta)
		}
		page := w.get(photoPath(photo)).wants(http.StatusOK)
		inert(t, photoPath(photo), page)
		if strings.Contains(page.page().Text(), "alert(1)") {
			shown++
		}
		for _, picture := range []string{"/screen.jpg", "/thumb.jpg"} {
			if body := w.get(photoPath(photo) + picture).wants(http.StatusOK).Body.Bytes(); bytes.Contains(body, []byte(payload)) || bytes.Contains(body, []byte("Exif")) {
				t.Errorf("%s holds the texts of payload %d", picture, i)
			}
		}
	}
	inert(t, "photos", w.get(surveyPath(v.ID)+"/photos").wants(http.StatusOK))
	office := w.get(surveyPath(v.ID) + "/report?for=survey").wants(http.StatusOK)
	inert(t, "report", office)
	if shown < 20 || !strings.Contains(office.page().Text(), "alert(1)") {
		t.Errorf("%d pages show the camera's texts: this test looks in the wrong place", shown)
	}
}
