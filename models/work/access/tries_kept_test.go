package access_test

import (
	"errors"
	"strconv"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

// stand is a house with two people and two tablets.
type stand struct {
	*house
	ilse, sefa   models.Actor
	first, other string // tablets
}

func atStand(t *testing.T, s *store.Store) *stand {
	h := open(t, s)
	x := &stand{house: h, ilse: h.owner, sefa: actor(h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Operator, PIN: "8302"}))}
	for _, id := range []*string{&x.first, &x.other} {
		_, device, err := h.Enrol(t.Context(), h.owner, "Tablet", "stand")
		if err != nil {
			t.Fatal(err)
		}
		*id = device.ID
	}
	return x
}

func at(a models.Actor, device string) models.Actor { a.DeviceID = device; return a }

func (x *stand) pin(t *testing.T, a models.Actor, device, pin string) error {
	t.Helper()
	return x.Confirm(t.Context(), at(a, device), access.Secret{PIN: pin})
}

func waitOf(err error) time.Duration {
	var wait *access.WaitError
	if errors.As(err, &wait) {
		return wait.Wait
	}
	return 0
}

// OWASP ASVS 5.0, 6.3.1: five tries are free; from then on each further failure
// doubles the wait, from 30 s to a quarter of an hour. A restart forgives nothing.
func TestASVS6_3_1_TheDelayOfAPINGrowsAndOutlivesARestart(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		x := atStand(t, s)
		for left := 4; left >= 0; left-- {
			var invalid *models.InvalidError
			if err := x.pin(t, x.ilse, x.first, "1111"); !errors.As(err, &invalid) || invalid.Problems[0].Values["left"] != strconv.Itoa(left) {
				t.Fatalf("wrong PIN: %v, want %d tries left", err, left)
			}
		}
		for _, row := range []struct {
			wait  time.Duration
			says  string
			value string
		}{
			{30 * time.Second, "too_many_tries", "30"}, {time.Minute, "too_many_tries", "60"}, {2 * time.Minute, "too_many_tries_minutes", "2"}, {4 * time.Minute, "too_many_tries_minutes", "4"},
			{8 * time.Minute, "too_many_tries_minutes", "8"}, {15 * time.Minute, "too_many_tries_minutes", "15"}, {15 * time.Minute, "too_many_tries_minutes", "15"},
		} {
			x.Service = access.New(s, x.clock.now, cheap) // The program is started anew.
			err := x.pin(t, x.ilse, x.first, goodPIN)
			var wait *access.WaitError
			if !errors.As(err, &wait) || wait.Wait != row.wait {
				t.Fatalf("the right PIN: %v, want a wait of %s", err, row.wait)
			}
			if r := wait.Remark(); r.Code != row.says || r.Values["seconds"]+r.Values["minutes"] != row.value {
				t.Errorf("%s is told as %+v, want %s %s", row.wait, r, row.says, row.value)
			}
			x.clock.forward(row.wait - time.Millisecond)
			if waitOf(x.pin(t, x.ilse, x.first, goodPIN)) != time.Millisecond {
				t.Errorf("a moment before %s is over something else than a millisecond is told", row.wait)
			}
			x.clock.forward(time.Millisecond)
			if err := x.pin(t, x.ilse, x.first, "1111"); err == nil || waitOf(err) != 0 {
				t.Fatalf("after %s: %v, want that the PIN is looked at", row.wait, err)
			}
		}
		x.clock.forward(15 * time.Minute)
		if err := x.pin(t, x.ilse, x.first, goodPIN); err != nil {
			t.Fatalf("the right PIN after the wait: %v", err)
		}
		// It resets both counters: five are free again, of the person and at the tablet.
		for range 4 {
			if err := x.pin(t, x.ilse, x.first, "1111"); waitOf(err) != 0 {
				t.Fatalf("after the right PIN: %v, want free tries", err)
			}
		}
	})
}

