package annotate

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"time"
)

// Exit codes of RunWorker.
const (
	workerDone  = 0
	workerFault = 1 // the file or the folder could not be used
	workerUsage = 2
	workerLate  = 3 // the time was over
)

// report is one line that the worker prints: first what was read before the picture was opened, then, with Done, all.
type report struct {
	Meta     Meta `json:"meta"`
	Pictures bool `json:"pictures"` // screen.jpg and thumb.jpg are written
	Done     bool `json:"done"`
}

// RunWorker is the other end of Child: it takes one photo in, in this very process, which it first limits for good, and prints a
// report line before the picture is opened and one after. It returns the exit code. Only a process that was started for this one
// photo may call it. Arguments: -memory BYTES, -timeout DURATION, -work DURATION, -out FOLDER, FILE.
func RunWorker(args []string, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet("worker", flag.ContinueOnError)
	flags.SetOutput(stderr)
	memory := flags.Uint64("memory", 0, "limit of the memory on top of what the program itself takes, in bytes; 0 is none")
	timeout := flags.Duration("timeout", DefaultTimeout, "limit of the time")
	processor := flags.Duration("work", 0, "limit of the processor time, in whole seconds; 0 is none")
	out := flags.String("out", "", "folder for the derivatives")
	if flags.Parse(args) != nil || flags.NArg() != 1 || *out == "" || *timeout <= 0 {
		fmt.Fprintln(stderr, "the worker needs -out FOLDER and one FILE")
		return workerUsage
	}
	if err := errors.Join(limitMemory(*memory), limitWork(*processor)); err != nil {
		fmt.Fprintln(stderr, err)
		return workerFault
	}
	// The parent kills a worker that is late; this ends it when the parent is gone.
	watchdog := time.AfterFunc(*timeout+*timeout/2, func() { os.Exit(workerLate) })
	defer watchdog.Stop()
	ctx, cancel := context.WithTimeout(context.Background(), *timeout)
	defer cancel()
	return work(ctx, flags.Arg(0), *out, stdout, stderr)
}

func work(ctx context.Context, path, out string, stdout, stderr io.Writer) int {
	enc := json.NewEncoder(stdout)
	res, err := makeEarly(ctx, path, out, func(m Meta) {
		if err := enc.Encode(report{Meta: m}); err != nil {
			fmt.Fprintln(stderr, err)
		}
	})
	switch {
	case ctx.Err() != nil:
		return workerLate
	case err != nil:
		fmt.Fprintln(stderr, err)
		return workerFault
	}
	if err := enc.Encode(report{Meta: res.Meta, Pictures: res.Screen != "", Done: true}); err != nil {
		fmt.Fprintln(stderr, err)
		return workerFault
	}
	return workerDone
}
