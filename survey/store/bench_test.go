package store

import (
	"bytes"
	"strconv"
	"testing"

	"undercroft/survey"
)

func BenchmarkPutPin(b *testing.B) {
	s := newStore(b)
	pin := addTestPin(b, s, addTestPhoto(b, s, addSurvey(b, s).ID, 1))
	for i := 0; b.Loop(); i++ {
		pin.Note = strconv.Itoa(i)
		pin = must(s.PutPin(b.Context(), pin))(b)
	}
}

func BenchmarkRecord(b *testing.B) {
	s := newStore(b)
	v := addSurvey(b, s)
	for i := range 20 {
		p := addTestPhoto(b, s, v.ID, uint64(i*10))
		for range 10 {
			addTestPin(b, s, p)
		}
	}
	must(s.PutFacts(b.Context(), v.ID, []survey.Fact{{Key: "width", Text: "16'"}, {Key: "projection", Text: "12'"}}))(b)
	for b.Loop() {
		if r := must(s.Record(b.Context(), v.ID))(b); len(r.Pins) != 200 || len(r.Photos) != 20 {
			b.Fatalf("%d pins, %d photos", len(r.Pins), len(r.Photos))
		}
	}
}

func BenchmarkReceiveBlob(b *testing.B) {
	s := newStore(b)
	data := content(1, 5<<20)
	b.SetBytes(int64(len(data)))
	for i := 0; b.Loop(); i++ {
		copy(data, strconv.Itoa(i))
		if blob := must(s.ReceiveBlob(b.Context(), bytes.NewReader(data), survey.MaxPhotoBytes))(b); !blob.New {
			b.Fatal("the same bytes again")
		}
	}
}
