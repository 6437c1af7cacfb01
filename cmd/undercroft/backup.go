package main

import (
	"context"
	"flag"
	"fmt"
	"time"

	"undercroft/survey/store/backup"
)

const backupUsage = `backup TARGET [flags]

Copies the data folder into TARGET, also while the server runs on it: the database as it is at one moment, and the
photos that TARGET does not have yet. TARGET is a new folder or one that holds backups already, best on another disk.
A backup that is stopped half-way leaves those before it as they were. It holds everything, passwords' hashes too.`

// runBackup is the command backup.
func runBackup(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("backup", flag.ContinueOnError)
	dir := set.String("data", fallback(env.getenv("UNDERCROFT_DATA"), "data"), "data `folder` (or $UNDERCROFT_DATA); the server may be running on it")
	keep := set.Int("keep", 14, "how many backups to keep, at least 1; the newest good one is always kept")
	reread := set.Bool("reread", false, "read every photo in TARGET again instead of only looking at its size, and copy damaged ones anew")
	rest, status, done := parseFlags(set, args, env, backupUsage)
	if done {
		return status
	}
	if len(rest) != 1 || *keep < 1 {
		return fail(env, exitUsage, "backup needs one TARGET folder, and keeps at least 1 backup")
	}
	r, err := backup.Make(ctx, backup.Config{Data: *dir, Target: rest[0], Keep: *keep, Reread: *reread, Now: time.Now, Progress: progress(env.stderr, "copied")})
	if r.Name != "" {
		sayBackup(env, r)
	}
	if ctx.Err() != nil {
		return fail(env, exitFailed, "stopped; the backups made before are as they were")
	}
	if err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	if !r.Good() {
		return fail(env, exitFailed, "the backup was made, but the data folder is not whole: run undercroft check, which says what to do")
	}
	return exitOK
}

// sayBackup prints what was done.
func sayBackup(env environment, r backup.Result) {
	fmt.Fprintf(env.stdout, "backup %s: %s\nin all %s, %s; copied just now: %s, %s\n",
		r.Name, holds(r.About), count(r.Files, "file"), megabytes(r.Bytes), count(r.Copied, "file"), megabytes(r.CopiedBytes))
	if r.Mended > 0 {
		fmt.Fprintf(env.stdout, "of these %s had been damaged in the backups\n", count(r.Mended, "file"))
	}
	if len(r.Removed) > 0 {
		fmt.Fprintf(env.stdout, "removed %s and %s that only older ones had\n", count(len(r.Removed), "older backup"), count(r.Swept, "file"))
	}
	for _, flaw := range r.Flaws {
		fmt.Fprintf(env.stdout, "NOT WHOLE: %s\n", flaw)
	}
	if r.Warning != "" {
		fmt.Fprintln(env.stdout, r.Warning+".")
	}
	if r.SameDisk {
		fmt.Fprintln(env.stdout, "It lies on the same disk as the data: copy it to another machine too, or a broken disk takes both.")
	}
}

// holds says what a backup holds.
func holds(a backup.About) string {
	text := fmt.Sprintf("%s, %s, %s, %s", count(a.Surveys, "survey"), count(a.Photos, "photo"), count(a.Revisions, "revision"), count(a.Decisions, "decision"))
	if !a.Newest.IsZero() {
		text += fmt.Sprintf("; newest change %s in %s", a.Newest.Local().Format("2006-01-02 15:04:05"), a.NewestIn)
	}
	return text
}

// count says a number of things whose plural has an s.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// megabytes says a size for people.
func megabytes(bytes int64) string {
	if bytes < 10<<20 {
		return fmt.Sprintf("%d kB", (bytes+1023)/1024)
	}
	return fmt.Sprintf("%d MB", bytes>>20)
}
