package httpx

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
)

// counter is a body that says how much of it was read.
type counter struct {
	left int
	read int
}

func (c *counter) Read(p []byte) (int, error) {
	if c.left == 0 {
		return 0, io.EOF
	}
	n := min(len(p), c.left)
	for i := range n {
		p[i] = ' '
	}
	c.left -= n
	c.read += n
	return n, nil
}

func TestLargeBodiesAreNotRead(t *testing.T) {
	const fifty = 50 << 20
	for _, test := range []struct {
		name       string
		size       int
		saidLength bool
		status     int
		mostRead   int
	}{
		{"50 MB with its length", fifty, true, 413, 0},
		{"50 MB without", fifty, false, 413, MaxBody + 64<<10},
		{"1 MiB and a byte", MaxBody + 1, true, 413, 0},
		{"1 MiB is read, and found to be no JSON", MaxBody, true, 422, MaxBody},
	} {
		t.Run(test.name, func(t *testing.T) {
			body := &counter{left: test.size}
			r := httptest.NewRequest(http.MethodPost, "/api/x", body)
			r.Header.Set("Content-Type", "application/json")
			r.ContentLength = -1
			if test.saidLength {
				r.ContentLength = int64(test.size)
			}
			w := serve(r, func(c *gin.Context) error { return DecodeJSON(c, &sample{}) }, LimitBody(testAnswers(), nil))
			if w.Code != test.status || body.read > test.mostRead {
				t.Errorf("%d after reading %d bytes, want %d after at most %d", w.Code, body.read, test.status, test.mostRead)
			}
		})
	}
}

// A real connection, because the refusal must reach a client that is still
// sending.
func TestALargeBodyIsRefusedQuickly(t *testing.T) {
	engine := gin.New()
	engine.Use(LimitBody(testAnswers(), nil))
	engine.POST("/api/x", testAnswers().Adapt(func(c *gin.Context) error { return DecodeJSON(c, &sample{}) }))
	server := httptest.NewServer(engine)
	defer server.Close()
	started := time.Now()
	answer, err := http.Post(server.URL+"/api/x", "application/json", bytes.NewReader(make([]byte, 50<<20)))
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if took := time.Since(started); answer.StatusCode != http.StatusRequestEntityTooLarge || took > 2*time.Second {
		t.Errorf("%d after %s, want 413 within 2 s", answer.StatusCode, took)
	}
}

func TestForms413Too(t *testing.T) {
	r := httptest.NewRequest(http.MethodPost, "/x", io.LimitReader(&counter{left: 2 << 20}, 2<<20))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.ContentLength = -1
	w := serve(r, func(c *gin.Context) error {
		var form struct{ A string }
		return c.ShouldBind(&form)
	}, LimitBody(testAnswers(), nil))
	if w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("%d %s, want 413", w.Code, w.Body)
	}
}

