package review

import (
	"errors"
	"fmt"
	"strconv"
	"time"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/figure"
	"tracewright/reports/pdf"
)

// The page: A4 upright, in mm.
const (
	left, right = 18.0, 192.0
	width       = right - left
	top, bottom = 18.0, 276.0
	gutter      = 8.0
	column      = (width - gutter) / 2
	mostPages   = 4
)

// ErrContent says that the content makes no review.
var ErrContent = errors.New("content makes no review")

// Options are what stands beside the content.
type Options struct {
	Hash    string
	Edition int
	Made    time.Time // in the shop's zone
}

// sheet is a review being drawn. scale is by how much type and gaps are smaller than
// they would like to be, so that much still stands on four pages.
type sheet struct {
	doc     *pdf.Document
	content models.ReviewContent
	options Options
	words   *words.Catalogue
	scale   float64
	y       float64
	told    map[string]bool // which notes about pictures stand on this page
}

// Draw draws a review.
func Draw(content models.ReviewContent, o Options) ([]byte, error) {
	if content.Form != 1 || content.FirstDay == "" || len(content.Sections) == 0 {
		return nil, fmt.Errorf("review of form %d from %q: %w", content.Form, content.FirstDay, ErrContent)
	}
	var s *sheet
	for _, scale := range []float64{1, 0.9, 0.8} {
		if s = draw(content, o, scale); s.doc.Pages() <= mostPages {
			break
		}
	}
	out, err := s.doc.Bytes()
	if err != nil {
		return nil, fmt.Errorf("review from %s: %w", content.FirstDay, err)
	}
	return out, nil
}

func draw(content models.ReviewContent, o Options, scale float64) *sheet {
	s := &sheet{content: content, options: o, words: words.In("en"), scale: scale, told: map[string]bool{}}
	period := s.words.ReviewPeriod(content)
	s.doc = pdf.New(pdf.Meta{Title: period, Author: content.Shop, Subject: s.words.Asks(models.AskReview), Language: "en", Made: o.Made})
	s.page()
	s.head(period)
	for _, section := range content.Sections {
		s.section(section)
	}
	s.numbers()
	s.feet(period)
	return s
}

// The styles, in their full size.
func (s *sheet) style(f *pdf.Font, size float64) pdf.Style {
	return pdf.Style{Font: f, Size: max(size*s.scale, 8), Color: pdf.Ink}
}
func (s *sheet) body() pdf.Style    { return s.style(pdf.Sans(), 10) }
func (s *sheet) small() pdf.Style   { return s.style(pdf.Sans(), 8.5).In(pdf.Ink2) }
func (s *sheet) bold() pdf.Style    { return s.style(pdf.SemiBold(), 9) }
func (s *sheet) heading() pdf.Style { return s.style(pdf.SemiBold(), 12.5) }

func (s *sheet) page() {
	s.doc.AddPage()
	s.y = top
	clear(s.told) // Whoever looks at a page sees no other.
}

// room begins a new page where so much does not fit any more.
func (s *sheet) room(height float64) {
	if s.y+height > bottom {
		s.page()
	}
}

// lines writes wrapped text and goes below it.
func (s *sheet) lines(x float64, style pdf.Style, text string, wide float64) {
	for _, line := range style.Wrap(text, wide) {
		s.room(style.Leading())
		s.doc.Text(x, s.y+style.Rise(), style, line, pdf.Left)
		s.y += style.Leading()
	}
}

func (s *sheet) head(period string) {
	if s.content.Shop != "" {
		s.lines(left, s.body().In(pdf.Ink2), s.content.Shop, width)
	}
	s.lines(left, s.style(pdf.SemiBold(), 20), period, width)
	s.lines(left, s.small(), s.words.Review("edition", "n", strconv.Itoa(s.options.Edition), "date", s.words.Moment(s.options.Made)), width)
	if s.content.Empty() {
		s.y += 2 * s.scale
		s.lines(left, s.body(), s.words.Review("empty"), width)
	}
	s.y += 3 * s.scale
}

// bullet is the room of the mark before a sentence, in mm.
const bullet = 4.0

