package main

import (
	"fmt"
	"io"
	"log"
	"log/slog"
	"net"
	"net/http"
	"strings"

	"undercroft/survey/web"
)

// metricsListener is the address where metrics are read; nil when nobody asked for one.
type metricsListener struct{ net.Listener }

// listenForMetrics takes the address for metrics, which must be one that only this machine reaches: who reads them needs no password. An empty address takes none.
func listenForMetrics(addr string) (*metricsListener, error) {
	if addr == "" {
		return nil, nil
	}
	at, err := net.Listen("tcp", addr)
	if err != nil {
		return nil, fmt.Errorf("%w; choose another address with -metrics", err)
	}
	if !onlyHere(at.Addr()) {
		_ = at.Close() // nothing was served
		return nil, fmt.Errorf("metrics are for this machine only: %s would be reached by others. Give -metrics a loopback address such as 127.0.0.1:9090", addr)
	}
	return &metricsListener{at}, nil
}

// serve answers with the metrics until close.
func (m *metricsListener) serve(handler http.Handler, out io.Writer) {
	if m == nil {
		return
	}
	fmt.Fprintf(out, "Metrics are at http://%s/metrics\n", m.Addr())
	h := web.HTTPServer(handler)
	h.ErrorLog = log.New(io.Discard, "", 0)
	go func() { _ = h.Serve(m.Listener) }() // it ends when the listener is closed
}

func (m *metricsListener) close() {
	if m != nil {
		_ = m.Close() // nothing is lost with it
	}
}

// connectionLog takes what net/http says of connections, such as a failed TLS handshake, into the log, without the address of whoever is on the other end.
func connectionLog(to *slog.Logger) *log.Logger {
	return log.New(connectionWriter{to}, "", 0)
}

type connectionWriter struct{ to *slog.Logger }

// Write logs one message.
func (w connectionWriter) Write(message []byte) (int, error) {
	w.to.Warn("connection", "said", web.WithoutAddresses(strings.TrimSpace(string(message))))
	return len(message), nil
}
