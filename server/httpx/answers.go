package httpx

import (
	"errors"
	"log/slog"
	"math"
	"net/http"
	"net/url"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

// Words finds the sentence for a code of a problem, reason or remark.
type Words func(code string, values map[string]string) string

// Answers turns errors into answers, and is the only place that does.
type Answers struct {
	words Words
	page  func(c *gin.Context, answer Answer)
	log   *slog.Logger

	mu       sync.Mutex
	trouble  string // why something could not be stored, and when that was
	troubled time.Time

	told map[string]time.Time // kinds of what keeps the records out of reach, when last written down
}

// NewAnswers makes the one of a server; page shows an answer to a person.
func NewAnswers(words Words, page func(c *gin.Context, answer Answer), log *slog.Logger) *Answers {
	return &Answers{words: words, page: page, log: log}
}

// Adapt makes a gin handler of ours.
func (a *Answers) Adapt(h Handler) gin.HandlerFunc {
	return func(c *gin.Context) {
		if err := h(c); err != nil {
			a.fail(c, err)
		}
	}
}

// guard makes a gin middleware of a check that may refuse.
func (a *Answers) guard(check Handler) gin.HandlerFunc {
	return func(c *gin.Context) {
		if err := check(c); err != nil {
			a.fail(c, err)
			return
		}
		c.Next()
	}
}

func (a *Answers) fail(c *gin.Context, err error) {
	answer := a.answerFor(err)
	answer.RequestID = RequestID(c)
	if looks(c.Request) {
		answer.asked()
	}
	a.note(c, answer, err)
	a.troubles(err)
	c.Abort()
	if c.Writer.Written() {
		if c.GetBool(cutKey) {
			panic(http.ErrAbortHandler) // As net/http has it: the other side sees that the answer is not whole.
		}
		return // The answer has begun; the log has the rest.
	}
	if answer.Wait > 0 {
		c.Header("Retry-After", strconv.Itoa(int(math.Ceil(answer.Wait.Seconds()))))
	}
	if answer.Status == http.StatusServiceUnavailable && answer.Wait == 0 {
		c.Header("Retry-After", "2")
	}
	c.Header("Cache-Control", "no-store")
	switch {
	case isAPI(c):
		writeProblem(c, answer)
	case answer.Status == http.StatusUnauthorized:
		c.Redirect(http.StatusSeeOther, signInPath(c.Request))
	default:
		a.page(c, answer)
	}
}

// note writes causes where only the shop's own people look. A refusal is worth
// a line, because many of them are somebody trying doors.
func (a *Answers) note(c *gin.Context, answer Answer, err error) {
	level := slog.LevelDebug
	switch {
	case a.toldAlready(answer.Kind, err):
	case answer.Status >= http.StatusInternalServerError:
		level = slog.LevelError
	case answer.Status == http.StatusForbidden, answer.Status == http.StatusTooManyRequests, answer.Status == http.StatusMisdirectedRequest,
		answer.Status == http.StatusUnauthorized && c.GetHeader("Authorization") != "": // a key that opens nothing, or nothing any more
		level = slog.LevelWarn
	}
	who := "nobody"
	if SignedIn(c) {
		who = Actor(c).String()
	}
	a.log.Log(c.Request.Context(), level, "request failed", "request", answer.RequestID, "status", answer.Status, "method", c.Request.Method,
		"route", routeOf(c), "actor", who, "address", c.ClientIP(), "cause", err)
}

// toldEvery is how often it is written down that the records are out of reach: while
// they are, every request says so, and the log may lie on the disk that is full.
const toldEvery = 10 * time.Second

// toldAlready says whether an error is of that kind and was written down just now.
func (a *Answers) toldAlready(kind string, err error) bool {
	var away *models.UnavailableError
	if !errors.As(err, &away) {
		return false
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	now := time.Now()
	if now.Sub(a.told[kind]) < toldEvery {
		return true
	}
	if a.told == nil {
		a.told = map[string]time.Time{}
	}
	a.told[kind] = now
	return false
}

// Recover turns a panic into a 500; its stack goes to the log.
func (a *Answers) Recover() gin.HandlerFunc {
	return func(c *gin.Context) {
		defer func() {
			cause := recover()
			if cause == nil {
				return
			}
			if cause == http.ErrAbortHandler {
				panic(cause)
			}
			a.log.Error("panic", "request", RequestID(c), "cause", cause, "stack", string(debug.Stack()))
			a.fail(c, errPanic)
		}()
		c.Next()
	}
}

// NoRoute and NoMethod answer what no row of the tables matches. A page with a
// slash too many behind it leads to the page.
func (a *Answers) NoRoute() gin.HandlerFunc {
	return a.Adapt(func(c *gin.Context) error {
		path := c.Request.URL.EscapedPath()
		shorter := strings.TrimRight(path, "/")
		if !looks(c.Request) || isAPI(c) || shorter == "" || shorter == path || LocalPath(shorter) != shorter {
			return errNoRoute
		}
		c.Redirect(http.StatusSeeOther, shorter)
		return nil
	})
}

// NoMethod answers a known address asked in an unknown way.
func (a *Answers) NoMethod() gin.HandlerFunc {
	return a.Adapt(func(*gin.Context) error { return errNoMethod })
}

// looks says whether a request asks for something and is to change nothing.
func looks(r *http.Request) bool { return r.Method == http.MethodGet || r.Method == http.MethodHead }

func isAPI(c *gin.Context) bool { return strings.HasPrefix(c.Request.URL.Path, "/api/") }

// signInPath leads back to the page that was asked for, when it was only to be
// looked at: a form must not be sent a second time unseen.
func signInPath(r *http.Request) string {
	if !looks(r) || r.URL.Path == "/" {
		return "/signin"
	}
	return "/signin?next=" + url.QueryEscape(r.URL.RequestURI())
}

// LocalPath keeps a "next" parameter on this server: a path of ours, or "/".
func LocalPath(next string) string {
	u, err := url.Parse(next)
	if err != nil || strings.ContainsFunc(next, unicode.IsControl) || u.IsAbs() || u.Host != "" || u.User != nil || !strings.HasPrefix(next, "/") || strings.HasPrefix(next, "//") || strings.Contains(next, "\\") {
		return "/"
	}
	return next
}
