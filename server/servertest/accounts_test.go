package servertest

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pquerna/otp/totp"

	"tracewright/models"
	"tracewright/models/work/claims"
	"tracewright/models/work/documents"
	"tracewright/models/work/privacy"
)

// browser sends forms and keeps cookies, as a person's browser does.
type browser struct {
	t       *testing.T
	s       *Shop
	cookies map[string]string
	agent   string
	from    string // its address; empty: that of all others
}

func (s *Shop) browser(t *testing.T) *browser {
	return &browser{t, s, map[string]string{}, "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", ""}
}

// send posts a form, or asks for a page where there is none, and gives status,
// where it leads, and what it says.
func (b *browser) send(path string, form url.Values) (status int, leads, says string) {
	b.t.Helper()
	method := http.MethodGet
	if form != nil {
		method = http.MethodPost
	}
	r := httptest.NewRequestWithContext(b.t.Context(), method, "http://localhost"+path, strings.NewReader(form.Encode()))
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	r.Header.Set("User-Agent", b.agent)
	if b.from != "" {
		r.RemoteAddr = b.from + ":40000"
	}
	for name, value := range b.cookies {
		r.AddCookie(&http.Cookie{Name: name, Value: value})
	}
	w := httptest.NewRecorder()
	b.s.App.Handler.ServeHTTP(w, r)
	for _, c := range w.Result().Cookies() {
		b.cookies[c.Name] = c.Value
		if c.MaxAge < 0 || c.Value == "" {
			delete(b.cookies, c.Name)
		}
	}
	return w.Code, w.Header().Get("Location"), w.Body.String()
}

func (b *browser) signIn(who string) (leads string) {
	b.t.Helper()
	status, leads, says := b.send("/signin", url.Values{"login": {who}, "password": {Password}, "next": {"/claims"}})
	if status != http.StatusSeeOther {
		b.t.Fatalf("sign in as %s: %d %s", who, status, shortened([]byte(says)))
	}
	return leads
}

// reaches says whether a page opens.
func (b *browser) reaches(path string) bool {
	b.t.Helper()
	status, _, _ := b.send(path, nil)
	return status == http.StatusOK
}

// opened is a form with what its page was opened on.
func (b *browser) opened(path string, form url.Values) url.Values {
	b.t.Helper()
	_, _, says := b.send(path, nil)
	found := heldFrom.FindStringSubmatch(says)
	if found == nil {
		b.t.Fatalf("%s does not say what it was opened on: %s", path, shortened([]byte(says)))
	}
	form.Set("from", found[1])
	return form
}

var (
	spelledOut = regexp.MustCompile(`<p class="mono spelled">([A-Z2-7 ]+)</p>`)
	listed     = regexp.MustCompile(`<li>([A-Z0-9]{5}-[A-Z0-9]{5})</li>`)
	endButton  = regexp.MustCompile(`name="end" value="([0-9a-f]{64})"[^>]*>End<span class="sr"> ([^,]*), ([^<]*)</span>`)
)

