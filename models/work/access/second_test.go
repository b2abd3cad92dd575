package access_test

import (
	"encoding/base32"
	"errors"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/pquerna/otp/totp"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

// authenticator computes codes as a phone does, from what the QR code holds.
type authenticator struct {
	t      *testing.T
	secret string
}

func scan(t *testing.T, uri string) authenticator {
	t.Helper()
	u, err := url.Parse(uri)
	if err != nil || u.Scheme != "otpauth" || u.Host != "totp" {
		t.Fatalf("%s is no address of a time-based code: %v", uri, err)
	}
	return authenticator{t, u.Query().Get("secret")}
}

func (a authenticator) at(when time.Time) string {
	code, err := totp.GenerateCode(a.secret, when)
	if err != nil {
		a.t.Fatal(err)
	}
	return code
}

// enrolled sets a second factor up for the owner.
func enrolled(t *testing.T, h *house) (authenticator, []string) {
	t.Helper()
	offered, err := h.BeginSecond(t.Context(), h.owner)
	if err != nil {
		t.Fatal(err)
	}
	phone := scan(t, offered.URI)
	recovery, err := h.ConfirmSecond(t.Context(), h.owner, phone.at(h.clock.now()), "")
	if err != nil {
		t.Fatal(err)
	}
	return phone, recovery
}

func (h *house) code(t *testing.T, typed string) error {
	t.Helper()
	p, err := h.Person(t.Context(), h.owner.PersonID)
	if err != nil {
		t.Fatal(err)
	}
	return h.CheckCode(t.Context(), p, typed, "192.0.2.1")
}

func TestASecondSecretCountsOnceItsFirstCodeCame(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		if err := s.SetSetting(t.Context(), models.NewStamp(h.owner, h.clock.now()), models.SettingShopName, "Speichen: Hof"); err != nil {
			t.Fatal(err)
		}
		offered, err := h.BeginSecond(t.Context(), h.owner)
		if err != nil {
			t.Fatal(err)
		}
		// The form that authenticators agreed on: issuer and login in the label, the issuer again.
		if !strings.HasPrefix(offered.URI, "otpauth://totp/Speichen%20%20Hof:ilse?") || !strings.Contains(offered.URI, "issuer=Speichen%20%20Hof") {
			t.Errorf("the QR code holds %s", offered.URI)
		}
		phone := scan(t, offered.URI)
		// OWASP ASVS 5.0, 6.5.3 and RFC 4226, 4: 160 bits; spelled out as it lies in the code.
		if raw, err := base32.StdEncoding.DecodeString(phone.secret); err != nil || len(raw) != 20 || strings.ReplaceAll(offered.Secret, " ", "") != phone.secret {
			t.Errorf("secret %q, spelled %q: %v", phone.secret, offered.Secret, err)
		}
		person, err := h.Person(t.Context(), h.owner.PersonID)
		if err != nil {
			t.Fatal(err)
		}
		if code, _, err := h.AfterPassword(t.Context(), person); err != nil || code {
			t.Errorf("before its first code one is asked for: %v, %v", code, err)
		}
		if _, err := h.ConfirmSecond(t.Context(), h.owner, "000000", ""); !slices.Equal(problems(err), []string{"code code_wrong"}) {
			t.Errorf("a wrong first code: %v", err)
		}
		if _, err := h.ConfirmSecond(t.Context(), h.owner, phone.at(h.clock.now()), ""); err != nil {
			t.Fatal(err)
		}
		if code, setUp, err := h.AfterPassword(t.Context(), person); err != nil || !code || setUp {
			t.Errorf("after the password: code %v, set up %v, %v", code, setUp, err)
		}
		if second, err := h.Second(t.Context(), person.ID); err != nil || !second.Set || second.Recovery != 10 || !second.Since.Equal(h.clock.now()) {
			t.Errorf("Second = %+v, %v", second, err)
		}
		if _, err := h.BeginSecond(t.Context(), h.owner); !errors.Is(err, models.ErrConflict) {
			t.Errorf("a second one over the first: %v, want ErrConflict", err)
		}
	})
}

