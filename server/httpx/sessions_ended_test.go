package httpx

import (
	"bufio"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/pquerna/otp/totp"

	"tracewright/models"
	"tracewright/models/work/access"
)

func (d *desk) ownerActor() models.Actor {
	return models.Actor{PersonID: d.owner.ID, Name: d.owner.Name, Role: d.owner.Role}
}

// keyOf is what a browser's session is ended by.
func keyOf(b *browser) string { return access.SessionKey(b.cookies["tracewright"]) }

// secondSecret sets one up for the owner and gives its codes.
func (d *desk) secondSecret() (code func() string) {
	d.t.Helper()
	offered, err := d.access.BeginSecond(d.t.Context(), d.ownerActor())
	if err != nil {
		d.t.Fatal(err)
	}
	secret := strings.ReplaceAll(offered.Secret, " ", "")
	code = func() string {
		text, err := totp.GenerateCode(secret, d.at)
		if err != nil {
			d.t.Fatal(err)
		}
		return text
	}
	if _, err := d.access.ConfirmSecond(d.t.Context(), d.ownerActor(), code(), ""); err != nil {
		d.t.Fatal(err)
	}
	d.at = d.at.Add(time.Minute)
	return code
}

// OWASP ASVS 5.0, 6.3.3 and 6.3.4: with a second factor the password alone opens
// nothing, neither now nor later, and a code without the password opens nothing.
func TestASVS6_3_3_APasswordAloneOpensNothingWhereASecondSecretIsSet(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	code := d.secondSecret()
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	half := b.cookies["tracewright"]
	if got := b.who(); got != "" {
		t.Fatalf("the password alone is %s", got)
	}
	if w := d.browser().do(http.MethodPost, "/code?code="+code()); w.Code != http.StatusSeeOther {
		t.Errorf("a code without the password: %d, want to be sent to the sign-in page", w.Code)
	}
	if w := b.do(http.MethodPost, "/code?code=000000"); w.Code != http.StatusUnprocessableEntity || b.who() != "" {
		t.Errorf("a wrong code: %d, %q", w.Code, b.who())
	}
	b.mustWork(http.MethodPost, "/code?code="+code())
	if got := b.who(); got != "Ilse Grauer" {
		t.Errorf("after the code: %q", got)
	}
	if b.cookies["tracewright"] == half {
		t.Error("the token did not change with the code (7.2.4)")
	}
	late := d.browser()
	late.mustWork(http.MethodPost, signIn)
	d.at = d.at.Add(10 * time.Minute)
	if w := late.do(http.MethodPost, "/code?code="+code()); w.Code != http.StatusSeeOther || late.who() != "" {
		t.Errorf("ten minutes after the password: %d, %q", w.Code, late.who())
	}
	// A one-time link that sets the password leads no further (6.4.3).
	token, err := d.access.PasswordLink(t.Context(), models.Actor{}, d.owner.ID)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.access.UseLink(t.Context(), token, access.LinkUse{Password: "another rain on another canal"}); err != nil {
		t.Fatal(err)
	}
	set := d.browser()
	set.mustWork(http.MethodPost, "/in?login=ilse&password=another rain on another canal")
	if got := set.who(); got != "" {
		t.Errorf("a password set by a link is %s without a code", got)
	}
}

// Where the shop asks for a second factor, somebody without one reaches the page
// where it is set up, and nothing else.
func TestWhoHasToSetUpASecondSecretReachesThatPageAlone(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	if err := d.store.SetSetting(t.Context(), models.NewStamp(models.Actor{}, d.at), models.SettingSecondSecret, "yes"); err != nil {
		t.Fatal(err)
	}
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	if w := b.do(http.MethodGet, "/page"); w.Code != http.StatusSeeOther || w.Header().Get("Location") != SetUpPath {
		t.Errorf("a page: %d to %q", w.Code, w.Header().Get("Location"))
	}
	if w := b.do(http.MethodPost, "/api/sign"); w.Code != http.StatusForbidden || !strings.Contains(w.Body.String(), "problem/second_factor") {
		t.Errorf("the interface: %d %s", w.Code, w.Body)
	}
	if w := b.do(http.MethodGet, SetUpPath); w.Code != http.StatusOK {
		t.Errorf("the page of the second factor: %d", w.Code)
	}
}

// OWASP ASVS 5.0, 7.3.2: twelve hours end a session, however busy it is.
func TestASVS7_3_2_ASessionLastsTwelveHours(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	for range 48 - 1 {
		d.at = d.at.Add(15 * time.Minute)
		if b.who() == "" {
			t.Fatalf("signed out before its time")
		}
	}
	d.at = d.at.Add(15 * time.Minute)
	if got := b.who(); got != "" {
		t.Errorf("after twelve hours it is still %s", got)
	}
}