// OWASP ASVS 5.0, 6.3.3, 6.5.1: from the page where it is set up to a sign-in that
// asks for its code, once for each.
func TestASVS6_3_3_ASecondSecretThroughThePages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		b := s.browser(t)
		b.signIn(Owner)
		if status, _, says := b.send("/shop", b.opened("/shop", url.Values{"name": {"Hof"}, "time_zone": {"UTC"}, "second_secret": {"yes"}})); status != http.StatusUnprocessableEntity || !strings.Contains(says, "Set up your own second factor first") {
			t.Errorf("the shop asks for one before its owner has one: %d", status)
		}
		_, _, says := b.send("/own/second", url.Values{"do": {"begin"}})
		found := spelledOut.FindStringSubmatch(says)
		if found == nil || !strings.Contains(says, `<svg class="qr"`) {
			t.Fatalf("no code to scan: %s", shortened([]byte(says)))
		}
		code := func() string {
			text, err := totp.GenerateCode(strings.ReplaceAll(found[1], " ", ""), s.Now)
			s.Must(err)
			return text
		}
		if status, _, says := b.send("/own/second", url.Values{"do": {"confirm"}, "code": {"000000"}}); status != http.StatusUnprocessableEntity || !strings.Contains(says, found[1]) || !strings.Contains(says, "Tries left: 4.") {
			t.Errorf("a wrong first code: %d %s", status, shortened([]byte(says)))
		}
		status, _, says := b.send("/own/second", url.Values{"do": {"confirm"}, "code": {code()}})
		recovery := listed.FindAllStringSubmatch(says, -1)
		if status != http.StatusOK || len(recovery) != 10 {
			t.Fatalf("after the first code: %d, %d recovery codes", status, len(recovery))
		}
		if !strings.Contains(says, "Recovery codes of The owner, login owner, at Speichenhof Test. Made on ") {
			t.Errorf("on paper nothing says whose codes they are: %s", shortened([]byte(says)))
		}
		if !strings.Contains(says, `<a class="act first" href="/backups/key">I have them`) {
			t.Error("an owner of a shop without a recovery key is not led there")
		}
		if _, leads, _ := b.send("/shop", b.opened("/shop", url.Values{"name": {"Hof"}, "time_zone": {"UTC"}, "second_secret": {"yes"}})); !strings.HasPrefix(leads, "/shop") {
			t.Errorf("the shop's demand is not taken from an owner who has one: to %q", leads)
		}
		// The desk has none: its session ended, and the next leads to that page alone.
		s.run(t, Row{Who: Desk, Path: "/claims", Status: http.StatusSeeOther, Headers: map[string]string{"Location": "/signin?next=%2Fclaims"}})
		desk := s.browser(t)
		desk.signIn(Desk)
		if _, leads, _ := desk.send("/claims", nil); leads != "/own/second" {
			t.Errorf("the desk without a second factor gets to %q", leads)
		}
		// Whoever finds an owner's page open does not take the demand back.
		s.Now = s.Now.Add(6 * time.Minute)
		off := url.Values{"name": {"Hof"}, "time_zone": {"UTC"}}
		if status, _, says := b.send("/shop", b.opened("/shop", off)); status != http.StatusUnprocessableEntity || !strings.Contains(says, `name="confirm.password"`) {
			t.Errorf("the demand is taken back without the password: %d", status)
		}
		settings, err := s.Store.Settings(t.Context())
		s.Must(err)
		if settings[models.SettingSecondSecret] != "yes" {
			t.Error("the shop asks for no second factor any more")
		}
		off["second_secret"] = []string{"yes"} // What else is changed asks for nothing.
		if status, _, _ := b.send("/shop", b.opened("/shop", off)); status != http.StatusSeeOther {
			t.Errorf("another change of the shop: %d", status)
		}
		s.Now = s.Now.Add(time.Minute)
		used := code()
		// Between password and code the password may be set anew: the old one leads no further.
		late := s.browser(t)
		late.signIn(Owner)
		s.Must(s.App.Services.Access.SetPassword(t.Context(), models.Actor{}, s.People[Owner].ID, "geese along the weir"))
		if status, leads, _ := late.send("/signin/code", url.Values{"code": {used}, "next": {"/claims"}}); status == http.StatusSeeOther && leads == "/claims" || late.reaches("/claims") {
			t.Error("a code lets in after a password that was replaced")
		}
		s.Must(s.App.Services.Access.SetPassword(t.Context(), models.Actor{}, s.People[Owner].ID, Password))
		for _, row := range []struct {
			name, code string
			status     int
			says       string
		}{
			{"a code", used, http.StatusSeeOther, ""},
			{"the same again", used, http.StatusUnprocessableEntity, "was used already"},
			{"a recovery code", recovery[0][1], http.StatusSeeOther, ""},
			{"the same again", recovery[0][1], http.StatusUnprocessableEntity, "was used already"},
			{"nothing", "", http.StatusUnprocessableEntity, "needed"},
		} {
			fresh := s.browser(t)
			if leads := fresh.signIn(Owner); leads != "/signin/code?next=%2Fclaims" {
				t.Fatalf("%s: the password leads to %q", row.name, leads)
			}
			if _, leads, _ := fresh.send("/claims", nil); !strings.HasPrefix(leads, "/signin") {
				t.Errorf("%s: the password alone gets to /claims", row.name)
			}
			status, leads, says := fresh.send("/signin/code", url.Values{"code": {row.code}, "next": {"/claims"}})
			if status != row.status || !strings.Contains(says, row.says) || status == http.StatusSeeOther && leads != "/claims" {
				t.Errorf("%s: %d to %q, %s", row.name, status, leads, shortened([]byte(says)))
			}
			if strings.Contains(says, `value="`+row.code+`"`) && row.code != "" {
				t.Errorf("%s: the code is sent back", row.name)
			}
		}
	})
}

