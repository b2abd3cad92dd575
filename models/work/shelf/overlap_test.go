package shelf_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/shelf"
	"tracewright/models/work/worktest"
)

// Charges of one item follow each other, and none began before it was made: the
// pack on 12 April 2031, a month before noon of the test.
func TestChargesFollowEachOther(t *testing.T) {
	day := 24 * time.Hour
	for _, row := range []struct {
		name             string
		start, end       time.Duration // before now; another ran from 48 h to 40 h before now
		started, problem string
	}{
		{"after it", 30 * time.Hour, 20 * time.Hour, "", ""},
		{"right at its end", 40 * time.Hour, 30 * time.Hour, "", ""},
		{"before it, written down later", 60 * time.Hour, 50 * time.Hour, "", ""},
		{"up to its start", 60 * time.Hour, 48 * time.Hour, "", ""},
		{"inside it", 44 * time.Hour, 0, "started_at: charge_inside", ""},
		{"from its start", 48 * time.Hour, 0, "started_at: charge_inside", ""},
		{"into it", 60 * time.Hour, 44 * time.Hour, "", "ended_at: charge_overlaps"},
		{"around it", 60 * time.Hour, 30 * time.Hour, "", "ended_at: charge_overlaps"},
		{"on the day the pack was made", 30*day + 11*time.Hour, 30*day + 10*time.Hour, "", ""},
		{"the day before", 31 * day, 0, "started_at: before_item", ""},
		{"in another century", 41 * 365 * day, 0, "started_at: before_item", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				s, pack := shelf.New(h.Store, h.Clock, worktest.Zone), h.Serial[models.KindPack]
				charge := func(start, end time.Duration) (started, ended error) {
					c, err := s.StartCharge(t.Context(), h.Operator, pack, shelf.NewCharge{Started: h.Now.Add(-start)})
					if err != nil {
						return err, nil
					}
					_, err = s.EndCharge(t.Context(), h.Operator, c.ID, "", h.Now.Add(-end))
					return nil, err
				}
				started, ended := charge(48*time.Hour, 40*time.Hour)
				h.Must(started)
				h.Must(ended)
				started, ended = charge(row.start, row.end)
				worktest.WantProblems(t, started, list(row.started)...)
				worktest.WantProblems(t, ended, list(row.problem)...)
			})
		})
	}
	h := worktest.New(t)
	s := shelf.New(h.Store, h.Clock, worktest.Zone)
	worktest.WantProblems(t, s.Place(t.Context(), h.Operator, h.Serial[models.KindPack], "loft", h.Now.AddDate(-1, 0, 0)), "since: before_item")
}

func list(one string) []string {
	if one == "" {
		return nil
	}
	return []string{one}
}
