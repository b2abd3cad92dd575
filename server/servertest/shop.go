package servertest

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/work/access"
	"tracewright/models/work/worktest"
	"tracewright/server/app"
	"tracewright/server/httpx"
)

// Who asks: a role in the office, signed in by password, or at a tablet by the
// tablet's key and a tapped name.
const (
	Nobody            = ""
	Owner             = "owner"
	Inspector         = "inspector"
	Operator          = "operator"
	Desk              = "desk"
	OperatorAtStand   = "operator at stand 1"
	InspectorAtStand  = "inspector at stand 1"
	OwnerAtStand      = "owner at stand 1"
	SecondAtOtherSide = "second operator at stand 2"
	WrongKey          = "wrong key"
	GaugeAtStand      = "a gauge at stand 1" // a key, and no person
)

// Password and PIN are everybody's in the shop.
const (
	Password = "seven plain words do"
	PIN      = "274918"
)

// Shop is the whole server over a small workshop.
type Shop struct {
	*worktest.Shop
	App    *app.App
	People map[string]models.Person // by who they are
	Place  string                   // of the tablet

	signing *sync.Mutex // of sign, which an answer may change
	sign    map[string]func(*http.Request)
	unknown int // counter of serials that no item has
}

// Each runs f as a subtest with a shop on each kind of database.
func Each(t *testing.T, f func(t *testing.T, s *Shop)) {
	t.Helper()
	storetest.Each(t, func(t *testing.T, db *store.Store) { f(t, On(t, db)) })
}

// cheap makes hashing a password a matter of microseconds: what it costs is
// tested where it is computed.
var cheap = access.Cost{MemoryKiB: 8, Passes: 1, Lanes: 1}

// On builds the server over a database whose schema is up to date.
func On(t testing.TB, db *store.Store) *Shop {
	t.Helper()
	s := &Shop{Shop: worktest.On(t, db), signing: &sync.Mutex{}, People: map[string]models.Person{}, Place: "stand 1", sign: map[string]func(*http.Request){Nobody: func(*http.Request) {}}}
	stamp := models.NewStamp(models.Actor{}, s.Now)
	s.Must(db.SetSetting(t.Context(), stamp, models.SettingShopName, "Speichenhof Test"))
	s.Must(db.SetSetting(t.Context(), stamp, models.SettingShopAddress, "Mill Lane 4"))
	var err error
	s.App, err = app.New(db, app.Config{Now: s.Clock, RecoveryKeys: noKeys{}, Sealing: worktest.NewSigner(), Cost: cheap, StrangersAtOnce: 1 << 20, Log: slog.New(slog.NewTextHandler(t.Output(), &slog.HandlerOptions{Level: slog.LevelError}))})
	s.Must(err)
	for _, p := range []struct {
		who  string
		role models.Role
	}{{Owner, models.Owner}, {Inspector, models.Inspector}, {Operator, models.Operator}, {Desk, models.Desk}, {SecondAtOtherSide, models.Operator}} {
		login := strings.Fields(p.who)[0]
		person, err := s.App.Services.Access.AddPerson(t.Context(), s.Shop.Owner, access.NewPerson{Name: "The " + p.who, Role: p.role, Login: login, Password: Password, PIN: PIN})
		s.Must(err)
		s.People[p.who] = person
	}
	for _, who := range []string{Owner, Inspector, Operator, Desk} {
		s.signIn(who)
	}
	first, second := s.enrol("stand 1"), s.enrol("stand 2")
	s.atDevice(OperatorAtStand, first, s.People[Operator])
	s.atDevice(InspectorAtStand, first, s.People[Inspector])
	s.atDevice(OwnerAtStand, first, s.People[Owner])
	s.atDevice(SecondAtOtherSide, second, s.People[SecondAtOtherSide])
	s.atDevice(WrongKey, "no-key-of-ours", s.People[Operator])
	gauge, _, err := s.App.Services.Access.EnrolProgram(t.Context(), s.Shop.Owner, "Dial at stand 1", "stand 1")
	s.Must(err)
	s.sign[GaugeAtStand] = func(r *http.Request) { r.Header.Set("Authorization", "Bearer "+gauge) }
	return s
}

func (s *Shop) enrol(place string) (key string) {
	s.Helper()
	key, _, err := s.App.Services.Access.Enrol(s.Context(), s.Shop.Owner, "Tablet at "+place, place)
	s.Must(err)
	return key
}

func (s *Shop) atDevice(who, key string, person models.Person) {
	s.sign[who] = func(r *http.Request) {
		r.Header.Set("Authorization", "Bearer "+key)
		r.Header.Set(httpx.PersonHeader, person.ID)
	}
}

// signIn goes through the sign-in page and keeps the cookies.
func (s *Shop) signIn(who string) {
	s.Helper()
	form := url.Values{"login": {strings.Fields(who)[0]}, "password": {Password}}
	r := httptest.NewRequest(http.MethodPost, "http://localhost/signin", strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	s.App.Handler.ServeHTTP(w, r)
	cookies := w.Result().Cookies()
	if w.Code != http.StatusSeeOther || len(cookies) == 0 {
		s.Fatalf("sign in as %s: status %d, %d cookies: %s", who, w.Code, len(cookies), w.Body)
	}
	s.sign[who] = signedBy(cookies)
}

func signedBy(cookies []*http.Cookie) func(*http.Request) {
	return func(r *http.Request) {
		for _, c := range cookies {
			r.AddCookie(c)
		}
	}
}

// keep takes over the session's token that an answer brings, as a browser does: a
// password that was typed again makes a new one.
func (s *Shop) keep(who string, answer *http.Response) {
	for _, c := range answer.Cookies() {
		if c.Name == "tracewright" && c.Value != "" && (who == Owner || who == Inspector || who == Operator || who == Desk) {
			s.signing.Lock()
			s.sign[who] = signedBy([]*http.Cookie{c})
			s.signing.Unlock()
		}
	}
}

// unknownSerial is a good serial that no item has, another one each time.
func (s *Shop) unknownSerial() string {
	for {
		s.unknown++
		if serial, ok := ident.Allocate(ident.Wheel, 31, 30_000+s.unknown); ok {
			return serial
		}
	}
}

// noKeys makes no keys of age, which is known to the commands alone.
type noKeys struct{}

func (noKeys) New() (models.RecoverySheet, error) {
	return models.RecoverySheet{Secret: "AGE-SECRET-KEY-1QQ", Lines: []string{"QQQQ QQQQ  7X"}, Public: "age1qq"}, nil
}

func (noKeys) Is(public string) bool { return public == "age1qq" }
