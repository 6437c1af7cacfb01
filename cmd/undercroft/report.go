package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"undercroft/calc/words"
	"undercroft/survey"
	"undercroft/survey/report"
	"undercroft/survey/report/document"
	"undercroft/survey/report/pdf"
	"undercroft/survey/store"
)

// reportFlags are what the command report is asked for.
type reportFlags struct {
	dir, out, paper string
	reader          document.Reader
	lang            words.Lang
	metric          bool
}

// runReport is the command report: one of a survey's reports as one file that needs no other.
func runReport(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("report", flag.ContinueOnError)
	var f reportFlags
	set.StringVar(&f.dir, "data", fallback(env.getenv("UNDERCROFT_DATA"), "data"), "data `folder` (or $UNDERCROFT_DATA); the server must not be running on it")
	set.StringVar(&f.out, "o", "", "`file` to write, ending in .html or .pdf")
	reader := set.String("for", "crew", "`reader`: crew, scope (the homeowner's) or survey (everything, for the office)")
	lang := set.String("lang", "en", "`language`: en or es")
	set.StringVar(&f.paper, "paper", "letter", "`paper`: letter or a4")
	set.BoolVar(&f.metric, "metric", false, "put the metric length beside every length")
	rest, status, done := parseFlags(set, args, env, "report SURVEY -o FILE.(html|pdf) [flags]   (SURVEY: its id, or a part of its name)")
	if done {
		return status
	}
	f.reader, f.lang = document.Reader(*reader), words.Lang(*lang)
	switch {
	case len(rest) != 1 || f.out == "":
		return fail(env, exitUsage, "report needs one survey and -o FILE.html or FILE.pdf")
	case filepath.Ext(f.out) != ".html" && filepath.Ext(f.out) != ".pdf":
		return fail(env, exitUsage, "%s does not end in .html or .pdf", f.out)
	case !slices.Contains([]document.Reader{document.Crew, document.Scope, document.Survey}, f.reader):
		return fail(env, exitUsage, "-for %s is no reader: use crew, scope or survey", f.reader)
	case f.lang != words.English && f.lang != words.Spanish:
		return fail(env, exitUsage, "-lang %s is not known: use en or es", f.lang)
	case f.paper != "letter" && f.paper != "a4":
		return fail(env, exitUsage, "-paper %s is not known: use letter or a4", f.paper)
	}
	if err := writeReport(ctx, f, rest[0]); err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	fmt.Fprintf(env.stdout, "wrote %s\n", f.out)
	return exitOK
}

// writeReport builds the whole report in memory before it touches the file.
func writeReport(ctx context.Context, f reportFlags, name string) error {
	return withStore(ctx, f.dir, func(s *store.Store) error {
		id, err := findSurvey(ctx, s, name)
		if err != nil {
			return err
		}
		record, err := s.Record(ctx, id)
		if err != nil {
			return fmt.Errorf("read the survey: %w", err)
		}
		company, err := s.Company(ctx)
		if err != nil {
			return fmt.Errorf("read the company's texts: %w", err)
		}
		last, err := lastIssued(ctx, s, id)
		if err != nil {
			return err
		}
		doc := report.Build(record, survey.Compute(record), report.WithinReport(), time.Now()).Document(f.reader, f.lang, report.Options{Metric: f.metric, Company: company, Last: last})
		var out bytes.Buffer
		if err := f.paint(&out, doc, func(sha256 string) ([]byte, error) { return readBlob(s, sha256) }); err != nil {
			return fmt.Errorf("write the report: %w", err)
		}
		return os.WriteFile(f.out, out.Bytes(), 0o644) // #nosec G306 -- the file that the user named, as a redirect makes it
	})
}

// lastIssued reads what the newest revision of a survey froze; nil while none was issued.
func lastIssued(ctx context.Context, s *store.Store, in survey.SurveyID) (*report.Content, error) {
	issued, err := s.Revisions(ctx, in)
	if err != nil {
		return nil, fmt.Errorf("read the revisions: %w", err)
	}
	if len(issued) == 0 {
		return nil, nil
	}
	body, err := readBlob(s, issued[len(issued)-1].SHA256)
	if err != nil {
		return nil, fmt.Errorf("read revision %d: %w", len(issued), err)
	}
	content, err := report.Thaw(body)
	return &content, err
}

// paint paints a document as the file's name ends.
func (f reportFlags) paint(w io.Writer, doc document.Document, images func(sha256 string) ([]byte, error)) error {
	if filepath.Ext(f.out) == ".html" {
		return report.WriteHTML(w, doc, f.paper, images)
	}
	return pdf.Write(w, doc, pdf.Paper(f.paper), images)
}

func readBlob(s *store.Store, sha256 string) ([]byte, error) {
	f, err := s.OpenBlob(sha256)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}
