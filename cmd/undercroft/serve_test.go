package main

import (
	"bytes"
	"errors"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"undercroft/survey/store"
)

// TestServeHelpTellsEveryLimit: the table that is printed has a line for each limit, with its value, and each flag.
func TestServeHelpTellsEveryLimit(t *testing.T) {
	status, out, _ := command(t, "", "serve", "--help")
	if status != exitOK || len(limits()) < 25 {
		t.Fatalf("status %d, %d limits", status, len(limits()))
	}
	lines := map[string]string{}
	_, table, _ := strings.Cut(out, "\nLimits:\n")
	for line := range strings.Lines(table) {
		name, value, _ := strings.Cut(strings.TrimSpace(line), "  ")
		lines[name] = strings.TrimSpace(value)
	}
	for _, l := range limits() {
		if lines[l.Name] != l.Value {
			t.Errorf("%s: printed %q, want %q", l.Name, lines[l.Name], l.Value)
		}
	}
	if len(lines) != len(limits()) {
		t.Errorf("%d lines for %d limits", len(lines), len(limits()))
	}
	for _, want := range []string{"-metrics", "-keep-free", "connections at once"} {
		if !strings.Contains(out, want) {
			t.Errorf("%s is not told", want)
		}
	}
}

// TestMetricsAreForThisMachine: an address that others reach is refused before anything is served, and no data folder is made.
func TestMetricsAreForThisMachine(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	for _, address := range []string{"0.0.0.0:0", ":0", "[::]:0"} {
		status, out, said := command(t, "", "serve", "-addr", "127.0.0.1:0", "-data", dir, "-metrics", address)
		if status != exitFailed || out != "" || !strings.Contains(said, "this machine only") {
			t.Errorf("%s: status %d, %q, said %q", address, status, out, said)
		}
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("a data folder was made")
	}
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	if status, _, said := command(t, "", "serve", "-addr", "127.0.0.1:0", "-data", dir, "-metrics", taken.Addr().String()); status != exitFailed || !strings.Contains(said, "-metrics") {
		t.Errorf("an address that is taken: status %d, said %q", status, said)
	}
	for _, wrong := range []string{"99999999999999", "-1", "much", ""} {
		if status, _, said := command(t, "", "serve", "-keep-free", wrong); status != exitUsage || !strings.Contains(said, "MiB from 0") {
			t.Errorf("%q to keep free: status %d, said %q", wrong, status, said)
		}
	}
}

// TestConnectionsAreLoggedWithoutTheirAddress. The messages are those of net/http (server.go, Go 1.26).
func TestConnectionsAreLoggedWithoutTheirAddress(t *testing.T) {
	var out bytes.Buffer
	log := connectionLog(slog.New(slog.NewJSONHandler(&out, nil)))
	log.Printf("http: TLS handshake error from %s: %v", "203.0.113.77:51234", "remote error: tls: bad certificate")
	log.Printf("http: Accept error: %v; retrying in %v", "accept tcp [2001:db8::7]:443: too many open files", "5ms")
	for _, private := range []string{"203.0.113.77", "51234", "2001:db8"} {
		if strings.Contains(out.String(), private) {
			t.Errorf("the log contains %q: %s", private, out.String())
		}
	}
	if strings.Count(out.String(), "\n") != 2 || !strings.Contains(out.String(), "bad certificate") {
		t.Errorf("the log says %s", out.String())
	}
}

// TestKeepFreeIsOfTheDiskUnderTheFolder, which need not be there yet.
func TestKeepFreeIsOfTheDiskUnderTheFolder(t *testing.T) {
	dir := t.TempDir()
	if got := existing(filepath.Join(dir, "a", "b")); got != dir {
		t.Errorf("got %s, want %s", got, dir)
	}
	if got := existing("data-that-is-not-there"); got != "." {
		t.Errorf("got %s, want .", got)
	}
}

// TestKeepFreeReachesTheStore: nothing said is the default of the disk, a number is that, and 0 is none.
func TestKeepFreeReachesTheStore(t *testing.T) {
	dir := t.TempDir()
	usual, err := store.DefaultKeepFree(dir)
	if err != nil {
		t.Fatal(err)
	}
	for keep, want := range map[int64]int64{-1: usual, 5 << 20: 5 << 20, 0: 0} {
		s, err := openStore(t.Context(), serveConfig{dir: filepath.Join(dir, "data"), keep: keep}, slog.New(slog.DiscardHandler))
		if err != nil {
			t.Fatal(err)
		}
		u, err := s.Usage()
		if err := errors.Join(err, s.Close()); err != nil || u.PhotosKeepFree != want {
			t.Errorf("%d: got %d, %v, want %d", keep, u.PhotosKeepFree, err, want)
		}
	}
}
