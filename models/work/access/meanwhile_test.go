package access_test

import (
	"context"
	"errors"
	"sync"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/access"
)

// meanwhile is a store on which something happens just after a person was read:
// hashing takes a tenth of a second.
type meanwhile struct {
	*store.Store
	happens func()
}

func (m *meanwhile) now() {
	if f := m.happens; f != nil {
		m.happens = nil
		f()
	}
}

func (m *meanwhile) Person(ctx context.Context, id string) (models.Person, error) {
	defer m.now()
	return m.Store.Person(ctx, id)
}

func (m *meanwhile) PersonByLogin(ctx context.Context, login string) (models.Person, error) {
	defer m.now()
	return m.Store.PersonByLogin(ctx, login)
}

// What an owner saves while a secret is hashed stays: nobody puts themselves back.
func TestASecretIsWrittenAlone(t *testing.T) {
	inspector, newName, newPIN := models.Inspector, "Sefa Tamm-Brix", "6815"
	for _, c := range []struct {
		name   string
		set    func(ctx context.Context, a *access.Service, p models.Person, token string) error
		active bool // a link ends with whom it was for
	}{
		{"a PIN of one's own", func(ctx context.Context, a *access.Service, p models.Person, token string) error {
			return a.SetPIN(ctx, actor(p), p.ID, newPIN)
		}, false},
		{"a password of one's own", func(ctx context.Context, a *access.Service, p models.Person, token string) error {
			return a.SetPassword(ctx, actor(p), p.ID, "geese along the weir")
		}, false},
		{"a password that is hashed anew at the sign-in", func(ctx context.Context, a *access.Service, p models.Person, token string) error {
			_, err := a.SignIn(ctx, "sefa", goodPassword, "192.0.2.7")
			return err
		}, false},
		{"a password by a link", func(ctx context.Context, a *access.Service, p models.Person, token string) error {
			_, err := a.UseLink(ctx, token, access.LinkUse{Password: "geese along the weir"})
			return err
		}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			storetest.Each(t, func(t *testing.T, s *store.Store) {
				h := open(t, s)
				p := h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Owner, Login: "sefa", Password: goodPassword, PIN: goodPIN})
				token, err := h.PasswordLink(t.Context(), models.Actor{}, p.ID)
				if err != nil {
					t.Fatal(err)
				}
				m := &meanwhile{Store: s}
				dearer := access.New(m, h.clock.now, access.Cost{MemoryKiB: 64, Passes: 2, Lanes: 1})
				m.happens = func() {
					if _, err := h.UpdatePerson(t.Context(), h.owner, p.ID, access.Change{Name: &newName, Role: &inspector, Active: &c.active}); err != nil {
						t.Error(err)
					}
				}
				// Whether it is kept or refused: the owner's word stays.
				if err := c.set(t.Context(), dearer, p, token); err != nil && !errors.Is(err, models.ErrNotFound) && !errors.Is(err, models.ErrUnauthenticated) {
					t.Error(err)
				}
				got, err := s.Person(t.Context(), p.ID)
				if err != nil || got.Active != c.active || got.Role != inspector || got.Name != newName {
					t.Errorf("afterwards %+v, %v", got, err)
				}
				entries := entriesAbout(t, s, p.ID)
				if digest, err := models.Digest(got); err != nil || entries[len(entries)-1].Digest != digest {
					t.Errorf("the newest entry is not of the person as they stand: %v", err)
				}
			})
		})
	}
}

// A password that is set while the old one is hashed anew stays, and so does a PIN
// that is set while somebody else's word about the person is kept.
func TestSecretsMeanwhile(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		p := h.add(t, access.NewPerson{Name: "Sefa Tamm", Role: models.Desk, Login: "sefa", Password: goodPassword, PIN: goodPIN})
		m := &meanwhile{Store: s, happens: func() {
			if err := h.SetPassword(t.Context(), h.owner, p.ID, "geese along the weir"); err != nil {
				t.Error(err)
			}
		}}
		dearer := access.New(m, h.clock.now, access.Cost{MemoryKiB: 64, Passes: 2, Lanes: 1})
		if _, err := dearer.SignIn(t.Context(), "sefa", goodPassword, "192.0.2.7"); err != nil {
			t.Error(err)
		}
		if _, err := h.SignIn(t.Context(), "sefa", "geese along the weir", "192.0.2.8"); err != nil {
			t.Errorf("with the new password: %v", err)
		}
		none := ""
		m.happens = func() {
			if _, err := h.UpdatePerson(t.Context(), h.owner, p.ID, access.Change{Login: &none}); err != nil {
				t.Error(err)
			}
		}
		if err := dearer.SetPassword(t.Context(), h.owner, p.ID, "rain along the weir"); !errors.Is(err, models.ErrStale) {
			t.Errorf("a password for a login that was taken away: %v", err)
		}
		if got, err := s.Person(t.Context(), p.ID); err != nil || got.PasswordHash != "" {
			t.Errorf("afterwards %+v, %v", got, err)
		}
	})
}

// Of two owners who deactivate each other at the same moment one stays.
func TestTwoOwnersAtOnce(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := open(t, s)
		no, yes := false, true
		second := actor(h.add(t, access.NewPerson{Name: "Bea Noll", Role: models.Owner, Login: "bea", Password: goodPassword}))
		owners := []models.Actor{h.owner, second}
		for range 15 {
			var wait sync.WaitGroup
			var errs [2]error
			for i := range owners {
				wait.Go(func() {
					_, errs[i] = h.UpdatePerson(t.Context(), owners[i], owners[1-i].PersonID, access.Change{Active: &no})
				})
			}
			wait.Wait()
			kept := 0
			for i := range owners {
				p, err := s.Person(t.Context(), owners[i].PersonID)
				if err != nil {
					t.Fatal(err)
				}
				var refused *models.RefusedError
				if p.Active != (errors.As(errs[1-i], &refused)) {
					t.Errorf("owner %d is active: %v, after %v", i, p.Active, errs[1-i])
				}
				if p.Active {
					kept++
				}
				if _, err := h.UpdatePerson(t.Context(), models.Actor{}, p.ID, access.Change{Active: &yes}); err != nil {
					t.Fatal(err)
				}
			}
			if kept != 1 {
				t.Fatalf("%d owners are left", kept)
			}
		}
	})
}
