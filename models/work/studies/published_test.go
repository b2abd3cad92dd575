package studies_test

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/studies"
	"tracewright/models/work/worktest"
)

// published is the worked study of 10 parts, 3 appraisers and 3 trials of the
// Measurement Systems Analysis reference manual (AIAG, 3rd and 4th edition): part,
// appraiser, trial.
var published = [10][3][3]string{
	{{"0.29", "0.41", "0.64"}, {"0.08", "0.25", "0.07"}, {"0.04", "-0.11", "-0.15"}},
	{{"-0.56", "-0.68", "-0.58"}, {"-0.47", "-1.22", "-0.68"}, {"-1.38", "-1.13", "-0.96"}},
	{{"1.34", "1.17", "1.27"}, {"1.19", "0.94", "1.34"}, {"0.88", "1.09", "0.67"}},
	{{"0.47", "0.50", "0.64"}, {"0.01", "1.03", "0.20"}, {"0.14", "0.20", "0.11"}},
	{{"-0.80", "-0.92", "-0.84"}, {"-0.56", "-1.20", "-1.28"}, {"-1.46", "-1.07", "-1.45"}},
	{{"0.02", "-0.11", "-0.21"}, {"-0.20", "0.22", "0.06"}, {"-0.29", "-0.67", "-0.49"}},
	{{"0.59", "0.75", "0.66"}, {"0.47", "0.55", "0.83"}, {"0.02", "0.01", "0.21"}},
	{{"-0.31", "-0.20", "-0.17"}, {"-0.63", "0.08", "-0.34"}, {"-0.46", "-0.56", "-0.49"}},
	{{"2.26", "1.99", "2.01"}, {"1.80", "2.12", "2.19"}, {"1.77", "1.45", "1.87"}},
	{{"-1.36", "-1.25", "-1.31"}, {"-1.68", "-1.62", "-1.50"}, {"-1.49", "-1.77", "-2.16"}},
}

func (l *lab) published(t *testing.T) studies.View {
	t.Helper()
	items := make([]models.StudyItem, len(published))
	for i := range items {
		items[i].Name = fmt.Sprintf("Part %d", i+1)
	}
	v := l.planned(t, studies.Plan{Design: models.StudyCrossed, Persons: l.persons(), Items: items, Repeats: 3, Seed: 7})
	l.read(t, v, func(turn models.StudyTurn) string { return published[turn.Item][turn.Person][turn.Repeat-1] })
	v, err := l.Study(t.Context(), v.Study.Number)
	l.Must(err)
	return v
}

// The manual's table of the analysis of variance: repeatability 0.199933,
// appraisers 0.226838, no interaction (pooled), gauge 0.302373, parts 1.042327; 4
// distinct categories.
func TestAStudyThatWasPublished(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		l := newLab(t, h)
		r, err := studies.Evaluate(l.published(t))
		h.Must(err)
		s := r.Crossed.Summary
		for _, x := range []struct {
			name      string
			got, want float64
		}{
			{"repeatability", s.Repeatability, 0.199933}, {"persons", s.Operator, 0.226838}, {"interaction", s.Interaction, 0}, {"gauge", s.Gauge, 0.302373}, {"items", s.Part, 1.042327}, {"classes", s.Categories, 4},
		} {
			if math.Abs(x.got-x.want) > 2e-6 {
				t.Errorf("%s is %.6f, the manual has %.6f", x.name, x.got, x.want)
			}
		}
		if !r.Crossed.Pooled {
			t.Error("the interaction was not pooled")
		}
		// Six times the gauge is 1.814, more than five times a run-out of 0.30 mm.
		if r.Judgement != studies.Unfit || r.Share < 600 || r.Share > 610 {
			t.Errorf("judged %s at %.1f %% of the tolerance, want unfit at 604.7", r.Judgement, r.Share)
		}
	})
}

