package httpx

import (
	"errors"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/server/limit"
)

const (
	// strangerEach is how often a client that nobody is signed in at may ask in the
	// long run, strangerBurst how often at once: many tablets that are switched on
	// behind one proxy, and nobody who tries doors.
	strangerEach  = 50 * time.Millisecond
	strangerBurst = 300
)

var errTooOften = &statusError{status: http.StatusTooManyRequests, kind: "too_often"}

// Strangers bounds how often each client asks that nobody is signed in at and that
// has no device's key. Those who are known are bounded by how many requests work at
// once: a stand that sends what waited for three days is slowed down and not sent
// away.
type Strangers struct {
	limiter *limit.Limiter
	proxied bool
	now     func() time.Time
}

// NewStrangers makes the counter of a server; burst is how often at once, 0 the
// usual.
func NewStrangers(burst int, proxied bool, now func() time.Time) *Strangers {
	if burst == 0 {
		burst = strangerBurst
	}
	return &Strangers{limiter: limit.New(strangerEach, burst), proxied: proxied, now: now}
}

// wait counts a stranger's request, and is the error of one too many.
func (s *Strangers) wait(r *http.Request) error {
	if wait := s.limiter.Wait(limit.ClientOf(r, s.proxied), s.now()); wait > 0 {
		return fmt.Errorf("%w: %w", errTooOften, &access.WaitError{Wait: wait})
	}
	return nil
}

// CountStrangers also counts requests with a key that opens nothing.
func (s *Sessions) CountStrangers(strangers *Strangers) { s.strangers = strangers }

// counted counts a request that believed in its key and was wrong.
func (s *Sessions) counted(r *http.Request, err error) error {
	if s.strangers == nil || !errors.Is(err, models.ErrUnauthenticated) {
		return err
	}
	if often := s.strangers.wait(r); often != nil {
		return often
	}
	return err
}

// Limit refuses the next request of a stranger who asked too often. What says
// whether the server lives is open to whoever watches over it.
func (s *Strangers) Limit(answers *Answers) gin.HandlerFunc {
	return answers.guard(func(c *gin.Context) error {
		if _, enrolled := Device(c); enrolled || SignedIn(c) || c.FullPath() == "/healthz" || c.FullPath() == "/readyz" || isStatic(c) {
			return nil
		}
		return s.wait(c.Request)
	})
}
