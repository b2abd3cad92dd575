package httpx

import (
	"encoding/json"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/words"
	"tracewright/models/work/access"
)

func TestMain(m *testing.M) {
	gin.SetMode(gin.ReleaseMode)
	storetest.Main(m)
}

// testAnswers shows a page as its kind, so that tests see which it was.
func testAnswers() *Answers {
	page := func(c *gin.Context, a Answer) { c.String(a.Status, "page "+a.Kind) }
	english := words.In("en")
	say := func(code string, values map[string]string) string { return english.Say(code, english.Readable(values)) }
	return NewAnswers(say, page, slog.New(slog.DiscardHandler))
}

// serve runs one handler behind middlewares and gives its answer.
func serve(r *http.Request, h Handler, middleware ...gin.HandlerFunc) *httptest.ResponseRecorder {
	engine := gin.New()
	engine.Use(middleware...)
	engine.Handle(r.Method, r.URL.Path, testAnswers().Adapt(h))
	w := httptest.NewRecorder()
	engine.ServeHTTP(w, r)
	return w
}

func ok(c *gin.Context) error {
	c.String(http.StatusOK, "ok")
	return nil
}

// problemOf reads a problem document.
func problemOf(t *testing.T, w *httptest.ResponseRecorder) problem {
	t.Helper()
	if got := w.Header().Get("Content-Type"); got != "application/problem+json" {
		t.Fatalf("content type %q of %s, want application/problem+json (RFC 9457, 3)", got, w.Body)
	}
	var p problem
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil {
		t.Fatalf("%s: %v", w.Body, err)
	}
	return p
}

const (
	goodPassword = "rain over the long canal"
	goodPIN      = "4709"
)

// desk is a small server with an owner, an operator and an enrolled tablet.
type desk struct {
	t        *testing.T
	at       time.Time
	store    *store.Store
	access   *access.Service
	sessions *Sessions
	engine   *gin.Engine
	owner    models.Person
	operator models.Person
	key      string
	device   models.Device
}

func newDesk(t *testing.T, o SessionOptions) *desk {
	t.Helper()
	d := &desk{t: t, at: time.Now().Truncate(time.Second)} // sessions count whole seconds
	now := func() time.Time { return d.at }
	s := storetest.New(t)
	d.store = s
	d.access = access.New(s, now, access.Cost{MemoryKiB: 64, Passes: 1, Lanes: 1})
	d.sessions = NewSessions(s.Sessions(now), d.access, now, o)
	var err error
	add := func(n access.NewPerson) models.Person {
		p, err := d.access.AddPerson(t.Context(), models.Actor{}, n)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	d.owner = add(access.NewPerson{Name: "Ilse Grauer", Role: models.Owner, Login: "ilse", Password: goodPassword, PIN: goodPIN})
	d.operator = add(access.NewPerson{Name: "Sefa Tamm", Role: models.Operator, PIN: "8302"})
	if d.key, d.device, err = d.access.Enrol(t.Context(), models.Actor{}, "Tablet", "stand 1"); err != nil {
		t.Fatal(err)
	}
	answers := testAnswers()
	d.engine = gin.New()
	d.engine.Use(d.sessions.Authenticate(answers))
	err = Mount(d.engine, answers, []Route{
		{Method: http.MethodPost, Path: "/in", Act: Public, Handler: func(c *gin.Context) error {
			_, err := d.sessions.SignIn(c, c.Query("login"), c.Query("password"))
			return err
		}},
		{Method: http.MethodPost, Path: "/code", Act: Public, Handler: func(c *gin.Context) error { return d.sessions.GiveCode(c, c.Query("code")) }},
		{Method: http.MethodGet, Path: "/page", Act: models.ActLook, Handler: ok},
		{Method: http.MethodGet, Path: SetUpPath, Act: models.ActLook, Handler: ok},
		{Method: http.MethodPost, Path: "/choose", Act: Public, Handler: func(c *gin.Context) error {
			_, err := d.sessions.Choose(c, c.Query("person"))
			return err
		}},
		{Method: http.MethodPost, Path: "/enrol", Act: models.ActManagePeople, Handler: func(c *gin.Context) error { return d.sessions.RememberDevice(c, d.key) }},
		{Method: http.MethodPost, Path: "/out", Act: Public, Handler: d.sessions.SignOut},
		{Method: http.MethodGet, Path: "/who", Act: Public, Handler: func(c *gin.Context) error {
			a := Actor(c)
			c.JSON(http.StatusOK, gin.H{"name": a.Name, "place": a.Place})
			return nil
		}},
		{Method: http.MethodPost, Path: "/api/sign", Act: models.ActRelease, Handler: func(c *gin.Context) error {
			return d.sessions.Confirm(c, access.Secret{PIN: c.Query("pin"), Password: c.Query("password")})
		}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// browser keeps cookies as a browser does.
type browser struct {
	desk    *desk
	cookies map[string]string
	set     []*http.Cookie // by the last answer
}

func (d *desk) browser() *browser { return &browser{desk: d, cookies: map[string]string{}} }

func (b *browser) do(method, target string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, strings.ReplaceAll(target, " ", "%20"), nil)
	for name, value := range b.cookies {
		r.AddCookie(&http.Cookie{Name: name, Value: value})
	}
	w := httptest.NewRecorder()
	b.desk.engine.ServeHTTP(w, r)
	b.set = w.Result().Cookies()
	for _, c := range b.set {
		if c.MaxAge < 0 || !c.Expires.IsZero() && c.Expires.Before(b.desk.at) {
			delete(b.cookies, c.Name)
		} else {
			b.cookies[c.Name] = c.Value
		}
	}
	return w
}

// who is the person and place the server sees: "Sefa Tamm at stand 1".
func (b *browser) who() string {
	var who struct{ Name, Place string }
	if err := json.Unmarshal(b.do(http.MethodGet, "/who").Body.Bytes(), &who); err != nil {
		b.desk.t.Fatal(err)
	}
	if who.Place != "" {
		return who.Name + " at " + who.Place
	}
	return who.Name
}

// mustWork does what a test builds on.
func (b *browser) mustWork(method, target string) {
	b.desk.t.Helper()
	if w := b.do(method, target); w.Code != http.StatusOK {
		b.desk.t.Fatalf("%s %s: %d %s", method, target, w.Code, w.Body)
	}
}
