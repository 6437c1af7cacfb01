package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"io"
	"os"

	"undercroft/calc"
)

// maxCalcBytes bounds the input document: 100,000 obstructions take about 15 MB.
const maxCalcBytes = 64 << 20

var errTooLarge = errors.New("the document is over 64 MB")

// runCalc is the command calc: JSON in, a sheet or JSON out. Nothing is written to standard output unless all went well.
func runCalc(args []string, env environment) int {
	set := flag.NewFlagSet("calc", flag.ContinueOnError)
	asJSON := set.Bool("json", false, "print the plan as JSON instead of a sheet to read")
	notes := set.String("notes", "en", "`language` of the crew notes: en, or es for Spanish")
	rest, status, done := parseFlags(set, args, env, "calc [--json] [--notes en|es] FILE   (or - for standard input)")
	if done {
		return status
	}
	if len(rest) != 1 {
		return fail(env, exitUsage, "calc needs one file, or - for standard input")
	}
	if *notes != "en" && *notes != "es" {
		return fail(env, exitUsage, "calc has notes in en and es, not in %q", *notes)
	}
	data, err := readInput(rest[0], env.stdin)
	if err != nil {
		return fail(env, exitUsage, "%v", err)
	}
	in, err := calc.Decode(bytes.NewReader(data))
	if err != nil {
		return fail(env, exitUsage, "%s: %v", rest[0], err)
	}
	plan, err := calc.Compute(in)
	if err != nil {
		return fail(env, exitUsage, "%s: %v", rest[0], err)
	}
	plan.Notes = calc.CrewNotes(in, &plan, *notes)
	var out bytes.Buffer
	if *asJSON {
		encoder := json.NewEncoder(&out)
		encoder.SetIndent("", " ")
		encoder.SetEscapeHTML(false)
		err = encoder.Encode(plan)
	} else {
		err = calc.WriteSheet(&out, in, plan)
	}
	if err != nil {
		return fail(env, exitFailed, "write the plan: %v", err)
	}
	if _, err := env.stdout.Write(out.Bytes()); err != nil {
		return fail(env, exitFailed, "write the plan: %v", err)
	}
	return exitOK
}

// readInput reads a whole file or standard input, up to maxCalcBytes.
func readInput(name string, stdin io.Reader) ([]byte, error) {
	r := stdin
	if name != "-" {
		f, err := os.Open(name) // #nosec G304 -- the file that the user named
		if err != nil {
			return nil, err
		}
		defer f.Close()
		r = f
	}
	data, err := io.ReadAll(io.LimitReader(r, maxCalcBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxCalcBytes {
		return nil, errTooLarge
	}
	return data, nil
}