// Three items that everybody reads the same, again and again, to a step of 0.01 mm or
// of a tenth of a millimetre as the register says: no scatter shows, and the step
// decides. Six times step/sqrt(12), and the root of 2 for the two readings of a run-out,
// of a tolerance from 0 to 0.30 mm, by hand: 8.165 % and 81.65 %. Where the register has
// none, how far the items lie apart is no step, and it is asked for.
func TestAGaugeTooCoarseToScatterIsNotGood(t *testing.T) {
	h := worktest.New(t)
	l := newLab(t, h)
	v := l.planned(t, studies.Plan{Design: models.StudyCrossed, Persons: l.persons(), Items: named("A", "B", "C"), Repeats: 2})
	l.read(t, v, func(turn models.StudyTurn) string { return fmt.Sprintf("0.%d", 1+turn.Item) })
	v, err := l.Study(t.Context(), v.Study.Number)
	h.Must(err)
	for _, row := range []struct {
		step, want string
		share      float64
	}{{"0.01", studies.Good, 8.165}, {"0.1", studies.Unfit, 81.65}, {"", studies.NoOpinion, 0}} {
		v.Instrument.Resolution = row.step
		r, err := studies.Evaluate(v)
		h.Must(err)
		if r.Judgement != row.want || math.Abs(r.Share-row.share) > 0.01 {
			t.Errorf("a step of %q: judged %s at %.3f %%, want %s at %.3f", row.step, r.Judgement, r.Share, row.want, row.share)
		}
		if asks := r.Answer() == "no_step" && slices.Equal(r.Next, []string{"study_next_no_step"}); asks != (row.step == "") || asks && r.ShareKnown {
			t.Errorf("a step of %q: answered %s, with %v to do next", row.step, r.Answer(), r.Next)
		}
	}
}

// Two persons who read two items twice tell too little: the interval of the share
// reaches over the bands, and the answer says so. Eight items by three persons, without
// anything between the persons, settle it.
func TestAnIntervalOverTheBandsIsSaid(t *testing.T) {
	h := worktest.New(t)
	l := newLab(t, h)
	for _, row := range []struct {
		persons int
		items   []models.StudyItem
		open    bool
	}{
		{2, named("A", "B"), true},
		{3, named("A", "B", "C", "D", "E", "F", "G", "H"), false},
	} {
		v := l.planned(t, studies.Plan{Design: models.StudyCrossed, Persons: l.persons()[:row.persons], Items: row.items, Repeats: 2, Seed: 3})
		// Each reads each item 0.02 mm otherwise in the second round, half of them more.
		l.read(t, v, func(turn models.StudyTurn) string {
			return fmt.Sprintf("0.1%d", turn.Item%7+2*((turn.Repeat+turn.Item+turn.Person)%2))
		})
		v, err := l.Study(t.Context(), v.Study.Number)
		h.Must(err)
		r, err := studies.Evaluate(v)
		h.Must(err)
		if r.Open != row.open || r.ShareLow > r.Share || r.ShareHigh < r.Share {
			t.Errorf("%d persons: %s, open %t, %.2f %% (%.2f to %.2f)", row.persons, r.Answer(), r.Open, r.Share, r.ShareLow, r.ShareHigh)
		}
		if got, want := r.Answer(), r.Judgement; row.open && got != want+"_open" || !row.open && got != want {
			t.Errorf("%d persons: answered %s", row.persons, got)
		}
	}
}

