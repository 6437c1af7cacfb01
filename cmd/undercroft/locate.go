package main

import (
	"flag"

	"undercroft/annotate/plane"
)

// runLocate is the command locate: measured references and pins of one photo, or of several, in as JSON; plan positions with their
// uncertainty out as JSON. Nothing is written to standard output unless all went well.
func runLocate(args []string, env environment) int {
	set := flag.NewFlagSet("locate", flag.ContinueOnError)
	rest, status, done := parseFlags(set, args, env, "locate FILE   (or - for standard input)")
	if done {
		return status
	}
	if len(rest) != 1 {
		return fail(env, exitUsage, "locate needs one file, or - for standard input")
	}
	data, err := readInput(rest[0], env.stdin)
	if err != nil {
		return fail(env, exitUsage, "%v", err)
	}
	answer, err := plane.Answer(data)
	if err != nil {
		return fail(env, exitUsage, "%s: %v", rest[0], err)
	}
	if _, err := env.stdout.Write(answer); err != nil {
		return fail(env, exitFailed, "write the positions: %v", err)
	}
	return exitOK
}
