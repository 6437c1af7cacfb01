package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
	"time"

	"undercroft/survey"
	"undercroft/survey/bundle"
	"undercroft/survey/store"
)

const verifyUsage = `verify FILE.zip [REPORT...] [flags]
       undercroft verify -data FOLDER [REPORT...] [flags]

Computes every sum of a bundle, or of a whole data folder, anew, and says what fails. A REPORT is a PDF or HTML file that was
issued: it says whether that is exactly what the survey holds. The exit status is 1 when anything is not what it was.`

// runVerify is the command verify: everything about a bundle or a data folder that can be checked without the server, and whether reports and fingerprints from elsewhere
// are of it.
func runVerify(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("verify", flag.ContinueOnError)
	dir := set.String("data", "", "check the data `folder` instead of a bundle; the server may be running on it")
	var expected []string
	set.Func("expect", "a `fingerprint` as a report or a receipt prints it, at least its first 16 digits: it must be there; may be given several times", func(text string) error {
		sum := strings.ToLower(strings.Join(strings.Fields(text), ""))
		if !fingerprintText.MatchString(sum) {
			return errors.New("write 16 to 64 hexadecimal digits, with or without spaces")
		}
		expected = append(expected, sum)
		return nil
	})
	rest, status, done := parseFlags(set, args, env, verifyUsage)
	if done {
		return status
	}
	var issued []survey.Snapshot
	var err error
	switch {
	case *dir != "":
		issued, err = verifyFolder(ctx, *dir, env)
	case len(rest) == 0:
		return fail(env, exitUsage, "verify needs one bundle, FILE.zip, or -data and a folder")
	default:
		err = openBundle(rest[0], func(*bundle.Bundle) error { return nil }, func(v survey.Snapshot) { issued = []survey.Snapshot{v} })
		rest = rest[1:]
	}
	if err != nil {
		return fail(env, exitFailed, "%v", plainError(err))
	}
	for _, v := range issued {
		sayIssued(env, v)
	}
	amiss := 0
	for _, name := range rest {
		amiss += verifyReport(env, name, issued)
	}
	for _, sum := range expected {
		amiss += verifyExpected(env, sum, issued)
	}
	if amiss > 0 {
		return fail(env, exitFailed, "%d of what was given is not there", amiss)
	}
	return exitOK
}

// fingerprintText is a sum, or enough of it to tell it from any other.
var fingerprintText = regexp.MustCompile(`^[0-9a-f]{16,64}$`)

// verifyFolder checks a data folder beside whoever serves it, and gives what was issued there. What is amiss is printed and is an error.
func verifyFolder(ctx context.Context, dir string, env environment) (issued []survey.Snapshot, err error) {
	a, err := store.OpenAside(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, a.Close()) }()
	c, err := a.Check(ctx, time.Now(), nil)
	if err != nil {
		return nil, err
	}
	for _, f := range c.Findings {
		fmt.Fprintf(env.stdout, "AMISS: %s\n%s\n", f.What, f.Todo)
	}
	if len(c.Findings) > 0 {
		return nil, fmt.Errorf("%s in %s; nothing was changed", count(len(c.Findings), "finding"), dir)
	}
	return a.Issued(ctx)
}

// sayIssued says what was found to be whole.
func sayIssued(env environment, v survey.Snapshot) {
	const minute = "2006-01-02 15:04 MST"
	fmt.Fprintf(env.stdout, "%s is whole: every file has the sum it was written with, every revision and every decision follows the one before it, and each record has its seal.\n", v.Record.Survey.Title)
	for _, r := range v.Revisions {
		fmt.Fprintf(env.stdout, "revision %d, %s, by %s: fingerprint %s\n", r.Number, r.At.Format(minute), r.By, survey.Fingerprint(r.SHA256))
	}
	for _, a := range v.Approvals {
		fmt.Fprintf(env.stdout, "revision %d, %s, %s by %s: receipt %s\n", a.Number, a.At.Format(minute), a.Decision, a.Name, survey.Fingerprint(a.Hash))
	}
	for _, f := range v.Finishes {
		fmt.Fprintf(env.stdout, "the work, %s, %s: sum %s\n", f.At.Format(minute), f.Act, survey.Fingerprint(f.Hash))
	}
	if len(v.Revisions) > 0 {
		fmt.Fprintln(env.stdout, "Compare the fingerprints with those on reports and receipts, or give them with -expect: who changes everything at once, or takes the newest away, can make every sum agree, but not what was printed.")
	}
}

// verifyReport says of which report a file is the exact copy; it gives 1 when it is of none.
func verifyReport(env environment, name string, issued []survey.Snapshot) int {
	sum, err := fileSum(name)
	if err != nil {
		fmt.Fprintf(env.stdout, "%s cannot be read: %v\n", name, err)
		return 1
	}
	for _, v := range issued {
		for _, r := range v.Renditions {
			if r.SHA256 == sum {
				fmt.Fprintf(env.stdout, "%s is exactly the %s of revision %d of %s\n", name, reportWords(r.Name), r.Number, v.Record.Survey.Title)
				return 0
			}
		}
	}
	fmt.Fprintf(env.stdout, "%s is not one of the reports that were issued: it was changed, or it is a draft, a receipt (give the sum it prints with -expect) or another survey's\n", name)
	return 1
}

// fileSum is the SHA-256 of a file.
func fileSum(name string) (string, error) {
	f, err := os.Open(name) // #nosec G304 -- the caller names the file
	if err != nil {
		return "", err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}

// reportWords says what a report's name says, "crew-es-a4-metric.pdf": for whom, in which language, on which paper. What is not known is given as it is.
func reportWords(name string) string {
	name, ending, _ := strings.Cut(name, ".")
	words := map[string]string{"crew": "crew’s report", "scope": "homeowner’s scope", "survey": "office’s report", "en": "in English", "es": "in Spanish", "letter": "Letter", "a4": "A4", "metric": "with metric lengths", "html": "HTML", "pdf": "PDF"}
	var said []string
	for _, part := range append(strings.Split(name, "-"), ending) {
		if w, ok := words[part]; ok {
			part = w
		}
		said = append(said, part)
	}
	return said[0] + " (" + strings.Join(said[1:], ", ") + ")"
}

// verifyExpected says which record has a sum that begins like the one expected; it gives 1 when none has.
func verifyExpected(env environment, sum string, issued []survey.Snapshot) int {
	shown := survey.Fingerprint(sum)
	for _, v := range issued {
		for _, r := range v.Revisions {
			if strings.HasPrefix(r.SHA256, sum) {
				fmt.Fprintf(env.stdout, "expected %s: it is revision %d of %s\n", shown, r.Number, v.Record.Survey.Title)
				return 0
			}
		}
		for _, a := range v.Approvals {
			if strings.HasPrefix(a.Hash, sum) {
				fmt.Fprintf(env.stdout, "expected %s: revision %d of %s, %s by %s\n", shown, a.Number, v.Record.Survey.Title, a.Decision, a.Name)
				return 0
			}
		}
		for _, f := range v.Finishes {
			if strings.HasPrefix(f.Hash, sum) {
				fmt.Fprintf(env.stdout, "expected %s: the work at %s, %s\n", shown, v.Record.Survey.Title, f.Act)
				return 0
			}
		}
	}
	fmt.Fprintf(env.stdout, "expected %s: no revision and no decision has it: the record that did was changed or taken away\n", shown)
	return 1
}
