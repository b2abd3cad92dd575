package httpx

import (
	"bufio"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
)

// A stream outlives every limit on time of server and router, holds no place
// among the requests at once, and ends when its listener leaves.
func TestAStreamOutlivesTheLimits(t *testing.T) {
	const limit = 60 * time.Millisecond
	answers := testAnswers()
	left := make(chan struct{})
	goOn := make(chan struct{})
	engine := gin.New()
	engine.Use(LimitConcurrency(answers, 1, 5*time.Millisecond), LimitTime(limit))
	engine.GET("/api/stream", answers.Adapt(func(c *gin.Context) error {
		s, err := NewStream(c)
		if err != nil {
			return err
		}
		for n := 0; ; n++ {
			if err := s.Send(fmt.Sprintf("data: %d\n\n", n)); err != nil {
				return nil
			}
			select {
			case <-s.Done():
				close(left)
				return nil
			case <-goOn:
			}
		}
	}))
	engine.GET("/api/x", answers.Adapt(ok))
	server := httptest.NewUnstartedServer(engine)
	server.Config.ReadTimeout, server.Config.WriteTimeout = limit, limit
	server.Start()
	defer server.Close()

	answer, err := http.Get(server.URL + "/api/stream")
	if err != nil {
		t.Fatal(err)
	}
	if got := answer.Header.Get("Content-Type"); got != "text/event-stream" {
		t.Errorf("content type %q", got)
	}
	lines := bufio.NewScanner(answer.Body)
	next := func() string {
		for lines.Scan() {
			if text := lines.Text(); text != "" {
				return text
			}
		}
		return "end: " + fmt.Sprint(lines.Err())
	}
	if got := next(); got != "data: 0" {
		t.Fatalf("first %q", got)
	}
	time.Sleep(3 * limit)
	other, err := http.Get(server.URL + "/api/x")
	if err != nil || other.StatusCode != http.StatusOK {
		t.Errorf("a request beside the stream: %v, %v", other, err)
	}
	other.Body.Close()
	for n := 1; n <= 3; n++ {
		goOn <- struct{}{}
		if got := next(); got != fmt.Sprint("data: ", n) {
			t.Fatalf("after three times every limit: %q", got)
		}
		time.Sleep(limit)
	}
	answer.Body.Close()
	select {
	case <-left:
	case <-time.After(5 * time.Second):
		t.Error("the listener left and the stream goes on")
	}
}

// A browser's stream that comes back every few minutes is no sign of a person:
// the session still ends after its idle time.
func TestAStreamKeepsNoSessionAlive(t *testing.T) {
	for _, test := range []struct {
		accept string
		want   string
	}{{"text/event-stream", `"name":""`}, {"application/json", `"name":"Ilse Grauer"`}} {
		d := newDesk(t, SessionOptions{})
		at := d.browser()
		at.mustWork(http.MethodPost, "/in?login=ilse&password="+goodPassword)
		w := httptest.NewRecorder()
		for range 8 {
			d.at = d.at.Add(5 * time.Minute)
			r := httptest.NewRequest(http.MethodGet, "/who", nil)
			r.Header.Set("Accept", test.accept)
			for name, value := range at.cookies {
				r.AddCookie(&http.Cookie{Name: name, Value: value})
			}
			w = httptest.NewRecorder()
			d.engine.ServeHTTP(w, r)
		}
		if !strings.Contains(w.Body.String(), test.want) {
			t.Errorf("%s every five minutes for forty: %s, want %s", test.accept, w.Body, test.want)
		}
	}
}