// OWASP ASVS 5.0, 6.5.1: a code counts once, also of two at the same moment, and
// also the one by which it was set up. 6.5.5 and 6.5.8: it lasts its step and one to
// each side, by the server's clock.
func TestASVS6_5_1_ACodeCountsOnce(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		phone, _ := enrolled(t, h)
		if err := h.code(t, phone.at(h.clock.now())); !slices.Equal(problems(err), []string{"code code_used"}) {
			t.Errorf("the code that set it up, again: %v", err)
		}
		h.clock.forward(30 * time.Second)
		code := phone.at(h.clock.now())
		var took, used int
		var mu sync.Mutex
		var all sync.WaitGroup
		for range 3 {
			all.Go(func() {
				err := h.code(t, code)
				mu.Lock()
				defer mu.Unlock()
				if err == nil {
					took++
				} else if slices.Equal(problems(err), []string{"code code_used"}) {
					used++
				}
			})
		}
		all.Wait()
		if took != 1 || used != 2 {
			t.Errorf("of one code three times at once %d were taken and %d refused as used", took, used)
		}
		h.clock.forward(60 * time.Second)
		for _, row := range []struct {
			name string
			off  time.Duration
			want []string
		}{
			{"a phone two steps behind", -60 * time.Second, []string{"code code_wrong"}},
			{"a phone two steps ahead", 60 * time.Second, []string{"code code_wrong"}},
			{"a phone one step behind", -30 * time.Second, nil},
			{"a phone one step ahead", 30 * time.Second, nil},
			{"an earlier one than was used", 0, []string{"code code_used"}},
		} {
			if err := h.code(t, " "+phone.at(h.clock.now().Add(row.off))[:3]+" "+phone.at(h.clock.now().Add(row.off))[3:]); !slices.Equal(problems(err), row.want) || err != nil && row.want == nil {
				t.Errorf("%s: %v, want %v", row.name, err, row.want)
			}
		}
	})
}

// OWASP ASVS 5.0, 6.5.1, 6.5.2 and 6.5.4: a recovery code counts once, is kept as
// a slow hash, and has more than 20 bits.
func TestASVS6_5_2_ARecoveryCodeIsHashedAndCountsOnce(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		_, recovery := enrolled(t, h)
		kept, err := s.RecoveryCodes(t.Context(), h.owner.PersonID)
		if err != nil || len(kept) != 10 || len(recovery) != 10 {
			t.Fatalf("%d codes are kept of %d, %v", len(kept), len(recovery), err)
		}
		for _, k := range kept {
			for _, r := range recovery {
				if strings.Contains(k.CodeHash, r) || !strings.HasPrefix(k.CodeHash, "$argon2id$") {
					t.Errorf("kept as %s", k.CodeHash)
				}
			}
		}
		for i, row := range []struct {
			typed string
			want  []string
		}{
			{recovery[3], nil},
			{recovery[3], []string{"code code_used"}},
			{strings.ToLower(strings.ReplaceAll(recovery[7], "-", " ")), nil},
			{"AAAAA-AAAAA", []string{"code code_wrong"}},
		} {
			if err := h.code(t, row.typed); !slices.Equal(problems(err), row.want) || err != nil && row.want == nil {
				t.Errorf("code %d: %v, want %v", i, err, row.want)
			}
		}
		if second, err := h.Second(t.Context(), h.owner.PersonID); err != nil || second.Recovery != 8 {
			t.Errorf("%d are left, %v; want 8", second.Recovery, err)
		}
		// Others take the place of all before.
		fresh, err := h.RenewRecoveryCodes(t.Context(), h.owner, recovery[0])
		if err != nil || len(fresh) != 10 {
			t.Fatalf("%d fresh codes, %v", len(fresh), err)
		}
		if err := h.code(t, recovery[1]); !slices.Equal(problems(err), []string{"code code_wrong"}) {
			t.Errorf("an old code after others were made: %v", err)
		}
		if err := h.code(t, fresh[1]); err != nil {
			t.Errorf("a fresh one: %v", err)
		}
	})
}

// OWASP ASVS 5.0, 6.3.1: codes are held back as PINs are, recovery codes with them.
func TestCodesAreHeldBackAfterFiveTries(t *testing.T) {
	h := open(t, storetest.New(t))
	phone, recovery := enrolled(t, h)
	h.clock.forward(time.Minute)
	for i := range 5 {
		if err := h.code(t, []string{"000000", "AAAAA-AAAAA"}[i%2]); waitOf(err) != 0 {
			t.Fatalf("try %d: %v", i+1, err)
		}
	}
	again := &house{Service: access.New(h.store, h.clock.now, cheap), store: h.store, clock: h.clock, owner: h.owner}
	for _, typed := range []string{phone.at(h.clock.now()), recovery[0]} {
		if err := again.code(t, typed); waitOf(err) != 30*time.Second {
			t.Errorf("after five tries and a restart: %v, want a wait of 30 s", err)
		}
	}
}

