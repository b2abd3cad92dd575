package httpx_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"

	"tracewright/server/httpx"
)

// A document is the same to who takes it compressed and who does not, however it is
// kept; the answer says its length and that it depends on what was asked for.
func TestADocumentIsTheSameInBothForms(t *testing.T) {
	body := []byte(strings.Repeat("one line and another\n", 200))
	var zipped bytes.Buffer
	w := gzip.NewWriter(&zipped)
	if _, err := w.Write(body); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	for name, d := range map[string]*httpx.Document{"as it is": httpx.AsIs(body, "text/plain"), "compressed": httpx.KeptZipped(zipped.Bytes(), "text/plain")} {
		for takes, want := range map[string]bool{"": false, "gzip, br": true, "br;q=1, GZIP ; Q=0.5": true, "*": true, "gzip;q=0": false, "identity, gzip; q=0.0, *": false, "notgzip": false, "*;q=0": false, "gzip;q=x": false} {
			answer := httptest.NewRecorder()
			c, _ := gin.CreateTestContext(answer)
			c.Request = httptest.NewRequest(http.MethodGet, "/", nil)
			c.Request.Header.Set("Accept-Encoding", takes)
			if err := d.Send(c); err != nil {
				t.Fatal(err)
			}
			got := answer.Body.Bytes()
			if answer.Header().Get("Content-Length") != strconv.Itoa(len(got)) || answer.Header().Get("Vary") != "Accept-Encoding" {
				t.Errorf("%s, %q: headers %v for %d bytes", name, takes, answer.Header(), len(got))
			}
			if coded := answer.Header().Get("Content-Encoding") == "gzip"; coded != want {
				t.Errorf("%s, %q: Content-Encoding %q", name, takes, answer.Header().Get("Content-Encoding"))
			} else if coded {
				r, err := gzip.NewReader(bytes.NewReader(got))
				if err != nil {
					t.Fatal(err)
				}
				if got, err = io.ReadAll(r); err != nil {
					t.Fatal(err)
				}
			}
			if !bytes.Equal(got, body) {
				t.Errorf("%s, %q: %d bytes came, want %d", name, takes, len(got), len(body))
			}
		}
	}
	if err := httpx.KeptZipped([]byte("not gzip"), "text/plain").Send(testContext()); err == nil {
		t.Error("what is no gzip was sent")
	}
}

func testContext() *gin.Context {
	c, _ := gin.CreateTestContext(httptest.NewRecorder())
	c.Request = httptest.NewRequest(http.MethodGet, "/", nil)
	return c
}
