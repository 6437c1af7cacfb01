package main

import (
	"context"
	"crypto/tls"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"golang.org/x/net/netutil"

	"undercroft/annotate"
	"undercroft/survey/store"
	"undercroft/survey/web"
)

// The limits of serving.
const (
	maxConnections = 512              // connections at once
	shutdownGrace  = 20 * time.Second // for requests under way when the server is told to stop
	photoTimeout   = 2 * time.Minute  // for reading one photo, however busy the machine
	photoWork      = 20 * time.Second // of processor time for reading one photo
	photoMemory    = 1536 << 20       // bytes of address space of the process that reads one photo
	maxKeepFree    = 1 << 40          // MiB
)

// serveConfig is what the command line and the environment say about serving.
type serveConfig struct {
	addr    string
	dir     string
	proxies []string
	cert    string // files of the TLS certificate and its key, both or none
	key     string
	metrics string // address for metrics, empty for none
	keep    int64  // bytes of the disk that photos leave free, negative for the default
}

// runServe is the command serve.
func runServe(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("serve", flag.ContinueOnError)
	addr := set.String("addr", fallback(env.getenv("UNDERCROFT_ADDR"), "127.0.0.1:8080"), "`address` to listen on (or $UNDERCROFT_ADDR)")
	dir := set.String("data", fallback(env.getenv("UNDERCROFT_DATA"), "data"), "data `folder`, made when it is not there (or $UNDERCROFT_DATA)")
	proxies := set.String("trusted-proxies", env.getenv("UNDERCROFT_TRUSTED_PROXIES"), "`addresses` of proxies whose X-Forwarded-For is believed, comma-separated (or $UNDERCROFT_TRUSTED_PROXIES)")
	cert := set.String("tls-cert", env.getenv("UNDERCROFT_TLS_CERT"), "`file` of the TLS certificate with its chain, PEM (or $UNDERCROFT_TLS_CERT)")
	key := set.String("tls-key", env.getenv("UNDERCROFT_TLS_KEY"), "`file` of the certificate's key, PEM (or $UNDERCROFT_TLS_KEY)")
	metrics := set.String("metrics", env.getenv("UNDERCROFT_METRICS"), "loopback `address` for metrics in Prometheus' text format, such as 127.0.0.1:9090 (or $UNDERCROFT_METRICS; default none)")
	keep := int64(-1)
	set.Func("keep-free", "`MiB` of the disk that photos leave free; edits leave a sixteenth of it, at most 64; 0 for none (default a twentieth of the disk, at least 1024, at most a quarter of it)",
		func(text string) (err error) {
			keep, err = readKeepFree(text)
			return err
		})
	rest, status, done := parseFlags(set, args, env, "serve [flags]")
	if done {
		if status == exitOK {
			printLimits(env.stdout)
		}
		return status
	}
	if len(rest) > 0 {
		return fail(env, exitUsage, "serve takes no argument %q", rest[0])
	}
	if (*cert == "") != (*key == "") {
		return fail(env, exitUsage, "-tls-cert and -tls-key belong together: give both or none")
	}
	c := serveConfig{addr: *addr, dir: *dir, proxies: splitList(*proxies), cert: *cert, key: *key, metrics: *metrics, keep: keep}
	if err := serve(ctx, c, env, nil); err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	return exitOK
}

