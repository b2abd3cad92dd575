package access_test

import (
	"fmt"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

// Whoever knows a password and guesses at its codes holds up their own address. From
// many addresses thirty guesses are free, so that no code is hit: then everybody waits
// for that person, until another sets them a new password. Their own new password
// forgives nothing: it would make five more guesses of each.
func TestGuessesAtACodeCountForTheAddressAndForThePerson(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		phone, _ := enrolled(t, h)
		h.clock.forward(time.Minute)
		person, err := h.Person(t.Context(), h.owner.PersonID)
		if err != nil {
			t.Fatal(err)
		}
		from := func(address, code string) time.Duration {
			t.Helper()
			return waitOf(h.CheckCode(t.Context(), person, code, address))
		}
		guess := func(block string) (held time.Duration) {
			t.Helper()
			for i := range 30 {
				if held = from(fmt.Sprintf("%s.%d", block, i/5), "000000"); held > 0 {
					t.Fatalf("guess %d from %s: a wait of %s", i+1, block, held)
				}
			}
			return from(block+".99", "000000")
		}
		for range 5 {
			if held := from("2001:db8::1", "000000"); held > 0 {
				t.Fatalf("one of five guesses: a wait of %s", held)
			}
		}
		if held := from("2001:db8::2", "000000"); held != 30*time.Second {
			t.Errorf("the sixth from the same network of IPv6: a wait of %s, want 30 s", held)
		}
		if held := from("192.0.2.1", phone.at(h.clock.now())); held > 0 {
			t.Errorf("the person, elsewhere, waits for %s", held)
		}
		if held := guess("198.51.100"); held != 30*time.Second {
			t.Errorf("the next after thirty from six addresses: a wait of %s, want 30 s", held)
		}
		if err := h.SetPassword(t.Context(), h.owner, person.ID, "geese along the weir"); err != nil {
			t.Fatal(err)
		}
		if held := from("203.0.113.9", "000000"); held == 0 {
			t.Error("an own new password makes guesses free")
		}
		if err := h.SetPassword(t.Context(), models.Actor{}, person.ID, goodPassword); err != nil {
			t.Fatal(err)
		}
		if held := from("2001:db8::3", "000000"); held > 0 {
			t.Errorf("where guesses were held up before another set a password, one waits for %s", held)
		}
		h.clock.forward(30 * time.Second)
		if held := from("203.0.113.9", phone.at(h.clock.now())); held > 0 {
			t.Errorf("with a password that another set the person waits for %s", held)
		}
		guess("198.51.101")
		if held := from("203.0.113.9", phone.at(h.clock.now())); held == 0 {
			t.Error("after thirty guesses a code is looked at")
		}
		token, err := h.PasswordLink(t.Context(), models.Actor{}, person.ID)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := h.UseLink(t.Context(), token, access.LinkUse{Password: "rain on the long canal"}); err != nil {
			t.Fatal(err)
		}
		h.clock.forward(30 * time.Second)
		if held := from("203.0.113.9", phone.at(h.clock.now())); held > 0 {
			t.Errorf("after a link the person waits for %s", held)
		}
	})
}
