package httpx

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"sync"

	"github.com/gin-gonic/gin"
)

// Document is something that never changes while the program runs, and is sent as it
// is or compressed by gzip.
type Document struct {
	mediaType string
	plain     func() ([]byte, error)
	zipped    func() []byte // nil when it does not shrink
}

// AsIs is a document that is kept as it is, and compressed when somebody first asks
// for that.
func AsIs(body []byte, mediaType string) *Document {
	return &Document{
		mediaType: mediaType,
		plain:     func() ([]byte, error) { return body, nil },
		zipped:    sync.OnceValue(func() []byte { return compressed(body, mediaType) }),
	}
}

// KeptZipped is a document that is kept compressed, and unpacked when somebody first
// asks that cannot do so itself.
func KeptZipped(zipped []byte, mediaType string) *Document {
	return &Document{
		mediaType: mediaType,
		plain: sync.OnceValues(func() ([]byte, error) {
			r, err := gzip.NewReader(bytes.NewReader(zipped))
			if err != nil {
				return nil, fmt.Errorf("unpack what is kept compressed: %w", err)
			}
			body, err := io.ReadAll(r)
			if err != nil {
				return nil, fmt.Errorf("unpack what is kept compressed: %w", err)
			}
			return body, nil
		}),
		zipped: func() []byte { return zipped },
	}
}

// Plain is the document as it is read.
func (d *Document) Plain() ([]byte, error) { return d.plain() }

// Send answers with the document in the form that was asked for.
func (d *Document) Send(c *gin.Context) error {
	c.Header("Vary", "Accept-Encoding")
	if takesGzip(c.Request.Header) {
		if zipped := d.zipped(); zipped != nil {
			c.Header("Content-Encoding", "gzip")
			Send(c, http.StatusOK, d.mediaType, zipped)
			return nil
		}
	}
	body, err := d.plain()
	if err != nil {
		return err
	}
	Send(c, http.StatusOK, d.mediaType, body)
	return nil
}

// takesGzip says whether an answer may be compressed: RFC 9110, 12.5.3. A coding of
// weight 0 is refused; "*" stands for what is not named.
func takesGzip(asked http.Header) bool {
	others := false
	for _, line := range asked.Values("Accept-Encoding") {
		for part := range strings.SplitSeq(line, ",") {
			coding, weight, weighed := strings.Cut(part, ";")
			taken := true
			if weighed {
				q, err := strconv.ParseFloat(strings.TrimPrefix(strings.ToLower(strings.TrimSpace(weight)), "q="), 64)
				taken = err == nil && q > 0
			}
			switch strings.ToLower(strings.TrimSpace(coding)) {
			case "gzip", "x-gzip":
				return taken
			case "*":
				others = taken
			}
		}
	}
	return others
}

// compressed is the gzip form; nil where there is none that is smaller.
func compressed(body []byte, mediaType string) []byte {
	switch {
	case strings.HasPrefix(mediaType, "text/"), mediaType == "image/svg+xml", mediaType == "application/manifest+json", mediaType == "application/wasm":
	default:
		return nil
	}
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil
	}
	if _, err := w.Write(body); err != nil {
		return nil
	}
	if err := w.Close(); err != nil || out.Len() >= len(body) {
		return nil
	}
	return out.Bytes()
}
