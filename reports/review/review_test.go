package review

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf/pdftest"
)

var made = time.Date(2031, 5, 19, 7, 40, 0, 0, time.UTC)

func said(about, code string, values ...string) models.Sentence {
	return models.Sentence{Remark: models.NewRemark(code, values...), About: about}
}

func ptr(v float64) *float64 { return &v }

// weeks is a plot of yield: the third week was not worked in, the last is a signal.
func weeks() models.Plot {
	p := models.Plot{Shape: models.PlotDots, Title: models.NewRemark("plot_yield_wheel"), Unit: "%", Decimals: 1}
	for i, k := range []int{30, 33, 0, 35, 31, 36, 29, 33, 34, 30, 31, 35, 19} {
		pt := models.PlotPoint{Label: models.NewRemark("label_week", "date", made.AddDate(0, 0, 7*(i-13)).Format(time.DateOnly)), K: k, N: 40}
		if i == 2 {
			pt.N = 0
		} else {
			pt.Value, pt.Centre, pt.Lower, pt.Upper = ptr(float64(k)/40*100), ptr(78.5), ptr(65), ptr(90)
		}
		pt.Signal = i == 12
		p.Points = append(p.Points, pt)
	}
	return p
}

func bars() models.Plot {
	p := models.Plot{Shape: models.PlotBars, Title: models.NewRemark("plot_failed_wheel"), Zero: true}
	for i, code := range []string{"lateral_tir", "radial_tir", "dish_abs", "tension_mean_tight"} {
		v := float64(14 - 4*i)
		p.Points = append(p.Points, models.PlotPoint{Label: models.NewRemark("label_result", "result", code), Value: ptr(v), Low: ptr(v * 0.5), High: ptr(v * 1.7), K: int(v)})
	}
	return p
}

// returned is what came back of three months: the newest is of too few for a share.
func returned() models.Plot {
	p := models.Plot{Shape: models.PlotDots, Title: models.NewRemark("plot_returns", "name", "Quillet rear wheels"), Unit: "%", Decimals: 1, Zero: true}
	month := func(m string, k, n int) *models.PlotPoint {
		p.Points = append(p.Points, models.PlotPoint{Label: models.NewRemark("label_month", "month", m), K: k, N: n})
		return &p.Points[len(p.Points)-1]
	}
	first := month("2031-02", 1, 40)
	first.Value, first.Low, first.High, first.Centre = ptr(2.5), ptr(0.1), ptr(13.2), ptr(3.1)
	second := month("2031-03", 7, 44)
	second.Value, second.Low, second.High, second.Centre, second.Signal = ptr(15.9), ptr(6.6), ptr(30.1), ptr(2.8), true
	month("2031-04", 0, 3)
	return p
}

// chart is a small control chart of 60 points.
func chart(place string) models.Plot {
	p := models.Plot{Shape: models.PlotDots, Title: models.NewRemark("plot_chart_at", "result", "lateral_tir", "family", "Hub motor wheels for cargo trikes, 559 and 622, all colours", "place", place), Unit: "mm", Decimals: 2}
	for i := range 60 {
		v := 0.18 + 0.01*float64(i%7)
		if i > 50 {
			v += 0.1
		}
		p.Points = append(p.Points, models.PlotPoint{Label: models.NewRemark("label_day", "date", made.AddDate(0, 0, i-60).Format(time.DateOnly)), Value: ptr(v), Centre: ptr(0.21), Lower: ptr(0.12), Upper: ptr(0.3), Signal: v > 0.3})
	}
	return p
}

