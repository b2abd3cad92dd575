package servertest

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"
)

// onTheWire is the server as it runs, on two listeners of its own.
type onTheWire struct {
	t             *testing.T
	shop, public  string // host:port
	cookie, other string // of the desk, of the owner
}

func (s *Shop) onTheWire(t *testing.T) *onTheWire {
	t.Helper()
	listen := func() net.Listener {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		s.Must(err)
		return l
	}
	shop, public := listen(), listen()
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.App.Run(ctx, shop, public) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Errorf("the server: %v", err)
		}
	})
	cookie := func(who string) string {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		s.sign[who](r)
		return r.Header.Get("Cookie")
	}
	return &onTheWire{t, shop.Addr().String(), public.Addr().String(), cookie(Desk), cookie(Owner)}
}

// said is what came back on one connection.
type said struct {
	answers []*http.Response
	bodies  []string
	closed  bool
}

// send writes bytes as they are and reads all that comes back, until the server
// ends the connection or has nothing more to say.
func (w *onTheWire) send(to, raw string) said {
	w.t.Helper()
	conn, err := net.Dial("tcp", to)
	if err != nil {
		w.t.Fatal(err)
	}
	defer conn.Close()
	// A server that refuses need not read to the end.
	_ = conn.SetDeadline(time.Now().Add(5 * time.Second))
	_, _ = io.WriteString(conn, raw)
	in := bufio.NewReader(conn)
	var out said
	for {
		answer, err := http.ReadResponse(in, nil)
		if err != nil {
			out.closed = !errors.Is(err, os.ErrDeadlineExceeded)
			return out
		}
		body, err := io.ReadAll(answer.Body)
		if err != nil {
			w.t.Fatalf("an answer breaks off: %v", err)
		}
		out.answers, out.bodies = append(out.answers, answer), append(out.bodies, string(body))
		if answer.Close {
			out.closed = true
			return out
		}
		_ = conn.SetReadDeadline(time.Now().Add(150 * time.Millisecond))
	}
}

// get is a request by the desk, with further header lines.
func (w *onTheWire) get(target string, lines ...string) string {
	return "GET " + target + " HTTP/1.1\r\nHost: " + w.shop + "\r\nCookie: " + w.cookie + "\r\nConnection: close\r\n" + strings.Join(append(lines, "\r\n"), "\r\n")
}

