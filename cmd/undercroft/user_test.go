package main

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/password"
	"undercroft/survey/store"
)

const longPassword = "brass ladder tuesday"

func TestUserCommand(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	for _, step := range []struct {
		name   string
		stdin  string
		args   []string
		status int
		says   string
	}{
		{"no folder", "", []string{"list"}, exitFailed, "no data folder"},
		{"no role", longPassword, []string{"add", "R. Vance"}, exitUsage, "surveyor, installer or office"},
		{"no such role", longPassword, []string{"add", "R. Vance", "--role", "owner"}, exitUsage, "surveyor, installer or office"},
		{"no name", longPassword, []string{"add", " ", "--role", "office"}, exitUsage, "name"},
		{"a password as an argument", "", []string{"add", "R. Vance", longPassword, "--role", "office"}, exitUsage, "quotes"},
		{"no password", "", []string{"add", "R. Vance", "--role", "office"}, exitFailed, "no password"},
		{"a short password", "secret\n", []string{"add", "R. Vance", "--role", "office"}, exitFailed, "at least 12"},
		{"added", longPassword + "\n", []string{"add", "R. Vance", "--role", "office"}, exitOK, "R. Vance can sign in now, as office."},
		{"twice", longPassword + "\n", []string{"add", "r. vance", "--role", "surveyor"}, exitFailed, "R. Vance already"},
		{"another", longPassword, []string{"add", "J. Fenn", "--role", "surveyor"}, exitOK, "J. Fenn"},
		{"disabled", "", []string{"disable", "j. fenn"}, exitOK, "J. Fenn cannot"},
		{"a stranger", "", []string{"disable", "Nobody"}, exitFailed, "no such person"},
		{"listed", "", []string{"list"}, exitOK, "disabled"},
		{"reset", "another long one\r\n", []string{"reset", "J. Fenn"}, exitOK, "new password"},
		{"nothing to do", "", nil, exitUsage, "add NAME"},
	} {
		status, stdout, stderr := command(t, step.stdin, append(append([]string{"user"}, step.args...), "--data", dir)...)
		if status != step.status || !strings.Contains(stdout+stderr, step.says) || status != exitOK && stdout != "" {
			t.Errorf("%s: status %d, printed %q and %q; want status %d and %q", step.name, status, stdout, stderr, step.status, step.says)
		}
	}
	s, err := store.Open(t.Context(), store.Config{Dir: dir, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for name, typed := range map[string]string{"R. Vance": longPassword, "J. Fenn": "another long one"} {
		p, hash, err := s.Credentials(t.Context(), name)
		if err != nil || p.Disabled {
			t.Fatalf("%+v, %v", p, err)
		}
		if fits, _, err := password.Check(typed, hash); !fits || err != nil {
			t.Errorf("%s: the password does not fit (%v)", name, err)
		}
	}
	// Beside a process that has the folder: this one.
	status, stdout, stderr := command(t, "", "user", "disable", "J. Fenn", "--data", dir)
	if p, _, err := s.Credentials(t.Context(), "J. Fenn"); status != exitOK || err != nil || !p.Disabled {
		t.Errorf("beside a server: status %d, printed %q and %q; got %+v, %v", status, stdout, stderr, p, err)
	}
}

// TestMayServe: what may be started with and without people.
func TestMayServe(t *testing.T) {
	s, err := store.Open(t.Context(), store.Config{Dir: t.TempDir(), Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	here := &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 80}
	here6 := &net.TCPAddr{IP: net.IPv6loopback, Port: 80}
	all := &net.TCPAddr{IP: net.IPv6zero, Port: 80}
	lan := &net.TCPAddr{IP: net.IPv4(192, 0, 2, 1), Port: 80}
	sure, proxy := serveConfig{cert: "c", key: "k"}, serveConfig{proxies: []string{"192.0.2.9"}}
	for _, test := range []struct {
		name         string
		at           net.Addr
		config       serveConfig
		alone, among string // what is said without people and with them
	}{
		{"this machine", here, serveConfig{}, "", ""},
		{"this machine by IPv6", here6, serveConfig{}, "", ""},
		{"this machine behind a proxy", here, proxy, "user add", ""},
		{"all addresses, plain", all, serveConfig{}, "tls-cert", "tls-cert"},
		{"a network, plain", lan, serveConfig{}, "tls-cert", "tls-cert"},
		{"a network with TLS", lan, sure, "user add", ""},
		{"a network behind a proxy", lan, proxy, "user add", ""},
	} {
		if err := mayServe(t.Context(), test.config, test.at, s); !saysOf(err, test.alone) {
			t.Errorf("%s, without people: %v", test.name, err)
		}
	}
	if _, err := s.AddPerson(t.Context(), survey.Person{Name: "R. Vance", Role: survey.RoleOffice}, password.Nobody()); err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		at     net.Addr
		config serveConfig
		says   string
	}{{here, serveConfig{}, ""}, {here, proxy, ""}, {all, serveConfig{}, "tls-cert"}, {lan, sure, ""}, {lan, proxy, ""}} {
		if err := mayServe(t.Context(), test.config, test.at, s); !saysOf(err, test.says) {
			t.Errorf("%v %+v, with people: %v", test.at, test.config, err)
		}
	}
}

func saysOf(err error, text string) bool {
	if text == "" {
		return err == nil
	}
	return err != nil && strings.Contains(err.Error(), text)
}

// lines is an output that is read while it is written to.
type lines struct {
	mu   sync.Mutex
	text strings.Builder
	said chan string
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.text.Write(p)
	if _, after, ok := strings.Cut(l.text.String(), "Undercroft is at "); ok && strings.Contains(after, " ") {
		address, _, _ := strings.Cut(after, " ")
		select {
		case l.said <- address:
		default:
		}
	}
	return len(p), nil
}

// TestServeTLS: a server with certificate files speaks TLS 1.2 and newer, HTTP/2 too, and marks its cookies so.
func TestServeTLS(t *testing.T) {
	dir := t.TempDir()
	cert, key, pool := certificate(t, dir)
	data := filepath.Join(dir, "data")
	if status, _, stderr := command(t, longPassword, "user", "add", "R. Vance", "--role", "office", "--data", data); status != exitOK {
		t.Fatal(stderr)
	}
	out := &lines{said: make(chan string, 1)}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan int)
	go func() {
		ended <- run(ctx, []string{"serve", "--addr", "127.0.0.1:0", "--data", data, "--tls-cert", cert, "--tls-key", key},
			environment{strings.NewReader(""), out, io.Discard, func(string) string { return "" }})
	}()
	var address string
	select {
	case address = <-out.said:
	case status := <-ended:
		t.Fatalf("it did not start: status %d", status)
	}
	if !strings.HasPrefix(address, "https://127.0.0.1:") {
		t.Errorf("it says it is at %s", address)
	}
	get := func(c *tls.Config) (*http.Response, error) {
		client := &http.Client{Transport: &http.Transport{TLSClientConfig: c, ForceAttemptHTTP2: true, DisableKeepAlives: true}, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, strings.TrimSuffix(address, "/")+"/surveys", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Accept", "text/html")
		return client.Do(r)
	}
	resp, err := get(&tls.Config{RootCAs: pool})
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if resp.StatusCode != http.StatusSeeOther || resp.ProtoMajor != 2 || resp.Header.Get("Strict-Transport-Security") == "" || resp.TLS.Version < tls.VersionTLS12 {
		t.Errorf("got status %d over HTTP/%d, %v", resp.StatusCode, resp.ProtoMajor, resp.Header)
	}
	if resp, err := get(&tls.Config{RootCAs: pool, MinVersion: tls.VersionTLS10, MaxVersion: tls.VersionTLS11}); err == nil {
		resp.Body.Close()
		t.Error("TLS 1.1 was accepted")
	}
	stop()
	if status := <-ended; status != exitOK {
		t.Errorf("it ended with status %d", status)
	}
	for name, args := range map[string][]string{"both or none": {"--tls-cert", cert}, "read the certificate": {"--tls-cert", key, "--tls-key", cert}} {
		status, _, stderr := command(t, "", append([]string{"serve", "--addr", "127.0.0.1:0", "--data", data}, args...)...)
		if status == exitOK || !strings.Contains(stderr, name) {
			t.Errorf("%v: status %d, %q", args, status, stderr)
		}
	}
}

// certificate writes a certificate for 127.0.0.1 and its key, and gives the pool that trusts it.
func certificate(t *testing.T, dir string) (cert, key string, pool *x509.CertPool) {
	t.Helper()
	secret, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	about := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "test"}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign}
	der, err := x509.CreateCertificate(rand.Reader, about, about, &secret.PublicKey, secret)
	if err != nil {
		t.Fatal(err)
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(secret)
	if err != nil {
		t.Fatal(err)
	}
	cert, key = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem")
	for name, block := range map[string]*pem.Block{cert: {Type: "CERTIFICATE", Bytes: der}, key: {Type: "PRIVATE KEY", Bytes: keyDER}} {
		if err := os.WriteFile(name, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	pool = x509.NewCertPool()
	pool.AppendCertsFromPEM(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}))
	return cert, key, pool
}
