package servertest

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"tracewright/models/store/storetest"
	"tracewright/server/app"
)

// Whatever is sent to any route, with any cookie, key and kind of body, by somebody
// signed in or not: it is no fault of the server, and the answer has its headers.
// Which route it is comes from a number, so that nothing is spent on guessing paths.
func FuzzRequests(f *testing.F) {
	s := On(f, storetest.New(f))
	routes := app.Routes(s.App.Services)
	for i, route := range routes {
		body := ""
		if route.Method != http.MethodGet {
			body = `{"id":"0193d0a0-1111-7000-8000-000000000000","item":"W31000015","code":"W15","reason":"x"}`
			if !strings.HasPrefix(route.Path, "/api/") {
				body = "name=a&code=W15&reason=x&do=pin"
			}
		}
		f.Add(uint16(i), "W31000015", "find=x&as=csv", "application/json", "", "", []byte(body))
	}
	f.Add(uint16(0), "../..", "x=%00", "text/plain", "tracewright=AAAA; tracewright=BBBB; tracewright_device=\"", "Bearer ", []byte("\xff"))
	f.Fuzz(func(t *testing.T, n uint16, key, query, kind, cookie, authorization string, body []byte) {
		route := routes[int(n)%len(routes)]
		parts := strings.Split(route.Path, "/")
		for i, p := range parts {
			if strings.HasPrefix(p, ":") || strings.HasPrefix(p, "*") {
				parts[i] = url.PathEscape(key)
			}
		}
		target := "http://localhost" + strings.Join(parts, "/")
		if strings.HasSuffix(route.Path, "/events") {
			query += "&follow=no"
		}
		u, err := url.Parse(target)
		if err != nil {
			return
		}
		u.RawQuery = query
		r := httptest.NewRequestWithContext(t.Context(), route.Method, "http://localhost/", bytes.NewReader(body))
		r.URL = u
		if route.Method == http.MethodPost && kind == "" && !strings.HasPrefix(route.Path, "/api/") {
			kind = "application/x-www-form-urlencoded"
		}
		r.Header.Set("Content-Type", kind)
		who := "nobody"
		switch {
		case cookie == "" && authorization == "" && route.Path != "/signout": // The owner stays signed in.
			s.sign[Owner](r)
			who = "owner"
		case cookie != "":
			r.Header.Set("Cookie", cookie)
		}
		if authorization != "" {
			r.Header.Set("Authorization", authorization)
		}
		w := httptest.NewRecorder()
		s.App.Handler.ServeHTTP(w, r)
		if w.Code >= 500 || w.Header().Get("Content-Security-Policy") == "" || who == "nobody" && route.Act != "public" && w.Code < 300 {
			t.Errorf("%s %s?%s as %s: %d %s", route.Method, target, query, who, w.Code, shortened(w.Body.Bytes()))
		}
	})
}
