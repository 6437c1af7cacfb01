package annotate

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"time"
)

// Defaults of Child.
const (
	DefaultTimeout     = 20 * time.Second
	DefaultMemoryBytes = 1536 << 20
)

// Bounds of what the parent keeps of what a child prints.
const (
	maxStdout = 64 << 10
	maxStderr = 8 << 10
)

// Child takes photos in by a child process each, so that a picture that eats memory, never ends or ends the process does no
// harm. The zero value of a field means its default; Exe has none. A Child may be used by many goroutines at once, but each run
// may take MemoryBytes: let as many run at once as there are processors.
type Child struct {
	Exe         string        // the program itself: os.Executable
	Timeout     time.Duration // limit of one photo; DefaultTimeout when 0
	Work        time.Duration // limit of the processor time of one photo, in whole seconds, where the system knows one (Linux); none when 0. On a busy machine a good photo takes long and works little
	MemoryBytes uint64        // limit of the memory beyond what the program itself takes, where the system knows one (Linux); DefaultMemoryBytes when 0
	Env         []string      // environment of the child, which else is empty but for GOMEMLIMIT
}

// Read takes in the photo at path as Make does, by running "Exe photo -worker -out outDir -- path" in a process group of its own
// with limits on memory and time. A child that crashes, is late or needs too much memory is no error: Result.Meta then holds what
// was read before the picture was opened, and Meta.Problem says "this picture could not be opened safely" with the cause. The
// error is for a path that cannot be read, a folder that cannot be written, a program that cannot be started, and a ctx that
// ended, which kills the child at once.
func (c Child) Read(ctx context.Context, path, outDir string) (Result, error) {
	res, _, err := c.run(ctx, path, outDir)
	return res, err
}

// run is Read that also tells the state of the ended process, nil when there was none.
func (c Child) run(ctx context.Context, path, outDir string) (Result, *os.ProcessState, error) {
	if c.Timeout == 0 {
		c.Timeout = DefaultTimeout
	}
	if c.MemoryBytes == 0 {
		c.MemoryBytes = DefaultMemoryBytes
	}
	limited, cancel := context.WithTimeout(ctx, c.Timeout)
	defer cancel()
	cmd := c.command(limited, path, outDir)
	stdout, stderr := headBuffer{limit: maxStdout}, headBuffer{limit: maxStderr}
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	runErr := cmd.Run()
	if ctx.Err() != nil {
		return Result{}, cmd.ProcessState, fmt.Errorf("read photo: %w", errors.Join(context.Cause(ctx), removeDerivatives(outDir)))
	}
	last, found := lastReport(stdout.buf.Bytes())
	if runErr == nil && last.Done {
		return last.result(outDir), cmd.ProcessState, nil
	}
	cleanErr := removeDerivatives(outDir)
	if cmd.ProcessState == nil {
		return Result{}, nil, fmt.Errorf("start photo reader: %w", runErr)
	}
	code := cmd.ProcessState.ExitCode()
	if code == workerFault {
		return Result{}, cmd.ProcessState, fmt.Errorf("read photo: %s", firstLine(stderr.buf.Bytes()))
	}
	if !found {
		last.Meta.Orientation = 1
	}
	late := c.Timeout
	if c.overworked(cmd.ProcessState) && limited.Err() == nil {
		late, code = c.Work, workerLate
	}
	last.Meta.Problem = unsafePicture(limited.Err() != nil || code == workerLate, late, stderr.buf.Bytes())
	return Result{Meta: last.Meta}, cmd.ProcessState, cleanErr
}

// command is the child process, not yet started: alone in its group, with an environment that holds no secret.
func (c Child) command(ctx context.Context, path, outDir string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, c.Exe, "photo", "-worker", // #nosec G204 -- this program itself; no shell, and -- before the path
		"-memory", strconv.FormatUint(c.MemoryBytes, 10), "-timeout", c.Timeout.String(), "-work", c.Work.String(), "-out", outDir, "--", path)
	cmd.Env = append([]string{fmt.Sprintf("GOMEMLIMIT=%d", c.MemoryBytes/4*3)}, c.Env...)
	cmd.WaitDelay = 2 * time.Second
	isolate(cmd)
	return cmd
}

// result is what a done report says; the paths are the parent's own, not the child's.
func (r report) result(outDir string) Result {
	res := Result{Meta: r.Meta}
	if r.Pictures {
		res.Screen, res.Thumb = filepath.Join(outDir, screenName), filepath.Join(outDir, thumbName)
	}
	return res
}

// lastReport is the last whole line that is a report.
func lastReport(out []byte) (last report, found bool) {
	for line := range bytes.Lines(out) {
		var r report
		if bytes.HasSuffix(line, []byte("\n")) && json.Unmarshal(line, &r) == nil {
			last, found = r, true
		}
	}
	return last, found
}

// unsafePicture says why a child did not come to its end.
func unsafePicture(late bool, limit time.Duration, stderr []byte) string {
	cause := "reading it stopped unexpectedly"
	switch {
	case late:
		cause = fmt.Sprintf("it took longer than %s", limit)
	case outOfMemory(stderr):
		cause = "it needs too much memory"
	}
	return "This picture could not be opened safely: " + cause + ". Save it as a plain JPEG and send that."
}

// overworked reports whether the system killed a child for its processor time: what it counts afterwards may be a little less than what it judged by.
func (c Child) overworked(state *os.ProcessState) bool {
	return c.Work > 0 && state.ExitCode() < 0 && state.UserTime()+state.SystemTime() >= c.Work*9/10
}

// outOfMemory reports whether the Go runtime said that it got no more memory.
func outOfMemory(stderr []byte) bool {
	return bytes.Contains(stderr, []byte("out of memory")) || bytes.Contains(stderr, []byte("cannot allocate memory"))
}

func firstLine(b []byte) []byte {
	line, _, _ := bytes.Cut(b, []byte("\n"))
	return line
}

// headBuffer keeps the first limit bytes that are written and drops the rest.
type headBuffer struct {
	buf   bytes.Buffer
	limit int
}

func (h *headBuffer) Write(p []byte) (int, error) {
	h.buf.Write(p[:min(len(p), max(0, h.limit-h.buf.Len()))])
	return len(p), nil
}
