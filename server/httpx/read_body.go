package httpx

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"
)

// freeBody is how much of a body needs no place: half of what a head may have, which
// needs none either. A sign-in and nearly every inspection are smaller.
const freeBody = 32 << 10

// ReadBodies reads what a request brings before it counts among those that work: who
// sends slowly keeps nobody from being answered. So many may send more than a little
// at the same time, which bounds the memory they take; others wait and are asked to
// come back. A quarter of the places is for strangers, who have nothing large to
// send, the others for whom known knows: no stranger keeps a stand out. It stands
// behind LimitBody; what a route marked File takes is left to it.
func ReadBodies(answers *Answers, routes []Route, known func(context.Context, *http.Request) bool, most int, wait time.Duration) gin.HandlerFunc {
	files := fileRoutes(routes)
	strangers, ours := make(chan struct{}, most/4), make(chan struct{}, most-most/4)
	rest := func(c *gin.Context) ([]byte, error) {
		ctx, cancel := context.WithTimeout(c.Request.Context(), wait)
		defer cancel()
		places := strangers
		if known(ctx, c.Request) {
			places = ours
		}
		select {
		case places <- struct{}{}:
			defer func() { <-places }()
		case <-ctx.Done():
			return nil, fmt.Errorf("%d bodies at once: %w", cap(places), errBusy)
		}
		return readBody(c.Request.Body)
	}
	return answers.guard(func(c *gin.Context) error {
		body := c.Request.Body
		if body == nil || body == http.NoBody || files[c.Request.Method+" "+c.FullPath()] {
			return nil
		}
		raw, err := readBody(io.LimitReader(body, freeBody))
		var more []byte
		if err == nil && len(raw) == freeBody {
			more, err = rest(c)
		}
		if err != nil {
			c.Header("Connection", "close") // What is still to come belongs to no request.
			return fmt.Errorf("read the request's body: %w", err)
		}
		c.Request.Body = io.NopCloser(io.MultiReader(bytes.NewReader(raw), bytes.NewReader(more)))
		return nil
	})
}

func readBody(body io.Reader) ([]byte, error) {
	raw, err := io.ReadAll(body)
	if err != nil {
		err = bodyError(err)
	}
	return raw, err
}

// fileRoutes are those that take a file, by method and path.
func fileRoutes(routes []Route) map[string]bool {
	files := map[string]bool{}
	for _, r := range routes {
		files[r.Method+" "+r.Path] = r.File
	}
	return files
}
