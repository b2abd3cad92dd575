// Package limit counts how often each client asks.
//
// A client is an address, or of IPv6 the network of one household. What is
// remembered is bounded: beyond that, strangers share one allowance until somebody
// who was quiet is forgotten.
//
// Start with [New] and [ClientOf].
package limit

import (
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

const (
	// mostClients bounds what is remembered.
	mostClients = 4096
	// forgetEvery is how often those who have been quiet are forgotten, at most.
	forgetEvery = 10 * time.Second
)

// Limiter counts what each client asks.
type Limiter struct {
	each  time.Duration
	burst int

	mu       sync.Mutex
	clients  map[netip.Prefix]*rate.Limiter
	shared   *rate.Limiter
	forgotAt time.Time
}

// New lets one client ask once each so long in the long run, and burst times at
// once.
func New(each time.Duration, burst int) *Limiter {
	l := &Limiter{each: each, burst: burst, clients: map[netip.Prefix]*rate.Limiter{}}
	l.shared = l.allowance()
	return l
}

func (l *Limiter) allowance() *rate.Limiter { return rate.NewLimiter(rate.Every(l.each), l.burst) }

// Wait is how long a client must wait; none when it may ask now, which is
// counted.
func (l *Limiter) Wait(client netip.Prefix, now time.Time) time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	asked := l.of(client, now).ReserveN(now, 1)
	wait := asked.DelayFrom(now)
	if wait > 0 {
		asked.CancelAt(now)
	}
	return wait
}

func (l *Limiter) of(client netip.Prefix, now time.Time) *rate.Limiter {
	if known, ok := l.clients[client]; ok {
		return known
	}
	if len(l.clients) >= mostClients && now.Sub(l.forgotAt).Abs() >= forgetEvery {
		l.forgotAt = now
		for c, a := range l.clients {
			if a.TokensAt(now) >= float64(l.burst) {
				delete(l.clients, c)
			}
		}
	}
	if len(l.clients) >= mostClients {
		return l.shared
	}
	l.clients[client] = l.allowance()
	return l.clients[client]
}

// ClientOf is who asks. A proxy's word is taken only where there is one, on this
// machine, and of that the address it saw itself: the last, since whoever asks may
// write the others.
func ClientOf(r *http.Request, proxied bool) netip.Prefix {
	from, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return netip.Prefix{}
	}
	address := from.Addr()
	if proxied && address.Unmap().IsLoopback() {
		all := strings.Join(r.Header.Values("X-Forwarded-For"), ",")
		if said, err := netip.ParseAddr(strings.TrimSpace(all[strings.LastIndexByte(all, ',')+1:])); err == nil {
			address = said
		}
	}
	address = address.Unmap().WithZone("")
	bits := address.BitLen()
	if address.Is6() {
		bits = 64
	}
	prefix, err := address.Prefix(bits)
	if err != nil {
		return netip.Prefix{}
	}
	return prefix
}
