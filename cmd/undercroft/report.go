package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/survey/store"
)

// runReport is the command report: a survey's report as one HTML file that needs no other.
func runReport(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("report", flag.ContinueOnError)
	dir := set.String("data", fallback(env.getenv("UNDERCROFT_DATA"), "data"), "data `folder` (or $UNDERCROFT_DATA); the server must not be running on it")
	out := set.String("o", "", "`file` to write, ending in .html")
	rest, status, done := parseFlags(set, args, env, "report SURVEY -o FILE.html   (SURVEY: its id, or a part of its name)")
	if done {
		return status
	}
	if len(rest) != 1 || *out == "" {
		return fail(env, exitUsage, "report needs one survey and -o FILE.html")
	}
	if filepath.Ext(*out) != ".html" {
		return fail(env, exitUsage, "%s does not end in .html", *out)
	}
	if err := writeReport(ctx, *dir, rest[0], *out); err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	fmt.Fprintf(env.stdout, "wrote %s\n", *out)
	return exitOK
}

// writeReport builds the whole report in memory before it touches the file.
func writeReport(ctx context.Context, dir, name, out string) (err error) {
	if _, err := os.Stat(dir); err != nil {
		return fmt.Errorf("there is no data folder %s: name it with -data", dir)
	}
	s, err := store.Open(ctx, store.Config{Dir: dir, Now: time.Now})
	if err != nil {
		return err // it names the folder and what is wrong with it
	}
	defer func() {
		if closed := s.Close(); err == nil && closed != nil {
			err = fmt.Errorf("close the data folder: %w", closed)
		}
	}()
	id, err := findSurvey(ctx, s, name)
	if err != nil {
		return err
	}
	record, err := s.Record(ctx, id)
	if err != nil {
		return fmt.Errorf("read the survey: %w", err)
	}
	var page bytes.Buffer
	images := func(sha256 string) ([]byte, error) { return readBlob(s, sha256) }
	if err := report.WriteHTML(&page, report.Build(record, survey.Compute(record), report.WithinReport(), time.Now()), images); err != nil {
		return fmt.Errorf("write the report: %w", err)
	}
	return os.WriteFile(out, page.Bytes(), 0o644)
}

func readBlob(s *store.Store, sha256 string) ([]byte, error) {
	f, err := s.OpenBlob(sha256)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}
