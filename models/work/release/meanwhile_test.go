package release_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/release"
	"tracewright/models/work/worktest"
)

// slow is a seal during which something else is done in the shop.
type slow struct {
	*worktest.Signer
	meanwhile func()
}

func (s slow) Seal(ctx context.Context) (models.SealedLog, error) {
	s.meanwhile()
	return s.Signer.Seal(ctx)
}

// What comes while the log is sealed, after the gate was asked, is found where the
// item is locked: no certificate is signed on what is no longer so, and it is
// signed once it is asked for again, where the gate lets it.
func TestWhatComesWhileTheLogIsSealed(t *testing.T) {
	type bench struct {
		*worktest.Shop
		s    *release.Service
		item models.Item
		lot  models.Lot
	}
	stamp := func(b bench) models.Stamp { return models.NewStamp(b.Owner, b.Now) }
	recheck := func(b bench, reading string) {
		b.Shop.Now = b.Now.Add(time.Hour)
		sub := b.Extremes()
		sub.Stage, sub.Sets[0].Values = models.Recheck, []string{reading, "-0.08"}
		b.MustRecord(sub)
	}
	for _, c := range []struct {
		name string
		do   func(b bench)
		then bool // the gate lets it go afterwards
	}{
		{"nothing", func(bench) {}, true},
		{"a hold on a lot in it", func(b bench) {
			_, err := b.s.RaiseHold(b.Context(), b.Owner, release.HoldRequest{Lot: b.lot.Code, Code: "W14", Reason: "soft"})
			b.Must(err)
		}, false},
		{"a lot in it set aside", func(b bench) {
			b.Must(b.Store.AddLotDecision(b.Context(), stamp(b), models.LotDecision{ID: models.NewID(), LotID: b.lot.ID, Decision: models.LotQuarantine, Reason: "soft"}))
		}, false},
		{"a part put in", func(b bench) {
			b.Must(b.Store.ChangeParts(b.Context(), stamp(b), b.item.ID, nil, []models.FittedPart{{Role: "spokes_a", LotID: &b.lot.ID, Quantity: 4}}))
		}, true},
		{"its readings corrected", func(b bench) {
			before, err := b.Store.InspectionsOf(b.Context(), b.item.ID)
			b.Must(err)
			sub := b.Extremes()
			sub.Corrects, sub.Reason, sub.Sets[0].Values = before[0].ID, "typed wrongly", []string{"0.10", "-0.08"}
			_, err = b.Capture.Record(b.Context(), b.Owner, sub, b.Now)
			b.Must(err)
		}, true},
		{"measured again, and passes", func(b bench) { recheck(b, "0.10") }, true},
		{"measured again, and fails", func(b bench) { recheck(b, "0.90") }, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				b := bench{Shop: h, s: service(h, new(int)), lot: models.Lot{ID: models.NewID(), Code: "L-77", Material: "spokes"}}
				h.Must(h.Store.AddLot(t.Context(), stamp(b), b.lot))
				b.item = h.MustRecord(h.Extremes()).Item
				h.Must(h.Store.ChangeParts(t.Context(), stamp(b), b.item.ID, nil, []models.FittedPart{{Role: "spokes_b", LotID: &b.lot.ID, Quantity: 4}}))
				b.s.SealBy(slow{worktest.NewSigner(), func() { c.do(b) }})
				_, err := b.s.Issue(t.Context(), h.Owner, b.item.ID, "")
				if c.name == "nothing" {
					h.Must(err)
					return
				}
				if !errors.Is(err, models.ErrStale) {
					t.Errorf("issued: %v, want it stale", err)
				}
				if _, err := h.Store.CertificateInForce(t.Context(), b.item.ID); !errors.Is(err, models.ErrNotFound) {
					t.Errorf("a certificate in force: %v", err)
				}
				b.s.SealBy(worktest.NewSigner())
				if issued, err := b.s.Issue(t.Context(), h.Owner, b.item.ID, ""); (err == nil) != c.then || err == nil && issued.Number != "C31-00001" {
					t.Errorf("asked for again: %s, %v", issued.Number, err)
				}
			})
		})
	}
}

// Whoever names what was looked at signs nothing else.
func TestACertificateOnWhatWasLookedAt(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx := service(h, new(int)), t.Context()
		first := h.MustRecord(h.Extremes())
		grounds, err := s.Grounds(ctx, first.Item.ID)
		h.Must(err)
		if again, err := s.Grounds(ctx, first.Item.ID); err != nil || again != grounds || grounds == "" {
			t.Errorf("asked again, it rests on %q, then %q, %v", grounds, again, err)
		}
		h.Now = h.Now.Add(time.Hour)
		sub := h.Extremes()
		sub.Stage = models.Recheck
		second := h.MustRecord(sub)
		for name, r := range map[string]release.CertificateRequest{"the older page": {From: grounds}, "the older inspection": {Inspection: first.Inspection.ID}} {
			if _, err := s.IssueAs(ctx, h.Owner, first.Item.ID, r); !errors.Is(err, models.ErrStale) {
				t.Errorf("%s: %v, want it stale", name, err)
			}
		}
		grounds, err = s.Grounds(ctx, first.Item.ID)
		h.Must(err)
		issued, err := s.IssueAs(ctx, h.Owner, first.Item.ID, release.CertificateRequest{From: grounds, Inspection: second.Inspection.ID})
		if err != nil || issued.InspectionID != second.Inspection.ID {
			t.Errorf("on what stands: %+v, %v", issued, err)
		}
	})
}
