package httpx

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

// A file that is sent piece by piece: what fails before the first pieces left is
// answered as anything else, what fails later breaks the answer off, so that
// nobody takes a part for the whole; and it outlives the limit of a request.
func TestAFileIsSentWholeOrNot(t *testing.T) {
	const limit = 60 * time.Millisecond
	line := strings.Repeat("x", 1023) + "\n"
	send := func(lines int, pause time.Duration, last error) Handler {
		return func(c *gin.Context) error {
			return SendFile(c, "list ü.csv", "text/csv; charset=utf-8", func(to io.Writer) error {
				for range lines {
					if _, err := io.WriteString(to, line); err != nil {
						return err
					}
				}
				time.Sleep(pause)
				if err := c.Request.Context().Err(); err != nil {
					return err
				}
				return last
			})
		}
	}
	answers := testAnswers()
	engine := gin.New()
	engine.Use(answers.Recover(), LimitTime(limit))
	for path, h := range map[string]Handler{"/whole": send(200, 0, nil), "/slow": send(200, 3*limit, nil), "/empty": send(0, 0, nil), "/refused": send(3, 0, models.Invalid("reason", "reason_needed")), "/broken": send(200, 0, fmt.Errorf("the database went away"))} {
		engine.GET("/api"+path, answers.Adapt(h))
	}
	server := httptest.NewServer(engine)
	defer server.Close()
	for path, want := range map[string]struct {
		status int
		bytes  int
		cut    bool
	}{"/whole": {http.StatusOK, 200 << 10, false}, "/slow": {http.StatusOK, 200 << 10, false}, "/refused": {http.StatusUnprocessableEntity, 0, false}, "/broken": {http.StatusOK, 0, true}} {
		answer, err := http.Get(server.URL + "/api" + path)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		if answer.StatusCode != want.status || want.cut != (err != nil) || want.bytes > 0 && len(body) != want.bytes {
			t.Errorf("%s: status %d, %d bytes, %v", path, answer.StatusCode, len(body), err)
		}
		switch name := answer.Header.Get("Content-Disposition"); {
		case want.status == http.StatusOK && name != "attachment; filename*=utf-8''list%20%C3%BC.csv": // RFC 6266, 4.3
			t.Errorf("%s: it is called %s", path, name)
		case want.status != http.StatusOK && (name != "" || !bytes.Contains(body, []byte("reason"))):
			t.Errorf("%s: %s, %s", path, name, body)
		}
	}
}