// OWASP ASVS 5.0, 7.3.1: the shop says how long a session waits, and is believed at
// once, within half a minute.
func TestTheShopSaysHowLongASessionWaits(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	if err := d.store.SetSetting(t.Context(), models.NewStamp(models.Actor{}, d.at), models.SettingLockMinutes, "5"); err != nil {
		t.Fatal(err)
	}
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	d.at = d.at.Add(4 * time.Minute)
	if b.who() == "" {
		t.Fatal("signed out after four minutes of five")
	}
	d.at = d.at.Add(5 * time.Minute)
	if got := b.who(); got != "" {
		t.Errorf("after five minutes it is still %s", got)
	}
}

// OWASP ASVS 5.0, 7.4.1 to 7.4.5: a session that was ended is of no use any more,
// whoever ended it and why.
func TestASVS7_4_AnEndedSessionIsOfNoUse(t *testing.T) {
	for _, test := range []struct {
		name string
		end  func(d *desk, b, other *browser) error
	}{
		{"7.4.1, signed out", func(d *desk, b, _ *browser) error {
			kept := b.cookies["tracewright"]
			b.mustWork(http.MethodPost, "/out")
			b.cookies["tracewright"] = kept
			return nil
		}},
		{"7.4.2, the person left", func(d *desk, _, _ *browser) error {
			d.t.Helper()
			if _, err := d.access.AddPerson(d.t.Context(), models.Actor{}, access.NewPerson{Name: "Nuno Alves", Role: models.Owner, Login: "nuno", Password: goodPassword}); err != nil {
				return err
			}
			no := false
			_, err := d.access.UpdatePerson(d.t.Context(), models.Actor{}, d.owner.ID, access.Change{Active: &no})
			return err
		}},
		{"7.4.3, another password", func(d *desk, _, _ *browser) error {
			return d.access.SetPassword(d.t.Context(), d.ownerActor(), d.owner.ID, "another rain on another canal")
		}},
		{"7.4.3, a second factor was set up elsewhere", func(d *desk, _, _ *browser) error { d.secondSecret(); return nil }},
		{"7.4.5, ended by key", func(d *desk, b, _ *browser) error {
			return d.access.EndSession(d.t.Context(), d.ownerActor(), keyOf(b))
		}},
		{"7.5.2, all but the one in hand", func(d *desk, _, other *browser) error {
			return d.access.EndSessionsOf(d.t.Context(), d.ownerActor(), d.owner.ID, keyOf(other))
		}},
	} {
		t.Run(test.name, func(t *testing.T) {
			d := newDesk(t, SessionOptions{})
			b, other := d.browser(), d.browser()
			b.mustWork(http.MethodPost, signIn)
			other.mustWork(http.MethodPost, signIn)
			if list, err := d.access.Sessions(t.Context(), d.ownerActor(), false, time.Hour); err != nil || len(list) != 2 {
				t.Fatalf("%d sessions are listed, %v; want 2", len(list), err)
			}
			if err := test.end(d, b, other); err != nil {
				t.Fatal(err)
			}
			if got := b.who(); got != "" {
				t.Errorf("it is still %s", got)
			}
			if strings.HasPrefix(test.name, "7.5.2") && other.who() != "Ilse Grauer" {
				t.Error("the one in hand was ended too")
			}
		})
	}
}

// A request that was under way when its session was ended must not bring it back by
// writing down that it was seen.
func TestASVS7_4_1_ARequestUnderWayBringsNoSessionBack(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	d.at = d.at.Add(6 * time.Minute) // The next confirmation writes the session anew.
	d.engine.POST("/api/slow", testAnswers().Adapt(func(c *gin.Context) error {
		if err := d.access.EndSession(c.Request.Context(), d.ownerActor(), keyOf(b)); err != nil {
			return err
		}
		return d.sessions.Confirm(c, access.Secret{Password: goodPassword})
	}))
	if w := b.do(http.MethodPost, "/api/slow"); w.Code != http.StatusUnauthorized {
		t.Errorf("the request under way: %d %s, want 401", w.Code, w.Body)
	}
	if got := b.who(); got != "" {
		t.Errorf("the ended session is %s again", got)
	}
}

// OWASP ASVS 5.0, 7.5.2 and 8.2.2: one ends one's own sessions, and only an owner
// in the office another's.
func TestASVS7_5_2_WhoMayEndWhichSession(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	b := d.browser()
	b.mustWork(http.MethodPost, signIn)
	ada, err := d.access.AddPerson(t.Context(), models.Actor{}, access.NewPerson{Name: "Ada Lind", Role: models.Desk, Login: "ada", Password: goodPassword})
	if err != nil {
		t.Fatal(err)
	}
	desk := models.Actor{PersonID: ada.ID, Role: models.Desk}
	if err := d.access.EndSession(t.Context(), desk, keyOf(b)); err == nil || b.who() == "" {
		t.Errorf("the desk ended the owner's session: %v", err)
	}
	if err := d.access.EndSessionsOf(t.Context(), desk, d.owner.ID, ""); err == nil || b.who() == "" {
		t.Errorf("the desk ended all of the owner's sessions: %v", err)
	}
	if list, err := d.access.Sessions(t.Context(), desk, true, time.Hour); err == nil {
		t.Errorf("the desk sees everybody's: %v", list)
	}
	tablet := d.ownerActor()
	tablet.DeviceID = d.device.ID
	if err := d.access.EndSession(t.Context(), tablet, keyOf(b)); err == nil || b.who() == "" {
		t.Errorf("ended at a tablet, where a tap makes anybody the owner: %v", err)
	}
}

