package httpx

import (
	"crypto/rand"

	"github.com/gin-gonic/gin"
)

const (
	requestIDKey    = "tracewright request"
	requestIDHeader = "Tracewright-Request"
)

// NameRequests gives each request an id, which the answer carries and the log
// repeats. One sent by the client is not trusted: it would end up in our log.
func NameRequests() gin.HandlerFunc {
	return func(c *gin.Context) {
		id := rand.Text()[:16]
		c.Set(requestIDKey, id)
		c.Header(requestIDHeader, id)
		c.Next()
	}
}

// RequestID is the request's id, for the log and for error pages.
func RequestID(c *gin.Context) string { return c.GetString(requestIDKey) }