// OWASP ASVS 5.0, 6.4.4 and 7.5.1: another owner takes a lost second factor away,
// never its own person without a code of it, and nobody at a tablet.
func TestWhoMayTakeASecondSecretAway(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		second := actor(h.add(t, access.NewPerson{Name: "Nuno Alves", Role: models.Owner, Login: "nuno", Password: goodPassword}))
		desk := actor(h.add(t, access.NewPerson{Name: "Ada Lind", Role: models.Desk, Login: "ada", Password: goodPassword}))
		phone, _ := enrolled(t, h)
		tablet := second
		tablet.DeviceID = models.NewID()
		for name, a := range map[string]models.Actor{"its own person": h.owner, "the desk": desk, "an owner at a tablet": tablet} {
			if err := h.ResetSecond(t.Context(), a, h.owner.PersonID); !errors.Is(err, models.ErrForbidden) {
				t.Errorf("%s: %v, want ErrForbidden", name, err)
			}
		}
		if _, err := h.DropSecond(t.Context(), h.owner, "000000", "", nil); !slices.Equal(problems(err), []string{"code code_wrong"}) {
			t.Errorf("its own person with a wrong code: %v", err)
		}
		h.clock.forward(time.Minute)
		if setUp, err := h.DropSecond(t.Context(), h.owner, phone.at(h.clock.now()), "", nil); err != nil || setUp {
			t.Errorf("its own person with a code: %v, to be set up anew: %v", err, setUp)
		}
		enrolled(t, h)
		if err := h.ResetSecond(t.Context(), second, h.owner.PersonID); err != nil {
			t.Errorf("another owner: %v", err)
		}
		enrolled(t, h)
		if err := h.ResetSecond(t.Context(), models.Actor{}, h.owner.PersonID); err != nil {
			t.Errorf("at the server's console: %v", err)
		}
		if codes, err := s.RecoveryCodes(t.Context(), h.owner.PersonID); err != nil || len(codes) > 0 {
			t.Errorf("%d recovery codes stay, %v", len(codes), err)
		}
		var notes []string
		for _, e := range entriesAbout(t, s, h.owner.PersonID) {
			if e.Note != "" {
				notes = append(notes, e.Note+" by "+e.Actor)
			}
		}
		want := []string{"second_secret_set by " + h.owner.PersonID, "second_secret_dropped by " + h.owner.PersonID, "second_secret_set by " + h.owner.PersonID, "second_secret_reset by " + second.PersonID,
			"second_secret_set by " + h.owner.PersonID, "second_secret_reset by system"}
		if !slices.Equal(notes, want) {
			t.Errorf("the log says %v, want %v", notes, want)
		}
	})
}

// OWASP ASVS 5.0, 6.3.3: the shop may ask desk and owner for one; others work at
// stands, where the tablet's key and the PIN are two.
func TestASVS6_3_3_TheShopMayAskDeskAndOwnerForOne(t *testing.T) {
	h := open(t, storetest.New(t))
	asks := func(role models.Role) bool {
		t.Helper()
		_, setUp, err := h.AfterPassword(t.Context(), models.Person{ID: h.owner.PersonID, Role: role})
		if err != nil {
			t.Fatal(err)
		}
		return setUp
	}
	for _, on := range []bool{false, true} {
		if on {
			if err := h.store.SetSetting(t.Context(), models.NewStamp(h.owner, h.clock.now()), models.SettingSecondSecret, "yes"); err != nil {
				t.Fatal(err)
			}
		}
		for _, role := range models.Roles {
			if got, want := asks(role), on && (role == models.Desk || role == models.Owner); got != want {
				t.Errorf("demanded %v, %s: %v, want %v", on, role, got, want)
			}
		}
	}
}

func TestASecondSecretThatIsNotConfirmedRunsOut(t *testing.T) {
	h := open(t, storetest.New(t))
	offered, err := h.BeginSecond(t.Context(), h.owner)
	if err != nil {
		t.Fatal(err)
	}
	h.clock.forward(31 * time.Minute)
	if _, err := h.ConfirmSecond(t.Context(), h.owner, scan(t, offered.URI).at(h.clock.now()), ""); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("after half an hour: %v, want ErrNotFound", err)
	}
}

// A second factor that the shop demands stands until the session is kept from all else:
// one that could not be kept so takes nothing away, and a wrong code keeps nothing.
func TestADemandedSecondSecretStandsUntilTheSessionIsKept(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		phone, _ := enrolled(t, h)
		if err := s.SetSetting(t.Context(), models.NewStamp(h.owner, h.clock.now()), models.SettingSecondSecret, "yes"); err != nil {
			t.Fatal(err)
		}
		h.clock.forward(time.Minute)
		asked, broken := 0, errors.New("no room for the session")
		keep := func() error {
			asked++
			if _, err := s.SecondSecret(t.Context(), h.owner.PersonID); err != nil {
				t.Errorf("asked when the factor is gone: %v", err)
			}
			return broken
		}
		if _, err := h.DropSecond(t.Context(), h.owner, "000000", "", keep); err == nil || asked != 0 {
			t.Errorf("by a wrong code: %v, asked %d times", err, asked)
		}
		if _, err := h.DropSecond(t.Context(), h.owner, phone.at(h.clock.now()), "", keep); !errors.Is(err, broken) || asked != 1 {
			t.Errorf("by a right one: %v, asked %d times", err, asked)
		}
		if _, err := s.SecondSecret(t.Context(), h.owner.PersonID); err != nil {
			t.Errorf("the factor went all the same: %v", err)
		}
	})
}
