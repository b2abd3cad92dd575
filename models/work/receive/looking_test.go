package receive_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

// planned gives spokes a sample of which none may be bad: a lot with a fifth of its
// pieces bad passes in at most ten of a hundred cases. Of 4000 that are 11, for
// 0.8^11 = 0.086 and 0.8^10 = 0.107.
func planned(h *worktest.Shop, s *receive.Service, kind string) {
	h.Helper()
	m, err := h.Store.Material(h.Context(), "spokes")
	h.Must(err)
	from, err := models.Digest(m)
	h.Must(err)
	m.Plan = models.LotPlan{Kind: kind, Bad: "20", Risk: "10"}
	_, err = s.PutMaterial(h.Context(), h.Owner, from, m)
	h.Must(err)
}

// A lot waits to be looked at from the moment it comes until an inspection of it is
// finished, or somebody decides about it without one.
func TestWhatIsToBeLookedAt(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		receiveLot := func(code string, n int) {
			_, err := s.AddLot(h.Context(), h.Operator, models.Lot{Code: code, Material: "spokes", Quantity: n})
			h.Must(err)
		}
		waits := func(code string, want *receive.Sample) {
			t.Helper()
			asked, err := s.Questions(h.Context())
			h.Must(err)
			lines, err := s.Lines(h.Context(), "")
			h.Must(err)
			named, err := s.ToLook(h.Context(), []string{code})
			h.Must(err)
			got := map[string]*receive.Sample{"its story": story(h, s, code).Look}
			for _, q := range asked {
				if q.Kind == receive.AskLook && q.Lot.Code == code {
					got["the questions"] = q.Look
				}
			}
			for _, l := range lines {
				if l.Code == code {
					got["the list"] = l.Look
				}
			}
			for _, l := range named {
				got["by its code"] = l.Look
			}
			for _, where := range []string{"its story", "the questions", "the list", "by its code"} {
				look := got[where]
				if (look == nil) != (want == nil) || look != nil && (look.Size != want.Size || look.Lot != want.Lot) {
					t.Errorf("%s says of %s: %+v, want %+v", where, code, look, want)
				}
			}
		}
		receiveLot("SP-1", 4000)
		waits("SP-1", nil)
		planned(h, s, models.PlanZero)
		eleven := &receive.Sample{Size: 11, Lot: 4000}
		waits("SP-1", eleven)

		plan := models.LotPlan{Kind: models.PlanZero, Bad: "20", Risk: "10"}
		_, err := s.Inspect(h.Context(), h.Operator, receive.Looked{Lot: "SP-1", Plan: plan, Looked: 10})
		h.Must(err)
		waits("SP-1", eleven) // unfinished
		_, err = s.Inspect(h.Context(), h.Operator, receive.Looked{Lot: "SP-1", Plan: plan, Looked: 11})
		h.Must(err)
		waits("SP-1", nil)

		receiveLot("SP-2", 4000)
		waits("SP-2", eleven)
		_, err = s.Decide(h.Context(), h.Operator, receive.Decided{Lot: "SP-2", Decision: models.LotAccept})
		h.Must(err)
		waits("SP-2", nil)

		receiveLot("SP-3", 36)
		fit(h, "SP-3", 36)
		waits("SP-3", nil) // none of it is left

		planned(h, s, models.PlanAll)
		receiveLot("SP-4", 0)
		waits("SP-4", &receive.Sample{}) // how many, nobody knows
	})
}
