package httpx

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

// ReadBodies reads what a request brings before it counts among those that work: who
// sends slowly keeps nobody from being answered. Many may send at the same time,
// which bounds the memory they take; others wait a little and are asked to come
// back. It stands behind LimitBody; what a route marked File takes is left to it.
func ReadBodies(answers *Answers, routes []Route, most int, wait time.Duration) gin.HandlerFunc {
	files := fileRoutes(routes)
	places := make(chan struct{}, most)
	return answers.guard(func(c *gin.Context) error {
		body := c.Request.Body
		if body == nil || body == http.NoBody || files[c.Request.Method+" "+c.FullPath()] {
			return nil
		}
		timer := time.NewTimer(wait)
		defer timer.Stop()
		select {
		case places <- struct{}{}:
			defer func() { <-places }()
		case <-timer.C:
			return fmt.Errorf("%d bodies at once: %w", most, errBusy)
		case <-c.Request.Context().Done():
			return fmt.Errorf("%d bodies at once: %w", most, errBusy)
		}
		raw, err := io.ReadAll(body)
		if err != nil {
			c.Header("Connection", "close") // What is still to come belongs to no request.
			return fmt.Errorf("read the request's body: %w", bodyError(err))
		}
		c.Request.Body = io.NopCloser(bytes.NewReader(raw))
		return nil
	})
}

// fileRoutes are those that take a file, by method and path.
func fileRoutes(routes []Route) map[string]bool {
	files := map[string]bool{}
	for _, r := range routes {
		files[r.Method+" "+r.Path] = r.File
	}
	return files
}
