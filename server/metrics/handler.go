package metrics

import (
	"bytes"
	"crypto/sha256"
	"crypto/subtle"
	"net"
	"net/http"
	"net/netip"
	"strconv"
	"strings"

	"github.com/prometheus/common/expfmt"
)

// Path is where a collector asks.
const Path = "/metrics"

// mostAtOnce is how many collectors are told at the same time.
const mostAtOnce = 4

// Handler answers collectors. With a token whoever asks has to show it; without
// one a request has to name this machine by its address, so that no page in a
// browser here reads along under a name of its own that leads to it.
func (m *Metrics) Handler(token string) http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET "+Path, m.tell(make(chan struct{}, mostAtOnce)))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-store")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		switch {
		case token != "" && !shows(r, token):
			w.Header().Set("WWW-Authenticate", `Bearer realm="metrics"`)
			http.Error(w, "the token is missing or wrong", http.StatusUnauthorized)
		case token == "" && !namedByAddress(r.Host):
			http.Error(w, "ask for this by the address of the machine", http.StatusMisdirectedRequest)
		default:
			mux.ServeHTTP(w, r)
		}
	})
}

// tell writes everything that is counted, in the one format. The client's own handler
// knows others besides, and is a third of a megabyte.
func (m *Metrics) tell(turns chan struct{}) http.HandlerFunc {
	format := expfmt.NewFormat(expfmt.TypeTextPlain)
	return func(w http.ResponseWriter, _ *http.Request) {
		select {
		case turns <- struct{}{}:
			defer func() { <-turns }()
		default:
			http.Error(w, "others ask at the same time", http.StatusServiceUnavailable)
			return
		}
		var told bytes.Buffer
		families, err := m.registry.Gather()
		for _, f := range families {
			if err == nil {
				_, err = expfmt.MetricFamilyToText(&told, f)
			}
		}
		if err != nil {
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		w.Header().Set("Content-Type", string(format))
		w.Header().Set("Content-Length", strconv.Itoa(told.Len()))
		_, _ = w.Write(told.Bytes()) // Whoever asked may have gone.
	}
}

// shows says whether a request carries the token; how long that takes says
// nothing of how much of it was right.
func shows(r *http.Request, token string) bool {
	scheme, given, _ := strings.Cut(r.Header.Get("Authorization"), " ")
	got, want := sha256.Sum256([]byte(strings.TrimSpace(given))), sha256.Sum256([]byte(token))
	return strings.EqualFold(scheme, "Bearer") && subtle.ConstantTimeCompare(got[:], want[:]) == 1
}

func namedByAddress(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	if strings.EqualFold(host, "localhost") {
		return true
	}
	_, err := netip.ParseAddr(strings.Trim(host, "[]"))
	return err == nil
}
