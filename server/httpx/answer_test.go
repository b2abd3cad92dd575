package httpx

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
)

func TestErrorsBecomeAnswers(t *testing.T) {
	wrapped := func(err error) error { return fmt.Errorf("doing something: %w", err) }
	for _, test := range []struct {
		name   string
		err    error
		status int
		kind   string
		codes  string
	}{
		{"invalid input", wrapped(models.Invalid("sets[0].values[3]", "not_a_number", "typed", "1.2.3")), 422, "invalid", "sets[0].values[3] not_a_number"},
		{"refused", wrapped(&models.RefusedError{Reasons: []models.Remark{models.NewRemark("already_void")}}), 409, "refused", " already_void"},
		{"not found", wrapped(models.ErrNotFound), 404, "not_found", ""},
		{"conflict", wrapped(models.ErrConflict), 409, "conflict", ""},
		{"stale is a conflict with other words", wrapped(models.ErrStale), 409, "stale", ""},
		{"forbidden", wrapped(models.ErrForbidden), 403, "forbidden", ""},
		{"nobody", wrapped(models.ErrUnauthenticated), 401, "unauthenticated", ""},
		{"too many tries", wrapped(&access.WaitError{Wait: 29500 * time.Millisecond}), 429, "too_many_tries", " too_many_tries"},
		{"too large", wrapped(&http.MaxBytesError{Limit: MaxBody}), 413, "too_large", ""},
		{"out of time", wrapped(context.DeadlineExceeded), 503, "busy", ""},
		{"whoever asked has gone", wrapped(context.Canceled), 408, "broken_off", ""},
		{"the database is away", wrapped(&models.UnavailableError{Code: models.DatabaseAway, Cause: errors.New("doing something")}), 503, "database_away", ""},
		{"the disk is full, and the time is over", wrapped(&models.UnavailableError{Code: models.DiskFull, Cause: context.DeadlineExceeded}), 503, "disk_full", ""},
		{"anything else", errors.New("pq: password of user tracewright is hunter2"), 500, "internal", ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			w := serve(httptest.NewRequest(http.MethodGet, "/api/x", nil), func(*gin.Context) error { return test.err }, NameRequests())
			p := problemOf(t, w)
			var codes []string
			for _, e := range p.Errors {
				codes = append(codes, e.Field+" "+e.Code)
				if e.Message == "" || strings.HasPrefix(e.Message, "[") {
					t.Errorf("%s has no words: %q", e.Code, e.Message)
				}
			}
			if w.Code != test.status || p.Status != test.status || !strings.HasSuffix(p.Type, "/"+test.kind) || strings.Join(codes, ", ") != test.codes {
				t.Errorf("%d %s", w.Code, w.Body)
			}
			if p.Title == "" || p.Detail == "" || !strings.HasSuffix(p.Instance, w.Header().Get("Tracewright-Request")) {
				t.Errorf("title, detail or request id is missing: %s", w.Body)
			}
			if strings.Contains(w.Body.String(), "hunter2") || strings.Contains(w.Body.String(), "doing something") {
				t.Errorf("a stranger reads our causes: %s", w.Body)
			}
		})
	}
}

func TestEveryKindHasWords(t *testing.T) {
	for _, e := range []*statusError{errTooLarge, errMediaType, errHost, errCrossOrigin, errBusy, errNoRoute, errNoMethod} {
		if titles[e.kind].title == "" || titles[e.kind].detail == "" {
			t.Errorf("%s has no words", e.kind)
		}
	}
}

func TestPagesShowTheSameAnswer(t *testing.T) {
	for _, test := range []struct {
		name, method, path string
		err                error
		status             int
		body, location     string
	}{
		{"a page", "GET", "/items/x", models.ErrNotFound, 404, "page not_found", ""},
		{"nobody, looking", "GET", "/charts?family=a&b=c", models.ErrUnauthenticated, 303, "", "/signin?next=%2Fcharts%3Ffamily%3Da%26b%3Dc"},
		{"nobody, at the front door", "GET", "/", models.ErrUnauthenticated, 303, "", "/signin"},
		{"nobody, changing: the form is not sent again", "POST", "/holds", models.ErrUnauthenticated, 303, "", "/signin"},
	} {
		t.Run(test.name, func(t *testing.T) {
			w := serve(httptest.NewRequest(test.method, test.path, nil), func(*gin.Context) error { return test.err })
			if w.Code != test.status || test.body != "" && w.Body.String() != test.body || w.Header().Get("Location") != test.location {
				t.Errorf("%d %q, Location %q", w.Code, w.Body, w.Header().Get("Location"))
			}
		})
	}
}

func TestAPanicIsAnAnswerToo(t *testing.T) {
	w := serve(httptest.NewRequest(http.MethodGet, "/api/x", nil), func(*gin.Context) error { panic("hunter2") }, NameRequests(), testAnswers().Recover())
	if p := problemOf(t, w); w.Code != 500 || !strings.HasSuffix(p.Type, "/internal") || strings.Contains(w.Body.String(), "hunter2") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

func TestAnswersBegunAreLeftAlone(t *testing.T) {
	w := serve(httptest.NewRequest(http.MethodGet, "/api/x", nil), func(c *gin.Context) error {
		c.String(http.StatusOK, "half of")
		return errors.New("the rest failed")
	})
	if w.Code != http.StatusOK || w.Body.String() != "half of" {
		t.Errorf("%d %q", w.Code, w.Body)
	}
}

func TestLocalPath(t *testing.T) {
	for next, want := range map[string]string{
		"/charts?family=a#x":     "/charts?family=a#x",
		"":                       "/",
		"charts":                 "/",
		"https://elsewhere.test": "/",
		"//elsewhere.test":       "/",
		`/\elsewhere.test`:       "/",
		"/\t/elsewhere.test":     "/",
		"javascript:alert(1)":    "/",
	} {
		if got := LocalPath(next); got != want {
			t.Errorf("LocalPath(%q) = %q, want %q", next, got, want)
		}
	}
}

// How long an answer is stands before it: whoever hands it on knows whether it came whole.
func TestAnswersSayHowLongTheyAre(t *testing.T) {
	body := strings.Repeat("x", 5000) // more than net/http counts by itself
	w := serve(httptest.NewRequest(http.MethodGet, "/api/x", nil), func(c *gin.Context) error {
		Send(c, http.StatusOK, "text/plain", []byte(body))
		return nil
	})
	if got := w.Header().Get("Content-Length"); got != "5000" || w.Body.String() != body {
		t.Errorf("%d bytes, said to be %q", w.Body.Len(), got)
	}
}
