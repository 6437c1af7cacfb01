package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"

	"undercroft/survey"
	"undercroft/survey/bundle"
	"undercroft/survey/store"
)

// runImport is the command import: a bundle becomes the same survey here.
func runImport(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("import", flag.ContinueOnError)
	dir := set.String("data", fallback(env.getenv("UNDERCROFT_DATA"), "data"), "data `folder` (or $UNDERCROFT_DATA); the server must not be running on it")
	rest, status, done := parseFlags(set, args, env, "import FILE.zip [flags]")
	if done {
		return status
	}
	if len(rest) != 1 {
		return fail(env, exitUsage, "import needs one bundle, FILE.zip")
	}
	err := openBundle(rest[0], func(b *bundle.Bundle) error {
		if err := os.MkdirAll(*dir, 0o700); err != nil {
			return err
		}
		return withStore(ctx, *dir, func(s *store.Store) error { return b.Import(ctx, s) })
	}, func(v survey.Snapshot) {
		fmt.Fprintf(env.stdout, "imported %s: %d photos, %d pins, %d revisions\n", v.Record.Survey.Title, len(v.Record.Photos), len(v.Record.Pins), len(v.Revisions))
	})
	if err != nil {
		return fail(env, exitFailed, "%v", plainError(err))
	}
	return exitOK
}

// openBundle opens and checks a bundle and does something with it; then says it.
func openBundle(name string, do func(*bundle.Bundle) error, say func(survey.Snapshot)) error {
	f, err := os.Open(name) // #nosec G304 -- the file that the user named
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	b, err := bundle.Open(f, info.Size())
	if err != nil {
		return err
	}
	if err := do(b); err != nil {
		return err
	}
	say(b.Snapshot)
	return nil
}

// plainError leaves of an error that may be shown to people what they are shown.
func plainError(err error) error {
	if e, ok := errors.AsType[*survey.Error](err); ok && e.Kind != survey.Internal {
		return errors.New(e.Message)
	}
	return err
}