func TestRequestsAreTakenByTheLetter(t *testing.T) {
	s := On(t, openSQLite(t))
	w := s.onTheWire(t)
	serial := *s.Item["wheel"].Serial
	host := "Host: " + w.shop + "\r\n"
	end := "Connection: close\r\n\r\n"
	long := strings.Repeat("a", 70_000)
	for _, c := range []struct {
		name, raw string
		status    int
		has       string // in the answer
	}{
		// What is right, so that the rest is known to fail by what is wrong with it.
		{"an item", w.get("/items/" + serial), 200, serial},
		{"people are not the desk's", w.get("/people"), 403, ""},
		{"an item by the whole address", w.get("http://" + w.shop + "/items/" + serial), 200, serial},

		// Paths.
		{"two slashes", w.get("//items/" + serial), 404, ""},
		{"two slashes and a host", w.get("//elsewhere.example/items/" + serial), 404, ""},
		{"two slashes within", w.get("/items//" + serial), 404, ""},
		{"a dot", w.get("/./items/" + serial), 404, ""},
		{"two dots", w.get("/items/../people"), 404, ""},
		{"two dots, escaped", w.get("/items/%2e%2e/people"), 404, ""},
		{"two dots and a slash, escaped", w.get("/items/..%2fpeople"), 422, ""},
		{"dots out of the files of the program", w.get("/static/x/../../people"), 404, ""},
		{"dots out of them, escaped", w.get("/static/x/..%2f..%2fpeople"), 404, ""},
		{"dots out of them, escaped twice", w.get("/static/x/%252e%252e%252fpeople"), 404, ""},
		{"a backslash", w.get(`/static/x/..\..\people`), 404, ""},
		{"a host's file", w.get("/static/x/..%2f..%2f..%2f..%2fetc%2fpasswd"), 404, ""},
		{"another case", w.get("/PEOPLE"), 404, ""},
		{"a semicolon", w.get("/people;x"), 404, ""},
		{"a zero byte, escaped", w.get("/items/" + serial + "%00"), 422, ""},
		{"no text, escaped", w.get("/items/%ff%fe"), 422, ""},
		{"an escape that is none", w.get("/items/%zz"), 400, ""},
		{"a zero byte", w.get("/items/\x00"), 400, ""},
		{"a line break, escaped", w.get("/items/%0d%0aSet-Cookie:%20a=b"), 422, ""},
		{"a path of the wrong form", w.get("items"), 400, ""},
		{"seventy thousand characters", w.get("/items/" + long), 431, ""},
		{"a fragment", w.get("/items/" + serial + "#x"), 422, ""},
		{"a slash too many", w.get("/items/" + serial + "/"), 303, ""},

		// Lines of the head.
		{"seventy thousand characters in a line", w.get("/items/"+serial, "X-Note: "+long), 431, ""},
		{"a thousand lines", w.get("/items/"+serial, strings.Repeat("X-A: b\r\n", 1000)+"X-C: d"), 200, serial},
		{"a space before the colon", w.get("/items/"+serial, "Accept : text/html"), 400, ""},
		{"a zero byte in a line", w.get("/items/"+serial, "X-Note: a\x00b"), 400, ""},
		{"a line that begins with a space", w.get("/items/"+serial, "X-Note: a", " b: c"), 200, serial},
		{"two that say who asks", w.get("/api/v1/items", "Authorization: Bearer a", "Authorization: Bearer b"), 400, ""},
		{"two origins", "POST /signout HTTP/1.1\r\n" + host + "Origin: http://" + w.shop + "\r\nOrigin: https://elsewhere.example\r\nContent-Length: 0\r\n" + end, 400, ""},
		{"two types of one body", "POST /signin HTTP/1.1\r\n" + host + "Content-Type: application/json\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 2\r\n" + end + "{}", 400, ""},

		// The host.
		{"no host", "GET /signin HTTP/1.1\r\n" + end, 400, ""},
		{"an empty host", "GET /signin HTTP/1.1\r\nHost: \r\n" + end, 421, ""},
		{"no host, in the first version", "GET /signin HTTP/1.0\r\n\r\n", 421, ""},
		{"another name", "GET /signin HTTP/1.1\r\nHost: elsewhere.example\r\n" + end, 421, ""},
		{"another name, for a page with a slash too many", "GET /signin/ HTTP/1.1\r\nHost: elsewhere.example\r\n" + end, 421, ""},
		{"another name, for whether the server lives", "GET /healthz HTTP/1.1\r\nHost: elsewhere.example\r\n" + end, 421, ""},
		{"another name in the address", "GET http://elsewhere.example/signin HTTP/1.1\r\n" + host + end, 421, ""},
		{"two hosts", "GET /signin HTTP/1.1\r\n" + host + "Host: elsewhere.example\r\n" + end, 400, ""},
		{"another name behind ours", "GET /signin HTTP/1.1\r\nHost: localhost:80@elsewhere.example\r\n" + end, 400, ""},
		{"another name that ends like ours", "GET /signin HTTP/1.1\r\nHost: localhost.elsewhere.example\r\n" + end, 421, ""},
		{"another address of this machine", "GET /signin HTTP/1.1\r\nHost: 127.0.0.2\r\n" + end, 421, ""},
		{"a host with a path", "GET /signin HTTP/1.1\r\nHost: localhost/x\r\n" + end, 400, ""},

		// What only a proxy may say.
		{"another host by a proxy's word", w.get("/items/"+serial+"/", "X-Forwarded-Host: elsewhere.example", "Forwarded: host=elsewhere.example", "X-Forwarded-Prefix: /elsewhere", "X-Forwarded-Proto: https"), 303, ""},
		{"another address by a proxy's word", w.get("/items/"+serial, "X-Original-URL: /people", "X-Rewrite-URL: /people"), 200, serial},
		{"another method by a header", w.get("/signout", "X-HTTP-Method-Override: POST", "X-HTTP-Method: POST", "X-Method-Override: POST"), 405, ""},
		{"another method by the query", w.get("/signout?_method=POST"), 405, ""},
		{"and the desk is still signed in", w.get("/items/" + serial), 200, serial},

		// Methods.
		{"TRACE", "TRACE /signin HTTP/1.1\r\n" + host + end, 405, ""},
		{"OPTIONS of everything", "OPTIONS * HTTP/1.1\r\n" + host + end, 404, ""},
		{"CONNECT", "CONNECT " + w.shop + " HTTP/1.1\r\n" + host + end, 404, ""},
		{"a method of its own making", "BREW /signin HTTP/1.1\r\n" + host + end, 405, ""},
		{"a method with a space", "GE T /signin HTTP/1.1\r\n" + host + end, 400, ""},
		{"another protocol", "GET /signin HTTP/3.7\r\n" + host + end, 505, ""},
		{"no protocol", "GET /signin\r\n\r\n", 400, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := w.send(w.shop, c.raw)
			if len(got.answers) != 1 || got.answers[0].StatusCode != c.status {
				statuses := []string{}
				for _, a := range got.answers {
					statuses = append(statuses, a.Status)
				}
				t.Fatalf("answers %v, want one: %d", statuses, c.status)
			}
			a, body := got.answers[0], got.bodies[0]
			if !strings.Contains(body, c.has) || strings.Contains(body, "root:x:0") {
				t.Errorf("the answer is %.300s", body)
			}
			told := fmt.Sprint(a.Header) + body
			if to := a.Header.Get("Location"); strings.Contains(to, "elsewhere") || strings.HasPrefix(to, "//") || c.status == 303 && to != "/items/"+serial {
				t.Errorf("led to %q", to)
			}
			if a.Header.Get("Set-Cookie") != "" || c.status < 500 && strings.Contains(told, "goroutine ") {
				t.Errorf("the answer is %.300s", told)
			}
			// Whatever reaches our own code carries the headers of every answer.
			if ours := a.Header.Get("Tracewright-Request") != ""; ours != (a.Header.Get("Content-Security-Policy") != "") || !ours && c.status != 400 && c.status != 431 && c.status != 505 {
				t.Errorf("headers %v", a.Header)
			}
		})
	}
}

