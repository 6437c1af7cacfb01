package web

import (
	"net/http"
	"strconv"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"undercroft/survey/store"
)

// The limits as rate_limited_total names them.
const (
	limitCalls     = "calls"
	limitPieces    = "pieces"
	limitPhotos    = "photos"
	limitSignIn    = "sign_in"
	limitLink      = "link"
	limitQueue     = "queue"
	limitForms     = "signed_out_forms"
	limitBegun     = "unfinished"
	limitLowSpace  = "space"
	metricsPrefix  = "undercroft"
	noRoute        = "none"
	secondsOfPhoto = 20
)

// meter counts what the server does, for whoever looks after it: by the patterns of routes, and nothing of any survey or person.
type meter struct {
	registry    *prometheus.Registry
	requests    *prometheus.CounterVec   // by route, method and class of status
	durations   *prometheus.HistogramVec // by route
	inFlight    prometheus.Gauge
	photos      prometheus.Counter // taken in
	photoBytes  prometheus.Counter
	pieces      prometheus.Counter
	pieceBytes  prometheus.Counter
	ingestTime  prometheus.Histogram
	signInFails prometheus.Counter
	limited     *prometheus.CounterVec // by limit
}

// newMeter makes a meter of its own registry, so that two servers in one process do not share one.
func newMeter() *meter {
	counter := func(name, help string) prometheus.Counter {
		return prometheus.NewCounter(prometheus.CounterOpts{Namespace: metricsPrefix, Name: name, Help: help})
	}
	m := &meter{
		registry: prometheus.NewRegistry(),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: metricsPrefix, Name: "http_requests_total", Help: "Requests answered, by route, method and class of status."},
			[]string{"route", "method", "status"}),
		durations: prometheus.NewHistogramVec(prometheus.HistogramOpts{Namespace: metricsPrefix, Name: "http_request_duration_seconds", Help: "Time from a request's headers to the end of its answer, by route.",
			Buckets: []float64{.005, .02, .05, .1, .25, .5, 1, 2.5, 5, 15, 60}}, []string{"route"}),
		inFlight:    prometheus.NewGauge(prometheus.GaugeOpts{Namespace: metricsPrefix, Name: "http_requests_in_flight", Help: "Requests being answered."}),
		photos:      counter("photos_received_total", "Photos stored, each when its row was written."),
		photoBytes:  counter("photo_bytes_received_total", "Bytes of those photos."),
		pieces:      counter("pieces_received_total", "Pieces of photos stored."),
		pieceBytes:  counter("piece_bytes_received_total", "Bytes of those pieces."),
		signInFails: counter("sign_in_failures_total", "Tries to sign in with a wrong name or password."),
		ingestTime: prometheus.NewHistogram(prometheus.HistogramOpts{Namespace: metricsPrefix, Name: "ingest_duration_seconds", Help: "Time to open one photo, without waiting.",
			Buckets: []float64{.1, .25, .5, 1, 2, 5, 10, secondsOfPhoto}}),
		limited: prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: metricsPrefix, Name: "rate_limited_total", Help: "Requests refused by a limit, by limit."}, []string{"limit"}),
	}
	m.registry.MustRegister(m.requests, m.durations, m.inFlight, m.photos, m.photoBytes, m.pieces, m.pieceBytes, m.ingestTime, m.signInFails, m.limited,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	for _, limit := range []string{limitCalls, limitPieces, limitPhotos, limitSignIn, limitLink, limitQueue, limitForms, limitBegun, limitLowSpace} {
		m.limited.WithLabelValues(limit) // from the first look on, so that a rise from nothing is seen
	}
	return m
}

// answered counts one request.
func (m *meter) answered(route, method string, status int, seconds float64) {
	if route == "" {
		route = noRoute
	}
	m.requests.WithLabelValues(route, knownMethod(method), strconv.Itoa(status/100)+"xx").Inc()
	m.durations.WithLabelValues(route).Observe(seconds)
}

// gauges are read when somebody looks: what the store takes, and who waits for a photo to be opened.
type gauges struct {
	store  *store.Store
	intake *intake
}

var gaugeNames = [...]struct{ name, help string }{
	{"ingest_running", "Photos being opened."},
	{"ingest_waiting", "Photos that wait to be opened."},
	{"database_bytes", "Size of the database's file."},
	{"database_log_bytes", "Size of the database's write-ahead log."},
	{"disk_free_bytes", "Free space on the disk of the data folder."},
	{"disk_keep_free_bytes", "Free space below which no photo is taken in."},
	{"unfinished_photos", "Photos that have begun to arrive and are not whole."},
	{"unfinished_photo_bytes", "Bytes of those photos that are here."},
}

func gaugeDescription(i int) *prometheus.Desc {
	return prometheus.NewDesc(prometheus.BuildFQName(metricsPrefix, "", gaugeNames[i].name), gaugeNames[i].help, nil, nil)
}

// Describe names the gauges.
func (g gauges) Describe(to chan<- *prometheus.Desc) {
	for i := range gaugeNames {
		to <- gaugeDescription(i)
	}
}

// Collect reads them. What the store cannot tell is left out, and the rest is told.
func (g gauges) Collect(to chan<- prometheus.Metric) {
	running := len(g.intake.turns)
	values := []float64{float64(running), float64(max(0, len(g.intake.places)-running))}
	if u, err := g.store.Usage(); err == nil {
		values = append(values, float64(u.Database), float64(u.Log), float64(u.Free), float64(u.PhotosKeepFree), float64(u.Unfinished), float64(u.UnfinishedBytes))
	}
	for i, v := range values {
		to <- prometheus.MustNewConstMetric(gaugeDescription(i), prometheus.GaugeValue, v)
	}
}

// Metrics answers with what the server has counted since it started, in Prometheus' text format 0.0.4. It belongs on an address that only this machine reaches, apart from the
// site; asked under another name than this machine's, as a page of another site could have a browser do, it refuses.
func (s *Server) Metrics() http.Handler {
	exposition := promhttp.HandlerFor(s.meter.registry, promhttp.HandlerOpts{MaxRequestsInFlight: 4})
	mux := http.NewServeMux()
	mux.HandleFunc("GET /metrics", func(w http.ResponseWriter, r *http.Request) {
		if !isLoopback(r.Host) {
			http.Error(w, "This address answers to localhost only.", http.StatusMisdirectedRequest)
			return
		}
		r.Header.Set("Accept", "text/plain; version=0.0.4")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		w.Header().Set("Cache-Control", "no-store")
		exposition.ServeHTTP(w, r)
	})
	return mux
}
