package servertest

import (
	"net/http"
	"testing"

	"tracewright/models"
	"tracewright/server/api"
)

// Every change leaves its entries in the trail, in the name of whoever made it;
// what is refused or repeated leaves none.
func TestEveryChangeLeavesItsTrail(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		wheel := s.Extremes()
		conflict := wheel
		conflict.Conditions.Note = "other content"
		few := s.EveryHole()
		few.Sets[0].Values = few.Sets[0].Values[:20]
		stranger := s.Extremes()
		stranger.Serial = s.unknownSerial()
		for _, c := range []struct {
			name, who, path string
			body            any
			status          int
			entries         int // at least; 0: none
		}{
			{"a lot", Operator, "/lots", object{"code": "SP-1", "material": "spokes"}, http.StatusCreated, 1},
			{"the same code again", Operator, "/lots", object{"code": "SP-1", "material": "spokes"}, http.StatusUnprocessableEntity, 0},
			{"a family with its specification", Owner, "/families", object{"kind": "wheel", "name": "Front wheels"}, http.StatusCreated, 2},
			{"a product with its form", Owner, "/products", object{"family": *s.Item[models.KindWheel].FamilyID, "name": "Rear 24", "form": object{"wheel": object{"holes": 36, "crossing": 1}}}, http.StatusCreated, 2},
			{"a gauge", Inspector, "/instruments", object{"code": "L-1", "kind": "dial", "name": "Dial", "unit": "mm"}, http.StatusCreated, 1},
			{"an item", Operator, "/items", object{"product": *s.Item[models.KindWheel].ProductID}, http.StatusCreated, 1},
			{"an inspection", OperatorAtStand, "/inspections", wheel, http.StatusCreated, 1},
			{"the same again", OperatorAtStand, "/inspections", wheel, http.StatusOK, 0},
			{"other content", OperatorAtStand, "/inspections", conflict, http.StatusConflict, 0},
			{"too few readings", OperatorAtStand, "/inspections", few, http.StatusUnprocessableEntity, 0},
			{"one that cannot be placed", OperatorAtStand, "/inspections", stranger, http.StatusAccepted, 1},
			{"a look ahead", OperatorAtStand, "/preview", s.EveryHole(), http.StatusOK, 0},
			{"a hold", Desk, "/holds", object{"item": s.Serial[models.KindPack], "code": "P02", "reason": "one block lower"}, http.StatusCreated, 1},
			{"a certificate", OperatorAtStand, "/items/" + wheel.Serial + "/certificates", object{"confirm": object{"pin": PIN}}, http.StatusCreated, 1},
			{"not the desk's", Desk, "/lots", object{"code": "SP-2", "material": "spokes"}, http.StatusForbidden, 0},
		} {
			t.Run(c.name, func(t *testing.T) {
				before := s.entries(t)
				s.run(t, Row{Who: c.who, Path: api.Base + c.path, Body: c.body, Status: c.status})
				if grown := s.entries(t) - before; grown < c.entries || c.entries == 0 && grown != 0 {
					t.Errorf("%d entries more, want %d", grown, c.entries)
				}
			})
		}
		by, err := s.Store.TrailOf(t.Context(), []string{wheel.ID}, 10)
		s.Must(err)
		if len(by) != 1 || by[0].Actor != s.People[Operator].ID || by[0].Kind != "inspection" {
			t.Errorf("entries of the inspection: %+v, want one by the operator", by)
		}
	})
}

// entries counts the trail; nothing seals it while these tests run.
func (s *Shop) entries(t *testing.T) int {
	t.Helper()
	n, err := s.Store.UnsealedCount(t.Context())
	s.Must(err)
	return n
}