// HEAD tells what GET would, to the same people, and sends no body; a monitor asks so.
func TestHEADIsGETWithoutItsBody(t *testing.T) {
	s := On(t, openSQLite(t))
	w := s.onTheWire(t)
	for _, c := range []struct {
		path   string
		status int
		kind   string
	}{
		{"/healthz", 200, ""}, {"/readyz", 200, ""}, {"/signin", 200, "text/html; charset=utf-8"}, {"/items/" + *s.Item["wheel"].Serial, 200, "text/html; charset=utf-8"},
		{"/api/v1/items/" + *s.Item["wheel"].Serial, 200, "application/json; charset=utf-8"}, {"/people", 403, ""}, {"/api/v1/no-such-thing", 404, ""}, {"/signout", 405, ""}, {"/api/v1/charts/events", 405, ""},
	} {
		head := strings.Replace(w.get(c.path), "GET", "HEAD", 1)
		conn, err := net.Dial("tcp", w.shop)
		s.Must(err)
		_ = conn.SetDeadline(time.Now().Add(5 * time.Second))
		_, err = io.WriteString(conn, head+"\r\n\r\n")
		s.Must(err)
		raw, err := io.ReadAll(conn)
		conn.Close()
		s.Must(err)
		told, body, _ := strings.Cut(string(raw), "\r\n\r\n")
		if !strings.HasPrefix(told, fmt.Sprintf("HTTP/1.1 %d ", c.status)) || body != "" || !strings.Contains(told, "Content-Type: "+c.kind) {
			t.Errorf("HEAD %s: %.300q and a body of %d bytes; want %d, %s", c.path, told, len(body), c.status, c.kind)
		}
	}
}

