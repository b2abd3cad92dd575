package access_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

func TestSignIn(t *testing.T) {
	h := open(t, storetest.New(t))
	left := h.add(t, access.NewPerson{Name: "Pavel Rohan", Role: models.Desk, Login: "pavel", Password: goodPassword})
	gone := false
	if _, err := h.UpdatePerson(t.Context(), h.owner, left.ID, access.Change{Active: &gone}); err != nil {
		t.Fatal(err)
	}
	h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Operator, Login: "sefa"})
	for i, test := range []struct {
		name, login, password string
		ok                    bool
	}{
		{"right", "ilse", goodPassword, true},
		{"the login's case and spaces do not matter", " Ilse ", goodPassword, true},
		{"wrong password", "ilse", goodPassword + ".", false},
		{"the password's case matters", "ilse", "Rain over the long canal", false},
		{"empty password", "ilse", "", false},
		{"nobody's login", "nobody", goodPassword, false},
		{"somebody who left", "pavel", goodPassword, false},
		{"somebody without a password", "sefa", "", false},
	} {
		t.Run(test.name, func(t *testing.T) {
			p, err := h.SignIn(t.Context(), test.login, test.password, fmt.Sprintf("192.0.2.%d", i))
			if test.ok && (err != nil || p.Name != "Ilse Grauer") {
				t.Errorf("SignIn = %q, %v, want Ilse Grauer", p.Name, err)
			}
			if !test.ok && !errors.Is(err, models.ErrUnauthenticated) {
				t.Errorf("SignIn = %q, %v, want ErrUnauthenticated", p.Name, err)
			}
		})
	}
}

func TestSignInTriesAreLimited(t *testing.T) {
	h := open(t, storetest.New(t))
	const here, there = "192.0.2.7", "192.0.2.8"
	for i := range 5 {
		if _, err := h.SignIn(t.Context(), "ilse", "wrong", here); !errors.Is(err, models.ErrUnauthenticated) {
			t.Fatalf("try %d: %v, want ErrUnauthenticated", i+1, err)
		}
	}
	var wait *access.WaitError
	if _, err := h.SignIn(t.Context(), "ilse", goodPassword, here); !errors.As(err, &wait) {
		t.Fatalf("the right password after five wrong ones: %v, want a wait", err)
	}
	if _, err := h.SignIn(t.Context(), "ilse", goodPassword, there); err != nil {
		t.Errorf("the same login from another address is locked out: %v", err)
	}
	h.clock.forward(30 * time.Second)
	if _, err := h.SignIn(t.Context(), "ilse", goodPassword, here); err != nil {
		t.Errorf("after the wait: %v", err)
	}
}

// Whoever has a network of IPv6 has more addresses than tries; they count as one.
func TestTheAddressesOfOneNetworkAreOneClient(t *testing.T) {
	h := open(t, storetest.New(t))
	for i := range 5 {
		if _, err := h.SignIn(t.Context(), "ilse", "wrong", fmt.Sprintf("2001:db8:0:7::%x", i+1)); !errors.Is(err, models.ErrUnauthenticated) {
			t.Fatalf("try %d: %v, want ErrUnauthenticated", i+1, err)
		}
	}
	var wait *access.WaitError
	for _, address := range []string{"2001:db8:0:7::99", "2001:db8:0:7:ffff::1%eth0"} {
		if _, err := h.SignIn(t.Context(), "ilse", goodPassword, address); !errors.As(err, &wait) {
			t.Errorf("the sixth, from %s: %v, want a wait", address, err)
		}
	}
	for _, address := range []string{"2001:db8:0:8::1", "192.0.2.7", "::ffff:192.0.2.8"} {
		if _, err := h.SignIn(t.Context(), "ilse", goodPassword, address); err != nil {
			t.Errorf("from %s: %v", address, err)
		}
	}
}

func TestOneAddressMayNotTryEveryLogin(t *testing.T) {
	h := open(t, storetest.New(t))
	var wait *access.WaitError
	for i := range 31 {
		_, err := h.SignIn(t.Context(), fmt.Sprint("guess", i), "wrong", "192.0.2.7")
		if waits := errors.As(err, &wait); waits != (i >= 30) {
			t.Fatalf("login %d: %v, want a wait after the thirtieth", i+1, err)
		}
	}
}

func TestAnOlderHashIsMadeAnew(t *testing.T) {
	h := open(t, storetest.New(t))
	dearer := access.Cost{MemoryKiB: 128, Passes: 1, Lanes: 1}
	later := access.New(h.store, h.clock.now, dearer)
	before, err := h.store.PersonByLogin(t.Context(), "ilse")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := later.SignIn(t.Context(), "ilse", goodPassword, "192.0.2.7"); err != nil {
		t.Fatal(err)
	}
	after, err := h.store.PersonByLogin(t.Context(), "ilse")
	if err != nil {
		t.Fatal(err)
	}
	if before.PasswordHash == after.PasswordHash {
		t.Error("the hash kept its old cost")
	}
	if _, err := later.SignIn(t.Context(), "ilse", goodPassword, "192.0.2.7"); err != nil {
		t.Errorf("the new hash does not verify: %v", err)
	}
}
