package trust

import (
	"net/http"
	"net/http/httptest"
	"testing"
)

// Where a request without TLS is led on to is the host it asked for, or nowhere.
func TestPlainLeadsToNoOtherHost(t *testing.T) {
	for _, c := range []struct {
		host   string
		status int
		to     string
	}{
		{"shop.example:8443", http.StatusTemporaryRedirect, "https://shop.example:8443/items"},
		{"[2001:db8::7]:8443", http.StatusTemporaryRedirect, "https://[2001:db8::7]:8443/items"},
		{"shop.example:80@elsewhere.example", http.StatusMisdirectedRequest, ""},
		{"shop.example/..", http.StatusMisdirectedRequest, ""},
		{"shop.example?x", http.StatusMisdirectedRequest, ""},
		{"", http.StatusMisdirectedRequest, ""},
	} {
		r := httptest.NewRequest(http.MethodGet, "/items", nil)
		r.Host = c.host
		w := httptest.NewRecorder()
		Plain(http.NotFoundHandler()).ServeHTTP(w, r)
		if w.Code != c.status || w.Header().Get("Location") != c.to {
			t.Errorf("host %q: %d to %q, want %d to %q", c.host, w.Code, w.Header().Get("Location"), c.status, c.to)
		}
	}
}