// A stream goes on for minutes after the one look at who asks. Whoever was signed
// out, revoked or left hears no more within seconds; others do.
func TestASVS7_4_1_AStreamEndsWithItsSession(t *testing.T) {
	d := newDesk(t, SessionOptions{LookEvery: 20 * time.Millisecond})
	if err := Mount(d.engine, testAnswers(), []Route{{Method: http.MethodGet, Path: "/stream", Act: Enrolled, Handler: func(c *gin.Context) error {
		s, err := NewStream(c)
		if err != nil {
			return err
		}
		defer s.Close()
		_ = s.Send("data: begun\n\n")
		<-s.Done()
		return nil
	}}}); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(d.engine)
	defer server.Close()
	open := func(sign func(*http.Request)) io.ReadCloser {
		t.Helper()
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, server.URL+"/stream", nil)
		if err != nil {
			t.Fatal(err)
		}
		sign(r)
		answer, err := http.DefaultClient.Do(r)
		if err != nil || answer.StatusCode != http.StatusOK {
			t.Fatalf("open a stream: %v, %v", answer, err)
		}
		if line, err := bufio.NewReader(answer.Body).ReadString('\n'); err != nil || line != "data: begun\n" {
			t.Fatalf("the stream begins with %q, %v", line, err)
		}
		return answer.Body
	}
	cookies := func(b *browser) func(*http.Request) {
		return func(r *http.Request) {
			for name, value := range b.cookies {
				r.AddCookie(&http.Cookie{Name: name, Value: value})
			}
		}
	}
	stays := d.browser()
	stays.mustWork(http.MethodPost, signIn)
	going := open(cookies(stays))
	defer going.Close()
	for _, test := range []struct {
		name string
		open func() io.ReadCloser
		end  func() error
	}{
		{"a session that is ended from elsewhere", func() io.ReadCloser {
			b := d.browser()
			b.mustWork(http.MethodPost, signIn)
			return open(cookies(b))
		}, func() error {
			return d.access.EndSessionsOf(t.Context(), d.ownerActor(), d.owner.ID, keyOf(stays))
		}},
		{"a program whose person left", func() io.ReadCloser {
			return open(func(r *http.Request) {
				r.Header.Set("Authorization", "Bearer "+d.key)
				r.Header.Set(PersonHeader, d.operator.ID)
			})
		}, func() error {
			no := false
			_, err := d.access.UpdatePerson(t.Context(), models.Actor{}, d.operator.ID, access.Change{Active: &no})
			return err
		}},
		{"a tablet that is revoked", func() io.ReadCloser {
			return open(func(r *http.Request) { r.Header.Set("Authorization", "Bearer "+d.key) })
		}, func() error { return d.access.Revoke(t.Context(), models.Actor{}, d.device.ID) }},
	} {
		body := test.open()
		if err := test.end(); err != nil {
			t.Fatal(err)
		}
		ended := make(chan error, 1)
		go func() { _, err := io.Copy(io.Discard, body); ended <- err }()
		select {
		case <-ended:
		case <-time.After(5 * time.Second):
			t.Errorf("%s: it goes on", test.name)
		}
		body.Close()
	}
	ended := make(chan struct{})
	go func() { _, _ = io.Copy(io.Discard, going); close(ended) }()
	select {
	case <-ended:
		t.Error("a session that nobody ended hears no more")
	case <-time.After(150 * time.Millisecond):
	}
}

// What is listed of a session is what its browser said, cut short, without signs
// that a terminal or a page would obey.
func TestASessionIsListedWithItsBrowser(t *testing.T) {
	d := newDesk(t, SessionOptions{})
	r := httptest.NewRequest(http.MethodPost, strings.ReplaceAll(signIn, " ", "%20"), nil)
	r.Header.Set("User-Agent", "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0 \x1b[31m"+strings.Repeat("é", 300))
	d.engine.ServeHTTP(httptest.NewRecorder(), r)
	list, err := d.access.Sessions(t.Context(), d.ownerActor(), true, time.Hour)
	if err != nil || len(list) != 1 {
		t.Fatalf("%d sessions, %v", len(list), err)
	}
	got := list[0]
	browser, system := access.Browser(got.Agent)
	if browser != "Firefox" || system != "Linux" || len(got.Agent) > 200 || strings.ContainsRune(got.Agent, 0x1b) || got.Address != "192.0.2.1" || !got.SeenAt.Equal(d.at) || len(got.Data) > 0 {
		t.Errorf("listed as %s on %s, %+v", browser, system, got)
	}
	if fmt.Sprint(*got.PersonID) != d.owner.ID || got.DeviceID != nil {
		t.Errorf("of %v at %v", *got.PersonID, got.DeviceID)
	}
}
