package main

import (
	"flag"
	"fmt"

	"undercroft/survey"
	"undercroft/survey/bundle"
)

// runVerify is the command verify: every sum of a bundle is computed anew, and what was issued is held against itself. It needs no data folder and no network.
func runVerify(args []string, env environment) int {
	set := flag.NewFlagSet("verify", flag.ContinueOnError)
	rest, status, done := parseFlags(set, args, env, "verify FILE.zip")
	if done {
		return status
	}
	if len(rest) != 1 {
		return fail(env, exitUsage, "verify needs one bundle, FILE.zip")
	}
	err := openBundle(rest[0], func(*bundle.Bundle) error { return nil }, func(v survey.Snapshot) {
		fmt.Fprintf(env.stdout, "%s is whole: every file has the sum it was written with, every revision and every decision follows the one before it.\n", v.Record.Survey.Title)
		for _, r := range v.Revisions {
			fmt.Fprintf(env.stdout, "revision %d, %s, by %s: fingerprint %s\n", r.Number, r.At.Format("2006-01-02 15:04 MST"), r.By, survey.Fingerprint(r.SHA256))
		}
		for _, a := range v.Approvals {
			fmt.Fprintf(env.stdout, "revision %d, %s, %s by %s: receipt %s\n", a.Number, a.At.Format("2006-01-02 15:04 MST"), a.Decision, a.Name, survey.Fingerprint(a.Hash))
		}
		if len(v.Revisions) > 0 {
			fmt.Fprintln(env.stdout, "Compare the fingerprints with those on reports and receipts: who changes everything at once, or takes the newest away, can make every sum agree, but not what was printed.")
		}
	})
	if err != nil {
		return fail(env, exitFailed, "%v", plainError(err))
	}
	return exitOK
}
