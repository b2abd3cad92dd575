package web

import (
	"encoding/json"
	"strings"
	"testing"

	"tracewright/models"
)

// sampleReview is a week with a picture of each shape, a place where nothing was
// read, and a question that found no answer.
func sampleReview() (models.Review, models.ReviewContent) {
	v := func(x float64) *float64 { return &x }
	weeks := models.Plot{Shape: models.PlotDots, Title: models.NewRemark("plot_yield_wheel"), Unit: "%", Decimals: 1, Points: []models.PlotPoint{
		{Label: models.NewRemark("label_week", "date", "2027-05-03"), Value: v(82.5), Centre: v(78.5), Lower: v(65), Upper: v(90), K: 33, N: 40},
		{Label: models.NewRemark("label_week", "date", "2027-05-10")},
		{Label: models.NewRemark("label_week", "date", "2027-05-17"), Value: v(47.5), Centre: v(78.5), Lower: v(65), Upper: v(90), K: 19, N: 40, Signal: true}}}
	bars := models.Plot{Shape: models.PlotBars, Title: models.NewRemark("plot_failed_wheel"), Zero: true, Points: []models.PlotPoint{{Label: models.NewRemark("label_result", "result", "lateral_tir"), Value: v(14), Low: v(7.7), High: v(23.5), K: 14}, {Label: models.NewRemark("label_result", "result", "dish_abs"), Value: v(2), Low: v(0.2), High: v(7.2), K: 2}}}
	c := models.ReviewContent{Form: 1, Shop: "Harbour Wheelworks", Period: models.ReviewWeek, FirstDay: "2027-05-17", LastDay: "2027-05-23", Through: "2027-05-20", Sections: []models.ReviewSection{
		{About: models.AskCharts, Sentences: []models.Sentence{{Remark: models.NewRemark("attention_signal_at", "result", "lateral_tir", "place", "stand 2"), Query: map[string]string{"place": "stand 2"}}}, More: 2},
		{About: models.AskFailures, Sentences: []models.Sentence{{Remark: models.NewRemark("failures_yield", "kinds", "wheel", "k", "9", "n", "12", "share", "75.0", "low", "46.8", "high", "91.1")}}, Plots: []models.Plot{weeks, bars}},
		{About: models.AskReturns, Sentences: []models.Sentence{{Remark: models.NewRemark("review_nothing")}}},
	}}
	return models.Review{ID: "0193d0a0-0000-7000-8000-000000000001", Period: c.Period, FirstDay: c.FirstDay, Edition: 2, MadeAt: sampleNow}, c
}

func reviewPages(s *site, owner Frame) map[string][]any {
	r, c := sampleReview()
	older := r
	older.Edition = 1
	month := models.Review{ID: "v3", Period: models.ReviewMonth, FirstDay: "2027-04-01", Edition: 1, MadeAt: sampleNow}
	return map[string][]any{
		"review":  {ReviewPage{Frame: owner}, s.reviewPage(owner, r, c)},
		"reviews": {ReviewsPage{Frame: owner}, s.reviewsPage(owner, []models.Review{r, older, month}, filled(nil)), s.reviewsPage(owner, nil, newForm(func(string) string { return "soon" }, models.Invalid("day", "not_a_day", "typed", "soon")))},
	}
}

// The page, its table and the data of its picture hold the same numbers.
func TestAPlotIsTheSameInItsTableAndItsPicture(t *testing.T) {
	_, c := sampleReview()
	for _, p := range c.Sections[1].Plots {
		view := plotView(p, "plot-0")
		var data plotData
		if err := json.Unmarshal([]byte(view.Data), &data); err != nil {
			t.Fatal(err)
		}
		if len(data.Points) != len(p.Points) || len(view.Rows) != len(p.Points) || len(data.Labels) != len(p.Points) {
			t.Fatalf("%d points, %d rows, %d labels of %d", len(data.Points), len(view.Rows), len(data.Labels), len(p.Points))
		}
		for i, row := range view.Rows {
			if len(row) != len(view.Columns) {
				t.Errorf("row %d has %d cells of %d", i, len(row), len(view.Columns))
			}
		}
	}
	weeks := plotView(c.Sections[1].Plots[0], "w")
	if got := strings.Join(weeks.Columns, "|"); got != "Where|k|n|Value, %|Expected, %|Limit below, %|Limit above, %|Beyond" {
		t.Errorf("columns %s", got)
	}
	if got := strings.Join(weeks.Rows[2], "|"); got != "17 May 2027|19|40|47.5|78.5|65.0|90.0|beyond" {
		t.Errorf("the last week is %s", got)
	}
	if got := strings.Join(weeks.Rows[1], "|"); got != "10 May 2027|||||||" {
		t.Errorf("a week without work is %s", got)
	}
	if bars := plotView(c.Sections[1].Plots[1], "b"); strings.Join(bars.Rows[0], "|") != "Lateral run-out, full reading|14||14|7.7|23.5" {
		t.Errorf("the first bar is %s", strings.Join(bars.Rows[0], "|"))
	}
}

// Dots with an interval each have it in their table, and a note of their own.
func TestDotsWithIntervalsOnThePage(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	view := plotView(models.Plot{Shape: models.PlotDots, Title: models.NewRemark("plot_returns", "name", "Quillet"), Unit: "%", Decimals: 1, Zero: true, Points: []models.PlotPoint{
		{Label: models.NewRemark("label_month", "month", "2027-03"), Value: v(15.9), Low: v(6.6), High: v(30.1), Centre: v(2.8), K: 7, N: 44, Signal: true}}}, "r")
	if got := strings.Join(view.Columns, "|") + "/" + strings.Join(view.Rows[0], "|"); got != "Where|k|n|Value, %|From, %|To, %|Expected, %|Beyond/March 2027|7|44|15.9|6.6|30.1|2.8|beyond" {
		t.Errorf("the table is %s", got)
	}
	if !strings.Contains(view.Note, "came back") || strings.Contains(view.Note, "dashed") || strings.Contains(view.Describe, "limits") {
		t.Errorf("it is told as %q, %q", view.Note, view.Describe)
	}
}

func TestATimeIsNamed(t *testing.T) {
	for want, r := range map[string]models.Review{"The week from 17 May 2027 to 23 May 2027": {Period: models.ReviewWeek, FirstDay: "2027-05-17"}, "February 2028": {Period: models.ReviewMonth, FirstDay: "2028-02-01"}} {
		if got := english.ReviewPeriod(keptPeriod(r)); got != want {
			t.Errorf("%s is called %s", r.FirstDay, got)
		}
	}
	if got := lastDay(models.Review{Period: models.ReviewMonth, FirstDay: "2028-02-01"}); got != "2028-02-29" {
		t.Errorf("February 2028 ends on %s", got)
	}
	_, running := sampleReview()
	if got := english.ReviewPeriod(running); got != "The week from 17 May 2027 to 23 May 2027, so far, up to 20 May 2027" {
		t.Errorf("a week that runs is called %s", got)
	}
}
