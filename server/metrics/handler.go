package metrics

import (
	"crypto/sha256"
	"crypto/subtle"
	"net"
	"net/http"
	"net/netip"
	"strings"

	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// Path is where a collector asks.
const Path = "/metrics"

// Handler answers collectors. With a token whoever asks has to show it; without
// one a request has to name this machine by its address, so that no page in a
// browser here reads along under a name of its own that leads to it.
func (m *Metrics) Handler(token string) http.Handler {
	told := promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{MaxRequestsInFlight: 4})
	mux := http.NewServeMux()
	mux.Handle("GET "+Path, told)
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
