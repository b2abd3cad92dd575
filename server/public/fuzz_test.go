package public

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"tracewright/server/limit"
)

// Whatever a stranger asks for: a page with its headers, that leads nowhere else and
// repeats nothing that could be a tag.
func FuzzStrangers(f *testing.F) {
	for _, s := range []string{"/", "/?code=" + token, "/" + token, "/" + token + "/", "//elsewhere.example/", "/../x", "/check/", "/?code=https%3A%2F%2Fa%2F" + token, "/%00", "/robots.txt", "/?code=<b>", "/" + strings.ToLower(token)} {
		f.Add(s)
	}
	h, _ := at(&register{})
	own := h.(*handler)
	own.Now = func() time.Time { return noon }
	f.Fuzz(func(t *testing.T, target string) {
		u, err := url.ParseRequestURI(target)
		if err != nil {
			return
		}
		own.limit = limit.New(each, burst)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, &http.Request{Method: http.MethodGet, URL: u, RemoteAddr: "192.0.2.1:1", Header: http.Header{}})
		if w.Code >= 500 || w.Header().Get("Content-Security-Policy") == "" || strings.Contains(w.Body.String(), "<b>") {
			t.Errorf("%q: %d %v %s", target, w.Code, w.Header(), w.Body)
		}
		if to := w.Header().Get("Location"); to != "" && !strings.HasPrefix(to, "./") {
			t.Errorf("%q leads to %q", target, to)
		}
	})
}
