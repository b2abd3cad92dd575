package limit

import (
	"net/http/httptest"
	"net/netip"
	"testing"
	"time"
)

const burst = 30

var noon = time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)

func TestEachClientMayAskSoOften(t *testing.T) {
	l, now := New(2*time.Second, burst), noon
	one, other := netip.MustParsePrefix("198.51.100.7/32"), netip.MustParsePrefix("198.51.100.8/32")
	for i := range 30 {
		if wait := l.Wait(one, now); wait > 0 {
			t.Fatalf("question %d waits %s", i+1, wait)
		}
	}
	// One question comes back every two seconds.
	for range 3 { // Asking while one must wait makes it no longer.
		if wait := l.Wait(one, now); wait != 2*time.Second {
			t.Errorf("the 31st waits %s, want 2 s", wait)
		}
	}
	if wait := l.Wait(other, now); wait > 0 {
		t.Errorf("another client waits %s for the first", wait)
	}
	now = now.Add(2 * time.Second)
	if first, second := l.Wait(one, now), l.Wait(one, now); first > 0 || second == 0 {
		t.Errorf("two seconds later: %s and %s, want one question", first, second)
	}
}

// Many clients are remembered, and not without end; those who were quiet are
// forgotten first, and until then strangers share.
func TestClientsAreForgotten(t *testing.T) {
	l, now := New(2*time.Second, burst), noon
	address := netip.MustParseAddr("10.0.0.0")
	next := func() netip.Prefix {
		address = address.Next()
		return netip.PrefixFrom(address, 32)
	}
	for range mostClients {
		l.Wait(next(), now)
	}
	for range burst {
		if wait := l.Wait(next(), now); wait > 0 {
			t.Fatalf("a stranger waits %s although nobody else is new", wait)
		}
	}
	if wait := l.Wait(next(), now); wait == 0 {
		t.Error("so many strangers may ask without end")
	}
	if len(l.clients) != mostClients {
		t.Errorf("%d clients are remembered, want %d", len(l.clients), mostClients)
	}
	now = now.Add(time.Minute)
	if wait := l.Wait(next(), now); wait > 0 || len(l.clients) != 1 {
		t.Errorf("a minute later a stranger waits %s, and %d clients are remembered; want none but the stranger", wait, len(l.clients))
	}
}

func TestClientOf(t *testing.T) {
	for _, c := range []struct {
		name, remote string
		proxied      bool
		forwarded    []string
		want         string
	}{
		{"an address", "198.51.100.7:4711", false, nil, "198.51.100.7/32"},
		{"a household of IPv6", "[2001:db8:1:2:aaaa::7]:4711", false, nil, "2001:db8:1:2::/64"},
		{"IPv4 within IPv6", "[::ffff:198.51.100.7]:4711", false, nil, "198.51.100.7/32"},
		{"whoever claims to come from elsewhere", "198.51.100.7:4711", false, []string{"203.0.113.5"}, "198.51.100.7/32"},
		{"the same where there is a proxy, which it went past", "198.51.100.7:4711", true, []string{"203.0.113.5"}, "198.51.100.7/32"},
		{"through the proxy", "127.0.0.1:4711", true, []string{"203.0.113.5"}, "203.0.113.5/32"},
		{"through the proxy, claiming to come from elsewhere", "127.0.0.1:4711", true, []string{"192.0.2.1, 203.0.113.5"}, "203.0.113.5/32"},
		{"the same in two headers", "[::1]:4711", true, []string{"192.0.2.1", "203.0.113.5"}, "203.0.113.5/32"},
		{"through a proxy that says nothing", "127.0.0.1:4711", true, nil, "127.0.0.1/32"},
		{"through a proxy that says nonsense", "127.0.0.1:4711", true, []string{"unknown"}, "127.0.0.1/32"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := httptest.NewRequest("GET", "/", nil)
			r.RemoteAddr = c.remote
			for _, f := range c.forwarded {
				r.Header.Add("X-Forwarded-For", f)
			}
			if got := ClientOf(r, c.proxied); got.String() != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
		})
	}
}
