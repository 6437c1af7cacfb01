// Command undercroft carries one site visit's photos and pins through to a computed ceiling and its report. Each command is one file;
// main only finds it. Flags and the environment are read here and nowhere else.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
)

// The exit statuses: done, failed while working, called wrongly or given input that cannot be used.
const (
	exitOK     = 0
	exitFailed = 1
	exitUsage  = 2
)

const help = `Undercroft plans a sloped ceiling under an elevated deck from one visit's photos and pins.

Usage: undercroft COMMAND [flags]

  serve            run the survey server on a data folder (the default command)
  demo             run it on a complete invented survey, in a temporary folder
  report SURVEY    write a survey's report as one HTML or PDF file
  export SURVEY    write a survey with its photos as a bundle for another machine
  import FILE      read such a bundle in
  verify FILE      check every sum of a bundle or a data folder, and reports against them
  backup TARGET    copy the data folder into another one, also while the server runs
  restore TARGET   make a new data folder of a backup
  check            read everything in the data folder again and say what is amiss
  user             add, list, disable or reset the people who sign in
  calc FILE        compute a ceiling from a JSON file, or - for standard input
  photo FILE...    print what a photo file says about itself
  locate FILE      turn pins on photos into plan positions, from a JSON file, or - for standard input

Add --help to a command for its flags. Figures are for people who know the trade: follow local codes, and leave structure
to a licensed professional.
`

// environment is what a command sees of the world.
type environment struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	getenv         func(string) string
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], environment{os.Stdin, os.Stdout, os.Stderr, os.Getenv}))
}

// run finds the command and runs it. It returns the exit status.
func run(ctx context.Context, args []string, env environment) int {
	name := "serve"
	if len(args) > 0 && (args[0] == "" || args[0][0] != '-' || isHelp(args[0])) {
		name, args = args[0], args[1:]
	}
	switch name {
	case "serve":
		return runServe(ctx, args, env)
	case "demo":
		return runDemo(ctx, args, env)
	case "report":
		return runReport(ctx, args, env)
	case "export":
		return runExport(ctx, args, env)
	case "import":
		return runImport(ctx, args, env)
	case "backup":
		return runBackup(ctx, args, env)
	case "restore":
		return runRestore(ctx, args, env)
	case "check":
		return runCheck(ctx, args, env)
	case "user":
		return runUser(ctx, args, env)
	case "verify":
		return runVerify(ctx, args, env)
	case "calc":
		return runCalc(args, env)
	case "locate":
		return runLocate(args, env)
	case "photo":
		return runPhoto(args, env.stdout, env.stderr)
	case "help", "-h", "-help", "--help":
		fmt.Fprint(env.stdout, help)
		return exitOK
	}
	fmt.Fprintf(env.stderr, "undercroft: there is no command %q\n\n%s", name, help)
	return exitUsage
}

func isHelp(arg string) bool { return arg == "-h" || arg == "-help" || arg == "--help" }

// parseFlags reads flags that may stand before or after the other arguments, which it returns. done is true when the command should
// stop at once with the status: help was asked for, or a flag is wrong.
func parseFlags(set *flag.FlagSet, args []string, env environment, usage string) (rest []string, status int, done bool) {
	set.SetOutput(env.stderr)
	set.Usage = func() {
		fmt.Fprintf(set.Output(), "Usage: undercroft %s\n\nFlags:\n", usage)
		set.PrintDefaults()
	}
	for {
		if len(args) > 0 && isHelp(args[0]) {
			set.SetOutput(env.stdout)
			set.Usage()
			return nil, exitOK, true
		}
		if err := set.Parse(args); err != nil {
			if errors.Is(err, flag.ErrHelp) {
				return nil, exitOK, true
			}
			return nil, exitUsage, true
		}
		if set.NArg() == 0 {
			return rest, exitOK, false
		}
		rest, args = append(rest, set.Arg(0)), set.Args()[1:]
	}
}

// fail reports why a command could not do its work.
func fail(env environment, status int, format string, args ...any) int {
	fmt.Fprintf(env.stderr, "undercroft: "+format+"\n", args...)
	return status
}