// Two readers of one connection must agree on where a request ends (RFC 9112, 11.2):
// a request hidden behind another is never answered.
func TestNoRequestHidesBehindAnother(t *testing.T) {
	s := On(t, openSQLite(t))
	w := s.onTheWire(t)
	head := "POST /signin HTTP/1.1\r\nHost: " + w.shop + "\r\nContent-Type: application/x-www-form-urlencoded\r\n"
	hidden := "GET /healthz HTTP/1.1\r\nHost: " + w.shop + "\r\n\r\n"
	for _, c := range []struct {
		name, raw string
		status    int
	}{
		{"a length and chunks", head + fmt.Sprintf("Content-Length: %d\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n", len(hidden)+5) + hidden, 422},
		{"chunks and a length", head + "Transfer-Encoding: chunked\r\nContent-Length: 4\r\n\r\n5c\r\n" + strings.Repeat("a", 0x5c) + "\r\n0\r\n\r\n" + hidden, 422},
		{"two lengths", head + "Content-Length: 0\r\nContent-Length: 44\r\n\r\n" + hidden, 400},
		{"a length of two", head + "Content-Length: 0, 44\r\n\r\n" + hidden, 400},
		{"a length with a sign", head + "Content-Length: +0\r\n\r\n" + hidden, 400},
		{"a length below none", head + "Content-Length: -1\r\n\r\n" + hidden, 400},
		{"a length of its own making", head + "Content-Length: 0x0\r\n\r\n" + hidden, 400},
		{"chunks said twice", head + "Transfer-Encoding: chunked\r\nTransfer-Encoding: identity\r\n\r\n0\r\n\r\n" + hidden, 501},
		{"another coding", head + "Transfer-Encoding: xchunked\r\n\r\n0\r\n\r\n" + hidden, 501},
		{"a list of codings", head + "Transfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n" + hidden, 501},
		{"a space before the colon", head + "Transfer-Encoding : chunked\r\n\r\n0\r\n\r\n" + hidden, 400},
		{"a tab before the colon", head + "Transfer-Encoding\t: chunked\r\n\r\n0\r\n\r\n" + hidden, 400},
		{"chunks of no size", head + "Transfer-Encoding: chunked\r\n\r\nz\r\n\r\n" + hidden, 408},
		{"chunks of a size beyond counting", head + "Transfer-Encoding: chunked\r\n\r\nffffffffffffffffff\r\n\r\n" + hidden, 408},
		{"a body of a request that only looks", "GET /signin HTTP/1.1\r\nHost: " + w.shop + "\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n" + hidden, 200},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := w.send(w.shop, c.raw)
			if len(got.answers) != 1 || got.answers[0].StatusCode != c.status || !got.closed {
				t.Errorf("%d answers, closed %v, bodies %.200q; want one, %d, and the end", len(got.answers), got.closed, got.bodies, c.status)
			}
		})
	}
	// Two requests one after the other are no trick.
	if got := w.send(w.shop, hidden+hidden); len(got.answers) != 2 {
		t.Errorf("%d answers to two requests", len(got.answers))
	}
}

func TestStrangersRequestsAreTakenByTheLetter(t *testing.T) {
	s := On(t, openSQLite(t))
	w := s.onTheWire(t)
	end := "Connection: close\r\n\r\n"
	for _, c := range []struct {
		name, raw string
		status    int
	}{
		{"the form", "GET / HTTP/1.1\r\nHost: x\r\n" + end, 200},
		{"an address of the shop", "GET /items HTTP/1.1\r\nHost: x\r\nCookie: " + w.other + "\r\n" + end, 404},
		{"dots", "GET /../../etc/passwd HTTP/1.1\r\nHost: x\r\n" + end, 404},
		{"a host in the path", "GET //elsewhere.example/ HTTP/1.1\r\nHost: x\r\n" + end, 404},
		{"a change", "POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 0\r\n" + end, 405},
		{"TRACE", "TRACE / HTTP/1.1\r\nHost: x\r\n" + end, 405},
		{"OPTIONS of everything", "OPTIONS * HTTP/1.1\r\nHost: x\r\n" + end, 405},
		{"nine thousand characters", "GET /" + strings.Repeat("a", 14_000) + " HTTP/1.1\r\nHost: x\r\n" + end, 431},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := w.send(w.public, c.raw)
			if len(got.answers) != 1 || got.answers[0].StatusCode != c.status {
				t.Fatalf("%d answers: %.300q, want one: %d", len(got.answers), got.bodies, c.status)
			}
			if a := got.answers[0]; c.status != 431 && (a.Header.Get("Content-Security-Policy") == "" || a.Header.Get("Location") != "") {
				t.Errorf("headers %v", a.Header)
			}
		})
	}
}
