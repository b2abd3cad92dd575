package shelf_test

import (
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/shelf"
	"tracewright/models/work/worktest"
)

// A charge that a tablet kept is sent again when its answer was lost: there is
// one, with the moments of the tablet.
func TestAChargeIsSentTwice(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, pack := shelf.New(h.Store, h.Clock, worktest.Zone), h.Serial[models.KindPack]
		sent := shelf.NewCharge{ID: models.NewID(), Kind: models.ChargeFirst, Charger: "CH-2", Started: h.Now.Add(-9 * time.Hour)}
		for range 2 {
			charge, err := s.StartCharge(t.Context(), h.Operator, pack, sent)
			h.Must(err)
			if charge.ID != sent.ID || !charge.StartedAt.Equal(models.Moment(sent.Started)) {
				t.Errorf("%+v", charge)
			}
		}
		ended := h.Now.Add(-time.Hour)
		for range 2 {
			charge, err := s.EndCharge(t.Context(), h.Operator, sent.ID, "0.19", ended)
			h.Must(err)
			if !charge.End.EndedAt.Equal(models.Moment(ended)) {
				t.Errorf("%+v", charge.End)
			}
		}
		if all, err := s.Charges(t.Context(), pack); err != nil || len(all) != 1 {
			t.Errorf("%d charges, %v", len(all), err)
		}
		other := sent
		other.Charger = "CH-3"
		if _, err := s.StartCharge(t.Context(), h.Operator, pack, other); !errors.Is(err, models.ErrConflict) {
			t.Errorf("other content under the same id: %v", err)
		}
		var invalid *models.InvalidError
		if _, err := s.StartCharge(t.Context(), h.Operator, pack, shelf.NewCharge{ID: "7"}); !errors.As(err, &invalid) {
			t.Errorf("an id of no kind: %v", err)
		}
	})
}
