package main

import (
	"context"
	"embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"

	"undercroft/survey"
	"undercroft/survey/store"
	"undercroft/survey/web"
)

//go:embed demo/survey.json demo/photos/*.jpg
var demoFiles embed.FS

// demoSurvey is the invented survey as it is written down: pins name their photo by its place in the list, from 1.
type demoSurvey struct {
	Survey struct {
		Title, Address, Client, Contact, Surveyor, Access, Notes string
		VisitDate                                                string `json:"visit_date"`
	}
	Facts  map[string]string
	Photos []struct{ File, Caption string }
	Pins   []struct {
		Photo  int
		Kind   survey.PinKind
		X, Y   float64
		X2, Y2 *float64
		Values map[string]string
		Note   string
	}
}

// runDemo is the command demo: a complete survey of an invented house on temporary data.
func runDemo(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("demo", flag.ContinueOnError)
	addr := set.String("addr", fallback(env.getenv("UNDERCROFT_ADDR"), "127.0.0.1:8080"), "`address` to listen on")
	dir := set.String("data", "", "keep the demo's data in this `folder` (default: a temporary one, removed at the end)")
	rest, status, done := parseFlags(set, args, env, "demo [flags]")
	if done {
		return status
	}
	if len(rest) > 0 {
		return fail(env, exitUsage, "demo takes no argument %q", rest[0])
	}
	folder := *dir
	if folder == "" {
		temp, err := os.MkdirTemp("", "undercroft-demo-")
		if err != nil {
			return fail(env, exitFailed, "make a folder for the demo's data: %v", err)
		}
		defer os.RemoveAll(temp)
		folder = temp
	}
	prepare := func(ctx context.Context, s *store.Store, reader web.PhotoReader) (string, error) {
		id, err := fillDemo(ctx, s, reader, env)
		return "/surveys/" + string(id), err
	}
	err := serve(ctx, serveConfig{addr: *addr, dir: folder, keep: -1}, env, prepare)
	if err != nil && !errors.Is(err, context.Canceled) {
		return fail(env, exitFailed, "%v", err)
	}
	return exitOK
}

// fillDemo writes the invented survey into the store, the way a person would: photos through the same reader, pins and facts
// through the same checks. It prints what it does, since reading eight photos takes seconds.
func fillDemo(ctx context.Context, s *store.Store, reader web.PhotoReader, env environment) (survey.SurveyID, error) {
	demo, err := readDemo()
	if err != nil {
		return "", err
	}
	v := demo.Survey
	made, err := s.CreateSurvey(ctx, survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: v.Title, Address: v.Address, Client: v.Client,
		Contact: v.Contact, Surveyor: v.Surveyor, VisitDate: v.VisitDate, Access: v.Access, Notes: v.Notes})
	if err != nil {
		return "", fmt.Errorf("make the demo survey: %w", err)
	}
	photos := make([]survey.PhotoID, len(demo.Photos))
	for i, photo := range demo.Photos {
		fmt.Fprintf(env.stdout, "reading photo %d of %d: %s\n", i+1, len(demo.Photos), photo.Caption)
		if photos[i], err = addDemoPhoto(ctx, s, reader, made.ID, photo.File, photo.Caption); err != nil {
			return "", fmt.Errorf("add %s: %w", photo.File, err)
		}
	}
	if err := addDemoPins(ctx, s, demo, made, photos); err != nil {
		return "", err
	}
	return made.ID, addDemoFacts(ctx, s, demo, made.ID)
}

func readDemo() (demoSurvey, error) {
	var demo demoSurvey
	data, err := demoFiles.ReadFile("demo/survey.json")
	if err != nil {
		return demo, fmt.Errorf("read the demo survey: %w", err)
	}
	if err := json.Unmarshal(data, &demo); err != nil {
		return demo, fmt.Errorf("read the demo survey: %w", err)
	}
	return demo, nil
}

func addDemoPhoto(ctx context.Context, s *store.Store, reader web.PhotoReader, id survey.SurveyID, file, caption string) (survey.PhotoID, error) {
	f, err := demoFiles.Open("demo/photos/" + file)
	if err != nil {
		return "", err
	}
	defer func(f fs.File) { _ = f.Close() }(f) // a file inside the program: closing cannot lose anything
	photo, err := web.TakePhoto(ctx, s, reader, f, survey.Photo{ID: survey.PhotoID(survey.NewID()), Survey: id, Name: file, Caption: caption})
	return photo.ID, err
}

func addDemoPins(ctx context.Context, s *store.Store, demo demoSurvey, made survey.Survey, photos []survey.PhotoID) error {
	for _, p := range demo.Pins {
		record, err := s.Record(ctx, made.ID)
		if err != nil {
			return err
		}
		pin := survey.Pin{ID: survey.PinID(survey.NewID()), Survey: made.ID, Photo: photos[p.Photo-1], Kind: p.Kind, X: p.X, Y: p.Y, X2: p.X2, Y2: p.Y2,
			Values: p.Values, Note: p.Note, By: made.Surveyor}
		if err := survey.ValidatePin(record, pin); err != nil {
			return fmt.Errorf("demo pin %v: %w", p, err)
		}
		if _, err := s.PutPin(ctx, pin); err != nil {
			return fmt.Errorf("add a demo pin: %w", err)
		}
	}
	return nil
}

func addDemoFacts(ctx context.Context, s *store.Store, demo demoSurvey, id survey.SurveyID) error {
	record, err := s.Record(ctx, id)
	if err != nil {
		return err
	}
	var facts []survey.Fact
	for _, key := range slices.Sorted(maps.Keys(demo.Facts)) {
		facts = append(facts, survey.Fact{Survey: id, Key: key, Text: demo.Facts[key]})
	}
	if err := survey.ValidateFacts(record, facts); err != nil {
		return fmt.Errorf("demo facts: %w", err)
	}
	_, err = s.PutFacts(ctx, id, facts)
	return err
}
