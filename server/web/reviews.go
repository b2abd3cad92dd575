package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/review"
	"tracewright/server/httpx"
)

// reviewRoutes are the pages of what is looked back on.
func (s *site) reviewRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: "/reviews", Act: models.ActLook, Handler: s.reviews},
		{Method: http.MethodPost, Path: "/reviews", Act: models.ActImprove, Handler: s.makeReview},
		{Method: http.MethodGet, Path: "/reviews/:id", Act: models.ActLook, Handler: s.review},
		{Method: http.MethodGet, Path: "/reviews/:id/paper", Act: models.ActLook, Handler: s.reviewPaper},
	}
}

func reviewPath(id string) string { return "/reviews/" + id }

// ReviewsPage lists the weeks and months that were looked back on.
type ReviewsPage struct {
	Frame
	Answer   string
	Rows     []ReviewRow
	Fields   []Field
	Problems Problems
}

// ReviewRow is one that is kept.
type ReviewRow struct {
	Path, Name, Made string
	Edition          int
	Older            bool // a newer edition of the same time is kept
}

func (s *site) reviews(c *gin.Context) error { return s.showReviews(c, http.StatusOK, nil) }

func (s *site) showReviews(c *gin.Context, status int, problem error) error {
	list, err := s.services.Reviews.List(c.Request.Context())
	if err != nil {
		return err
	}
	f := filled(map[string]string{"period": models.ReviewWeek, "day": review.Last(models.ReviewWeek, s.now())})
	if problem != nil {
		f = posted(c, problem)
	}
	return send(c, status, "reviews", s.reviewsPage(s.frame(c, "Review", "/reviews"), list, f))
}

func (s *site) reviewsPage(frame Frame, list []models.Review, f *form) ReviewsPage {
	page := ReviewsPage{Frame: frame, Answer: "No week or month has been looked back on yet"}
	if n := len(list); n > 0 {
		page.Answer = counted(n, "review is kept", "reviews are kept")
	}
	seen := map[[2]string]bool{}
	for _, r := range list {
		key := [2]string{r.Period, r.FirstDay}
		page.Rows = append(page.Rows, ReviewRow{Path: reviewPath(r.ID), Name: english.ReviewPeriod(keptPeriod(r)), Made: s.minute(r.MadeAt), Edition: r.Edition, Older: seen[key]})
		seen[key] = true
	}
	page.Fields = []Field{
		f.field(Field{Name: "period", Label: "Look back on", Kind: "select", Width: "w4", Choices: []Choice{{models.ReviewWeek, "a week"}, {models.ReviewMonth, "a month"}}}),
		f.field(Field{Name: "day", Label: "that holds the day", Kind: "date", Width: "w4"}),
	}
	page.Problems = f.summary()
	return page
}

// keptPeriod is as much of a content as a list has: its time.
func keptPeriod(r models.Review) models.ReviewContent {
	return models.ReviewContent{Period: r.Period, FirstDay: r.FirstDay, LastDay: lastDay(r), Through: lastDay(r)}
}

func lastDay(r models.Review) string {
	first, err := time.Parse(time.DateOnly, r.FirstDay)
	if err != nil {
		return r.FirstDay
	}
	if r.Period == models.ReviewMonth {
		return first.AddDate(0, 1, -1).Format(time.DateOnly)
	}
	return first.AddDate(0, 0, 6).Format(time.DateOnly)
}

