package httpx

import (
	"time"

	"github.com/gin-gonic/gin"
)

// Asked is a request as it is counted: by the pattern of its route, never by what
// was asked for.
type Asked struct {
	Method, Route string
	Status        int
	Took          time.Duration
	Stream        bool // it went on for as long as somebody listened
}

// NoRoute is the pattern of what no route takes.
const NoRoute = "none"

// Observe tells of every request when it is answered.
func Observe(tell func(Asked)) gin.HandlerFunc {
	return func(c *gin.Context) {
		began := time.Now()
		defer func() { // Also of one that was cut off.
			tell(Asked{Method: c.Request.Method, Route: routeOf(c), Status: c.Writer.Status(), Took: time.Since(began), Stream: c.Writer.Header().Get("Content-Type") == "text/event-stream"})
		}()
		c.Next()
	}
}

// routeOf is the pattern of the route that a request takes.
func routeOf(c *gin.Context) string {
	if route := c.FullPath(); route != "" {
		return route
	}
	return NoRoute
}
