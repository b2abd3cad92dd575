package httpx

import (
	"strings"

	"github.com/gin-gonic/gin"
)

const forwardedFor = "X-Forwarded-For"

// OneForwarded makes one list of the addresses that a request is said to come from.
// A proxy may add its own as a header beside one that whoever asks has written; the
// router, whose ClientIP reads the list from its end, looks at the first alone.
func OneForwarded() gin.HandlerFunc {
	return func(c *gin.Context) {
		if said := c.Request.Header.Values(forwardedFor); len(said) > 1 {
			c.Request.Header.Set(forwardedFor, strings.Join(said, ", "))
		}
	}
}
