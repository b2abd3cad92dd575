package receive_test

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

// digest is that of a material as it stands.
func digest(h *worktest.Shop, s *receive.Service, code string) string {
	list, err := s.Materials(h.Context())
	h.Must(err)
	digest, err := models.Digest(list[slices.IndexFunc(list, func(m models.Material) bool { return m.Code == code })])
	h.Must(err)
	return digest
}

func TestMaterialsAreChecked(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		for _, c := range []struct {
			name string
			in   models.Material
			want []string
		}{
			{"a new one", models.Material{Code: "harness", Name: " harnesses ", Unit: "pieces", Roles: []string{"harness"}, Plan: models.LotPlan{Kind: models.PlanZero}}, nil},
			{"nothing said", models.Material{}, []string{"code: missing", "name: missing", "unit: missing"}},
			{"a code of two words", models.Material{Code: "two words", Name: "x", Unit: "y"}, []string{"code: material_code"}},
			{"a role of nothing", models.Material{Code: "x", Name: "x", Unit: "y", Roles: []string{"wing"}}, []string{"roles: unknown_role"}},
			{"fewer than none", models.Material{Code: "x", Name: "x", Unit: "y", Least: -1}, []string{"least: negative_not_possible"}},
			{"no plan", models.Material{Code: "x", Name: "x", Unit: "y", Plan: models.LotPlan{Kind: "half"}}, []string{"plan: unknown_choice"}},
		} {
			_, err := s.PutMaterial(t.Context(), h.Owner, "", c.in)
			t.Run(c.name, func(t *testing.T) { worktest.WantProblems(t, err, c.want...) })
		}
		list, err := s.Materials(t.Context())
		h.Must(err)
		if len(list) != 6 {
			t.Errorf("%d materials, want the five that there were and one", len(list))
		}
		if _, err := s.PutMaterial(t.Context(), h.Owner, "", models.Material{Code: "spokes", Name: "spokes", Unit: "pieces"}); !errors.Is(err, models.ErrConflict) || errors.Is(err, models.ErrStale) {
			t.Errorf("one of a code that is taken: %v", err)
		}
		least := func(n int) models.Material {
			return models.Material{Code: "spokes", Name: "spokes", Unit: "pieces", Least: n}
		}
		older := digest(h, s, "spokes")
		changed, err := s.PutMaterial(t.Context(), h.Owner, older, least(100))
		h.Must(err)
		if now, err := models.Digest(changed); err != nil || now != digest(h, s, "spokes") {
			t.Errorf("what came back has the digest %s, %v, and what stands %s", now, err, digest(h, s, "spokes"))
		}
		for _, n := range []int{200, -1} { // What is stale is said before what is wrong.
			if _, err := s.PutMaterial(t.Context(), h.Owner, older, least(n)); !errors.Is(err, models.ErrStale) {
				t.Errorf("changed to %d on what stood before: %v", n, err)
			}
		}
		_, err = s.PutMaterial(t.Context(), h.Owner, digest(h, s, "spokes"), least(-1))
		worktest.WantProblems(t, err, "least: negative_not_possible")
		_, err = s.AddLot(t.Context(), h.Operator, models.Lot{Code: "HA-1", Material: "harness", Supplier: "Orlo"})
		h.Must(err)
		again, err := s.AddLot(t.Context(), h.Operator, models.Lot{Code: "HA-2", Material: "harness", Supplier: " ORLO "})
		h.Must(err)
		if suppliers, err := s.Suppliers(t.Context()); err != nil || len(suppliers) != 1 || again.Supplier != "Orlo" {
			t.Errorf("suppliers %v, %v; the lot's is %q, want Orlo once", suppliers, err, again.Supplier)
		}
	})
}

// What is left of a material is in the lots that may be used.
func TestWhatIsLeftOfAMaterial(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		ctx := t.Context()
		goods(h, s, "SP-1", "SP-2", "SP-3")
		fit(h, "SP-1", 36)
		h.Must(s.Scrap(ctx, h.Operator, receive.Scrapped{Lot: "SP-2", Quantity: 500, Code: "W09"}))
		_, err := s.Decide(ctx, h.Operator, receive.Decided{Lot: "SP-3", Decision: models.LotQuarantine, Reason: "x"})
		h.Must(err)
		_, err = s.PutMaterial(ctx, h.Owner, digest(h, s, "spokes"), models.Material{Code: "spokes", Name: "spokes", Unit: "pieces", Least: 465})
		h.Must(err)
		lines, err := s.Lines(ctx, "spokes")
		h.Must(err)
		materials, err := s.Materials(ctx)
		h.Must(err)
		for _, l := range receive.LeftOf(materials, lines) {
			if l.Code == "spokes" && (l.Pieces != 464 || l.Lots != 1 || !l.Short) {
				t.Errorf("%d left in %d lots, short %v; want 464 in one, short", l.Pieces, l.Lots, l.Short)
			}
		}
		used := 0
		for _, l := range lines {
			if l.UsedUp() {
				used++
			}
		}
		if len(lines) != 3 || used != 1 {
			t.Errorf("%d lots, %d used up; want 3 and 1", len(lines), used)
		}
	})
}