// JCGM 100:2008, H.1: an end gauge of 50 mm. 25 nm with 18 degrees of freedom, 9.7
// with 25.6, 2.9 with 50, 16.6 with 2 combine to 32 nm (31.7 unrounded) with 16;
// the factor for 99 % is 2.92, and U is 93 nm (92.5 unrounded).
func TestABudgetThatWasPublished(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		l := newLab(t, h)
		line := func(name, nm, freedom string) models.BudgetLine {
			return models.BudgetLine{Source: models.FromTyped, Name: name, Shape: "stated", Value: nm, Freedom: freedom}
		}
		b, err := l.ReviseBudget(t.Context(), l.inspector, studies.BudgetChange{FamilyID: l.family, Result: "dish_abs", Coverage: "0,99", Reason: "a book's",
			Lines: []models.BudgetLine{line("standard", "25", "18"), line("difference", "9,7", "25.6"), line("expansion", "2.9", "50"), line("temperature", "16.6", "2")}})
		h.Must(err)
		if b.Combined != "31.6711" || b.K != "2.92078" || b.Freedom != "16" || b.U != "93" && b.U != "92" {
			t.Errorf("uc %s, k %s, %s degrees of freedom, U %s; want 31.7, 2.92, 16, 92 or 93", b.Combined, b.K, b.Freedom, b.U)
		}
		sum := 0.0
		for _, c := range b.Contributions {
			sum += c.Share
		}
		if math.Abs(sum-1) > 1e-9 || b.Contributions[0].Share < 0.62 || b.Contributions[0].Share > 0.63 { // 625 of 1003.1
			t.Errorf("shares %+v", b.Contributions)
		}
		// The next is made on this one, or not at all.
		again := studies.BudgetChange{FamilyID: l.family, Result: "dish_abs", From: 0, Reason: "r", Lines: b.Lines}
		if _, err := l.ReviseBudget(t.Context(), l.inspector, again); err == nil {
			t.Error("made on no revision while there is one")
		}
		again.From = 1
		next, err := l.ReviseBudget(t.Context(), l.inspector, again)
		h.Must(err)
		if next.Revision != 2 || !next.Newest {
			t.Errorf("revision %d, newest %t", next.Revision, next.Newest)
		}
	})
}