func contents() map[string]models.ReviewContent {
	week := models.ReviewContent{Form: 1, Shop: "Harbour Wheelworks", Period: models.ReviewWeek, FirstDay: "2031-05-12", LastDay: "2031-05-18", Through: "2031-05-18"}
	nothing, busy, long := week, week, week
	for _, about := range models.Questions[:7] {
		nothing.Sections = append(nothing.Sections, models.ReviewSection{About: about, Sentences: []models.Sentence{said(about, "review_nothing")}})
	}
	passed := said(models.AskFailures, "failures_yield", "kinds", "wheel", "k", "19", "n", "40", "share", "47.5", "low", "31.5", "high", "63.9")
	busy.Sections = slices.Clone(nothing.Sections)
	busy.Sections[0].Sentences = []models.Sentence{said(models.AskAttention, "attention_recall", "recall", "R31-00003", "about", "SP-0931", "k", "5", "n", "12"), said(models.AskAttention, "attention_hold_long", "count", "4", "k", "2", "days", "14")}
	busy.Sections[1] = models.ReviewSection{About: models.AskCharts, Sentences: []models.Sentence{said(models.AskCharts, "attention_signal_at", "result", "lateral_tir", "place", "stand 2")}, Plots: []models.Plot{chart("stand 2")}, More: 3}
	busy.Sections[3] = models.ReviewSection{About: models.AskFailures, Sentences: []models.Sentence{passed, said(models.AskFailures, "failures_most", "first_fault", "W01", "kinds", "wheel", "k", "14", "n", "40", "share", "35.0", "low", "22.1", "high", "50.5"), said(models.AskFailures, "review_out", "count", "31", "more", "8")}, Plots: []models.Plot{weeks(), bars()}}
	busy.Sections[6].Sentences = []models.Sentence{said(models.AskReturns, "review_claims_many", "count", "2")}
	busy.Sections[6].Plots = []models.Plot{returned()}
	// As much as ever stands in one: eight long sentences a section, ten plots.
	long.Shop = "Wheelworks and Battery Assembly Cooperative of the Upper Harbour and the Islands Beyond, Limited"
	long.Period, long.FirstDay, long.LastDay, long.Through = models.ReviewMonth, "2031-05-01", "2031-05-31", "2031-05-19"
	for i, about := range models.Questions[:7] {
		section := models.ReviewSection{About: about, More: 5}
		for range 8 {
			section.Sentences = append(section.Sentences, passed)
		}
		if i == 1 {
			section.Plots = []models.Plot{chart("the truing stand by the door, second from the left"), chart("stand 2"), chart("stand 3"), chart("stand 4")}
		}
		if i == 3 {
			section.Plots = []models.Plot{weeks(), weeks(), bars()}
		}
		if i == 6 {
			section.Plots = []models.Plot{bars(), weeks(), bars()}
		}
		long.Sections = append(long.Sections, section)
	}
	return map[string]models.ReviewContent{"nothing": nothing, "busy": busy, "long": long}
}

func drawn(t *testing.T, name string) []byte {
	t.Helper()
	pdf, err := Draw(contents()[name], Options{Hash: "00", Edition: 2, Made: made})
	if err != nil {
		t.Fatal(err)
	}
	// Pictures to look at, where a folder is named.
	if folder := os.Getenv("TRACEWRIGHT_PAPERS"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, "review "+name+".pdf"), pdf, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return pdf
}

// Every sentence of the content stands on the paper, each number in it too.
func TestEverySentenceStandsOnThePaper(t *testing.T) {
	for _, name := range slices.Sorted(maps.Keys(contents())) {
		t.Run(name, func(t *testing.T) {
			text := flat(pdftest.Text(t, drawn(t, name)))
			sentences := 0
			for _, section := range contents()[name].Sections {
				if !strings.Contains(text, flat(words.In("en").Asks(section.About))) {
					t.Errorf("the question %s does not stand there", section.About)
				}
				for _, s := range section.Sentences {
					sentences++
					if want := flat(words.Sentence(words.In("en").Remark(s.Remark))); !strings.Contains(text, want) {
						t.Errorf("%q does not stand there", want)
					}
				}
				if section.More > 0 && !strings.Contains(text, flat(fmt.Sprintf("And %d more", section.More))) {
					t.Errorf("it does not say that %d found no room", section.More)
				}
			}
			if sentences < 7 {
				t.Errorf("only %d sentences were looked for", sentences)
			}
		})
	}
}

// flat takes out what lines and spaces that do not break add.
func flat(text string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(text, "\u00a0", " ")), "")
}

// Of a time that brought nothing one page says so, once for all questions and beside each.
func TestATimeThatBroughtNothing(t *testing.T) {
	want := flat(words.In("en").Review("empty"))
	for name, empty := range map[string]bool{"nothing": true, "busy": false} {
		if text := flat(pdftest.Text(t, drawn(t, name))); strings.Contains(text, want) != empty {
			t.Errorf("%s says that it brought nothing: %v, want %v", name, !empty, empty)
		}
	}
}

// What pictures mean stands on each page that has some: whoever looks at the third page
// does not see the first.
func TestPicturesAreToldOnTheirPage(t *testing.T) {
	title, pages := flat(words.Sentence(words.In("en").Remark(weeks().Title))), 0
	for n, text := range pdftest.PageTexts(t, drawn(t, "long")) {
		text = flat(text)
		before, _, _ := strings.Cut(text, flat(words.In("en").Review("behind"))) // The numbers have the same titles.
		if !strings.Contains(before, title) {
			continue
		}
		pages++
		for _, note := range []string{"limits", "bars"} {
			if !strings.Contains(text, flat(words.In("en").Review(note))) {
				t.Errorf("page %d does not say %q", n+1, note)
			}
		}
	}
	if pages < 2 {
		t.Errorf("pictures of yields on %d pages: the test says nothing", pages)
	}
}