// A page that lies open asks whether its person is still signed in: to ask so is no
// sign of anybody, and nobody else's page is told that it may go on.
func TestAPageThatLiesOpenHearsThatItsSessionEnded(t *testing.T) {
	s := On(t, openSQLite(t))
	b := s.browser(t)
	b.signIn(Desk)
	desk, owner := "/own/here?person="+s.People[Desk].ID, "/own/here?person="+s.People[Owner].ID
	if _, _, says := b.send("/claims", nil); !strings.Contains(says, `data-lock="30" data-person="`+s.People[Desk].ID+`"`) || !strings.Contains(says, "/office-lock.js") {
		t.Error("a page is told neither when to cover itself nor for whom")
	}
	asks := func(path, accept string) int {
		t.Helper()
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "http://localhost"+path, nil)
		r.Header.Set("Accept", accept)
		r.AddCookie(&http.Cookie{Name: "tracewright", Value: b.cookies["tracewright"]})
		return ask(s.App.Handler, r).StatusCode
	}
	if of, another := asks(desk, "*/*"), asks(owner, "*/*"); of != http.StatusNoContent || another != http.StatusForbidden {
		t.Errorf("its own person: %d, want 204; another: %d, want 403", of, another)
	}
	for range 5 { // With a hand at it each ten minutes it goes on.
		s.Now = s.Now.Add(10 * time.Minute)
		if got := asks(desk, "*/*"); got != http.StatusNoContent {
			t.Fatalf("with a hand at it: %d, want 204", got)
		}
	}
	got := 0
	for range 3 {
		s.Now = s.Now.Add(10 * time.Minute)
		got = asks(desk, "text/event-stream")
	}
	if got != http.StatusSeeOther {
		t.Errorf("half an hour without a hand: %d, want the way to sign in", got)
	}
}

// Whoever becomes an owner gets in as one by a sign-in that asks for what the shop
// wants of owners; the session from before ends. Whoever left may come back.
func TestAnotherRoleBeginsWithAnotherSignIn(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, at := t.Context(), "/people/"+s.People[Operator].ID
		s.Must(s.Store.SetSetting(ctx, models.NewStamp(s.Shop.Owner, s.Now), models.SettingSecondSecret, "yes"))
		b := s.browser(t)
		b.signIn(Operator)
		if !b.reaches("/claims") || b.reaches("/people") {
			t.Fatal("an operator is not where one is")
		}
		change := func(name, role, active string) {
			t.Helper()
			s.run(t, s.opened(t, Posted(name, Owner, at, url.Values{"name": {"The operator"}, "login": {"operator"}, "role": {role}, "active": {active}}, http.StatusSeeOther)))
		}
		change("the same", "operator", "yes")
		if !b.reaches("/claims") {
			t.Error("a change of nothing ends a session")
		}
		change("an owner", "owner", "yes")
		if _, leads, _ := b.send("/people", nil); leads != "/signin?next=%2Fpeople" {
			t.Errorf("the session of an operator becomes an owner's: to %q", leads)
		}
		b.signIn(Operator)
		if _, leads, _ := b.send("/people", nil); leads != "/own/second" {
			t.Errorf("a new owner without a second factor gets to %q", leads)
		}
		change("leaves", "operator", "")
		s.run(t, Row{Name: "the page of somebody who left", Who: Owner, Path: at, Status: http.StatusOK, Has: []string{"Works here"}, HasNot: []string{"Make a link", "Set the PIN"}})
		change("comes back", "operator", "yes")
		if b.signIn(Operator); !b.reaches("/claims") {
			t.Error("who came back does not come in")
		}
	})
}

