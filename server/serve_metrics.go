package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"strings"
	"time"

	"tracewright/server/metrics"
)

// metricsFlags say where what is counted may be read.
type metricsFlags struct {
	Metrics      string `help:"Address on which a collector reads what is counted, at /metrics; by default nowhere. One that others than this machine can reach needs --metrics-token." placeholder:"HOST:PORT" env:"TRACEWRIGHT_METRICS"`
	MetricsToken string `help:"File with the token that a collector has to show (Authorization: Bearer)." placeholder:"FILE" type:"path" env:"TRACEWRIGHT_METRICS_TOKEN"`
}

// shortestToken is how many characters make a token that is not guessed.
const shortestToken = 16

// counting is the listener of collectors; nil where there is none.
type counting struct {
	listener net.Listener
	token    string
	counted  *metrics.Metrics
	server   *http.Server
}

// listen takes the address, and refuses one that strangers could read at.
func (f metricsFlags) listen(ctx context.Context) (*counting, error) {
	if f.Metrics == "" {
		return nil, nil
	}
	c := &counting{counted: metrics.New(version())}
	if f.MetricsToken != "" {
		raw, err := os.ReadFile(f.MetricsToken)
		if err != nil {
			return nil, fmt.Errorf("read the token for --metrics: %w", err)
		}
		if c.token = strings.TrimSpace(string(raw)); len(c.token) < shortestToken || strings.ContainsAny(c.token, " \t\r\n") {
			return nil, &exitError{2, fmt.Sprintf("tracewright: the file of --metrics-token has to hold one line of %d characters or more", shortestToken)}
		}
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", f.Metrics)
	if err != nil {
		return nil, fmt.Errorf("listen for collectors on %s: %w", f.Metrics, err)
	}
	if c.listener = listener; c.token == "" && !loopback(listener.Addr()) {
		listener.Close()
		return nil, &exitError{2, "tracewright: --metrics " + f.Metrics + " can be reached by other machines: name an address of this one alone, as 127.0.0.1:9100, or give a token with --metrics-token"}
	}
	return c, nil
}

func (c *counting) metrics() *metrics.Metrics {
	if c == nil {
		return nil
	}
	return c.counted
}

// serve answers until close.
func (c *counting) serve(out io.Writer, log *slog.Logger) {
	if c == nil {
		return
	}
	c.server = &http.Server{
		Handler: c.counted.Handler(c.token), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 5 * time.Second, WriteTimeout: 15 * time.Second, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 8 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelDebug),
	}
	fmt.Fprintf(out, "What is counted is read at http://%s%s\n", reachable(c.listener.Addr()), metrics.Path)
	go func() {
		if err := c.server.Serve(c.listener); err != nil && !errors.Is(err, http.ErrServerClosed) && !errors.Is(err, net.ErrClosed) {
			log.Error("what is counted cannot be read any more", "cause", err)
		}
	}()
}

func (c *counting) close() {
	switch {
	case c == nil:
	case c.server != nil:
		c.server.Close()
	default:
		c.listener.Close()
	}
}
