package access_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

func TestAddPerson(t *testing.T) {
	h := open(t, storetest.New(t))
	for _, test := range []struct {
		name string
		in   access.NewPerson
		want []string
	}{
		{"a name and a role are enough", access.NewPerson{Name: "Sefa Tamm", Role: models.Operator}, nil},
		{"a second without login is no clash", access.NewPerson{Name: "Ota Brix", Role: models.Operator}, nil},
		{"everything wrong is said at once", access.NewPerson{Role: "boss", Login: "a b", Password: "short", PIN: "12"},
			[]string{"name required", "role choice_unknown", "login login_form", "password password_short", "pin pin_form"}},
		{"a password needs a login", access.NewPerson{Name: "Ada Lind", Role: models.Desk, Password: goodPassword}, []string{"login required"}},
		{"a login is taken whatever its case", access.NewPerson{Name: "Another", Role: models.Desk, Login: "ILSE"}, []string{"login taken"}},
		{"a name with a line break", access.NewPerson{Name: "Ada\nLind", Role: models.Desk}, []string{"name text_form"}},
		{"a name of 81 letters", access.NewPerson{Name: strings.Repeat("ä", 81), Role: models.Desk}, []string{"name too_long"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			before := countPeople(t, h)
			_, err := h.AddPerson(t.Context(), h.owner, test.in)
			if got := problems(err); !slices.Equal(got, test.want) || err != nil && got == nil {
				t.Errorf("AddPerson(%+v) = %v, want %v", test.in, err, test.want)
			}
			want := before
			if test.want == nil {
				want++
			}
			if got := countPeople(t, h); got != want {
				t.Errorf("%d people are stored, want %d", got, want)
			}
		})
	}
}

func countPeople(t *testing.T, h *house) int {
	t.Helper()
	people, err := h.People(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return len(people)
}

func TestTheLastOwnerStays(t *testing.T) {
	h := open(t, storetest.New(t))
	no, desk, noLogin := false, models.Desk, ""
	for name, change := range map[string]access.Change{
		"may not leave":           {Active: &no},
		"may not change the role": {Role: &desk},
		"may not lose the login":  {Login: &noLogin},
	} {
		t.Run(name, func(t *testing.T) {
			var refused *models.RefusedError
			if _, err := h.UpdatePerson(t.Context(), h.owner, h.owner.PersonID, change); !errors.As(err, &refused) || refused.Reasons[0].Code != "last_owner" {
				t.Errorf("UpdatePerson = %v, want last_owner", err)
			}
		})
	}
	// An owner who cannot sign in does not count.
	second := h.add(t, access.NewPerson{Name: "Bea Noll", Role: models.Owner, Login: "bea"})
	if _, err := h.UpdatePerson(t.Context(), h.owner, h.owner.PersonID, access.Change{Active: &no}); err == nil {
		t.Error("the only owner with a password may leave")
	}
	if err := h.SetPassword(t.Context(), h.owner, second.ID, goodPassword); err != nil {
		t.Fatal(err)
	}
	if _, err := h.UpdatePerson(t.Context(), h.owner, h.owner.PersonID, access.Change{Active: &no}); err != nil {
		t.Errorf("with a second owner: %v", err)
	}
}

func TestWhoMaySetSecrets(t *testing.T) {
	h := open(t, storetest.New(t))
	sefa := h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Operator, Login: "sefa", Password: goodPassword})
	ota := h.add(t, access.NewPerson{Name: "Ota Brix", Role: models.Inspector, Login: "ota", Password: goodPassword})
	atStand := func(a models.Actor) models.Actor { a.DeviceID = models.NewID(); return a }
	for _, test := range []struct {
		name string
		by   models.Actor
		ok   bool
	}{
		{"the person", actor(sefa), true},
		{"an owner", h.owner, true},
		{"the console", models.Actor{}, true},
		{"a colleague", actor(ota), false},
		{"whoever taps the person's name at a stand", atStand(actor(sefa)), false},
		{"whoever taps the owner's name at a stand", atStand(h.owner), false},
	} {
		t.Run(test.name, func(t *testing.T) {
			if err := h.SetPIN(t.Context(), test.by, sefa.ID, "6815"); (err == nil) != test.ok || !test.ok && !errors.Is(err, models.ErrForbidden) {
				t.Errorf("SetPIN = %v, allowed %v wanted", err, test.ok)
			}
			if err := h.SetPassword(t.Context(), test.by, sefa.ID, "geese along the weir"); (err == nil) != test.ok || !test.ok && !errors.Is(err, models.ErrForbidden) {
				t.Errorf("SetPassword = %v, allowed %v wanted", err, test.ok)
			}
		})
	}
}

func TestANewPasswordChangesTheMark(t *testing.T) {
	h := open(t, storetest.New(t))
	before, _ := h.Person(t.Context(), h.owner.PersonID)
	if err := h.SetPIN(t.Context(), h.owner, before.ID, "6815"); err != nil {
		t.Fatal(err)
	}
	pin, _ := h.Person(t.Context(), before.ID)
	if access.SecretMark(before) != access.SecretMark(pin) {
		t.Error("a new PIN ends password sessions")
	}
	if err := h.SetPassword(t.Context(), h.owner, before.ID, "geese along the weir"); err != nil {
		t.Fatal(err)
	}
	after, _ := h.Person(t.Context(), before.ID)
	if access.SecretMark(before) == access.SecretMark(after) {
		t.Error("a new password leaves old sessions open")
	}
}
