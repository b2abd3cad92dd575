package public

import (
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

const (
	// each is how often one client may ask in the long run, burst how often at
	// once: a box of ten certificates is looked up without waiting, a list of
	// codes is not tried through.
	each  = 2 * time.Second
	burst = 30
	// mostClients bounds what is remembered; beyond it, strangers share one
	// allowance until somebody is forgotten.
	mostClients = 4096
	// forgetEvery is how often those who have been quiet are forgotten, at most.
	forgetEvery = 10 * time.Second
)

// limiter counts what each client asks.
type limiter struct {
	mu       sync.Mutex
	clients  map[netip.Prefix]*rate.Limiter
	shared   *rate.Limiter
	forgotAt time.Time
}

func newLimiter() *limiter {
	return &limiter{clients: map[netip.Prefix]*rate.Limiter{}, shared: allowance()}
}

func allowance() *rate.Limiter { return rate.NewLimiter(rate.Every(each), burst) }

// wait is how long a client must wait; none when it may ask now, which is
// counted.
func (l *limiter) wait(client netip.Prefix, now time.Time) time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	asked := l.of(client, now).ReserveN(now, 1)
	wait := asked.DelayFrom(now)
	if wait > 0 {
		asked.CancelAt(now)
	}
	return wait
}

func (l *limiter) of(client netip.Prefix, now time.Time) *rate.Limiter {
	if known, ok := l.clients[client]; ok {
		return known
	}
	if len(l.clients) >= mostClients && now.Sub(l.forgotAt).Abs() >= forgetEvery {
		l.forgotAt = now
		for c, a := range l.clients {
			if a.TokensAt(now) >= burst {
				delete(l.clients, c)
			}
		}
	}
	if len(l.clients) >= mostClients {
		return l.shared
	}
	l.clients[client] = allowance()
	return l.clients[client]
}

// clientOf is who asks: an address, or of IPv6 the network of one household. A
// proxy's word is taken only where there is one, on this machine, and of that
// the address it saw itself: the last, since whoever asks may write the others.
func clientOf(r *http.Request, proxied bool) netip.Prefix {
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
