package access_test

import (
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// cheap makes hashes fast; what is tested does not depend on their cost.
var cheap = access.Cost{MemoryKiB: 64, Passes: 1, Lanes: 1}

const (
	goodPassword = "rain over the long canal"
	goodPIN      = "4709"
)

// clock is a time that a test moves.
type clock struct{ at time.Time }

func (c *clock) now() time.Time          { return c.at }
func (c *clock) forward(d time.Duration) { c.at = c.at.Add(d) }

// house is the service over a fresh database, with an owner in it.
type house struct {
	*access.Service
	store *store.Store
	clock *clock
	owner models.Actor
}

func open(t *testing.T, s *store.Store) *house {
	t.Helper()
	c := &clock{time.Date(2027, 5, 24, 8, 0, 0, 0, time.UTC)}
	h := &house{Service: access.New(s, c.now, cheap), store: s, clock: c}
	p := h.add(t, access.NewPerson{Name: "Ilse Grauer", Role: models.Owner, Login: "ilse", Password: goodPassword, PIN: goodPIN})
	h.owner = actor(p)
	return h
}

func (h *house) add(t *testing.T, n access.NewPerson) models.Person {
	t.Helper()
	p, err := h.AddPerson(t.Context(), models.Actor{}, n)
	if err != nil {
		t.Fatalf("add %s: %v", n.Name, err)
	}
	return p
}

func actor(p models.Person) models.Actor {
	return models.Actor{PersonID: p.ID, Name: p.Name, Role: p.Role}
}

// problems are the fields and codes of an InvalidError: "login taken".
func problems(err error) []string {
	var invalid *models.InvalidError
	if !errors.As(err, &invalid) {
		return nil
	}
	var out []string
	for _, p := range invalid.Problems {
		out = append(out, p.Field+" "+p.Code)
	}
	return out
}

// entriesAbout are the entries of the log about one record, the oldest first.
func entriesAbout(t *testing.T, s *store.Store, id string) []models.TrailEntry {
	t.Helper()
	entries, err := s.TrailOf(t.Context(), []string{id}, 100)
	if err != nil {
		t.Fatal(err)
	}
	return entries
}