// Dots with an interval each are told as such, and their table has what is drawn: they
// have no limits, and their line is not that of a chart.
func TestDotsWithIntervals(t *testing.T) {
	content := contents()["busy"]
	for i := range content.Sections[:6] {
		content.Sections[i].Plots = nil
	}
	paper, err := Draw(content, Options{Hash: "00", Edition: 2, Made: made})
	if err != nil {
		t.Fatal(err)
	}
	text := flat(pdftest.Text(t, paper))
	for _, want := range []string{"Dots are what came back", "upright lines their 95 % intervals", "expected at that age"} {
		if !strings.Contains(text, flat(want)) {
			t.Errorf("it does not say %q", want)
		}
	}
	for _, not := range []string{"dashed", "Limit below"} {
		if strings.Contains(text, flat(not)) {
			t.Errorf("it says %q", not)
		}
	}
	lines := pdftest.Lines(t, paper)
	for _, want := range []string{"Where k n Value, % From to Expected Beyond", "February 2031 1 40 2.5 0.1 13.2 3.1", "March 2031 7 44 15.9 6.6 30.1 2.8 beyond", "April 2031 0 3"} {
		if !slices.Contains(lines, want) {
			t.Errorf("no line %q in:\n%s", want, strings.Join(lines, "\n"))
		}
	}
}

func TestFourPagesAtMost(t *testing.T) {
	for name, want := range map[string][2]int{"nothing": {1, 1}, "busy": {2, 3}, "long": {3, 4}} {
		if pages := bytes.Count(drawn(t, name), []byte("/Type /Page\n")); pages < want[0] || pages > want[1] {
			t.Errorf("%s has %d pages, want %d to %d", name, pages, want[0], want[1])
		}
	}
}

func TestNoTwoWordsOverlapAndNoneLeavesThePage(t *testing.T) {
	for _, name := range slices.Sorted(maps.Keys(contents())) {
		t.Run(name, func(t *testing.T) {
			found, wide, high := pdftest.Words(t, drawn(t, name))
			const touch = 0.4 // points that boxes may share: they are wider than the ink
			for i, w := range found {
				if w.Left < 40 || w.Right > wide-40 || w.Top < 20 || w.Foot > high-10 {
					t.Errorf("%s leaves the page of %.0f by %.0f points", w, wide, high)
				}
				for _, other := range found[:i] {
					if w.Overlap(other) > touch {
						t.Errorf("%s lies over %s", w, other)
					}
				}
			}
		})
	}
}

func TestTheSameContentIsTheSamePaper(t *testing.T) {
	if a, b := drawn(t, "busy"), drawn(t, "busy"); !bytes.Equal(a, b) {
		t.Error("drawn twice it is two papers")
	}
}

// In the tables behind the pictures the headings of figures and of words beside them
// stand as far apart as columns do: 12 points at least.
func TestHeadingsOfTablesStandApart(t *testing.T) {
	found, _, _ := pdftest.Words(t, drawn(t, "busy"))
	above := 0
	for _, w := range found {
		for _, beside := range found {
			if w.Text != "above" || beside.Text != "Beyond" || beside.Page != w.Page || beside.Top != w.Top {
				continue
			}
			above++
			if gap := beside.Left - w.Right; gap < 12 {
				t.Errorf("%s and %s are %.1f points apart", w, beside, gap)
			}
		}
	}
	if above == 0 {
		t.Error("no table has the two headings")
	}
}

// All of it is lines and text: no picture of dots.
func TestPicturesAreLines(t *testing.T) {
	if pdf := drawn(t, "busy"); bytes.Contains(pdf, []byte("/Subtype /Image")) {
		t.Error("there is a picture of dots")
	}
}

func TestWhatIsNoReviewIsRefused(t *testing.T) {
	for name, c := range map[string]models.ReviewContent{"nothing at all": {}, "another form": {Form: 2, FirstDay: "2031-05-12", Sections: contents()["nothing"].Sections}, "no section": {Form: 1, FirstDay: "2031-05-12"}} {
		if _, err := Draw(c, Options{}); !errors.Is(err, ErrContent) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
