package main

import (
	"context"
	"flag"
	"fmt"
	"time"

	"undercroft/survey/store/backup"
)

const restoreUsage = `restore TARGET -data NEWDIR [flags]
       undercroft restore TARGET -list

Makes a data folder of a backup that lies in TARGET. Every sum is read before anything is written. NEWDIR must be empty
or not there yet: nothing is overwritten.`

// runRestore is the command restore.
func runRestore(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("restore", flag.ContinueOnError)
	dir := set.String("data", "", "new data `folder`")
	at := set.String("at", "", "`name` of the backup, as -list prints it (default: the newest)")
	list := set.Bool("list", false, "list the backups and restore nothing")
	rest, status, done := parseFlags(set, args, env, restoreUsage)
	if done {
		return status
	}
	if len(rest) != 1 || *list == (*dir != "") {
		return fail(env, exitUsage, "restore needs the TARGET folder of the backups, and either -data NEWDIR or -list")
	}
	if *list {
		return listBackups(rest[0], env)
	}
	r, err := backup.Restore(ctx, backup.Restoring{Target: rest[0], At: *at, Data: *dir, Now: time.Now, Progress: progress(env.stderr, "read")})
	if ctx.Err() != nil {
		return fail(env, exitFailed, "stopped; what may stand in %s is only a part: remove it", *dir)
	}
	if err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	fmt.Fprintf(env.stdout, "restored the backup %s, made %s, into %s\n%s\nin all %s, %s\n", r.Name, r.Made.Local().Format("2006-01-02 15:04:05"), *dir, holds(r.About), count(r.Files, "file"), megabytes(r.Bytes))
	if r.Schema != r.About.Schema {
		fmt.Fprintf(env.stdout, "its schema %d was brought to %d; the backup itself is as it was\n", r.About.Schema, r.Schema)
	}
	fmt.Fprintln(env.stdout, "Before the server runs on this folder: people and links are as they were when the backup was made, and surveys erased since then are back. Look at undercroft user list and disable whoever left, revoke links that should not work, and erase those surveys again.")
	if r.Deleted > 0 {
		fmt.Fprintf(env.stdout, "%s in it can be brought back until %s, from the list of surveys, under Deleted; then erased for good.\n", count(r.Deleted, "deleted survey"), r.Until.Local().Format("2006-01-02 15:04"))
	}
	for _, flaw := range r.Flaws {
		fmt.Fprintf(env.stdout, "NOT WHOLE when the backup was made: %s\n", flaw)
	}
	if sayFindings(env, r.Checkup.Findings) > 0 {
		return fail(env, exitFailed, "restored, but not whole")
	}
	return exitOK
}

// listBackups prints the backups of a target, the oldest first.
func listBackups(target string, env environment) int {
	sets, err := backup.List(target)
	if err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	for _, a := range sets {
		fmt.Fprintf(env.stdout, "%s  %s, %s\n", a.Name, holds(a), megabytes(a.Bytes))
		for _, flaw := range a.Flaws {
			fmt.Fprintf(env.stdout, "    not whole: %s\n", flaw)
		}
	}
	if len(sets) == 0 {
		fmt.Fprintln(env.stdout, "No finished backup yet.")
	}
	return exitOK
}
