package httpx

import (
	"context"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/gin-gonic/gin"
)

const (
	// readyWithin is how long whoever asks whether the server is ready waits for the
	// database.
	readyWithin = 2 * time.Second
	// readyFor is how long an answer stands, so that asking costs the database
	// nothing, however often strangers do.
	readyFor = time.Second
)

// HealthRoutes are what watches over a server: a service manager, a proxy. They
// stand before the limits on work and before sessions: a busy server lives, and
// one without its database says so.
func (s Services) HealthRoutes() []Route {
	look := &readiness{services: s}
	return []Route{
		{Method: http.MethodGet, Path: "/healthz", Act: Public, Handler: lives},
		{Method: http.MethodGet, Path: "/readyz", Act: Public, Handler: look.ready},
	}
}

// lives says that the process answers, and nothing of what it needs.
func lives(c *gin.Context) error {
	c.String(http.StatusOK, "ok\n")
	return nil
}

// readiness remembers the last look for a moment.
type readiness struct {
	services Services

	mu    sync.Mutex
	at    time.Time
	wrong []string
}

// ready says whether work can be sent here, and by a word why not: database,
// schema, stopping. Strangers learn no more.
func (r *readiness) ready(c *gin.Context) error {
	if s := r.services; s.Stopping != nil && s.Stopping() {
		c.String(http.StatusServiceUnavailable, "not ready: stopping\n")
		return nil
	}
	if wrong := r.look(c.Request.Context()); len(wrong) > 0 {
		c.String(http.StatusServiceUnavailable, "not ready: "+strings.Join(wrong, ", ")+"\n")
		return nil
	}
	c.String(http.StatusOK, "ready\n")
	return nil
}

func (r *readiness) look(ctx context.Context) []string {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.services.Ready == nil || !r.at.IsZero() && time.Since(r.at) < readyFor {
		return r.wrong
	}
	// Others wait for the answer too: who asked first may have gone.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), readyWithin)
	defer cancel()
	r.wrong, r.at = r.services.Ready(ctx), time.Now()
	return r.wrong
}
