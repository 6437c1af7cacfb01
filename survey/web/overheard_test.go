package web

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io/fs"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"undercroft/annotate"
	"undercroft/survey/store"
)

// overheard is a server that several people use, with a clock that goes, and with what a wire-tapper would have heard: every session's cookie and every link's token.
type overheard struct {
	*site
	dir, url string
	log      *lockedLog

	mu      sync.Mutex
	secrets map[string]string // by what they are
}

// lockedLog is written by requests that run at once.
type lockedLog struct {
	mu sync.Mutex
	bytes.Buffer
}

func (l *lockedLog) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.Buffer.Write(p)
}

func newOverheard(t *testing.T) *overheard {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	o := &overheard{site: &site{t: t}, dir: t.TempDir(), log: &lockedLog{}, secrets: map[string]string{}}
	if o.store, err = store.Open(context.Background(), store.Config{Dir: o.dir, Now: time.Now}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = o.store.Close() }) // the test closes it earlier; again it does nothing
	o.server, err = New(Config{Store: o.store, Photos: annotate.Child{Exe: exe}, Now: time.Now, Log: slog.New(slog.NewJSONHandler(o.log, &slog.HandlerOptions{Level: slog.LevelDebug}))})
	if err != nil {
		t.Fatal(err)
	}
	o.handler = o.server.Handler()
	listener := httptest.NewServer(o.listen(o.handler))
	t.Cleanup(listener.Close)
	o.url = listener.URL
	return o
}

// listen notes what every request and answer carries.
func (o *overheard) listen(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		next.ServeHTTP(w, r)
		o.mu.Lock()
		defer o.mu.Unlock()
		if c, err := r.Cookie(cookieName); err == nil {
			o.secrets["session "+c.Value] = c.Value
		}
		if token, ok := strings.CutPrefix(r.URL.Path, sharePrefix); ok {
			token, _, _ = strings.Cut(token, "/")
			o.secrets["link "+token] = token
		}
	})
}

// nothingLeaks looks for every secret that was used in every byte of the data folder and of the log, and tries every sum that the database holds as a session and as a link.
func (o *overheard) nothingLeaks() {
	o.t.Helper()
	o.secrets["the password"] = longPassword
	sessions, links := 0, 0
	for name := range o.secrets {
		if strings.HasPrefix(name, "session ") {
			sessions++
		} else if strings.HasPrefix(name, "link ") {
			links++
		}
	}
	if sessions < 3 || links != 2 {
		o.t.Fatalf("%d sessions and %d links were heard: this test listens in the wrong place", sessions, links)
	}
	o.triesSums()
	if err := o.store.Close(); err != nil {
		o.t.Fatal(err)
	}
	o.log.mu.Lock()
	read := map[string][]byte{"the log": o.log.Bytes()}
	o.log.mu.Unlock()
	if !bytes.Contains(read["the log"], []byte("/s/:token")) {
		o.t.Error("the log says nothing of links: this test reads the wrong one")
	}
	err := filepath.WalkDir(o.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		read[path], err = os.ReadFile(path)
		return err
	})
	if err != nil || len(read) < 10 {
		o.t.Fatal(len(read), err)
	}
	for name, secret := range o.secrets {
		raw, _ := base64.RawURLEncoding.DecodeString(secret) // what is no token has no raw form
		for where, body := range read {
			if bytes.Contains(body, []byte(secret)) || len(raw) >= linkBytes && bytes.Contains(body, raw) || len(raw) >= linkBytes && bytes.Contains(body, []byte(hex.EncodeToString(raw))) {
				o.t.Errorf("%s holds %s", where, name)
			}
		}
	}
}

// triesSums tries each text and blob of the database that could be a sum or a token, in every spelling, as a session's cookie and as a link.
func (o *overheard) triesSums() {
	o.t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(o.dir, "undercroft.db")+"?mode=ro&_pragma=busy_timeout(5000)")
	if err != nil {
		o.t.Fatal(err)
	}
	defer db.Close()
	sums := map[string]bool{}
	for _, table := range o.column(db, `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'`) {
		for _, column := range o.column(db, `SELECT name FROM pragma_table_info('`+table+`')`) {
			for _, value := range o.column(db, fmt.Sprintf(`SELECT "%s" FROM "%s" WHERE typeof("%[1]s") IN ('text', 'blob') AND length("%[1]s") BETWEEN 16 AND 64 LIMIT 2000`, column, table)) {
				sums[value] = true
			}
		}
	}
	if len(sums) < 50 {
		o.t.Fatalf("%d values look like sums", len(sums))
	}
	tried := 0
	for value := range sums {
		for _, spelled := range spellings(value) {
			tried++
			r := httptest.NewRequest(http.MethodGet, "/account", nil)
			r.AddCookie(&http.Cookie{Name: cookieName, Value: spelled})
			if a := o.do(r); a.Code == http.StatusOK || a.Code >= 500 {
				o.t.Errorf("%q as a session: status %d", spelled, a.Code)
			}
			r = httptest.NewRequest(http.MethodGet, sharePrefix+spelled, nil)
			r.RemoteAddr = fmt.Sprintf("10.%d.%d.%d:1000", tried>>16&255, tried>>8&255, tried&255)
			_, could := linkSum(spelled) // what could be no token is counted together, and soon too often
			if a := o.do(r); a.Code != http.StatusNotFound && (could || a.Code != http.StatusTooManyRequests) {
				o.t.Errorf("%q as a link: status %d", spelled, a.Code)
			}
		}
	}
	o.t.Logf("tried %d spellings of %d values as a session and as a link", tried, len(sums))
}

// column is the first column of a query's rows.
func (o *overheard) column(db *sql.DB, query string) []string {
	o.t.Helper()
	rows, err := db.QueryContext(context.Background(), query)
	if err != nil {
		o.t.Fatal(err)
	}
	defer rows.Close()
	var list []string
	for rows.Next() {
		var value []byte
		if err := rows.Scan(&value); err != nil {
			o.t.Fatal(err)
		}
		list = append(list, string(value))
	}
	if err := rows.Err(); err != nil {
		o.t.Fatal(err)
	}
	return list
}

// spellings are the ways in which a value could be sent as a token: as it is, and its bytes, or those that its hexadecimal digits stand for, whole and in halves, in base64url.
func spellings(value string) []string {
	var list []string
	if regexp.MustCompile(`^[A-Za-z0-9_-]+$`).MatchString(value) {
		list = append(list, value)
	}
	raw := []byte(value)
	if digits, err := hex.DecodeString(value); err == nil {
		raw = digits
	}
	for _, part := range [][]byte{raw, raw[:min(len(raw), linkBytes)], raw[max(0, len(raw)-linkBytes):]} {
		list = append(list, base64.RawURLEncoding.EncodeToString(part), hex.EncodeToString(part))
	}
	return list
}
