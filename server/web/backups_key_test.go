package web

import (
	"crypto/tls"
	"net/http"
	"testing"
)

// Whoever makes a key is warned where others on the way could read it, and nowhere else.
func TestOpenRequest(t *testing.T) {
	for _, x := range []struct {
		from string
		tls  *tls.ConnectionState
		want bool
	}{
		{"192.0.2.7:51000", nil, true},
		{"[2001:db8::7]:51000", nil, true},
		{"", nil, true},
		{"127.0.0.1:51000", nil, false}, // on the server itself, or by a proxy there
		{"[::1]:51000", nil, false},
		{"192.0.2.7:51000", &tls.ConnectionState{}, false},
	} {
		if got := openRequest(&http.Request{RemoteAddr: x.from, TLS: x.tls}); got != x.want {
			t.Errorf("from %q, TLS %t: %t, want %t", x.from, x.tls != nil, got, x.want)
		}
	}
}