// OWASP ASVS 5.0, 7.5.2 and 7.4.5: the owner sees who is signed in and ends it, after
// the password once more.
func TestASVS7_5_2_SessionsAreListedAndEndedThroughThePages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		b, desk := s.browser(t), s.browser(t)
		b.signIn(Owner)
		desk.signIn(Desk)
		s.Now = s.Now.Add(6 * time.Minute)
		_, _, says := b.send("/sessions", nil)
		keys := map[string]string{}
		for _, found := range endButton.FindAllStringSubmatch(says, -1) {
			if strings.Contains(found[3], "Firefox on Linux") {
				keys[found[2]] = found[1]
			}
		}
		if keys["The desk"] == "" || !strings.Contains(says, "in the office") || !strings.Contains(says, "192.0.2.1") {
			t.Fatalf("the desk's browser is not listed: %v", keys)
		}
		if status, _, _ := b.send("/sessions", url.Values{"end": {keys["The desk"]}}); status != http.StatusUnprocessableEntity {
			t.Errorf("without the password again: %d", status)
		}
		if _, leads, _ := b.send("/sessions", url.Values{"end": {keys["The desk"]}, "confirm.password": {Password}}); leads != "/sessions?done=session_ended" {
			t.Errorf("ended: to %q", leads)
		}
		if _, leads, _ := desk.send("/claims", nil); !strings.HasPrefix(leads, "/signin") {
			t.Error("the desk's session goes on")
		}
		// Nobody sees or ends another's by their own page.
		if _, _, says := desk.send("/own/sessions", nil); strings.Contains(says, "The owner") {
			t.Error("the desk sees the owner's sessions")
		}
	})
}

// A copied key of a tablet stands first among what needs somebody, with what was
// noticed, and "Revoke" beside it on the page of tablets.
func TestAStolenKeyIsListedAndRevoked(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		tablet, owner := s.browser(t), s.browser(t)
		owner.signIn(Owner)
		tablet.signIn(Owner)
		if _, leads, _ := tablet.send("/devices", url.Values{"name": {"Tablet by the door"}, "place": {"stand 7"}}); leads != "/signin" {
			t.Fatalf("enrolling leads to %q", leads)
		}
		tap := func(b *browser) {
			t.Helper()
			if status, _, says := b.send("/signin", url.Values{"person": {s.People[Operator].ID}}); status != http.StatusSeeOther {
				t.Fatalf("a tap on a name: %d %s", status, shortened([]byte(says)))
			}
			s.Now = s.Now.Add(time.Minute)
		}
		tap(tablet)
		thief := s.browser(t)
		thief.agent = "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Safari/537.36"
		thief.cookies["tracewright_device"] = tablet.cookies["tracewright_device"]
		tap(thief)
		if _, _, says := owner.send("/attention", nil); strings.Contains(says, "in two places") && !strings.Contains(says, "no key of a tablet in two places") {
			t.Error("it is doubted before anything shows it")
		}
		tap(tablet)
		tap(thief)
		_, _, says := owner.send("/attention", nil)
		at := strings.Index(says, "The key of Tablet by the door, stand 7, seems to be in two places")
		if at < 0 || !strings.Contains(strings.ToLower(says[at:]), "two browsers hold it") || !strings.Contains(says[at:], `href="/devices"`) {
			t.Fatalf("what needs somebody does not say it: %s", shortened([]byte(says)))
		}
		_, _, says = owner.send("/devices", nil)
		form := regexp.MustCompile(`href="(/devices/[^"]+/revoke)">Revoke Tablet by the door`).FindStringSubmatch(says)
		if form == nil || !strings.Contains(says, "Two browsers hold this key: Chrome on Windows at 192.0.2.1") {
			t.Fatalf("the page of tablets: %s", shortened([]byte(says)))
		}
		owner.send(form[1], url.Values{"confirm.password": {Password}})
		for name, b := range map[string]*browser{"the thief": thief, "the tablet": tablet} {
			if _, leads, _ := b.send("/stand", nil); !strings.HasPrefix(leads, "/signin") || b.cookies["tracewright_device"] != "" {
				t.Errorf("%s goes on after revoking: to %q", name, leads)
			}
		}
		if _, _, says := owner.send("/attention", nil); strings.Contains(says, "stand 7, seems to be in two places") {
			t.Error("it is still said after revoking")
		}
	})
}

