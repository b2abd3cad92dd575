package httpx

import (
	"strings"

	"github.com/gin-gonic/gin"
)

// contentPolicy lets a page load what this server serves and nothing else; no
// inline script and no inline style, nor a style attribute.
var contentPolicy = strings.Join([]string{
	"default-src 'self'",
	"object-src 'none'",
	"base-uri 'none'",
	"form-action 'self'",
	"frame-ancestors 'none'",
	"worker-src 'self'",
}, "; ")

// decoderPolicy also lets a page compile the decoder of the camera, which is
// WebAssembly of this server's own; no text becomes script by it.
var decoderPolicy = contentPolicy + "; script-src 'self' 'wasm-unsafe-eval'"

// AllowDecoder gives an answer the policy of a page that reads codes with the
// camera.
func AllowDecoder(c *gin.Context) { c.Header("Content-Security-Policy", decoderPolicy) }

// SecurityHeaders stand on every answer, errors too. Handlers may change
// Cache-Control; what is not said may not be kept. onlyTLS tells browsers to
// insist on TLS from now on (RFC 6797).
func SecurityHeaders(onlyTLS bool) gin.HandlerFunc {
	return func(c *gin.Context) {
		h := c.Writer.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(self), microphone=(), geolocation=(), payment=(), usb=()")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Cache-Control", "no-store")
		if onlyTLS {
			h.Set("Strict-Transport-Security", "max-age=31536000; includeSubDomains")
		}
		c.Next()
	}
}