func (s *sheet) section(section models.ReviewSection) {
	heading, body := s.heading(), s.body()
	s.room(heading.Leading() + 2*body.Leading() + 5)
	s.doc.Rule(left, s.y, right, s.y, 0.35, pdf.Ink)
	s.y += 2 * s.scale
	s.lines(left, heading, s.words.Asks(section.About), width)
	s.y += 0.8 * s.scale
	for _, sentence := range section.Sentences {
		said := words.Sentence(s.words.Remark(sentence.Remark))
		s.room(float64(len(body.Wrap(said, width-bullet))) * body.Leading()) // A sentence stays on one page.
		s.doc.Box(left+0.6, s.y+body.Rise()-body.Capitals()/2-0.45, 0.9, 0.9, pdf.Ink)
		s.lines(left+bullet, body, said, width-bullet)
		s.y += 0.9 * s.scale
	}
	if section.More > 0 {
		s.lines(left+bullet, s.small(), s.words.Review("more", "count", strconv.Itoa(section.More)), width-bullet)
	}
	s.y += 1.5 * s.scale
	s.plots(section.Plots)
	s.y += 3 * s.scale
}

// plots stand two to a row.
func (s *sheet) plots(plots []models.Plot) {
	for i := 0; i < len(plots); i += 2 {
		row := plots[i:min(i+2, len(plots))]
		high := 0.0
		for _, p := range row {
			high = max(high, s.titleHeight(p)+mm(s.drawn(p).Height()))
		}
		s.room(high + 2)
		for n, p := range row {
			s.plot(p, left+float64(n)*(column+gutter), s.y)
		}
		s.y += high + 3*s.scale
	}
	for _, p := range plots {
		if note := p.Note(); !s.told[note] {
			s.told[note] = true
			s.lines(left, s.small(), s.words.Review(note), width)
		}
	}
}

func mm(points vg.Length) float64 { return float64(points) * pdf.MMPerPoint }

func (s *sheet) title(p models.Plot) []string {
	return s.bold().Wrap(words.Sentence(s.words.Remark(p.Title)), column)
}

func (s *sheet) titleHeight(p models.Plot) float64 {
	return float64(len(s.title(p)))*s.bold().Leading() + 1
}

// drawn is a plot with its words.
func (s *sheet) drawn(p models.Plot) figure.Plot {
	labels := make([]string, len(p.Points))
	for i, pt := range p.Points {
		labels[i] = s.words.PlotLabel(pt.Label)
	}
	return figure.Plot{Plot: p, Labels: labels, Unit: s.words.Unit(p.Unit)}
}

var look = figure.Look{
	Face: func(bold bool, size float64) font.Face {
		if bold {
			return pdf.SemiBold().Face(size)
		}
		return pdf.Sans().Face(size)
	},
	Width: pdf.TextWidth,
	Ink:   pdf.Ink, Ink2: pdf.Ink2, Line: pdf.Line, Band: pdf.Band, SideA: pdf.SideA, SideB: pdf.SideB,
}

func (s *sheet) plot(p models.Plot, x, y float64) {
	y = s.doc.Lines(x, y+s.bold().Rise(), s.bold(), s.title(p)) - s.bold().Rise() + 1
	drawn := s.drawn(p)
	s.doc.Canvas(x, y, column, mm(drawn.Height()), func(c *pdf.Canvas) {
		drawn.Draw(c, vg.Length(column/pdf.MMPerPoint), look)
	})
}

// feet goes back over all pages once their count is known.
func (s *sheet) feet(period string) {
	small := pdf.Style{Font: pdf.Sans(), Size: 8, Color: pdf.Ink2}
	pages := s.doc.Pages()
	for n := 1; n <= pages; n++ {
		s.doc.Turn(n)
		s.doc.Rule(left, bottom+6, right, bottom+6, 0.2, pdf.Line)
		page := s.words.Review("page", "page", strconv.Itoa(n), "pages", strconv.Itoa(pages))
		s.doc.Text(right, bottom+10, small, page, pdf.Right)
		foot := s.words.Review("foot", "shop", s.content.Shop, "period", period)
		s.doc.Text(left, bottom+10, small, small.Wrap(foot, width-small.Width(page)-6)[0], pdf.Left)
	}
}
