package main

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"undercroft/survey"
	"undercroft/survey/password"
	"undercroft/survey/store"
)

// loadSize is how much comes at once.
type loadSize struct {
	phones, surveys, photos, pins int // photos and pins of each phone
	width, height, bytes          int // of a photo
	slow, loris                   int // clients that send 1 KB a second, and that never end their headers
	memory                        int64
}

// loads are the small one of every run, and the long one (longEnv) that the project promises: 50 phones with ten photos of 5 MB and 40 pins each, on two cores,
// in less than 600 MB. In both the photos are real pictures: noise on a gradient, encoded as JPEG, filled up to the size by comment segments of which one makes each
// photo another.
func loads() loadSize {
	if os.Getenv(longEnv) != "" {
		return loadSize{phones: 50, surveys: 10, photos: 10, pins: 40, width: 4000, height: 3000, bytes: 5_000_000, slow: 100, loris: 20, memory: 600_000_000}
	}
	return loadSize{phones: 4, surveys: 2, photos: 2, pins: 10, width: 1200, height: 900, bytes: 700_000, slow: 10, loris: 3, memory: 600_000_000}
}

const (
	loadName     = "Surveyor %d of the test"
	loadPassword = "a long password for the test"
)

// TestLoad lets many phones send at once to the real program on two cores, while slow and hanging clients hold connections. No answer may be an error, and all that was acknowledged is
// read back and compared; memory is bounded; how fast the list of surveys answered meanwhile is printed and not judged.
//
//	UNDERCROFT_LONG=1 go test ./cmd/undercroft -run Load -timeout 60m -v
func TestLoad(t *testing.T) {
	size, dir := loads(), filepath.Join(t.TempDir(), "data")
	list := loadPhones(t, dir, size)
	p, metrics := startWatched(t, dir)
	list.open(t, p.address)
	memory := watchMemory(p.cmd.Process.Pid)

	slow := slowClients(t, p.address, size.slow, list[0])
	loris := hangingClients(t, p.address, size.loris)
	pages := watchPage(t, p.address, list[0])
	began := time.Now()
	list.send(t)
	if t.Failed() {
		t.Fatal(p.said(t))
	}
	took := time.Since(began)
	pages.end(t)
	slow.end(t)
	loris.wantClosed(t)
	list.readBack(t)
	peak := memory.end(t)

	photos, pins := size.phones*size.photos, size.phones*size.pins
	t.Logf("%d photos of %d bytes and %d pins from %d phones in %s; %d answers told to wait and send again", photos, size.bytes, pins, size.phones, took.Round(time.Second), list.told())
	t.Logf("the list of surveys meanwhile: %s", pages)
	t.Logf("peak of resident memory: server %d MB, one child %d MB, seen together %d MB; server and two children at their peaks %d MB",
		peak.server/1e6, peak.child/1e6, peak.together/1e6, peak.most()/1e6)
	t.Logf("%d clients at 1 KB a second had sent %d bytes; %d of them were cut off", size.slow, slow.sent.Load(), slow.cut.Load())
	if peak.most() > size.memory {
		t.Errorf("server and two children may have %d bytes at once, want at most %d", peak.most(), size.memory)
	}
	wantMetric(t, metrics, "undercroft_photos_received_total", photos+size.surveys)
	wantMetric(t, metrics, `undercroft_rate_limited_total{limit="calls"}`, 0)
	p.stop(t)
	wantNoTemporaries(t, dir)
}

// loadPhones makes the data folder with a person for each phone, and the phones.
func loadPhones(t *testing.T, dir string, size loadSize) phones {
	t.Helper()
	s, err := store.Open(t.Context(), store.Config{Dir: dir, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}()
	var surveys []survey.SurveyID
	for i := range size.surveys {
		v, err := s.CreateSurvey(t.Context(), survey.Survey{ID: survey.SurveyID(survey.NewID()), Title: fmt.Sprint("House ", i)})
		if err != nil {
			t.Fatal(err)
		}
		surveys = append(surveys, v.ID)
	}
	hash, pictures := password.Hash(loadPassword), noisyPictures(t, size)
	var list phones
	for i := range size.phones {
		name := fmt.Sprintf(loadName, i)
		if _, err := s.AddPerson(t.Context(), survey.Person{Name: name, Role: survey.RoleSurveyor}, hash); err != nil {
			t.Fatal(err)
		}
		list = append(list, newPhone(name, surveys[i%len(surveys)], size, pictures[i%len(pictures)]))
	}
	return list
}

// startWatched starts the program on two processors with its metrics, and gives their address.
func startWatched(t *testing.T, dir string) (*process, string) {
	t.Helper()
	p := launch(t, dir, "env", "GOMAXPROCS=2", "UNDERCROFT_METRICS=127.0.0.1:0")
	var metrics string
	for lines := bufio.NewScanner(p.stdout); metrics == "" && lines.Scan(); {
		if _, after, ok := strings.Cut(lines.Text(), "Undercroft is at "); ok {
			p.address = strings.TrimSuffix(strings.Fields(after)[0], "/")
		}
		if _, after, ok := strings.Cut(lines.Text(), "Metrics are at "); ok {
			metrics = after
		}
	}
	if p.address == "" || metrics == "" {
		t.Fatalf("it did not start\n%s", p.said(t))
	}
	return p, metrics
}

// wantMetric reads one figure of the metrics.
func wantMetric(t *testing.T, address, name string, want int) {
	t.Helper()
	status, body := fetch(t, address)
	i := slices.IndexFunc(strings.Split(body, "\n"), func(line string) bool { return strings.HasPrefix(line, name+" ") })
	if status != 200 || i < 0 {
		t.Errorf("metrics: status %d, no %s", status, name)
		return
	}
	if got := strings.TrimPrefix(strings.Split(body, "\n")[i], name+" "); got != fmt.Sprint(want) {
		t.Errorf("%s is %s, want %d", name, got, want)
	}
}

// pageTimes are how long a page took each time that it was asked for.
type pageTimes struct {
	stop    chan struct{}
	working sync.WaitGroup
	times   []time.Duration
	err     error
}

// watchPage asks for the list of surveys again and again until end.
func watchPage(t *testing.T, address string, as *phone) *pageTimes {
	t.Helper()
	w := &pageTimes{stop: make(chan struct{})}
	w.working.Go(func() {
		for {
			select {
			case <-w.stop:
				return
			case <-time.After(100 * time.Millisecond):
			}
			began := time.Now()
			if _, w.err = as.call("GET", address+"/surveys", nil, nil); w.err != nil {
				return
			}
			w.times = append(w.times, time.Since(began))
		}
	})
	return w
}

func (w *pageTimes) end(t *testing.T) {
	t.Helper()
	close(w.stop)
	w.working.Wait()
	if w.err != nil {
		t.Error("the list of surveys: ", w.err)
	}
	if len(w.times) == 0 {
		t.Error("the list of surveys was never seen")
	}
}

// String gives the median, the 95th in a hundred and the longest.
func (w *pageTimes) String() string {
	if len(w.times) == 0 {
		return "never seen"
	}
	slices.Sort(w.times)
	at := func(share float64) time.Duration {
		return w.times[int(share*float64(len(w.times)-1))].Round(time.Millisecond)
	}
	return fmt.Sprintf("asked for %d times, p50 %s, p95 %s, longest %s", len(w.times), at(.5), at(.95), at(1))
}
