package store_test

import (
	"fmt"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// listed reads every page of a query and gives the moments, counted in seconds
// from the first, and how often the search was cut.
func listed(t *testing.T, s *store.Store, q models.ChangeQuery) (seconds []int, cuts int) {
	t.Helper()
	for range 100 {
		page := must(s.Changes(t.Context(), q))
		for _, e := range page.Entries {
			if e.Kind != "material" { // The shipped ones are entered when the log begins.
				seconds = append(seconds, int(e.At.Sub(moment)/time.Second))
			}
		}
		if page.Cut {
			cuts++
		}
		if page.Next.Zero() {
			return seconds, cuts
		}
		q.Before = page.Next
	}
	t.Fatal("a hundred pages, and no end")
	return nil, 0
}

// somebody is entered, and leaves one entry.
func somebody(t *testing.T, s *store.Store, stamp models.Stamp) string {
	t.Helper()
	p := models.Person{ID: models.NewID(), Name: "somebody", Role: models.Operator, CreatedAt: stamp.At}
	if err := s.AddPerson(t.Context(), stamp, p); err != nil {
		t.Fatal(err)
	}
	return p.ID
}

// Changes come newest first, page by page, each once, sealed or not, and only
// what was asked for.
func TestChanges(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		beginLog(t, s)
		person := models.Actor{PersonID: models.NewID()}
		var people []string // who was entered
		for i := range 10 {
			by := models.Actor{}
			if i%2 == 1 {
				by = person
			}
			stamp := models.NewStamp(by, moment.Add(time.Duration(i/2)*time.Second)) // two of each moment
			if i%5 == 0 {
				people = append(people, somebody(t, s, stamp))
				continue
			}
			if err := s.SetSetting(t.Context(), stamp, "name", fmt.Sprint(i)); err != nil {
				t.Fatal(err)
			}
			if i == 4 {
				must(s.Seal(t.Context(), moment.Add(time.Minute), 100))
			}
		}
		for _, c := range []struct {
			name string
			q    models.ChangeQuery
			want []int
		}{
			{"by two", models.ChangeQuery{Limit: 2}, []int{4, 4, 3, 3, 2, 2, 1, 1, 0, 0, 0}}, // the log's first entry too
			{"all at once", models.ChangeQuery{Limit: 11}, []int{4, 4, 3, 3, 2, 2, 1, 1, 0, 0, 0}},
			{"of a person", models.ChangeQuery{Actor: person.PersonID, Limit: 2}, []int{4, 3, 2, 1, 0}},
			{"of a kind", models.ChangeQuery{Kind: "person", Limit: 1}, []int{2, 0}},
			{"of both", models.ChangeQuery{Actor: person.PersonID, Kind: "person", Limit: 2}, []int{2}},
			{"about something", models.ChangeQuery{Subjects: people, Limit: 1}, []int{2, 0}},
			{"about something, by a person", models.ChangeQuery{Subjects: people, Actor: person.PersonID, Limit: 3}, []int{2}},
			{"from a moment, which counts", models.ChangeQuery{From: moment.Add(3 * time.Second), Limit: 3}, []int{4, 4, 3, 3}},
			{"to a moment, which does not", models.ChangeQuery{To: moment.Add(time.Second), Limit: 3}, []int{0, 0, 0}},
			{"nothing", models.ChangeQuery{Kind: "hold", Limit: 3}, nil},
		} {
			got, cuts := listed(t, s, c.q)
			if fmt.Sprint(got) != fmt.Sprint(c.want) || cuts != 0 {
				t.Errorf("%s: %v with %d cuts, want %v", c.name, got, cuts, c.want)
			}
		}
	})
}

// Where one condition leaves much out, the search stops after a while, says how
// far it has looked, and goes on from there.
func TestChangesLookedAtInPortions(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		person := models.Actor{PersonID: models.NewID()}
		stamp := models.NewStamp(person, moment)
		somebody(t, s, stamp)
		const many = 5003
		var items []models.Item
		for i := range many {
			serial := fmt.Sprintf("W30%06d", i)
			items = append(items, models.Item{ID: models.NewID(), Kind: models.KindWheel, Serial: &serial, State: models.StateInProcess, Origin: "made", CreatedBy: person.String()})
		}
		if err := s.AddItems(t.Context(), models.NewStamp(person, moment.Add(time.Second)), items); err != nil {
			t.Fatal(err)
		}
		got, cuts := listed(t, s, models.ChangeQuery{Actor: person.PersonID, Kind: "person", Limit: 10})
		if fmt.Sprint(got) != "[0]" || cuts != 1 {
			t.Errorf("found %v after %d cuts, want the first after one", got, cuts)
		}
	})
}

// What an entry is about is read from its record: the item it belongs to, by
// itself or through a hold or a certificate, a lot, a name, a reason; of several
// revisions the one that the entry speaks of.
func TestChangeSubjects(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, s := t.Context(), h.Store
		stamp := models.NewStamp(h.Owner, h.Now.Add(time.Hour))
		recorded := h.MustRecord(h.Extremes())
		wheel := h.Item[models.KindWheel]
		lot := models.Lot{ID: models.NewID(), Code: "SP-1", Material: "spokes", Quantity: 10, ReceivedAt: moment, ReceivedBy: h.Owner.PersonID}
		h.Must(s.AddLot(ctx, stamp, lot))
		held := models.Hold{ID: models.NewID(), ItemID: &wheel.ID, Code: "W11", Reason: "step", RaisedBy: h.Owner.PersonID, RaisedAt: moment}
		must(s.AddHold(ctx, stamp, held))
		h.Must(s.LiftHold(ctx, stamp, models.HoldLift{HoldID: held.ID, Code: "corrected", Reason: "trued", LiftedBy: h.Owner.PersonID, LiftedAt: moment}))
		product := must(s.Product(ctx, *wheel.ProductID))
		form := must(s.ProductForm(ctx, product.ID))
		form.Revision, form.Reason = 2, "another rim"
		h.Must(s.AddProductRevision(ctx, stamp, form))

		page := must(s.Changes(ctx, models.ChangeQuery{Limit: 100}))
		about := must(s.ChangeSubjects(ctx, page.Entries))
		find := func(kind, subject string) (found []models.ChangeSubject) {
			for _, e := range page.Entries {
				if e.Kind == kind && e.Subject == subject {
					found = append(found, about[e.ID])
				}
			}
			return found
		}
		one := func(kind, subject string) models.ChangeSubject {
			t.Helper()
			found := find(kind, subject)
			if len(found) != 1 {
				t.Fatalf("%d entries of %s %s", len(found), kind, subject)
			}
			return found[0]
		}
		for kind, subject := range map[string]string{"inspection": recorded.Inspection.ID, "hold": held.ID, "hold_lift": held.ID} {
			if got := one(kind, subject); got.Item == nil || got.Item.ID != wheel.ID {
				t.Errorf("%s is about %+v, want the wheel", kind, got)
			}
		}
		if got := one("hold_lift", held.ID); got.Code != "corrected" || got.Reason != "trued" {
			t.Errorf("lifted because of %+v", got)
		}
		if got := one("lot", lot.ID); got.LotCode != "SP-1" || got.Item != nil {
			t.Errorf("the lot: %+v", got)
		}
		revisions := find("product_revision", product.ID)
		if len(revisions) != 2 || revisions[0].Reason != "another rim" || revisions[1].Reason == "another rim" || revisions[0].Name != product.Name {
			t.Errorf("the product's revisions: %+v, want each with its own reason", revisions)
		}
	})
}
