package servertest

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

// Row is one request and what must come of it.
type Row struct {
	Name   string
	Who    string
	Method string // GET when empty, POST when there is a body
	Path   string
	Body   any // text and bytes are sent as they are, anything else as JSON
	Header map[string]string
	Before func(*Row) // fills in what only earlier rows made
	Public bool       // asked at the listener for strangers

	Status  int
	Has     []string                              // must stand in the answer
	HasNot  []string                              // must not
	Headers map[string]string                     // must be in the answer
	After   func(*testing.T, http.Header, []byte) // looks at the answer, and at what is stored
}

// Posted is a form as a page sends it.
func Posted(name, who, path string, values url.Values, status int, has ...string) Row {
	return Row{Name: name, Who: who, Method: http.MethodPost, Path: path, Body: values.Encode(), Status: status, Has: has,
		Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}}
}

// Run takes the rows in their order, each as a subtest.
func (s *Shop) Run(t *testing.T, rows []Row) {
	t.Helper()
	for _, row := range rows {
		t.Run(row.Name, func(t *testing.T) { s.run(t, row) })
	}
}

func (s *Shop) run(t *testing.T, row Row) {
	t.Helper()
	if row.Before != nil {
		row.Before(&row)
	}
	status, header, body := s.Do(t, row)
	if status != row.Status {
		t.Fatalf("%s %s as %q: status %d, want %d: %s", row.Method, row.Path, row.Who, status, row.Status, shortened(body))
	}
	for _, want := range row.Has {
		if !bytes.Contains(body, []byte(want)) {
			t.Errorf("%s: %q is not in the answer: %s", row.Path, want, shortened(body))
		}
	}
	for _, not := range row.HasNot {
		if bytes.Contains(body, []byte(not)) {
			t.Errorf("%s: %q is in the answer: %s", row.Path, not, shortened(body))
		}
	}
	for name, want := range row.Headers {
		if got := header.Get(name); got != want {
			t.Errorf("%s: header %s is %q, want %q", row.Path, name, got, want)
		}
	}
	if row.After != nil {
		row.After(t, header, body)
	}
}

// Do sends a row's request and returns the answer.
func (s *Shop) Do(t testing.TB, row Row) (status int, header http.Header, body []byte) {
	t.Helper()
	var content io.Reader
	kind := ""
	switch b := row.Body.(type) {
	case nil:
	case string:
		content, kind = strings.NewReader(b), "application/json"
	case []byte:
		content, kind = bytes.NewReader(b), "application/json"
	case io.Reader:
		content, kind = b, "application/json"
	default:
		raw, err := json.Marshal(b)
		if err != nil {
			t.Fatal(err)
		}
		content, kind = bytes.NewReader(raw), "application/json"
	}
	method := row.Method
	switch {
	case method == "" && content == nil:
		method = http.MethodGet
	case method == "":
		method = http.MethodPost
	}
	r := httptest.NewRequestWithContext(t.Context(), method, "http://localhost"+row.Path, content)
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	s.signing.Lock()
	sign, ok := s.sign[row.Who]
	s.signing.Unlock()
	if !ok {
		t.Fatalf("nobody is called %q here", row.Who)
	}
	sign(r)
	for name, value := range row.Header {
		r.Header.Set(name, value)
	}
	w := httptest.NewRecorder()
	handler := s.App.Handler
	if row.Public {
		handler = s.App.Public
	}
	handler.ServeHTTP(w, r)
	answer := w.Result()
	s.keep(row.Who, answer)
	return w.Code, answer.Header, w.Body.Bytes()
}

// Decode reads an answer.
func Decode[T any](t testing.TB, body []byte) T {
	t.Helper()
	var into T
	if err := json.Unmarshal(body, &into); err != nil {
		t.Fatalf("read the answer: %v: %s", err, shortened(body))
	}
	return into
}

func shortened(body []byte) string {
	const most = 1500
	if len(body) > most {
		return string(body[:most]) + "..."
	}
	return string(body)
}
