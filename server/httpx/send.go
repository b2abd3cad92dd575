package httpx

import (
	"strconv"

	"github.com/gin-gonic/gin"
)

// Send answers with bytes and says how many: without that a proxy of HTTP/1.0 hands
// on an answer that broke off as if it were whole.
func Send(c *gin.Context, status int, mediaType string, body []byte) {
	c.Header("Content-Length", strconv.Itoa(len(body)))
	c.Data(status, mediaType, body)
}
