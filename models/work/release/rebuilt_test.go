package release_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// What is really taken out opens an item again: it goes out only after it was
// measured anew, with a certificate that names what is in it now. A record that
// is put right opens nothing.
func TestARebuiltPackIsMeasuredAgain(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, s := t.Context(), service(h, new(int))
		block(h, "A")
		spare := block(h, "B")
		sub := h.Pack()
		sub.Parts = []models.SentPart{{Role: "block", Place: "1.1", Number: "A"}}
		pack := h.MustRecord(sub).Item
		issue := func(reason string) {
			_, err := s.Issue(ctx, h.Owner, pack.ID, reason)
			h.Must(err)
		}
		issue("")
		change := func(code, fate string, in []models.FittedPart) {
			parts, err := h.Store.Parts(ctx, pack.ID)
			h.Must(err)
			at := slices.IndexFunc(parts, func(p models.PartView) bool { return p.InNow() })
			h.Now = h.Now.Add(time.Hour)
			h.Must(h.Store.ChangeParts(ctx, models.NewStamp(h.Owner, h.Now), pack.ID, []models.PartRemoval{{FittedID: parts[at].ID, Quantity: 1, Code: code, Fate: fate}}, in))
		}
		blocked := func(step string, want ...string) {
			t.Helper()
			reasons, err := s.Gate(ctx, pack.ID)
			h.Must(err)
			var got []string
			for _, r := range reasons {
				got = append(got, r.Code)
			}
			if !slices.Equal(got, want) {
				t.Errorf("%s: held back by %v, want %v", step, got, want)
			}
		}
		change(models.RecordedWrongly, models.FateNeverIn, []models.FittedPart{{Role: "block", Place: "1.2", PartID: partOf(t, h, pack, "A"), Quantity: 1}})
		blocked("put right")
		if item, err := h.Store.Item(ctx, pack.ID); err != nil || item.State != models.StateReleased {
			t.Errorf("put right: %s, %v; want released", item.State, err)
		}
		change("loses_charge", models.FateScrap, []models.FittedPart{{Role: "block", Place: "1.2", PartID: &spare.ID, Quantity: 1}})
		blocked("swapped", "rebuilt_since")
		if item, err := h.Store.Item(ctx, pack.ID); err != nil || item.State != models.StateInProcess {
			t.Errorf("swapped: %s, %v; want in process", item.State, err)
		}
		h.Now = h.Now.Add(30 * time.Hour)
		again := h.Pack()
		if out := h.MustRecord(again); out.Item.State != models.StateConforming {
			t.Fatalf("measured again: %s", out.Item.State)
		}
		blocked("measured again")
		issue("rebuilt")
		certificates, err := h.Store.CertificatesOf(ctx, pack.ID)
		h.Must(err)
		newest := certificates[0]
		if newest.Revision != 2 || newest.State != models.Issued || !strings.Contains(newest.Content, `"B"`) || strings.Contains(newest.Content, `"A"`) {
			t.Errorf("revision %d, %s: %s; want the second, naming B alone", newest.Revision, newest.State, newest.Content)
		}
	})
}

// partOf finds the key of a part by its number.
func partOf(t *testing.T, h *worktest.Shop, item models.Item, number string) *string {
	t.Helper()
	parts, err := h.Store.Parts(t.Context(), item.ID)
	h.Must(err)
	for _, p := range parts {
		if p.Number == number {
			return p.PartID
		}
	}
	t.Fatalf("%s is not in %s", number, item.Name())
	return nil
}
