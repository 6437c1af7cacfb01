package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"slices"
	"time"

	"undercroft/survey/store"
)

const checkUsage = `check [flags]

Reads everything in the data folder again: the database, every photo by its sum, every reference, the chains of what was
issued and decided. It changes nothing, and may run beside the server. The exit status is 1 when something is amiss.`

// runCheck is the command check.
func runCheck(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("check", flag.ContinueOnError)
	dir := set.String("data", fallback(env.getenv("UNDERCROFT_DATA"), "data"), "data `folder` (or $UNDERCROFT_DATA); the server may be running on it")
	clear := set.Bool("delete-orphans", false, "remove the files that nothing names and that are older than 24 hours; the server must not be running, and nothing may be amiss")
	rest, status, done := parseFlags(set, args, env, checkUsage)
	if done {
		return status
	}
	if len(rest) != 0 {
		return fail(env, exitUsage, "check takes no argument: name the folder with -data")
	}
	c, err := checkFolder(ctx, *dir, env)
	if err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	fmt.Fprintf(env.stdout, "read %s, %s: %s, %s, %s, %s (schema %d)\n", count(c.Files, "file"), megabytes(c.Bytes),
		count(c.Surveys, "survey"), count(c.Photos, "photo"), count(c.Revisions, "revision"), count(c.Decided, "decision"), c.Schema)
	sayOrphans(env, c.Orphans)
	found := sayFindings(env, c.Findings)
	if found == 0 {
		fmt.Fprintln(env.stdout, "Everything is as it should be.")
	}
	mendable := !slices.ContainsFunc(c.Findings, func(f store.Finding) bool { return f.Trouble != store.DamagedOrphan })
	switch {
	case found > 0 && !(*clear && mendable):
		return fail(env, exitFailed, "%s; nothing was changed", count(found, "finding"))
	case !*clear:
		return exitOK
	}
	removed, err := store.DeleteOrphans(ctx, *dir, time.Now())
	if err == nil || len(removed) > 0 {
		fmt.Fprintf(env.stdout, "removed %s that nothing named\n", count(len(removed), "file"))
	}
	if err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	return exitOK
}

// checkFolder checks a data folder beside whoever serves it.
func checkFolder(ctx context.Context, dir string, env environment) (c store.Checkup, err error) {
	a, err := store.OpenAside(ctx, dir)
	if err != nil {
		return c, err
	}
	defer func() { err = errors.Join(err, a.Close()) }()
	return a.Check(ctx, time.Now(), progress(env.stderr, "read"))
}

// sayOrphans lists the files that nothing names.
func sayOrphans(env environment, orphans []store.Orphan) {
	old := 0
	for _, o := range orphans {
		age := "may still be on its way"
		if o.Old {
			age, old = "older than 24 hours", old+1
		}
		fmt.Fprintf(env.stdout, "nothing names blobs/%s/%s: %s, of %s, %s\n", o.SHA256[:2], o.SHA256, megabytes(o.Bytes), o.At.Local().Format("2006-01-02 15:04"), age)
	}
	if old > 0 {
		fmt.Fprintf(env.stdout, "They do no harm. check -delete-orphans removes %d of them.\n", old)
	}
}

// sayFindings prints each finding and, once for each kind, what to do about it. It gives their number.
func sayFindings(env environment, findings []store.Finding) int {
	said := map[store.Trouble]bool{}
	for _, f := range findings {
		fmt.Fprintf(env.stdout, "AMISS: %s\n", f.What)
	}
	for _, f := range findings {
		if !said[f.Trouble] {
			said[f.Trouble] = true
			fmt.Fprintf(env.stdout, "What to do (%s): %s\n", f.Trouble, f.Todo)
		}
	}
	return len(findings)
}
