package store_test

import (
	"context"
	"fmt"
	"os"
	"strings"
	"time"

	"undercroft/survey"
	"undercroft/survey/store"
)

func Example() {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "example-")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	s, err := store.Open(ctx, store.Config{Dir: dir, Now: time.Now})
	if err != nil {
		panic(err)
	}
	defer s.Close()

	site, err := s.CreateSurvey(ctx, survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: "12 Elm Street"})
	if err != nil {
		panic(err)
	}
	// The bytes first, then the row that names them.
	blob, err := s.ReceiveBlob(ctx, strings.NewReader("the bytes of a photo"), survey.MaxPhotoBytes)
	if err != nil {
		panic(err)
	}
	photo, err := s.AddPhoto(ctx, survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: site.ID, SHA256: blob.SHA256, Bytes: blob.Bytes})
	if err != nil {
		panic(err)
	}
	pin, err := s.PutPin(ctx, survey.Pin{ID: survey.PinID(survey.NewID()), Survey: site.ID, Photo: photo.ID, Kind: survey.PinNote, X: 0.5, Y: 0.25, Note: "hose bib"})
	if err != nil {
		panic(err)
	}
	pin.Note = "hose bib, stays"
	first := must(s.PutPin(ctx, pin))
	pin.Note = "hose bib, goes" // still made from version 1
	_, err = s.PutPin(ctx, pin)
	fmt.Println(first.Version, survey.KindOf(err) == survey.Conflict)
	// Output: 2 true
}

func must(p survey.Pin, err error) survey.Pin {
	if err != nil {
		panic(err)
	}
	return p
}
