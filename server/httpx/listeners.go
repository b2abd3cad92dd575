package httpx

import (
	"context"
	"sync"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

const listenKey = "tracewright listen"

// listeners are those who listen to a stream. A stream goes on for minutes after
// the one look at who asks; so they are asked for again every few seconds, all in
// one go, and whoever was signed out, revoked or has left hears no more.
type listeners struct {
	every time.Duration
	still func(context.Context, []models.Presence) ([]bool, error)

	mu      sync.Mutex
	list    map[*listener]struct{}
	looking bool
}

type listener struct {
	presence models.Presence
	end      context.CancelFunc
}

// join makes a context that ends when this presence does; leave takes it out.
func (l *listeners) join(ctx context.Context, presence models.Presence) (context.Context, func()) {
	ctx, cancel := context.WithCancel(ctx)
	one := &listener{presence, cancel}
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.list == nil {
		l.list = map[*listener]struct{}{}
	}
	l.list[one] = struct{}{}
	if !l.looking {
		l.looking = true
		go l.look()
	}
	return ctx, func() {
		cancel()
		l.mu.Lock()
		defer l.mu.Unlock()
		delete(l.list, one)
	}
}

// look asks for all of them again until none listens.
func (l *listeners) look() {
	tick := time.NewTicker(l.every)
	defer tick.Stop()
	for range tick.C {
		l.mu.Lock()
		if len(l.list) == 0 {
			l.looking = false
			l.mu.Unlock()
			return
		}
		all, presences := make([]*listener, 0, len(l.list)), make([]models.Presence, 0, len(l.list))
		for one := range l.list {
			all, presences = append(all, one), append(presences, one.presence)
		}
		l.mu.Unlock()
		ctx, cancel := context.WithTimeout(context.Background(), askWithin)
		still, err := l.still(ctx, presences)
		cancel()
		if err != nil {
			continue // The database is away; streams end by themselves after minutes.
		}
		for i, one := range all {
			if !still[i] {
				one.end()
			}
		}
	}
}

const askWithin = 5 * time.Second

// listen gives a stream of this request a context that ends with who listens.
func (s *Sessions) listen(c *gin.Context) func(context.Context) (context.Context, func()) {
	actor := Actor(c)
	presence := models.Presence{PersonID: actor.PersonID}
	if device, ok := Device(c); ok {
		presence.DeviceID = device.ID
	}
	if c.GetHeader("Authorization") == "" {
		presence.TokenHash = s.Key(c)
	}
	return func(ctx context.Context) (context.Context, func()) { return s.streams.join(ctx, presence) }
}

func (s *Sessions) stillIn(ctx context.Context, list []models.Presence) ([]bool, error) {
	return s.access.StillIn(ctx, list, s.Idle(ctx))
}

// idleTime is how long a session waits for a request: one time always, or what the
// shop's settings say, read anew each half minute.
type idleTime struct {
	always time.Duration
	ask    func(context.Context) (time.Duration, error)
	now    func() time.Time

	mu   sync.Mutex
	last time.Duration
	read time.Time
}

const idleReadEvery = 30 * time.Second

func (i *idleTime) get(ctx context.Context) time.Duration {
	if i.always > 0 {
		return i.always
	}
	i.mu.Lock()
	defer i.mu.Unlock()
	if i.last > 0 && i.now().Sub(i.read).Abs() < idleReadEvery {
		return i.last
	}
	d, err := i.ask(ctx)
	if err != nil { // What was known stands until the database answers.
		d = i.last
	}
	if d <= 0 {
		d = models.UsualLockMinutes * time.Minute
	}
	i.last, i.read = d, i.now()
	return d
}
