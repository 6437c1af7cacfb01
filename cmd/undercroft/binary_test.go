package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// binaryEnv names a program that is tested instead of the one that these tests build: .ci/mutants names spoiled ones.
const binaryEnv = "UNDERCROFT_BINARY"

// longEnv, when set, makes the crash tests ten times as long: UNDERCROFT_LONG=1 go test ./cmd/undercroft -run 'Killed|PowerCut|LogStaysSmall' -timeout 60m -v
const longEnv = "UNDERCROFT_LONG"

// rounds is how often something is killed or cut off.
func rounds() int {
	if os.Getenv(longEnv) != "" {
		return 200
	}
	return 20
}

// buildFolder holds the program that these tests build; TestMain removes it.
func buildFolder() string {
	return filepath.Join(os.TempDir(), fmt.Sprintf("undercroft-test-%d", os.Getpid()))
}

// binary is the path of the real program, built once as it is delivered, without cgo.
var binary = sync.OnceValues(func() (string, error) {
	if path := os.Getenv(binaryEnv); path != "" {
		return path, nil
	}
	path := filepath.Join(buildFolder(), "undercroft")
	build := exec.Command("go", "build", "-o", path, ".")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		return "", fmt.Errorf("build the program: %w\n%s", err, out)
	}
	return path, nil
})

// process is a running program that serves a data folder.
type process struct {
	cmd     *exec.Cmd
	address string // http://127.0.0.1:PORT
	stderr  string // path of what it says
	ended   chan struct{}
	err     error // how it ended, once ended is closed
}

// launch starts the program on a data folder and does not wait for it. prefix is what it is started through, a tracer, none when empty.
func launch(t *testing.T, dir string, prefix ...string) (*process, io.Reader) {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	log, err := os.CreateTemp(t.TempDir(), "stderr")
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	args := append(prefix, path, "serve", "-data", dir, "-addr", "127.0.0.1:0")
	p := &process{cmd: exec.Command(args[0], args[1:]...), stderr: log.Name(), ended: make(chan struct{})}
	p.cmd.Stderr = log // a file: a pipe would be kept open by the children that a killed server leaves
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.kill)
	return p, out
}

// start starts the program on a data folder and waits until it serves.
func start(t *testing.T, dir string, prefix ...string) *process {
	t.Helper()
	p, out := launch(t, dir, prefix...)
	line, err := bufio.NewReader(out).ReadString('\n')
	p.wait()
	_, after, found := strings.Cut(line, "Undercroft is at ")
	if err != nil || !found {
		t.Fatalf("it did not start: %q, %v\n%s", line, err, p.said(t))
	}
	p.address = strings.TrimSuffix(strings.Fields(after)[0], "/")
	return p
}

// wait notes in the background how the program ends.
func (p *process) wait() {
	go func() {
		p.err = p.cmd.Wait()
		close(p.ended)
	}()
}

// alive tells whether the program still runs.
func (p *process) alive() bool {
	select {
	case <-p.ended:
		return false
	default:
		return true
	}
}

// kill ends the program by SIGKILL, as a crash or the system does when memory runs out.
func (p *process) kill() {
	_ = p.cmd.Process.Kill() // an error says that it has ended
	if p.address != "" {
		<-p.ended
	}
}

// stop asks the program to end and wants it to do so with status 0.
func (p *process) stop(t *testing.T) {
	t.Helper()
	if err := p.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal("stop:", err)
	}
	if err := p.end(t); err != nil {
		t.Errorf("it stopped with %v\n%s", err, p.said(t))
	}
}

// end waits until the program ends by itself and gives how.
func (p *process) end(t *testing.T) error {
	t.Helper()
	select {
	case <-p.ended:
		return p.err
	case <-time.After(2 * time.Minute):
		t.Fatalf("it does not end\n%s", p.said(t))
		return nil
	}
}

// said is the end of what the program has written to stderr.
func (p *process) said(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(p.stderr)
	if err != nil {
		t.Fatal(err)
	}
	return string(text[max(0, len(text)-4000):])
}

// runBinary runs the program to its end and gives its status and what it said.
func runBinary(t *testing.T, args ...string) (status int, said string) {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	if exit, ok := errors.AsType[*exec.ExitError](err); ok {
		return exit.ExitCode(), string(out)
	}
	if err != nil {
		t.Fatal(err)
	}
	return exitOK, string(out)
}

// fetch reads a page of the program.
func fetch(t *testing.T, address string) (int, string) {
	t.Helper()
	answer, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, string(body)
}
