package trust

import (
	"net/http"
	"net/url"
	"strings"
)

// Path is where the page that helps a tablet to trust this server lies; what it
// hands out lies below.
const Path = "/trust"

// Plain is what answers without TLS beside a server that has it: the page that
// helps a tablet to trust, and what that page needs. It knows nobody: cookies
// and keys that a browser sends by mistake go no further. Everything else that
// only looks is led on to TLS, and a form sent in the clear is refused.
func Plain(inner http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		looks := r.Method == http.MethodGet || r.Method == http.MethodHead
		open := r.URL.Path == Path || strings.HasPrefix(r.URL.Path, Path+"/") || strings.HasPrefix(r.URL.Path, "/static/")
		switch {
		case looks && open:
			r.Header.Del("Cookie")
			r.Header.Del("Authorization")
			inner.ServeHTTP(w, r)
		case looks && !plainHost(r.Host):
			http.Error(w, "This address is none.", http.StatusMisdirectedRequest)
		case looks:
			http.Redirect(w, r, "https://"+r.Host+r.URL.RequestURI(), http.StatusTemporaryRedirect)
		default:
			http.Error(w, "This address speaks https. Nothing was taken.", http.StatusForbidden)
		}
	})
}

// plainHost says whether an address made of a host leads to that host.
func plainHost(host string) bool {
	u, err := url.Parse("https://" + host)
	return err == nil && u.Host == host && u.Hostname() != "" && u.User == nil
}