// serve opens the data folder, makes sure that it may be served at the address, lets prepare fill it when given, and serves until ctx ends. It prints the address to open.
func serve(ctx context.Context, c serveConfig, env environment, prepare func(context.Context, *store.Store, web.PhotoReader) (path string, err error)) error {
	log := slog.New(slog.NewJSONHandler(env.stderr, nil))
	listener, err := net.Listen("tcp", c.addr)
	if err != nil {
		return fmt.Errorf("%w; choose another address with -addr", err)
	}
	defer listener.Close()
	secured, err := withTLS(listener, c)
	if err != nil {
		return err
	}
	watched, err := listenForMetrics(c.metrics)
	if err != nil {
		return err
	}
	defer watched.close()
	s, err := openStore(ctx, c, log)
	if err != nil {
		return err // it names the folder and what is wrong with it
	}
	if err := mayServe(ctx, c, listener.Addr(), s); err != nil {
		return errors.Join(err, s.Close())
	}
	reader, err := photoReader()
	if err != nil {
		return errors.Join(err, s.Close())
	}
	path := "/"
	if prepare != nil {
		if path, err = prepare(ctx, s, reader); err != nil {
			return errors.Join(err, s.Close())
		}
	}
	server, err := web.New(web.Config{Store: s, Photos: reader, Now: time.Now, Log: log, TrustedProxies: c.proxies})
	if err != nil {
		return errors.Join(err, s.Close())
	}
	scheme := map[bool]string{true: "https", false: "http"}[c.cert != ""]
	fmt.Fprintf(env.stdout, "Undercroft is at %s://%s%s (stop it with Ctrl-C)\n", scheme, listener.Addr(), path)
	h := web.HTTPServer(server.Handler())
	h.ErrorLog = connectionLog(log)
	watched.serve(server.Metrics(), env.stdout)
	sweeping, stop := context.WithCancel(ctx)
	var sweep sync.WaitGroup
	sweep.Go(func() { server.Sweep(sweeping) })
	err = serveUntil(ctx, h, secured, s.Failed())
	stop()
	sweep.Wait()
	return errors.Join(err, s.Close())
}

// openStore opens the data folder with the space that photos are to leave free.
func openStore(ctx context.Context, c serveConfig, log *slog.Logger) (*store.Store, error) {
	config := store.Config{Dir: c.dir, Now: time.Now, Log: log, KeepFree: c.keep}
	if c.keep < 0 {
		var err error
		if config.KeepFree, err = store.DefaultKeepFree(existing(c.dir)); err != nil {
			return nil, err
		}
	}
	return store.Open(ctx, config)
}

// readKeepFree reads a number of MiB and gives bytes.
func readKeepFree(text string) (int64, error) {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 || n > maxKeepFree {
		return 0, fmt.Errorf("it is a number of MiB from 0 to %d", int64(maxKeepFree))
	}
	return n << 20, nil
}

// existing is the folder, or the nearest above it that is there.
func existing(dir string) string {
	for {
		if _, err := os.Stat(dir); err == nil {
			return dir
		}
		above := filepath.Dir(dir)
		if above == dir {
			return dir
		}
		dir = above
	}
}

// errDisk ends the program when the disk refused to keep what it was given: whatever supervises it starts it anew, and the store
// recovers from its log.
var errDisk = errors.New("the disk refused a write; nothing more is taken in. Look at the disk, then start again")

// serveUntil serves until ctx ends or the disk fails, then lets the requests under way finish.
func serveUntil(ctx context.Context, h *http.Server, listener net.Listener, disk <-chan struct{}) error {
	stopped := make(chan error, 1)
	go func() { stopped <- h.Serve(listener) }()
	var cause error
	select {
	case err := <-stopped:
		return fmt.Errorf("serve: %w", err)
	case <-disk:
		cause = errDisk
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownGrace)
	defer cancel()
	if err := h.Shutdown(grace); err != nil {
		return errors.Join(cause, fmt.Errorf("stop serving: %w", err))
	}
	return cause
}

// withTLS bounds the connections of a listener and encrypts them when there is a certificate: TLS 1.2 or newer.
func withTLS(listener net.Listener, c serveConfig) (net.Listener, error) {
	limited := netutil.LimitListener(listener, maxConnections)
	if c.cert == "" {
		return limited, nil
	}
	pair, err := tls.LoadX509KeyPair(c.cert, c.key)
	if err != nil {
		return nil, fmt.Errorf("read the certificate: %w", err)
	}
	return tls.NewListener(limited, &tls.Config{Certificates: []tls.Certificate{pair}, MinVersion: tls.VersionTLS12, NextProtos: []string{"h2", "http/1.1"}}), nil
}

// photoReader reads photos in a child process of this same program.
func photoReader() (annotate.Child, error) {
	exe, err := os.Executable()
	if err != nil {
		return annotate.Child{}, fmt.Errorf("find this program's own file: %w", err)
	}
	return annotate.Child{Exe: exe, Timeout: photoTimeout, Work: photoWork, MemoryBytes: photoMemory}, nil
}

// fallback is the first of two texts that is not empty.
func fallback(text, otherwise string) string {
	if text != "" {
		return text
	}
	return otherwise
}

func splitList(text string) []string {
	var list []string
	for _, part := range strings.Split(text, ",") {
		if part = strings.TrimSpace(part); part != "" {
			list = append(list, part)
		}
	}
	return list
}
