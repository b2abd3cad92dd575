package servertest

import (
	"net/http"
	"testing"

	"tracewright/models"
)

// Today counts what is on hold, not the holds: a second hold on a wheel is no
// second wheel.
func TestTodayCountsWhatIsOnHold(t *testing.T) {
	s := On(t, openSQLite(t))
	stamp := models.NewStamp(s.Owner, s.Now)
	hold := func(h models.Hold) {
		h.ID, h.Code, h.Reason = models.NewID(), "W14", "step at the joint"
		_, err := s.Store.AddHold(t.Context(), stamp, h)
		s.Must(err)
	}
	for range 8 {
		wheel := s.AnotherWheel()
		hold(models.Hold{ItemID: &wheel.ID})
		hold(models.Hold{ItemID: &wheel.ID})
	}
	page := func(name string, has ...string) Row {
		return Row{Name: name, Who: Desk, Path: "/", Status: http.StatusOK, Has: has}
	}
	s.Run(t, []Row{page("wheels", "3 more items are on hold")})
	lot := models.Lot{ID: models.NewID(), Code: "SP-9", Material: "spokes"}
	s.Must(s.Store.AddLot(t.Context(), stamp, lot))
	hold(models.Hold{LotID: &lot.ID})
	s.Run(t, []Row{page("and a lot", "4 more items and lots are on hold")})
}