// Both count: the person at every tablet, and the tablet for every person.
func TestPINTriesCountForThePersonAndForTheTablet(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		for _, test := range []struct {
			name  string
			tries func(x *stand) error // one wrong try
			held  func(x *stand) (models.Actor, string, string)
			free  func(x *stand) (models.Actor, string, string)
		}{
			{"five tries at one name over two tablets hold that name", func(x *stand) error {
				x.first, x.other = x.other, x.first
				return x.pin(t, x.ilse, x.first, "1111")
			}, func(x *stand) (models.Actor, string, string) { return x.ilse, x.first, goodPIN }, func(x *stand) (models.Actor, string, string) { return x.sefa, x.first, "8302" }},
			{"five tries at two names hold the tablet", func(x *stand) error {
				x.ilse, x.sefa = x.sefa, x.ilse
				return x.pin(t, x.ilse, x.first, "1111")
			}, func(x *stand) (models.Actor, string, string) { return x.owner, x.first, goodPIN }, func(x *stand) (models.Actor, string, string) { return x.owner, x.other, goodPIN }},
		} {
			x := atStand2(t, s)
			for range 5 {
				if err := test.tries(x); err == nil || waitOf(err) != 0 {
					t.Fatalf("%s: a try: %v", test.name, err)
				}
			}
			who, device, pin := test.held(x)
			if err := x.pin(t, who, device, pin); waitOf(err) != 30*time.Second {
				t.Errorf("%s: %v, want a wait of 30 s", test.name, err)
			}
			who, device, pin = test.free(x)
			if err := x.pin(t, who, device, pin); err != nil {
				t.Errorf("%s: elsewhere: %v", test.name, err)
			}
		}
	})
}

// atStand2 is a stand in a database that may have another's people in it.
func atStand2(t *testing.T, s *store.Store) *stand {
	t.Helper()
	people, err := s.People(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range people {
		if p.Login != nil {
			gone := func(p *models.Person, _ []models.Person) error { p.Login, p.Active = nil, false; return nil }
			if _, err := s.ChangePerson(t.Context(), models.NewStamp(models.Actor{}, time.Now()), p.ID, gone); err != nil {
				t.Fatal(err)
			}
		}
	}
	return atStand(t, s)
}

// Many at the same moment are as many tries: none slips through beside another.
func TestTriesAtTheSameMomentAllCount(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		x := atStand(t, s)
		var looked, waited int
		var mu sync.Mutex
		var all sync.WaitGroup
		for range 12 {
			all.Go(func() {
				err := x.Confirm(t.Context(), at(x.ilse, x.first), access.Secret{PIN: "1111"})
				mu.Lock()
				defer mu.Unlock()
				if waitOf(err) > 0 {
					waited++
				} else if len(problems(err)) == 1 {
					looked++
				} else {
					t.Errorf("Confirm = %v", err)
				}
			})
		}
		all.Wait()
		if looked != 5 || waited != 7 {
			t.Errorf("of 12 at once %d were looked at and %d had to wait, want 5 and 7", looked, waited)
		}
	})
}

// However far back: what was left of the wait counts from the moment it is first
// asked for, and then it is over.
func TestAClockThatIsSetBackMakesNobodyWaitLonger(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		x := atStand(t, s)
		for range 5 {
			_ = x.pin(t, x.ilse, x.first, "1111") // wrong, and counted
		}
		x.clock.forward(10 * time.Second)
		if wait := waitOf(x.pin(t, x.ilse, x.first, goodPIN)); wait != 20*time.Second {
			t.Fatalf("after 10 s: a wait of %s, want 20 s", wait)
		}
		x.clock.forward(-400 * 24 * time.Hour)
		if wait := waitOf(x.pin(t, x.ilse, x.first, goodPIN)); wait <= 0 || wait > 30*time.Second {
			t.Errorf("a year back: a wait of %s, want at most the 30 s there were", wait)
		}
		x.clock.forward(30 * time.Second)
		if err := x.pin(t, x.ilse, x.first, goodPIN); err != nil {
			t.Errorf("30 s later: %v", err)
		}
	})
}

func TestANewPINAndADayBeginAnew(t *testing.T) {
	x := atStand(t, storetest.New(t))
	hold := func() {
		for range 5 {
			_ = x.pin(t, x.sefa, x.other, "1111")
		}
	}
	hold()
	if err := x.SetPIN(t.Context(), x.owner, x.sefa.PersonID, "5917"); err != nil {
		t.Fatal(err)
	}
	if err := x.pin(t, x.sefa, x.first, "5917"); err != nil {
		t.Errorf("a new PIN: %v", err)
	}
	hold()
	x.clock.forward(24*time.Hour + time.Second)
	if err := x.pin(t, x.sefa, x.other, "1111"); waitOf(err) != 0 {
		t.Errorf("after a day: %v", err)
	}
	x.clock.forward(25 * time.Hour)
	if err := x.Forget(t.Context()); err != nil {
		t.Fatal(err)
	}
}