func (s *site) makeReview(c *gin.Context) error {
	r, made, err := s.services.Reviews.Make(c.Request.Context(), httpx.Actor(c), c.PostForm("period"), c.PostForm("day"))
	if answerable(err) {
		return s.showReviews(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	done := "reviewed"
	if !made {
		done = "reviewed_same"
	}
	return redirect(c, reviewPath(r.ID), done)
}

// ReviewPage is a review as it was frozen: the same sentences and pictures as on its
// paper.
type ReviewPage struct {
	Frame
	Kicker, Title, Edition string
	Empty                  string // that there is nothing to say, where there is not
	Paper                  string
	Sections               []ReviewPart
	Drawn                  bool // there is a picture
}

// ReviewPart answers one question.
type ReviewPart struct {
	Asks, Path string
	Sentences  []ReviewLine
	More       string
	Plots      []PlotView
}

// ReviewLine is one sentence, and where the picture is that it came from.
type ReviewLine struct{ Text, Path string }

// PlotView is a plot with its table.
type PlotView struct {
	ID, Title, Data, Describe string
	Note                      string
	Columns                   []string
	Rows                      [][]string
	Table                     string // address of the table for spreadsheets
}

func (s *site) review(c *gin.Context) error {
	r, content, err := s.services.Reviews.One(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	if httpx.AsTable(c) {
		return s.reviewTable(c, r, content)
	}
	return show(c, "review", s.reviewPage(s.frame(c, "Review", "/reviews"), r, content))
}

func (s *site) reviewPage(frame Frame, r models.Review, content models.ReviewContent) ReviewPage {
	page := ReviewPage{Frame: frame, Kicker: content.Shop, Title: english.ReviewPeriod(content), Edition: english.Review("edition", "n", strconv.Itoa(r.Edition), "date", s.minute(r.MadeAt)), Paper: reviewPath(r.ID) + "/paper"}
	if content.Empty() {
		page.Empty = english.Review("empty")
	}
	n := 0
	for _, section := range content.Sections {
		part := ReviewPart{Asks: english.Asks(section.About), Path: questionPath(models.Sentence{About: section.About})}
		for _, x := range section.Sentences {
			line := ReviewLine{Text: words.Sentence(english.Remark(x.Remark))}
			if len(x.Query) > 0 {
				line.Path = questionPath(x)
			}
			part.Sentences = append(part.Sentences, line)
		}
		if section.More > 0 {
			part.More = english.Review("more", "count", strconv.Itoa(section.More))
		}
		for _, p := range section.Plots {
			view := plotView(p, fmt.Sprint("plot-", n))
			view.Table = fmt.Sprintf("%s?as=csv&plot=%d", reviewPath(r.ID), n)
			part.Plots = append(part.Plots, view)
			n++
		}
		page.Sections = append(page.Sections, part)
	}
	page.Drawn = n > 0
	return page
}

func (s *site) reviewPaper(c *gin.Context) error {
	pdf, name, err := s.services.Reviews.Paper(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return sendPDF(c, name, pdf)
}

// reviewTable gives the numbers behind one picture.
func (s *site) reviewTable(c *gin.Context, r models.Review, content models.ReviewContent) error {
	which, err := strconv.Atoi(c.DefaultQuery("plot", "0"))
	if err != nil {
		return models.Invalid("plot", "unknown_choice", "typed", models.Shortened(c.Query("plot")))
	}
	for _, section := range content.Sections {
		if which >= 0 && which < len(section.Plots) {
			t := plotTable(section.Plots[which])
			t.Name = fmt.Sprintf("review %s %s %d", r.Period, r.FirstDay, r.Edition)
			return httpx.SendTable(c, t)
		}
		which -= len(section.Plots)
	}
	return fmt.Errorf("picture %s of a review: %w", c.Query("plot"), models.ErrNotFound)
}

// plotData is what plot.js draws.
type plotData struct {
	Shape    string             `json:"shape"`
	Unit     string             `json:"unit"`
	Decimals int                `json:"decimals"`
	Zero     bool               `json:"zero"`
	Labels   []string           `json:"labels"`
	Long     []string           `json:"long"` // labels as they are read out
	Points   []models.PlotPoint `json:"points"`
	Words    map[string]string  `json:"words"`
}

// plotView is a plot as a page draws it, with its table.
func plotView(p models.Plot, id string) PlotView {
	view := PlotView{ID: id, Title: words.Sentence(english.Remark(p.Title)), Note: english.Review(p.Note())}
	data := plotData{Shape: p.Shape, Unit: words.Unit(p.Unit), Decimals: p.Decimals, Zero: p.Zero, Points: p.Points,
		Words: map[string]string{"expected": english.Review("column_centre"), "low": english.Review("column_low"), "high": english.Review("column_high"), "signal": english.Review("signal"), "to": english.Review("column_to"), "of": "of", "none": "nothing read"}}
	signals := 0
	for _, pt := range p.Points {
		data.Labels = append(data.Labels, english.PlotLabel(pt.Label))
		data.Long = append(data.Long, words.Sentence(english.Remark(pt.Label)))
		if pt.Signal {
			signals++
		}
	}
	one, many := "beyond its limits", "beyond their limits"
	if p.Note() == "intervals" {
		one, many = "beyond what was expected", "beyond what was expected"
	}
	view.Describe = fmt.Sprintf("%s: %s; %s. Arrow keys read them one by one; the table below has them all.", view.Title, plural(len(p.Points), "place", "places"), plural(signals, one, many))
	// Numbers and text cannot fail to encode.
	raw, _ := json.Marshal(data)
	view.Data = string(raw)
	t := plotTable(p)
	for _, column := range t.Columns {
		heading := column.Name
		if column.Unit != "" {
			heading += ", " + column.Unit
		}
		view.Columns = append(view.Columns, heading)
	}
	view.Rows = t.Rows
	return view
}

// plotTable is a plot as a table: the same that its picture shows.
func plotTable(p models.Plot) httpx.Table {
	unit := words.Unit(p.Unit)
	t := httpx.Table{Columns: []httpx.TableColumn{{Name: english.Review("column_what")}, {Name: english.Review("column_k"), Number: true}, {Name: english.Review("column_n"), Number: true}, {Name: english.Review("column_value"), Unit: unit, Number: true}}}
	bars, intervals := p.Shape == models.PlotBars, p.Note() == "intervals"
	number := func(v *float64, decimals int) string {
		if v == nil {
			return ""
		}
		return words.Number(strconv.FormatFloat(*v, 'f', decimals, 64))
	}
	more := []string{"column_centre", "column_low", "column_high"}
	switch {
	case bars:
		more = []string{"column_from", "column_to"}
	case intervals:
		more = []string{"column_from", "column_to", "column_centre"}
	}
	for _, code := range more {
		t.Columns = append(t.Columns, httpx.TableColumn{Name: words.Sentence(english.Review(code)), Unit: unit, Number: true})
	}
	if !bars {
		t.Columns = append(t.Columns, httpx.TableColumn{Name: english.Review("column_signal")})
	}
	for _, pt := range p.Points {
		row := []string{words.Sentence(english.Remark(pt.Label)), "", "", number(pt.Value, p.Decimals)}
		if pt.K+pt.N > 0 {
			row[1] = strconv.Itoa(pt.K)
		}
		if pt.N > 0 {
			row[2] = strconv.Itoa(pt.N)
		}
		if bars {
			row = append(row, number(pt.Low, max(p.Decimals, 1)), number(pt.High, max(p.Decimals, 1)))
		} else {
			beyond := ""
			if pt.Signal {
				beyond = english.Review("signal")
			}
			shown := []*float64{pt.Centre, pt.Lower, pt.Upper}
			if intervals {
				shown = []*float64{pt.Low, pt.High, pt.Centre}
			}
			for _, v := range shown {
				row = append(row, number(v, p.Decimals))
			}
			row = append(row, beyond)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}
