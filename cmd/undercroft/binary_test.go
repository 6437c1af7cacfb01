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
	stdout  *os.File
	address string // http://127.0.0.1:PORT, once it serves
	stderr  string // path of what it says
	ended   chan struct{}
	err     error // how it ended, once ended is closed
}

// launch starts the program on a data folder and does not wait until it serves. prefix is what it is started through, a tracer, none when empty.
func launch(t *testing.T, dir string, prefix ...string) *process {
	t.Helper()
	return launchWith(t, nil, dir, prefix...)
}

// launchWith is launch with flags of the command serve.
func launchWith(t *testing.T, flags []string, dir string, prefix ...string) *process {
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
	out, in, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	args := append(append(prefix, path, "serve", "-data", dir, "-addr", "127.0.0.1:0"), flags...)
	p := &process{cmd: exec.Command(args[0], args[1:]...), stdout: out, stderr: log.Name(), ended: make(chan struct{})}
	p.cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	p.cmd.Stdout, p.cmd.Stderr = in, log // files: the children that a killed server leaves would keep pipes of os/exec open
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		p.err = p.cmd.Wait()
		close(p.ended)
	}()
	t.Cleanup(func() {
		p.kill()
		out.Close()
	})
	return p
}

// serves waits until the program says where it serves; false when it ends before.
func (p *process) serves() bool {
	line, err := bufio.NewReader(p.stdout).ReadString('\n')
	_, after, found := strings.Cut(line, "Undercroft is at ")
	if err != nil || !found {
		return false
	}
	p.address = strings.TrimSuffix(strings.Fields(after)[0], "/")
	return true
}

// start starts the program on a data folder and waits until it serves.
func start(t *testing.T, dir string, prefix ...string) *process {
	t.Helper()
	p := launch(t, dir, prefix...)
	if !p.serves() {
		t.Fatalf("it did not start\n%s", p.said(t))
	}
	return p
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

// kill ends the program by SIGKILL, as a crash or the system does when memory runs out; with its tracer, if any.
func (p *process) kill() {
	if p.alive() {
		_ = syscall.Kill(-p.cmd.Process.Pid, syscall.SIGKILL) // an error says that it has just ended
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
