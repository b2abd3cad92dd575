package metrics

import (
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// Metrics is what is counted of one server.
type Metrics struct {
	registry *prometheus.Registry

	requests *prometheus.CounterVec
	took     *prometheus.HistogramVec
	captured *prometheus.HistogramVec
	refused  *prometheus.CounterVec
	sealed   prometheus.Counter
	waited   prometheus.Histogram
}

// New begins to count, from zero.
func New(version string) *Metrics {
	m := &Metrics{
		registry: prometheus.NewRegistry(),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "tracewright_requests_total", Help: "Requests answered, by the pattern of their route."}, []string{"method", "route", "status"}),
		took: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "tracewright_request_seconds", Help: "How long a request took, by the pattern of its route; streams are left out.",
			Buckets: []float64{0.005, 0.025, 0.1, 0.5, 2.5, 10}}, []string{"method", "route"}),
		captured: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "tracewright_capture_seconds", Help: "How long an inspection took from the end of its request's reading until it was on the disk, or was refused.",
			Buckets: []float64{0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5}}, []string{"outcome"}),
		refused: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "tracewright_refused_readings_total", Help: "What was wrong with inspections that were refused, by its code."}, []string{"reason"}),
		sealed:  prometheus.NewCounter(prometheus.CounterOpts{Name: "tracewright_sealed_entries_total", Help: "Entries of the log of changes that this server sealed."}),
		waited: prometheus.NewHistogram(prometheus.HistogramOpts{Name: "tracewright_sealing_delay_seconds", Help: "How long the first entry of each turn had waited for its seal.",
			Buckets: []float64{0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 15, 60, 300}}),
	}
	built := prometheus.NewGauge(prometheus.GaugeOpts{Name: "tracewright_build_info", Help: "1, with the version of the program.", ConstLabels: prometheus.Labels{"version": version}})
	built.Set(1)
	m.registry.MustRegister(m.requests, m.took, m.captured, m.refused, m.sealed, m.waited, built,
		collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	// What was never counted stands there as zero, so that its first time shows.
	for _, outcome := range outcomes {
		m.captured.WithLabelValues(outcome)
	}
	return m
}

// Outcomes of an inspection that came in.
const (
	Stored   = "stored"
	Repeated = "repeated" // it was here already
	Unplaced = "unplaced" // kept until somebody settles where it belongs
	Refused  = "refused"
	Failed   = "failed" // it is sent again
)

var outcomes = []string{Stored, Repeated, Unplaced, Refused, Failed}

// methods are those of the routes; a client may invent others.
var methods = map[string]bool{"GET": true, "HEAD": true, "POST": true, "PUT": true, "PATCH": true, "DELETE": true, "OPTIONS": true}

// Request counts a request by the pattern of its route. A stream goes on for as
// long as somebody listens: how long says nothing.
func (m *Metrics) Request(method, route string, status int, took time.Duration, stream bool) {
	if !methods[method] {
		method = "other"
	}
	m.requests.WithLabelValues(method, route, strconv.Itoa(status)).Inc()
	if !stream {
		m.took.WithLabelValues(method, route).Observe(took.Seconds())
	}
}

// Captured counts an inspection that came in, and by their codes the reasons why
// it was refused.
func (m *Metrics) Captured(outcome string, took time.Duration, reasons ...string) {
	m.captured.WithLabelValues(outcome).Observe(took.Seconds())
	for _, r := range reasons {
		m.refused.WithLabelValues(r).Inc()
	}
}

// Sealed counts a turn of sealing.
func (m *Metrics) Sealed(count int, waited time.Duration) {
	m.sealed.Add(float64(count))
	m.waited.Observe(waited.Seconds())
}