// A text that was pasted may be as long as a file, and a file comes before it.
func TestAPastedTextStandsForAFile(t *testing.T) {
	long := strings.Repeat("a,b\n", 50_000)
	for name, test := range map[string]struct {
		file, pasted, want string
		large              bool
	}{
		"pasted":            {"", long, long, false},
		"a file":            {"x,y", "", "x,y", false},
		"both":              {"x,y", long, "x,y", false},
		"nothing":           {"", "", "", false},
		"pasted, too large": {"", long + long, "", true},
	} {
		var form bytes.Buffer
		w := multipart.NewWriter(&form)
		if test.file != "" {
			part, err := w.CreateFormFile("file", "a.csv")
			if err != nil {
				t.Fatal(err)
			}
			if _, err := io.WriteString(part, test.file); err != nil {
				t.Fatal(err)
			}
		}
		for field, value := range map[string]string{Pasted: test.pasted, "take": "yes"} {
			if err := w.WriteField(field, value); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		c, _ := gin.CreateTestContext(httptest.NewRecorder())
		c.Request = httptest.NewRequest(http.MethodPost, "/", &form)
		c.Request.Header.Set("Content-Type", w.FormDataContentType())
		got, err := ReadFile(c, int64(len(long)))
		if err != nil || string(got.Bytes) != test.want || got.TooLarge != test.large || got.Fields.Get("take") != "yes" {
			t.Errorf("%s: %d bytes, too large %v, %v", name, len(got.Bytes), got.TooLarge, err)
		}
	}
}

// Phones that send their photos byte by byte keep nobody else's out, and what is held
// in memory stays bounded all the same: files of unknown length count as the largest.
func TestSlowFilesKeepNobodyOut(t *testing.T) {
	answers := testAnswers()
	engine := gin.New()
	engine.Use(answers.Recover(), LimitTime(300*time.Millisecond))
	engine.POST("/api/photo", answers.Adapt(func(c *gin.Context) error {
		file, err := ReadFile(c, 20<<20)
		if err == nil {
			c.String(http.StatusOK, "%d", len(file.Bytes))
		}
		return err
	}))
	server := httptest.NewServer(engine)
	defer server.Close()
	address := strings.TrimPrefix(server.URL, "http://")
	var open []net.Conn
	slow := func(header string) {
		t.Helper()
		conn, err := net.Dial("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		open = append(open, conn)
		if _, err := fmt.Fprintf(conn, "POST /api/photo HTTP/1.1\r\nHost: x\r\nContent-Type: image/jpeg\r\n%s\r\n\r\n1", header); err != nil {
			t.Fatal(err)
		}
	}
	hangUp := func() {
		for _, conn := range open {
			conn.Close()
		}
		open = nil
	}
	defer hangUp()
	send := func() (int, string) {
		t.Helper()
		answer, err := http.Post(server.URL+"/api/photo", "image/jpeg", strings.NewReader("a photo"))
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		raw, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		return answer.StatusCode, string(raw)
	}
	for range 4 { // As much as there is room for, by the largest that each may have.
		slow("Transfer-Encoding: chunked")
	}
	time.Sleep(50 * time.Millisecond) // until they are all at it
	if status, text := send(); status != http.StatusServiceUnavailable {
		t.Errorf("beside as much as is held at once: %d %s", status, text)
	}
	hangUp()
	for range 10 {
		slow("Content-Length: 3000000")
	}
	time.Sleep(50 * time.Millisecond)
	if status, text := send(); status != http.StatusOK || text != "7" {
		t.Errorf("among ten that send slowly: %d %s", status, text)
	}
}

// Who sends a file has time for it and no place among those that work. Once it is there
// its request has both again: a time that ends, and a place that counts.
func TestAfterItsFileARequestHasAnEndAndAPlace(t *testing.T) {
	const limit = 100 * time.Millisecond
	type key struct{}
	answers := testAnswers()
	engine := gin.New()
	working, goOn := make(chan context.Context), make(chan struct{})
	engine.Use(answers.Recover(), LimitConcurrency(answers, 1, 20*time.Millisecond), LimitTime(limit), func(c *gin.Context) {
		c.Request = c.Request.WithContext(context.WithValue(c.Request.Context(), key{}, "a session"))
	})
	engine.POST("/api/photo", answers.Adapt(func(c *gin.Context) error {
		if _, err := ReadFile(c, 1<<20); err != nil {
			return err
		}
		working <- c.Request.Context()
		<-goOn
		return ok(c)
	}))
	engine.GET("/api/x", answers.Adapt(ok))
	server := httptest.NewServer(engine)
	defer server.Close()
	look := func() int {
		answer, err := http.Get(server.URL + "/api/x")
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		return answer.StatusCode
	}
	body, sends := io.Pipe()
	sent := make(chan int)
	go func() {
		answer, err := http.Post(server.URL+"/api/photo", "image/jpeg", body)
		if err != nil {
			t.Error(err)
			sent <- 0
			return
		}
		answer.Body.Close()
		sent <- answer.StatusCode
	}()
	if _, err := sends.Write([]byte("half")); err != nil {
		t.Fatal(err)
	}
	time.Sleep(2 * limit)
	if got := look(); got != http.StatusOK {
		t.Errorf("while a file is sent: %d", got)
	}
	sends.Close()
	ctx := <-working
	if got := look(); got != http.StatusServiceUnavailable {
		t.Errorf("while its request works: %d, want that the place is taken", got)
	}
	if ends, limited := ctx.Deadline(); !limited || time.Until(ends) > longerFor*limit {
		t.Errorf("it may work until %v (%v)", ends, limited)
	}
	if ctx.Value(key{}) != "a session" {
		t.Error("what was known of who asks is gone")
	}
	goOn <- struct{}{}
	if got := <-sent; got != http.StatusOK {
		t.Errorf("the file: %d", got)
	}
	if got := look(); got != http.StatusOK {
		t.Errorf("afterwards: %d", got)
	}
}
