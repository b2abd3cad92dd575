package httpx

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
)

// Who is known before anything was read: by a key or a session that opens something.
func TestWhoIsKnownBeforeItIsRead(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	signedIn, tablet, stranger := d.browser(), d.browser(), d.browser()
	signedIn.mustWork(http.MethodPost, "/in?login=ilse&password="+goodPassword)
	tablet.mustWork(http.MethodPost, "/in?login=ilse&password="+goodPassword)
	tablet.mustWork(http.MethodPost, "/enrol")
	out := d.browser()
	out.mustWork(http.MethodPost, "/in?login=ilse&password="+goodPassword)
	ended := &browser{desk: d, cookies: map[string]string{}}
	for name, value := range out.cookies {
		ended.cookies[name] = value
	}
	out.mustWork(http.MethodPost, "/out")
	forged := &browser{desk: d, cookies: map[string]string{d.sessions.manager.Cookie.Name: "x", d.sessions.deviceCookieName(): "x.y"}}
	for _, test := range []struct {
		name          string
		authorization string
		browser       *browser
		want          bool
	}{
		{"nobody", "", stranger, false},
		{"a session", "", signedIn, true},
		{"a session that was ended", "", ended, false},
		{"an enrolled tablet", "", tablet, true},
		{"a device's key", "Bearer " + d.key, stranger, true},
		{"a key that opens nothing", "Bearer x", stranger, false},
		{"cookies that open nothing", "", forged, false},
	} {
		r := httptest.NewRequest(http.MethodPost, "/x", nil)
		r.Header.Set("Authorization", test.authorization)
		for name, value := range test.browser.cookies {
			r.AddCookie(&http.Cookie{Name: name, Value: value})
		}
		if got := d.sessions.Known(t.Context(), r); got != test.want {
			t.Errorf("%s: known %v, want %v", test.name, got, test.want)
		}
	}
}

// What is sent arrives whole on both sides of what needs no place.
func TestBodiesArriveWhole(t *testing.T) {
	for _, size := range []int{0, 1, freeBody - 1, freeBody, freeBody + 1, MaxBody} {
		want := strings.Repeat("a", size)
		r := httptest.NewRequest(http.MethodPost, "/x", strings.NewReader(want))
		nobody := func(context.Context, *http.Request) bool { return false }
		serve(r, func(c *gin.Context) error {
			if got, err := io.ReadAll(c.Request.Body); err != nil || string(got) != want {
				t.Errorf("%d bytes (%v), want %d as they were sent", len(got), err, size)
			}
			return nil
		}, ReadBodies(testAnswers(), nil, nobody, 4, time.Second))
	}
}
