package access_test

import (
	"errors"
	"slices"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

func TestTheFirstOwnerComesInOnce(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		c := &clock{time.Date(2027, 5, 24, 8, 0, 0, 0, time.UTC)}
		a := access.New(s, c.now, cheap)
		var tokens []string
		for range 2 { // two starts before anybody came
			token, err := a.FirstOwnerLink(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			tokens = append(tokens, token)
		}
		use := access.LinkUse{Name: "Ilse Grauer", Login: "Ilse", Password: goodPassword, PIN: goodPIN}
		if _, err := a.UseLink(t.Context(), tokens[0], access.LinkUse{Password: "short"}); !slices.Equal(problems(err), []string{"name required", "login login_form", "password password_short"}) {
			t.Errorf("a bad form: %v", err)
		}
		// Two browsers at the same moment: one comes in.
		var wg sync.WaitGroup
		errs := make([]error, 2)
		for i := range errs {
			wg.Go(func() { _, errs[i] = a.UseLink(t.Context(), tokens[0], use) })
		}
		wg.Wait()
		if (errs[0] == nil) == (errs[1] == nil) {
			t.Errorf("the same link at the same moment: %v and %v, want one of them in", errs[0], errs[1])
		}
		p, err := a.SignIn(t.Context(), "ilse", goodPassword, "192.0.2.7")
		if err != nil || p.Role != models.Owner {
			t.Errorf("sign in after: %+v, %v", p, err)
		}
		if _, err := a.UseLink(t.Context(), tokens[1], use); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("the link of the other start: %v, want ErrNotFound", err)
		}
		if _, err := a.FirstOwnerLink(t.Context()); !errors.Is(err, models.ErrConflict) {
			t.Errorf("a first owner when there is one: %v, want ErrConflict", err)
		}
	})
}

func TestPasswordLinks(t *testing.T) {
	h := open(t, storetest.New(t))
	sefa := h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Inspector, Login: "sefa"})
	link := func() string {
		t.Helper()
		token, err := h.PasswordLink(t.Context(), h.owner, sefa.ID)
		if err != nil {
			t.Fatal(err)
		}
		return token
	}
	expired := link()
	h.clock.forward(24 * time.Hour)
	if _, _, err := h.Link(t.Context(), expired); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("a link at the end of its day: %v, want ErrNotFound", err)
	}
	older, newer := link(), link()
	if purpose, p, err := h.Link(t.Context(), newer); err != nil || purpose != access.LinkSetPassword || p.ID != sefa.ID {
		t.Errorf("Link = %s, %s, %v", purpose, p.Name, err)
	}
	if _, err := h.UseLink(t.Context(), newer, access.LinkUse{}); !slices.Equal(problems(err), []string{"password required"}) {
		t.Errorf("without a password: %v", err)
	}
	// A link says nothing about the role: name and login of the form are not taken.
	p, err := h.UseLink(t.Context(), newer, access.LinkUse{Name: "Somebody", Login: "ilse", Password: goodPassword})
	if err != nil || p.Name != "Sefa Tamm" || *p.Login != "sefa" || p.Role != models.Inspector {
		t.Errorf("UseLink = %+v, %v", p, err)
	}
	if _, err := h.SignIn(t.Context(), "sefa", goodPassword, "192.0.2.7"); err != nil {
		t.Errorf("sign in after: %v", err)
	}
	for name, token := range map[string]string{"used": newer, "older of the same person": older, "a day old": expired, "made up": "x"} {
		if _, err := h.UseLink(t.Context(), token, access.LinkUse{Password: goodPassword}); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("%s link: %v, want ErrNotFound", name, err)
		}
	}
}

// A link that was sent out ends with a password set in another way, with the login,
// and when the person leaves: whoever found it does not come in by it later.
func TestLinksEndWithWhatTheyWereFor(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		yes, no, none, login := true, false, "", "sefa"
		for name, end := range map[string]func(id string) error{
			"another password": func(id string) error { return h.SetPassword(t.Context(), h.owner, id, goodPassword) },
			"left and came back": func(id string) error {
				_, err := h.UpdatePerson(t.Context(), h.owner, id, access.Change{Active: &no})
				_, again := h.UpdatePerson(t.Context(), h.owner, id, access.Change{Active: &yes})
				return errors.Join(err, again)
			},
			"another login": func(id string) error {
				_, err := h.UpdatePerson(t.Context(), h.owner, id, access.Change{Login: &none})
				_, again := h.UpdatePerson(t.Context(), h.owner, id, access.Change{Login: &login})
				return errors.Join(err, again)
			},
		} {
			sefa := h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Inspector, Login: login})
			token, err := h.PasswordLink(t.Context(), h.owner, sefa.ID)
			if err != nil {
				t.Fatal(err)
			}
			if _, p, err := h.Link(t.Context(), token); err != nil || p.ID != sefa.ID {
				t.Fatalf("before: %v", err)
			}
			if err := end(sefa.ID); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if _, err := h.UseLink(t.Context(), token, access.LinkUse{Password: "geese along the weir"}); !errors.Is(err, models.ErrNotFound) {
				t.Errorf("%s: the link before it: %v, want ErrNotFound", name, err)
			}
			if _, err := h.UpdatePerson(t.Context(), h.owner, sefa.ID, access.Change{Login: &none}); err != nil {
				t.Fatal(err)
			}
		}
	})
}

func TestWhoMayMakeALink(t *testing.T) {
	h := open(t, storetest.New(t))
	ota := h.add(t, access.NewPerson{Name: "Ota Brix", Role: models.Inspector})
	if _, err := h.PasswordLink(t.Context(), actor(ota), h.owner.PersonID); !errors.Is(err, models.ErrForbidden) {
		t.Errorf("an inspector makes a link for the owner: %v, want ErrForbidden", err)
	}
	if _, err := h.PasswordLink(t.Context(), h.owner, ota.ID); !slices.Equal(problems(err), []string{"login required"}) {
		t.Errorf("for somebody without login: %v", err)
	}
}
