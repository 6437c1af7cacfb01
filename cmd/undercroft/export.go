package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"undercroft/survey/bundle"
	"undercroft/survey/store"
)

// runExport is the command export: one survey with its photos as a bundle that another Undercroft imports.
func runExport(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("export", flag.ContinueOnError)
	dir := set.String("data", fallback(env.getenv("UNDERCROFT_DATA"), "data"), "data `folder` (or $UNDERCROFT_DATA); the server must not be running on it")
	out := set.String("o", "", "`file` to write, ending in .zip; it must not be there yet")
	rest, status, done := parseFlags(set, args, env, "export SURVEY -o FILE.zip [flags]   (SURVEY: its id, or a part of its name)")
	if done {
		return status
	}
	if len(rest) != 1 || filepath.Ext(*out) != ".zip" {
		return fail(env, exitUsage, "export needs one survey and -o FILE.zip")
	}
	err := withStore(ctx, *dir, func(s *store.Store) error {
		id, err := findSurvey(ctx, s, rest[0])
		if err != nil {
			return err
		}
		return writeNew(*out, func(f *os.File) error { return bundle.Write(ctx, f, s, id) })
	})
	if err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	fmt.Fprintf(env.stdout, "wrote %s\nIt holds the original photos, which say where they were taken: it is for the office, not for the homeowner.\n", *out)
	return exitOK
}

// writeNew writes a file that was not there, and removes it when it could not be written whole.
func writeNew(name string, write func(*os.File) error) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600) // #nosec G304 -- the file that the user named, never one that is there
	if err != nil {
		return err
	}
	err = write(f)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return errors.Join(err, os.Remove(name))
	}
	return nil
}
