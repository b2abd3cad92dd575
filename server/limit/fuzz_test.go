package limit

import (
	"net/http"
	"testing"
)

// Whatever a head says, a client is one address of IPv4, one network of IPv6, or
// nobody; and whoever does not come through the proxy decides nothing.
func FuzzClientOf(f *testing.F) {
	for _, s := range []string{"203.0.113.5", "192.0.2.1, 203.0.113.5", "::1%eth0", "unknown", ",", "[::1]:80", "::ffff:1.2.3.4", "\xff"} {
		f.Add("127.0.0.1:80", s)
		f.Add("198.51.100.7:80", s)
	}
	f.Fuzz(func(t *testing.T, remote, forwarded string) {
		r := &http.Request{RemoteAddr: remote, Header: http.Header{"X-Forwarded-For": {forwarded}}}
		alone := &http.Request{RemoteAddr: remote}
		for _, proxied := range []bool{false, true} {
			client := ClientOf(r, proxied)
			if client.IsValid() && (client.Addr().Is4() && client.Bits() != 32 || client.Addr().Is6() && client.Bits() != 64 || client.Addr().Zone() != "" || client != client.Masked()) {
				t.Errorf("%q by %q is %s", remote, forwarded, client)
			}
			near := ClientOf(alone, false)
			if (!proxied || near.IsValid() && !near.Addr().IsLoopback()) && client != near {
				t.Errorf("%q says it is %q and is taken for %s", remote, forwarded, client)
			}
		}
	})
}
