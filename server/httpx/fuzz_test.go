package httpx

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

// A form with files is read to its end or is a mistake of its sender; no more of a
// file is kept than was asked for.
func FuzzReadFile(f *testing.F) {
	part := func(name, file, content string) string {
		return "--x\r\nContent-Disposition: form-data; name=\"" + name + "\"; filename=\"" + file + "\"\r\n\r\n" + content + "\r\n"
	}
	for _, s := range []string{part("file", "a.jpg", "abc") + "--x--\r\n", part("file", "", "") + part("file", "b", strings.Repeat("b", 200)) + "--x--", part("pasted", "", "1;2"), "--x", "", "--x\r\n\r\n\r\n--x--",
		"--x\r\nContent-Disposition: form-data; name=\"note\"\r\nContent-Transfer-Encoding: quoted-printable\r\n\r\n=ff=\r\n--x--"} {
		f.Add("multipart/form-data; boundary=x", []byte(s))
		f.Add("text/csv", []byte(s))
	}
	f.Add("multipart/form-data", []byte("x"))
	f.Add("multipart/form-data; boundary=\"\"", []byte("--\r\n"))
	f.Fuzz(func(t *testing.T, kind string, body []byte) {
		const most = 100
		c, _ := gin.CreateTestContext(httptest.NewRecorder())
		c.Request = httptest.NewRequest(http.MethodPost, "/x", bytes.NewReader(body))
		c.Request.Header.Set("Content-Type", kind)
		file, err := ReadFile(c, most)
		if len(file.Bytes) > most || file.TooLarge && err == nil && file.Bytes != nil && len(file.Bytes) > most {
			t.Fatalf("%d bytes are kept", len(file.Bytes))
		}
		if err != nil {
			if answer := testAnswers().answerFor(err); answer.Status >= 500 {
				t.Fatalf("%v is answered with %d", err, answer.Status)
			}
		}
		for name, values := range file.Fields {
			if len(values) > mostFields || len(name) > len(body) {
				t.Fatalf("field %q %d times", name, len(values))
			}
		}
	})
}

// Where a page leads after signing in is this server, whatever was asked for: as a
// browser reads it against the address of the page (RFC 3986, 5.2).
func FuzzLocalPath(f *testing.F) {
	for _, s := range []string{"/items?x=1", "//a", `/\a`, "https://a", "javascript:x", "/a//b", "/..//a", "\t//a", "/%2f/a", "/a#b", "\x00", "/\xff"} {
		f.Add(s)
	}
	base, err := url.Parse("https://shop.example/signin")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, next string) {
		to := LocalPath(next)
		u, err := base.Parse(to)
		if err != nil || u.Host != "shop.example" || u.Scheme != "https" || !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n\t") {
			t.Errorf("%q leads to %q", next, to)
		}
	})
}

// A host that is let in is, as a browser reads an address made of it, one of ours.
func FuzzHosts(f *testing.F) {
	for _, s := range []string{"localhost", "localhost:80", "[::1]:80", "wheels.example.", "localhost:80@a", "a@localhost", "localhost/x", "localhost?", "LOCALHOST:", "[::1", "localhost:80:90", "localhost\\a", ""} {
		f.Add(s)
	}
	hosts := Hosts(testAnswers(), []string{"wheels.example"})
	engine := gin.New()
	engine.Use(hosts)
	engine.GET("/api/x", testAnswers().Adapt(ok))
	f.Fuzz(func(t *testing.T, host string) {
		r := httptest.NewRequest(http.MethodGet, "/api/x", nil)
		r.Host = host
		w := httptest.NewRecorder()
		engine.ServeHTTP(w, r)
		if w.Code == http.StatusMisdirectedRequest {
			return
		}
		u, err := url.Parse("http://" + host + "/setup/x")
		if err != nil {
			return // No address can be made of it.
		}
		if name := strings.ToLower(strings.TrimSuffix(u.Hostname(), ".")); w.Code != http.StatusOK || u.User != nil || name != "localhost" && name != "127.0.0.1" && name != "::1" && name != "wheels.example" {
			t.Errorf("host %q is let in: %d, as %q", host, w.Code, name)
		}
	})
}

// What comes through a query or a form is text.
func FuzzTexts(f *testing.F) {
	for _, s := range []string{"a=b&c=%00", "a=%FF", "%zz", "a;b", "&&=", "a=%C3%28", "%E2%82%AC=1"} {
		f.Add(s, s)
	}
	f.Fuzz(func(t *testing.T, query, body string) {
		r := &http.Request{Method: http.MethodPost, URL: &url.URL{Path: "/x", RawQuery: query}, Header: http.Header{"Content-Type": {"application/x-www-form-urlencoded"}}, Body: io.NopCloser(strings.NewReader(body))}
		c, _ := gin.CreateTestContext(httptest.NewRecorder())
		c.Request = r
		err := textual(func(c *gin.Context) error {
			for _, values := range []url.Values{c.Request.URL.Query(), c.Request.PostForm} {
				for name, list := range values {
					for _, v := range append(list, name) {
						if !utf8.ValidString(v) || strings.ContainsRune(v, 0) {
							t.Errorf("%q and %q hold %q", query, body, v)
						}
					}
				}
			}
			return nil
		})(c)
		var invalid *models.InvalidError
		if err != nil && !errors.As(err, &invalid) {
			t.Errorf("%q and %q: %v", query, body, err)
		}
	})
}