// Customers whose time is over are listed without a name, handed out as a file, and
// erased with their words and photos; whoever has an open claim stays. The log names
// nothing but a random key.
func TestCustomersAreLetGoWhenTheirTimeIsOver(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, services := t.Context(), s.App.Services
		box := s.kitted(t)
		claim := func(customer, words string) models.ClaimView {
			v, err := services.Claims.Open(ctx, s.Shop.Owner, claims.Opening{Item: *s.Item[models.KindWheel].Serial, Customer: customer, Words: words})
			s.Must(err)
			return v
		}
		closed := claim(box.customer, "it ticks at the ferry")
		s.Must(services.Documents.Add(ctx, s.Shop.Owner, models.SubjectClaim, closed.ID, documents.Sent{Name: "quay.png", Note: "her hand is on it", Bytes: dot(t)}))
		waits, err := services.Shipping.AddCustomer(ctx, s.Shop.Owner, models.Customer{Name: "Berit Lind"})
		s.Must(err)
		claim(waits.ID, "it squeaks")
		s.run(t, Row{Name: "everything as a file", Who: Desk, Path: "/customers/" + box.customer + "/data.json", Status: http.StatusOK, Has: []string{`"name": "Ada Brenn"`, `"address": "Quay 4\n9921 Sundhavn"`, `"ref": "4471"`, `"number": "` + box.number, `"words": "it ticks at the ferry"`, `"name": "quay.png"`, `"reason": "given to the customer"`},
			Headers: map[string]string{"Content-Type": "application/json; charset=utf-8"}, HasNot: []string{"The desk", "The owner"}})
		s.run(t, Row{Who: Inspector, Path: "/customers/" + box.customer + "/data.json", Status: http.StatusForbidden, HasNot: []string{"Ada"}})
		s.Must(services.Claims.Add(ctx, s.Shop.Owner, closed.Number, claims.Added{Decision: models.ClaimNoFault, Reason: "nothing found", Close: true}))
		s.Must(services.Shipping.EndOrder(ctx, s.Shop.Owner, "4471", "the rest is not wanted"))
		s.Must(s.Store.SetSetting(ctx, models.NewStamp(s.Shop.Owner, s.Now), models.SettingRetentionMonths, "24"))
		// A day short of it, and then after it.
		for _, row := range []struct {
			on   time.Time
			want []string
		}{{s.Now.AddDate(2, 0, -1), nil}, {s.Now.AddDate(2, 0, 1), []string{box.customer}}} {
			s.Now = row.on
			due, err := services.Privacy.Due(ctx)
			s.Must(err)
			if got := keysOf(due); !slices.Equal(got, row.want) {
				t.Fatalf("on %s are due %v, want %v", row.on.Format(time.DateOnly), got, row.want)
			}
		}
		s.signIn(Desk)
		s.run(t, Row{Who: Desk, Path: "/attention", Status: http.StatusOK, Has: []string{"1 customer is kept longer", `href="/customers/due"`}})
		s.run(t, Row{Who: Desk, Path: "/customers/due", Status: http.StatusOK, Has: []string{box.customer, "1 order", "1 shipment", "1 claim"}, HasNot: []string{"Ada", "Berit", waits.ID}})
		s.run(t, Posted("nobody ticked", Desk, "/customers/due", url.Values{}, http.StatusUnprocessableEntity))
		s.run(t, Posted("one who is not due", Desk, "/customers/due", url.Values{"id": {waits.ID}}, http.StatusSeeOther))
		s.run(t, Posted("the one who is", Desk, "/customers/due", url.Values{"id": {box.customer}}, http.StatusSeeOther))
		for id, want := range map[string]bool{box.customer: false, waits.ID: true} {
			if there, err := s.Store.CustomerThere(ctx, id); err != nil || there != want {
				t.Errorf("customer %s is there: %v, %v; want %v", id, there, err, want)
			}
		}
		v, err := services.Claims.Claim(ctx, closed.Number)
		s.Must(err)
		photos, err := services.Documents.Of(ctx, models.SubjectClaim, closed.ID)
		s.Must(err)
		if v.Words != nil || len(photos) > 0 {
			t.Errorf("of the claim stay %+v and %d photos", v.Words, len(photos))
		}
		entries, err := s.Store.TrailOf(ctx, []string{box.customer}, 10)
		s.Must(err)
		if last := entries[len(entries)-1]; last.Note != models.NoteErased || last.Actor != s.People[Desk].ID || last.Data != nil {
			t.Errorf("the log says %+v", last)
		}
	})
}

func keysOf(due privacy.Due) (keys []string) {
	for _, c := range due.Customers {
		keys = append(keys, c.ID)
	}
	return keys
}