// Eleven readings of a reference; figures by hand and by Student's table: of
// 1018 1012 1021 1015 1017 1013 less 1000 the mean is 16, s = 3.346640, t = 11.711.
func TestBiasLinearityAndStability(t *testing.T) {
	h := worktest.New(t)
	l := newLab(t, h)
	one := l.persons()[:1]
	readings := []string{"1018", "1012", "1021", "1015", "1017", "1013"}
	v := l.planned(t, studies.Plan{Design: models.StudyBias, Result: "tension_mean_tight", Instrument: "T-1", Persons: one, Items: []models.StudyItem{{Name: "Hung weight", Reference: "1000"}}, Repeats: 6})
	l.read(t, v, func(turn models.StudyTurn) string { return readings[turn.Repeat-1] })
	r := l.evaluated(t, v)
	if r.Judgement != studies.Biased || math.Abs(r.Bias.Bias-16) > 1e-9 || math.Abs(r.Bias.T-11.7108) > 1e-3 {
		t.Errorf("bias %+v, judged %s", r.Bias, r.Judgement)
	}

	// A slope of 0.0295 through -15.8: references and biases as in the least squares
	// worked by hand.
	bias := map[string]string{"400": "396", "600": "602", "800": "807", "1000": "1015", "1200": "1219"}
	var items []models.StudyItem
	for _, reference := range []string{"1200", "400", "800", "600", "1000"} {
		items = append(items, models.StudyItem{Name: "Weight " + reference, Reference: reference})
	}
	v = l.planned(t, studies.Plan{Design: models.StudyLinearity, Result: "tension_mean_tight", Instrument: "T-1", Persons: one, Items: items, Repeats: 1})
	l.read(t, v, func(turn models.StudyTurn) string { return bias[items[turn.Item].Reference] })
	r = l.evaluated(t, v)
	if r.Judgement != studies.Biased || math.Abs(r.Linearity.Slope-0.0295) > 1e-9 || math.Abs(r.Linearity.Intercept+15.8) > 1e-9 || math.Abs(r.Linearity.Largest-19.6) > 1e-9 || r.Linearity.At != 1200 {
		t.Errorf("linearity %+v", r.Linearity)
	}
	f := r.Figure(v.Study, nil)
	if len(f.At) != 5 || f.At[0] != 400 || f.At[4] != 1200 || f.Lines[0].Values[0] != -4 || f.Lines[0].Values[4] != 19 {
		t.Errorf("the figure does not rise with the references: %+v", f)
	}

	// A constant bias of 10 N at 900 to 1300 N, by hand in numbers/gauge: the line cannot
	// tell it from none at the reference 0, and the mean of all biases does. The budget
	// counts that mean, and the next study that finds none takes it out.
	biases := []int{8, 12}
	items = nil
	for _, reference := range []int{1300, 900, 1100, 1000, 1200} {
		items = append(items, models.StudyItem{Name: fmt.Sprint("Weight ", reference), Reference: fmt.Sprint(reference)})
	}
	for _, row := range []struct {
		biases []int
		judged string
		lines  string
	}{{biases, studies.Biased, "repeatability 2.23607, bias 10"}, {[]int{-3, 3}, studies.NoBias, "repeatability 3.3541"}} {
		v = l.planned(t, studies.Plan{Design: models.StudyLinearity, Result: "tension_mean_tight", Instrument: "T-1", Persons: one, Items: items, Repeats: 2})
		l.read(t, v, func(turn models.StudyTurn) string {
			reference, err := strconv.Atoi(items[turn.Item].Reference)
			l.Must(err)
			return fmt.Sprint(reference + row.biases[turn.Repeat-1])
		})
		if r = l.evaluated(t, v); r.Judgement != row.judged {
			t.Errorf("biases of %v are judged %s: %+v", row.biases, r.Judgement, r.Linearity.LinearityStudy)
		}
		budget, err := l.Confirm(t.Context(), l.inspector, v.Study.Number, "")
		l.Must(err)
		var lines []string
		for _, line := range budget.Lines {
			if line.Source == models.FromStudy {
				lines = append(lines, line.Name+" "+line.Value)
			}
		}
		if got := strings.Join(lines, ", "); got != row.lines {
			t.Errorf("biases of %v: the budget holds %s, want %s", row.biases, got, row.lines)
		}
	}

	// A reference that drifts by 1 N from check to check, and scatters by less.
	v = l.planned(t, studies.Plan{Design: models.StudyStability, Result: "tension_mean_tight", Instrument: "T-1", Persons: l.persons(), Items: []models.StudyItem{{Name: "Reference wheel"}}, Repeats: 24})
	l.read(t, v, func(turn models.StudyTurn) string { return fmt.Sprint(1000 + turn.Repeat + turn.Repeat%2) })
	r = l.evaluated(t, v)
	if r.Judgement != studies.Unsteady || math.Abs(r.Stability.Drift-1) > 0.05 {
		t.Errorf("judged %s, drift %.3f", r.Judgement, r.Stability.Drift)
	}
}

// A gauge that reads 1000 N in steps of 1 N, week for week: one flicker of its display
// is none of the gauge, three steps at once are.
func TestAFlickerOfTheDisplayMakesNoGaugeUnsteady(t *testing.T) {
	h := worktest.New(t)
	l := newLab(t, h)
	for _, row := range []struct {
		name, shown, want string
	}{
		{"one step", "1001", studies.SteadyToStep},
		{"three steps", "1003", studies.Unsteady},
	} {
		t.Run(row.name, func(t *testing.T) {
			v := l.planned(t, studies.Plan{Design: models.StudyStability, Result: "tension_mean_tight", Instrument: "T-1", Persons: l.persons()[:1], Items: []models.StudyItem{{Name: "Reference wheel"}}, Repeats: 24})
			l.read(t, v, func(turn models.StudyTurn) string {
				if turn.Repeat == 9 {
					return row.shown
				}
				return "1000"
			})
			if r := l.evaluated(t, v); r.Judgement != row.want {
				t.Errorf("%s once, else 1000: judged %s, want %s", row.shown, r.Judgement, row.want)
			}
		})
	}
}

func (l *lab) evaluated(t *testing.T, v studies.View) studies.Result {
	t.Helper()
	v, err := l.Study(t.Context(), v.Study.Number)
	l.Must(err)
	r, err := studies.Evaluate(v)
	l.Must(err)
	return r
}
