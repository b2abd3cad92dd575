package httpx

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

const (
	unlimitedKey = "tracewright unlimited"
	limitKey     = "tracewright limit"
	placeKey     = "tracewright place"
)

// ErrBusy is answered with 503: come back in a few seconds.
var ErrBusy error = errBusy

// writeWithin is how long one part of a stream may take to leave this machine.
const writeWithin = 10 * time.Second

// Stream is an answer that goes on for as long as somebody listens: server-sent
// events, as the HTML standard (9.2) writes them.
type Stream struct {
	c       *gin.Context
	control *http.ResponseController
	ctx     context.Context
	leave   func()
}

// Close ends it on this side.
func (s *Stream) Close() { s.leave() }

// NewStream begins such an answer. From here on the limits on time and on
// requests at once do not count for it: a listener does no work. Whoever begins
// one bounds how many there are and how long each lasts, and calls Close when it
// is over. It ends by itself within seconds of whoever listens being signed out.
func NewStream(c *gin.Context) (*Stream, error) {
	s := &Stream{c: c, control: http.NewResponseController(c.Writer), ctx: c.Request.Context(), leave: func() {}}
	if ctx, ok := c.Get(unlimitedKey); ok {
		s.ctx = ctx.(context.Context)
	}
	if listen, ok := c.Get(listenKey); ok {
		s.ctx, s.leave = listen.(func(context.Context) (context.Context, func()))(s.ctx)
	}
	// The server's limit on reading a request would end the connection.
	if err := s.control.SetReadDeadline(time.Time{}); err != nil && !errors.Is(err, http.ErrNotSupported) {
		s.Close()
		return nil, fmt.Errorf("begin a stream: %w", err)
	}
	if p, ok := c.Get(placeKey); ok {
		p.(*place).leave()
	}
	h := c.Writer.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no") // a proxy that collects answers would keep events back
	c.Writer.WriteHeader(http.StatusOK)
	return s, nil
}

// Done is closed when nobody listens any more.
func (s *Stream) Done() <-chan struct{} { return s.ctx.Done() }

// Send writes text and sees it off; the error says that the listener is gone.
func (s *Stream) Send(text string) error {
	if err := s.control.SetWriteDeadline(time.Now().Add(writeWithin)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return fmt.Errorf("send an event: %w", err)
	}
	if _, err := s.c.Writer.WriteString(text); err != nil {
		return fmt.Errorf("send an event: %w", err)
	}
	if err := s.control.Flush(); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return fmt.Errorf("send an event: %w", err)
	}
	return nil
}

// isStream says whether a request is the browser's own coming back to a stream,
// which is no sign that anybody is there.
func isStream(r *http.Request) bool { return r.Header.Get("Accept") == "text/event-stream" }
