package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/pquerna/otp/totp"

	"tracewright/models"
)

// hasSecond sets a second factor up and gives what its authenticator shows.
func (b *browser) hasSecond() (code func() string) {
	b.t.Helper()
	_, _, says := b.send("/own/second", url.Values{"do": {"begin"}})
	found := spelledOut.FindStringSubmatch(says)
	if found == nil {
		b.t.Fatalf("no code to scan: %s", shortened([]byte(says)))
	}
	code = func() string {
		text, err := totp.GenerateCode(strings.ReplaceAll(found[1], " ", ""), b.s.Now)
		b.s.Must(err)
		return text
	}
	if status, _, says := b.send("/own/second", url.Values{"do": {"confirm"}, "code": {code()}}); status != http.StatusOK {
		b.t.Fatalf("the first code: %d %s", status, shortened([]byte(says)))
	}
	b.s.Now = b.s.Now.Add(time.Minute)
	return code
}

// Whoever has somebody's password and guesses at the code holds up their own address,
// and not the person.
func TestWhoGuessesAtACodeHoldsNobodyUpElsewhere(t *testing.T) {
	s := On(t, openSQLite(t))
	b := s.browser(t)
	b.signIn(Owner)
	code := b.hasSecond()
	thief := s.browser(t)
	thief.from = "198.51.100.66"
	thief.signIn(Owner)
	for i := range 7 {
		status, _, _ := thief.send("/signin/code", url.Values{"code": {"000000"}})
		if want := map[bool]int{true: http.StatusUnprocessableEntity, false: http.StatusTooManyRequests}[i < 5]; status != want {
			t.Errorf("guess %d: %d, want %d", i+1, status, want)
		}
	}
	own := s.browser(t)
	own.signIn(Owner)
	if status, leads, says := own.send("/signin/code", url.Values{"code": {code()}, "next": {"/people"}}); status != http.StatusSeeOther || leads != "/people" {
		t.Errorf("the person with their code: %d to %q: %s", status, leads, shortened([]byte(says)))
	}
}

// Where the shop demands a second factor, whoever takes theirs away gets no further
// until another is set up, wherever they are signed in.
func TestWhereOneIsDemandedASecondSecretIsReplaced(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		b, other := s.browser(t), s.browser(t)
		b.signIn(Owner)
		code := b.hasSecond()
		other.signIn(Owner)
		other.send("/signin/code", url.Values{"code": {code()}})
		if !other.reaches("/people") {
			t.Fatal("the other browser is not in")
		}
		s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.SettingSecondSecret, "yes"))
		s.Now = s.Now.Add(time.Minute)
		if _, _, says := b.send("/own/second", nil); !strings.Contains(says, "Set up another in its place") {
			t.Errorf("the page says: %s", shortened([]byte(says)))
		}
		if _, leads, says := b.send("/own/second", url.Values{"do": {"drop"}, "code": {code()}}); !strings.HasPrefix(leads, "/own/second") {
			t.Fatalf("taken away it leads to %q: %s", leads, shortened([]byte(says)))
		}
		if _, leads, _ := b.send("/people", nil); leads != "/own/second" {
			t.Errorf("without one it goes on to %q", leads)
		}
		if _, leads, _ := other.send("/people", nil); !strings.HasPrefix(leads, "/signin") {
			t.Errorf("the other session goes on, to %q", leads)
		}
		b.hasSecond()
		if !b.reaches("/people") {
			t.Error("with another it does not go on")
		}
	})
}
