package metrics

import (
	"context"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"tracewright/models"
)

// askWithin is how long the database may take to say how things stand.
const askWithin = 2 * time.Second

// State is what is asked when a collector comes; nil functions are left out.
type State struct {
	Pools    func() []models.PoolState
	Queued   func() int                               // inspections that wait to be written
	Unsealed func(context.Context) (int, error)       // entries that wait for their seal
	Backup   func(context.Context) (time.Time, error) // the last good one; zero: none
	Ready    func(context.Context) []string
}

// Watch has the state told with what is counted. It is called once.
func (m *Metrics) Watch(s State) { m.registry.MustRegister(watched{s}) }

type watched struct{ State }

func described(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc("tracewright_"+name, help, labels, nil)
}

var (
	connections = described("database_connections", "Connections to the database, by what they do.", "pool", "state")
	waits       = described("database_waits_total", "How often somebody waited for a connection to the database.", "pool")
	waitSeconds = described("database_wait_seconds_total", "How long connections to the database were waited for, in all.", "pool")
	queued      = described("capture_queue", "Inspections that wait to be written together with others.")
	unsealed    = described("unsealed_entries", "Entries of the log of changes that wait for their seal.")
	lastBackup  = described("last_good_backup_timestamp_seconds", "When the last good backup was begun, in seconds since 1970; 0: never.")
	ready       = described("ready", "1 where /readyz says that work can be sent here, 0 otherwise.")
)

// Describe implements prometheus.Collector.
func (watched) Describe(out chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{connections, waits, waitSeconds, queued, unsealed, lastBackup, ready} {
		out <- d
	}
}

// Collect implements prometheus.Collector. What the database does not answer in
// time is left out; whoever watches sees the gap, and that the server is not ready.
func (w watched) Collect(out chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), askWithin)
	defer cancel()
	gauge := func(d *prometheus.Desc, v float64, labels ...string) {
		out <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v, labels...)
	}
	if w.Pools != nil {
		for _, p := range w.Pools() {
			gauge(connections, float64(p.Busy), p.Name, "busy")
			gauge(connections, float64(p.Open-p.Busy), p.Name, "idle")
			gauge(connections, float64(p.Most), p.Name, "most")
			out <- prometheus.MustNewConstMetric(waits, prometheus.CounterValue, float64(p.Waits), p.Name)
			out <- prometheus.MustNewConstMetric(waitSeconds, prometheus.CounterValue, p.Waited.Seconds(), p.Name)
		}
	}
	if w.Queued != nil {
		gauge(queued, float64(w.Queued()))
	}
	if w.Ready != nil {
		v := 1.0
		if len(w.Ready(ctx)) > 0 {
			v = 0
		}
		gauge(ready, v)
	}
	if w.Unsealed != nil {
		if n, err := w.Unsealed(ctx); err == nil {
			gauge(unsealed, float64(n))
		}
	}
	if w.Backup != nil {
		if at, err := w.Backup(ctx); err == nil {
			v := 0.0
			if !at.IsZero() {
				v = float64(at.UnixMilli()) / 1000
			}
			gauge(lastBackup, v)
		}
	}
}
