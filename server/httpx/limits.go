package httpx

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

const (
	// MaxBody is the most a request may send.
	MaxBody = 1 << 20
	// MaxFile is the most a request with a file may send. It is more than is ever
	// kept, so that a browser hears why its file was too large: one that is cut
	// off while it sends shows nothing.
	MaxFile = 64 << 20
)

// LimitBody refuses a larger body: at once where its length is said, otherwise
// when the limit is passed. The rest is never read. Routes that take a file say
// so.
func LimitBody(answers *Answers, routes []Route) gin.HandlerFunc {
	files := fileRoutes(routes)
	return answers.guard(func(c *gin.Context) error {
		if len(c.Request.TransferEncoding) > 0 {
			// It may have said a length too, and a proxy in front may have believed that:
			// what follows on this connection is no request of ours (RFC 9112, 6.3).
			c.Header("Connection", "close")
		}
		most := int64(MaxBody)
		if files[c.Request.Method+" "+c.FullPath()] {
			most = MaxFile
		}
		if c.Request.ContentLength > most {
			c.Header("Connection", "close")
			return errTooLarge
		}
		c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, most)
		return nil
	})
}

// LimitTime ends a request's context after so long; a handler that waits for
// the database then gives up.
func LimitTime(limit time.Duration) gin.HandlerFunc {
	return func(c *gin.Context) {
		c.Set(unlimitedKey, c.Request.Context())
		c.Set(limitKey, limit)
		ctx, cancel := context.WithTimeout(c.Request.Context(), limit)
		defer cancel()
		c.Request = c.Request.WithContext(ctx)
		c.Next()
	}
}

// LimitConcurrency lets so many requests work at once; others wait a little
// and are then asked to come back, so that a rush slows everybody down instead
// of ending in no memory.
func LimitConcurrency(answers *Answers, most int, wait time.Duration) gin.HandlerFunc {
	places := make(chan struct{}, most)
	return func(c *gin.Context) {
		p := &place{of: places, wait: wait}
		if err := p.enter(c.Request.Context()); err != nil {
			answers.fail(c, err)
			return
		}
		c.Set(placeKey, p)
		defer p.leave()
		c.Next()
	}
}

// place is that of a request among those that work at once.
type place struct {
	of   chan struct{}
	wait time.Duration
	held bool
}

// enter waits for it.
func (p *place) enter(ctx context.Context) error {
	timer := time.NewTimer(p.wait)
	defer timer.Stop()
	select {
	case p.of <- struct{}{}:
		p.held = true
		return nil
	case <-timer.C:
		return fmt.Errorf("%d requests at once: %w", cap(p.of), errBusy)
	case <-ctx.Done():
		return fmt.Errorf("wait for a place: %w", ctx.Err())
	}
}

// leave gives it to others: whoever sends, or listens, does no work meanwhile.
func (p *place) leave() {
	if p.held {
		p.held = false
		<-p.of
	}
}

// SameOrigin refuses a change that a page of another site asks for. Programs
// without a browser send neither Origin nor Sec-Fetch-Site and pass; they carry
// a key and no cookie.
func SameOrigin(answers *Answers) gin.HandlerFunc {
	protection := http.NewCrossOriginProtection()
	return answers.guard(func(c *gin.Context) error {
		if err := protection.Check(c.Request); err != nil {
			return fmt.Errorf("%w: %w", errCrossOrigin, err)
		}
		return nil
	})
}