func TestHosts(t *testing.T) {
	arrived := func(addr string) context.Context {
		a, err := net.ResolveTCPAddr("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		return context.WithValue(t.Context(), http.LocalAddrContextKey, net.Addr(a))
	}
	hosts := Hosts(testAnswers(), []string{"wheels.example", "other.example:8443", "FD00::7"})
	for _, test := range []struct {
		name, host, at string
		want           int
	}{
		{"this machine", "localhost:8080", "127.0.0.1:8080", 200},
		{"this machine by number", "127.0.0.1:8080", "127.0.0.1:8080", 200},
		{"this machine by its longer number", "[::1]:8080", "[::1]:8080", 200},
		{"a number given", "[fd00::7]:80", "192.0.2.4:80", 200},
		{"half a pair of brackets", "localhost]", "127.0.0.1:8080", 421},
		{"brackets around a name", "[localhost]:8080", "127.0.0.1:8080", 421},
		{"the name given", "wheels.example", "192.0.2.4:80", 200},
		{"the name given, with case, dot and port", "Wheels.Example.:80", "192.0.2.4:80", 200},
		{"a name given with a port", "other.example", "192.0.2.4:80", 200},
		{"the address of the connection", "192.0.2.4:8080", "192.0.2.4:8080", 200},
		{"another address", "192.0.2.5:8080", "192.0.2.4:8080", 421},
		{"a stranger's name that points here", "elsewhere.example:8080", "127.0.0.1:8080", 421},
		{"a name that ends like ours", "notwheels.example", "192.0.2.4:80", 421},
		{"nothing", "", "127.0.0.1:8080", 421},
		{"another name behind ours, as browsers read it", "localhost:80@elsewhere.example", "127.0.0.1:8080", 421},
		{"the same without a port", "wheels.example@elsewhere.example", "192.0.2.4:80", 421},
		{"a port that is none", "wheels.example:http", "192.0.2.4:80", 421},
	} {
		t.Run(test.name, func(t *testing.T) {
			r := httptest.NewRequest(http.MethodGet, "/x", nil).WithContext(arrived(test.at))
			r.Host = test.host
			if w := serve(r, ok, hosts); w.Code != test.want {
				t.Errorf("Host %q at %s: %d, want %d", test.host, test.at, w.Code, test.want)
			}
		})
	}
}

func TestSameOrigin(t *testing.T) {
	for _, test := range []struct {
		name, method string
		headers      map[string]string
		want         int
	}{
		{"our own page", "POST", map[string]string{"Sec-Fetch-Site": "same-origin", "Origin": "http://wheels.example"}, 200},
		{"a page of another site", "POST", map[string]string{"Sec-Fetch-Site": "cross-site"}, 403},
		{"a page of a sibling", "PUT", map[string]string{"Sec-Fetch-Site": "same-site"}, 403},
		{"an older browser, ours", "POST", map[string]string{"Origin": "http://wheels.example"}, 200},
		{"an older browser, another", "POST", map[string]string{"Origin": "http://elsewhere.example"}, 403},
		{"no origin at all: a sandboxed page", "POST", map[string]string{"Origin": "null"}, 403},
		{"a program", "POST", nil, 200},
		{"only looking", "GET", map[string]string{"Sec-Fetch-Site": "cross-site"}, 200},
	} {
		t.Run(test.name, func(t *testing.T) {
			r := httptest.NewRequest(test.method, "http://wheels.example/x", nil)
			for k, v := range test.headers {
				r.Header.Set(k, v)
			}
			if w := serve(r, ok, SameOrigin(testAnswers())); w.Code != test.want {
				t.Errorf("%d, want %d", w.Code, test.want)
			}
		})
	}
}

// OWASP ASVS 5.0, 3.4.1 to 3.4.6, on answers of every kind.
func TestSecurityHeaders(t *testing.T) {
	for name, h := range map[string]Handler{"a page": ok, "an error": func(*gin.Context) error { return errNoRoute }} {
		for _, tls := range []bool{false, true} {
			header := serve(httptest.NewRequest(http.MethodGet, "/x", nil), h, SecurityHeaders(tls)).Header()
			policy := header.Get("Content-Security-Policy")
			for _, want := range []string{"default-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'"} {
				if !strings.Contains(policy, want) {
					t.Errorf("%s: the content policy lacks %q: %s", name, want, policy)
				}
			}
			if strings.Contains(policy, "unsafe") {
				t.Errorf("%s: the content policy allows inline code: %s", name, policy)
			}
			for key, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Cross-Origin-Opener-Policy": "same-origin", "Cache-Control": "no-store", "Referrer-Policy": "same-origin"} {
				if got := header.Get(key); got != want {
					t.Errorf("%s: %s = %q, want %q", name, key, got, want)
				}
			}
			if got := header.Get("Strict-Transport-Security") != ""; got != tls {
				t.Errorf("%s: Strict-Transport-Security said: %v, over TLS: %v", name, got, tls)
			}
		}
	}
}

func TestARushWaitsAndIsThenSentAway(t *testing.T) {
	answers := testAnswers()
	release := make(chan struct{})
	var inside atomic.Int32
	engine := gin.New()
	engine.Use(LimitConcurrency(answers, 2, 20*time.Millisecond))
	engine.GET("/api/x", answers.Adapt(func(c *gin.Context) error {
		inside.Add(1)
		<-release
		return ok(c)
	}))
	ask := func() *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		engine.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/api/x", nil))
		return w
	}
	var wg sync.WaitGroup
	for range 2 {
		wg.Go(func() {
			if w := ask(); w.Code != http.StatusOK {
				t.Errorf("one of the first two: %d", w.Code)
			}
		})
	}
	for inside.Load() < 2 {
		time.Sleep(time.Millisecond)
	}
	if w := ask(); w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" {
		t.Errorf("the third: %d, Retry-After %q, want 503 with a time", w.Code, w.Header().Get("Retry-After"))
	}
	close(release)
	wg.Wait()
	if w := ask(); w.Code != http.StatusOK {
		t.Errorf("afterwards: %d", w.Code)
	}
}

func TestRequestIDsAreOurs(t *testing.T) {
	r := httptest.NewRequest(http.MethodGet, "/x", nil)
	r.Header.Set("Tracewright-Request", "forged")
	one := serve(r, ok, NameRequests()).Header().Get("Tracewright-Request")
	two := serve(r, ok, NameRequests()).Header().Get("Tracewright-Request")
	if one == "forged" || one == two || len(one) != 16 {
		t.Errorf("request ids %q and %q", one, two)
	}
}
