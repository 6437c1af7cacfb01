package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"undercroft/survey"
)

// sendPiece sends what lies in whole from offset on, at most n bytes.
func (w *site) sendPiece(in survey.SurveyID, id string, whole []byte, offset, n int) answer {
	body := whole[offset:min(len(whole), offset+n)]
	return w.sendPieceSaying(in, id, body, fmt.Sprint(offset), fmt.Sprint(len(whole)), pieceSum(body))
}

func (w *site) sendPieceSaying(in survey.SurveyID, id string, body []byte, offset, length, sum string) answer {
	r := httptest.NewRequest(http.MethodPatch, photoAPI(in, id)+"/upload?name=ledger.jpg&caption=Ledger", bytes.NewReader(body))
	r.Header.Set("Content-Type", pieceType)
	r.Header.Set(headerOffset, offset)
	r.Header.Set(headerLength, length)
	r.Header.Set(headerChecksum, sum)
	return w.do(r)
}

func pieceSum(body []byte) string {
	sum := sha256.Sum256(body)
	return "sha256 " + base64.StdEncoding.EncodeToString(sum[:])
}

// piecesOf asks how much has arrived.
func (w *site) piecesOf(in survey.SurveyID, id string) answer {
	return w.do(httptest.NewRequest(http.MethodHead, photoAPI(in, id)+"/upload", nil))
}

func TestPhotoInPieces(t *testing.T) {
	w := newSite(t)
	v := w.survey("Alder Street")
	id, whole := survey.NewID(), gradient(t)
	const n = 2000
	w.piecesOf(v.ID, id).wants(http.StatusNotFound)
	var last answer
	for offset := 0; offset < len(whole); offset += n {
		last = w.sendPiece(v.ID, id, whole, offset, n)
		if offset+n < len(whole) {
			last.wants(http.StatusNoContent)
			if got := w.piecesOf(v.ID, id).wants(http.StatusNoContent).Header().Get(headerOffset); got != fmt.Sprint(offset+n) {
				t.Fatalf("after the piece at %d the offset is %s", offset, got)
			}
			again := w.sendPiece(v.ID, id, whole, offset, n).wants(http.StatusConflict)
			if got := again.Header().Get(headerOffset); got != fmt.Sprint(offset+n) {
				t.Errorf("the same piece again: told to go on at %q", got)
			}
		}
	}
	var photo photoJSON
	last.wants(http.StatusCreated).json(&photo)
	if sum := fmt.Sprintf("%x", sha256.Sum256(whole)); photo.SHA256 != sum || !photo.Shown || photo.Name != "ledger.jpg" || photo.Caption != "Ledger" {
		t.Errorf("got %+v, want the bytes that were sent, %s, shown", photo, sum)
	}
	head := w.piecesOf(v.ID, id).wants(http.StatusNoContent).Header()
	if head.Get(headerOffset) != fmt.Sprint(len(whole)) || head.Get(headerLength) != fmt.Sprint(len(whole)) {
		t.Errorf("a photo that is stored is there whole: %v", head)
	}
	w.sendPiece(v.ID, id, whole, (len(whole)-1)/n*n, n).wants(http.StatusOK).json(&photo)
	if r := w.record(v.ID); len(r.Photos) != 1 || r.Photos[0].Number != photo.Number {
		t.Errorf("sent again it made %d photos", len(r.Photos))
	}
	if left, err := w.store.Pieces(survey.PhotoID(id)); err != nil || left.Length != 0 {
		t.Errorf("pieces of a stored photo are left: %+v, %v", left, err)
	}
}

func TestPiecesThatAreRefused(t *testing.T) {
	w := newSite(t)
	v := w.survey("Alder Street")
	id, body := survey.NewID(), []byte("a piece")
	for name, c := range map[string]struct {
		offset, length, sum string
		status              int
	}{
		"another sum":       {"0", "20", pieceSum([]byte("other")), statusChecksum},
		"another algorithm": {"0", "20", "sha1 2jmj7l5rSw0yVb/vlWAYkK/YBwk=", http.StatusBadRequest},
		"no sum":            {"0", "20", "", http.StatusBadRequest},
		"no offset":         {"", "20", pieceSum(body), http.StatusBadRequest},
		"negative offset":   {"-1", "20", pieceSum(body), http.StatusBadRequest},
		"no number":         {"0", "0x14", pieceSum(body), http.StatusBadRequest},
		"too far on":        {"5", "20", pieceSum(body), http.StatusConflict},
		"beyond the end":    {"20", "20", pieceSum(body), http.StatusUnprocessableEntity},
		"a huge photo":      {"0", fmt.Sprint(survey.MaxPhotoBytes + 1), pieceSum(body), http.StatusRequestEntityTooLarge},
		"longer than it is": {"0", "3", pieceSum(body), http.StatusRequestEntityTooLarge},
	} {
		a := w.sendPieceSaying(v.ID, id, body, c.offset, c.length, c.sum)
		if a.Code != c.status {
			t.Errorf("%s: got %d, want %d: %s", name, a.Code, c.status, a.Body)
		}
		w.piecesOf(v.ID, id).wants(http.StatusNotFound)
	}
	w.sendPieceSaying(survey.SurveyID(survey.NewID()), id, body, "0", "20", pieceSum(body)).wants(http.StatusNotFound)
}

