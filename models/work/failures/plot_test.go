package failures

import (
	"testing"
	"time"

	"tracewright/models"
)

// The pictures of a review have the figures of the page: 46 of 472 are 9.75 %, by
// Wilson's formula 7.38 to 12.76 %; 383 of 472 passed in the one week, 81.14 %.
func TestPlotsHaveThePagesFigures(t *testing.T) {
	s := &told{Tallied: models.Tallied{Sets: []models.Tally{set("2031-05-12", "light", "stand 1", "vale", 383, 89)}, Defects: []models.DefectTally{failed("W03", 17), failed("W01", 46)}}}
	plots, err := s.service().Plots(t.Context(), time.Date(2031, 5, 12, 0, 0, 0, 0, time.UTC), time.Date(2031, 5, 15, 0, 0, 0, 0, time.UTC))
	if err != nil || len(plots) < 2 {
		t.Fatalf("%d plots, %v", len(plots), err)
	}
	weeks, causes := plots[0], plots[1]
	if p := weeks.Points[len(weeks.Points)-1]; weeks.Title.Code != "plot_yield_wheel" || p.K != 383 || p.N != 472 || !near(*p.Value/100, 0.8114) || p.Signal {
		t.Errorf("%s: the last week is %+v", weeks.Title.Code, p)
	}
	if p := causes.Points[0]; causes.Title.Code != "plot_failed_wheel" || p.Label.Values["fault"] != "W01" || p.K != 46 || p.N != 472 || !near(*p.Value/100, 0.0975) || !near(*p.Low/100, 0.0738) || !near(*p.High/100, 0.1276) {
		t.Errorf("%s: the first bar is %+v", causes.Title.Code, p)
	}
}
