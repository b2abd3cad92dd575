package demo

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/work/claims"
)

// returning is what comes back to the invented shop: of the spokes that break
// many, of all others few.
type returning struct {
	shipped map[string]int // wheels, by lot of their spokes
	opened  int
}

const (
	badEvery    = 5  // every so many wheels of the lot that breaks come back,
	othersEvery = 61 // and of the others
	soonest     = 21 // days from shipment to claim, at the least,
	spreadOver  = 90 // and so many more
)

// mayComeBack plans the claim on a wheel that went out today, where it will have
// one.
func (m *maker) mayComeBack(wheel models.Item) error {
	parts, err := m.store.Parts(m.ctx, wheel.ID)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(parts, func(p models.PartView) bool { return p.Role == "spokes_a" && p.LotID != nil })
	if at < 0 {
		return nil
	}
	lot, back := parts[at].LotCode, &m.back
	if back.shipped == nil {
		back.shipped = map[string]int{}
	}
	back.shipped[lot]++
	n, every := back.shipped[lot], othersEvery
	if lot == m.stories.SpokeLot {
		every = badEvery
	}
	if n%every != 0 {
		return nil
	}
	m.plan(m.clock.AddDate(0, 0, soonest+(n*37)%spreadOver), func() error { return m.claimOn(wheel, every == badEvery) })
	return nil
}

// complaints are what customers say, with the check list that it leads to.
var complaints = []struct{ words, symptom string }{
	{"It rubs on one side since last week.", "wobbles"},
	{"Clicks at every turn when I ride standing.", "ticks"},
	{"There is a bump I can feel in the saddle.", "hops"},
	{"The motor stutters in the rain.", "motor_dead"},
}

// claimOn is a claim on a wheel that stays with its owner: spokes and help go by
// post.
func (m *maker) claimOn(wheel models.Item, broke bool) error {
	m.back.opened++
	n := m.back.opened
	said, list := complaints[n%len(complaints)].words, complaints[n%len(complaints)].symptom
	if broke {
		said, list = "A spoke broke at the hub, just riding along.", "spoke_broken"
	}
	who := actor(m.people.desk)
	opened, err := m.claims.Open(m.ctx, who, claims.Opening{Item: *wheel.Serial, Words: said})
	if err != nil {
		return err
	}
	decision, reason := models.ClaimAccept, "nothing speaks against it"
	if !broke && n%3 == 0 {
		decision, reason = models.ClaimReject, "the picture shows a kerb"
	}
	in := claims.Added{Symptom: list, Decision: decision, Reason: reason, Close: true}
	if decision == models.ClaimAccept {
		in.Amount, in.Currency = fmt.Sprintf("%d.%d0", 9+n%7, n%10), "€"
	}
	if !broke && n%3 == 0 {
		in.Yes = []string{"rim_cracked"}
		if list == "ticks" || list == "motor_dead" {
			in.Yes = nil
		}
	}
	m.plan(m.clock.AddDate(0, 0, 2), func() error { return m.claims.Add(m.ctx, who, opened.Number, in) })
	return nil
}

// leaveClaims is what waits at the warranty desk on the last day: a wheel of the
// lot that breaks where there is one, with a photo, and one that is older than the log.
func (m *maker) leaveClaims() error {
	if m.back.opened == 0 {
		return nil // A shop of a few wheels.
	}
	who := actor(m.people.desk)
	for i := len(m.finished) - 1; i >= 0; i-- {
		item, err := m.store.Item(m.ctx, m.finished[i].item.ID)
		if err != nil {
			return err
		}
		parts, err := m.store.Parts(m.ctx, item.ID)
		if err != nil {
			return err
		}
		if item.State != models.StateShipped || !slices.ContainsFunc(parts, func(p models.PartView) bool {
			return p.Role == "spokes_a" && (p.LotCode == m.stories.SpokeLot || m.stories.SpokeLot == "")
		}) {
			continue
		}
		opened, err := m.claims.Open(m.ctx, who, claims.Opening{Item: *item.Serial, Words: "Ticking at the back for a week, then a bang.", CameOn: m.clock.In(m.zone).Format("2006-01-02")})
		if err != nil {
			return err
		}
		if err := m.paper(models.SubjectClaim, opened.ID, "broken at the elbow.jpg", "as it came in"); err != nil {
			return err
		}
		break
	}
	_, err := m.claims.Open(m.ctx, who, claims.Opening{Kind: models.KindWheel, Product: "a black 26 inch rear wheel without a label", Motor: "OR3-11842", Order: "3377", Words: "It grinds when I push the bicycle. Bought here four years ago."})
	return err
}

func (k *keeper) AddClaim(ctx context.Context, stamp models.Stamp, year2 int, c models.Claim, w models.ClaimWords, events []models.ClaimEvent) (models.ClaimView, error) {
	c.ID, w.Salt = k.newID(), k.newID()
	return k.Store.AddClaim(ctx, stamp, year2, c, w, k.withKeys(events))
}

func (k *keeper) AddClaimEvents(ctx context.Context, stamp models.Stamp, claimID string, from *string, events []models.ClaimEvent) error {
	return k.Store.AddClaimEvents(ctx, stamp, claimID, from, k.withKeys(events))
}

func (k *keeper) withKeys(events []models.ClaimEvent) []models.ClaimEvent {
	for i := range events {
		events[i].ID = k.newID()
		if events[i].What == models.ClaimCameIn {
			hold := k.newID()
			events[i].HoldID = &hold
		}
	}
	return events
}