func TestSurveyByPhone(t *testing.T) {
	w := newSite(t)
	id := survey.NewID()
	address := "/api/surveys/" + id
	var made, again surveyJSON
	w.put(address, strings.NewReader(`{"title":"  Alder Street  ","surveyor":"Ana"}`)).wants(http.StatusOK).json(&made)
	w.put(address, strings.NewReader(`{"title":"Alder Street","surveyor":"Ana"}`)).wants(http.StatusOK).json(&again)
	if made.Title != "Alder Street" || made.Version != 1 || again != made {
		t.Errorf("made %+v, sent again %+v", made, again)
	}
	w.put(address, strings.NewReader(`{"title":"Alder Street","surveyor":"Ana","access":"side gate","version":1}`)).wants(http.StatusOK)
	var clash struct{ Current surveyJSON }
	w.put(address, strings.NewReader(`{"title":"Alder St","version":1}`)).wants(http.StatusConflict).json(&clash)
	if clash.Current.Access != "side gate" || clash.Current.Version != 2 {
		t.Errorf("the conflict shows %+v", clash.Current)
	}
	w.put(address, strings.NewReader(`{"title":"","version":2}`)).wants(http.StatusUnprocessableEntity)
	w.put(address, strings.NewReader(`{"name":"x"}`)).wants(http.StatusBadRequest)
}

func TestFactsByPhone(t *testing.T) {
	w := newSite(t)
	v := w.survey("Alder Street")
	address := "/api/surveys/" + string(v.ID) + "/facts"
	var saved factsJSON
	const sent = `{"facts":[{"key":"width","text":"28'","version":0},{"key":"projection","text":"14'","version":0}]}`
	w.put(address, strings.NewReader(sent)).wants(http.StatusOK).json(&saved)
	if len(saved.Facts) != 2 || saved.Facts[0].Text != "28'" || saved.Facts[0].Version != 1 {
		t.Errorf("saved %+v", saved)
	}
	w.put(address, strings.NewReader(sent)).wants(http.StatusOK).json(&saved)
	if saved.Facts[1].Version != 1 {
		t.Errorf("sent again it is version %d", saved.Facts[1].Version)
	}
	w.put(address, strings.NewReader(`{"facts":[{"key":"width","text":"28' 4\"","version":1}]}`)).wants(http.StatusOK)
	var clash struct{ Current []factJSON }
	w.put(address, strings.NewReader(`{"facts":[{"key":"width","text":"29'","version":1},{"key":"projection","text":"15'","version":1}]}`)).wants(http.StatusConflict).json(&clash)
	if len(clash.Current) != 1 || clash.Current[0].Key != "width" || clash.Current[0].Text != `28' 4"` || clash.Current[0].Version != 2 {
		t.Errorf("the conflict shows %+v, want the width that was saved before", clash.Current)
	}
	if got := w.record(v.ID).Facts["projection"].Text; got != "14'" {
		t.Errorf("a fact of a conflict was saved: %q", got)
	}
	var bad struct{ Errors, Fields map[string]string }
	w.put(address, strings.NewReader(`{"facts":[{"key":"width","text":"wide","version":2}]}`)).wants(http.StatusUnprocessableEntity).json(&bad)
	if bad.Errors["width"]+bad.Fields["width"] == "" {
		t.Errorf("nothing is said of the width: %+v", bad)
	}
	var all recordJSON
	w.get("/api/surveys/" + string(v.ID)).wants(http.StatusOK).json(&all)
	if all.Survey.ID != v.ID || len(all.Facts) != 2 || all.Facts[1].Text != `28' 4"` || all.Photos == nil || all.Pins == nil {
		t.Errorf("the whole survey: %+v", all)
	}
}
