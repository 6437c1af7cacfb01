package web

import (
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"

	dto "github.com/prometheus/client_model/go"

	"undercroft/survey"
	"undercroft/survey/store/disktest"
)

// metrics asks for the metrics as a scraper does and reads them with Prometheus' own reader of its text format 0.0.4.
func (w *site) metrics() (string, map[string]*dto.MetricFamily) {
	w.t.Helper()
	r := httptest.NewRequest(http.MethodGet, "/metrics", nil)
	r.Host = "127.0.0.1:9090"
	r.Header.Set("Accept", "application/vnd.google.protobuf;proto=io.prometheus.client.MetricFamily;encoding=delimited") // another format is not given
	rec := httptest.NewRecorder()
	w.server.Metrics().ServeHTTP(rec, r)
	a := answer{rec, w.t}.wants(http.StatusOK)
	if ct := a.Header().Get("Content-Type"); !strings.HasPrefix(ct, "text/plain; version=0.0.4") {
		w.t.Errorf("the type is %q", ct)
	}
	parser := expfmt.NewTextParser(model.UTF8Validation)
	families, err := parser.TextToMetricFamilies(strings.NewReader(a.Body.String()))
	if err != nil {
		w.t.Fatal(err)
	}
	return a.Body.String(), families
}

// value is one figure, by its labels in the order name, value, …; -1 when it is not there.
func value(families map[string]*dto.MetricFamily, name string, labels ...string) float64 {
	for _, m := range families["undercroft_"+name].GetMetric() {
		has := map[string]string{}
		for _, l := range m.GetLabel() {
			has[l.GetName()] = l.GetValue()
		}
		fits := true
		for i := 0; i+1 < len(labels); i += 2 {
			fits = fits && has[labels[i]] == labels[i+1]
		}
		switch {
		case !fits:
		case m.Counter != nil:
			return m.Counter.GetValue()
		case m.Gauge != nil:
			return m.Gauge.GetValue()
		case m.Histogram != nil:
			return float64(m.Histogram.GetSampleCount())
		}
	}
	return -1
}

// TestMetrics counts by hand what was done and finds it in the metrics, with no id, name or title in them; the names keep to Prometheus' rules by its own lint.
func TestMetrics(t *testing.T) {
	w := newSite(t)
	v := w.survey("Larkmoor house")
	photo := w.photo(v.ID) // one PUT, one photo
	half := survey.NewID()
	w.sendPiece(v.ID, half, []byte("abcdef"), 0, 3).wants(http.StatusNoContent)
	w.get(surveyPath(v.ID)).wants(http.StatusOK)
	w.get(surveyPath(v.ID)).wants(http.StatusOK)
	w.get("/surveys/" + survey.NewID()).wants(http.StatusNotFound)
	w.get("/nowhere/Larkmoor").wants(http.StatusNotFound)
	w.do(newRequest("BREW", "/surveys", "")).wants(http.StatusMethodNotAllowed)
	w.person("R. Vance", survey.RoleOffice)
	for range triesByName {
		w.signIn("R. Vance", "wrong").wants(http.StatusUnauthorized)
	}
	w.signIn("R. Vance", "wrong").wants(http.StatusTooManyRequests)
	text, f := w.metrics()
	for _, c := range []struct {
		name   string
		labels []string
		want   float64
	}{
		{"http_requests_total", []string{"route", "/surveys/:survey", "method", "GET", "status", "2xx"}, 2},
		{"http_requests_total", []string{"route", "/surveys/:survey", "method", "GET", "status", "4xx"}, 1},
		{"http_requests_total", []string{"route", "none", "method", "GET", "status", "4xx"}, 1},
		{"http_requests_total", []string{"method", "other"}, 1},
		{"http_request_duration_seconds", []string{"route", "/surveys/:survey"}, 3},
		{"http_requests_in_flight", nil, 0},
		{"photos_received_total", nil, 1},
		{"photo_bytes_received_total", nil, float64(photo.Bytes)},
		{"pieces_received_total", nil, 1},
		{"piece_bytes_received_total", nil, 3},
		{"ingest_duration_seconds", nil, 1},
		{"ingest_running", nil, 0},
		{"ingest_waiting", nil, 0},
		{"unfinished_photos", nil, 1},
		{"unfinished_photo_bytes", nil, 3},
		{"sign_in_failures_total", nil, 10},
		{"rate_limited_total", []string{"limit", "sign_in"}, 1},
		{"rate_limited_total", []string{"limit", "calls"}, 0},
	} {
		if got := value(f, c.name, c.labels...); got != c.want {
			t.Errorf("%s %v: got %v, want %v", c.name, c.labels, got, c.want)
		}
	}
	for _, name := range []string{"database_bytes", "database_log_bytes", "disk_free_bytes"} {
		if value(f, name) <= 0 {
			t.Errorf("%s is %v", name, value(f, name))
		}
	}
	for _, private := range []string{"Larkmoor", "Vance", string(v.ID), string(photo.ID), half, w.dir} {
		if strings.Contains(text, private) {
			t.Errorf("the metrics contain %q", private)
		}
	}
	problems, err := promlint.New(strings.NewReader(text)).Lint()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		if strings.HasPrefix(p.Metric, "undercroft_") {
			t.Errorf("%s: %s", p.Metric, p.Text)
		}
	}
}

// TestMetricsAnswerToThisMachineOnly, so that a page of another site cannot have a browser read them under a name of its own; and the site itself has none.
func TestMetricsAnswerToThisMachineOnly(t *testing.T) {
	w := newSite(t)
	for host, want := range map[string]int{"localhost:9090": 200, "[::1]:9090": 200, "evil.example": 421} {
		r := httptest.NewRequest(http.MethodGet, "/metrics", nil)
		r.Host = host
		rec := httptest.NewRecorder()
		w.server.Metrics().ServeHTTP(rec, r)
		if rec.Code != want {
			t.Errorf("%s: got status %d, want %d", host, rec.Code, want)
		}
	}
	w.get("/metrics").wants(http.StatusNotFound)
}

// TestReadySaysWhyNot: a word for each reason, and no more than that; an answer stands for two seconds.
func TestReadySaysWhyNot(t *testing.T) {
	dir := disktest.Memory(t, "size=24m")
	w := newSiteAt(t, dir, brokenReader{})
	if got := w.get("/readyz").wants(http.StatusOK).Body.String(); got != "ready\n" {
		t.Errorf("got %q", got)
	}
	ballast := disktest.Fill(t, dir)
	w.get("/readyz").wants(http.StatusOK) // still what it was a moment ago
	w.now = w.now.Add(probeEvery)
	a := w.get("/readyz").wants(http.StatusServiceUnavailable)
	if lines := strings.Fields(a.Body.String()); len(lines) < 3 || lines[0]+" "+lines[1] != "not ready" || !strings.Contains(a.Body.String(), "\nfiles\n") || strings.Contains(a.Body.String(), dir) {
		t.Errorf("on a full disk: %q", a.Body)
	}
	if !strings.Contains(w.log.String(), "no space left on device") {
		t.Error("the log does not say what is wrong")
	}
	w.get("/healthz").wants(http.StatusOK)
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	w.now = w.now.Add(probeEvery)
	w.get("/readyz").wants(http.StatusOK)
}
