package pdf

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"tracewright/reports/pdf/pdftest"
)

func TestDocumentNeedsAPage(t *testing.T) {
	if _, err := New(Meta{}).Bytes(); err == nil {
		t.Error("a document without a page was written")
	}
}

func TestAttachmentsComeBackAsTheyWere(t *testing.T) {
	content := []byte("{\"name\":\"Παπαδόπουλος\",\"n\":1}")
	out := paper(t, func(d *Document) {
		d.Attach(Attachment{Name: "content.json", Description: "the content", Content: content})
		d.Text(20, 20, plainText, "x", Left)
	})
	if got := pdftest.Attachments(t, out); !bytes.Equal(got["content.json"], content) {
		t.Errorf("attached %q, want %q", got, content)
	}
	pdftest.Sound(t, out)
}

func TestSameCallsSameBytes(t *testing.T) {
	draw := func(d *Document) {
		d.Attach(Attachment{Name: "a.json", Content: []byte("{}")})
		for i, s := range []Style{plainText, {SemiBold(), 12, Pass}, {Mono(), 9, Ink2}} {
			d.Text(20, 20+float64(i)*10, s, "The same, every time: µ Ω ω ё", Left)
		}
		d.QR(20, 60, 20, "https://shop.example/c/abc")
	}
	first := paper(t, draw)
	for range 5 {
		if !bytes.Equal(first, paper(t, draw)) {
			t.Fatal("drawn again, the bytes differ")
		}
	}
}

// A page turned back to is printed on with the font and colour asked for, not
// with those in force elsewhere.
func TestTurnBack(t *testing.T) {
	d := New(Meta{Title: "Pages", Made: time.Unix(0, 0)})
	for range 3 {
		d.AddPage()
		d.Text(20, 20, Style{Mono(), 14, Fail}, "body", Left)
	}
	for page := 1; page <= d.Pages(); page++ {
		d.Turn(page)
		d.Text(20, 280, plainText, fmt.Sprintf("page %d of %d", page, d.Pages()), Left)
	}
	out, err := d.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	words, _, _ := pdftest.Words(t, out)
	heights := map[string]float64{}
	for _, w := range words {
		heights[w.Text] = w.Foot - w.Top
	}
	if len(words) != 3*5 || math.Abs(heights["page"]-10*1.3) > 0.1 || math.Abs(heights["body"]-14*1.3) > 0.1 {
		t.Errorf("read back %v", words)
	}
}

func TestQRIsReadBack(t *testing.T) {
	for _, text := range []string{"https://q.harrowmere.example/c/Yk3fP0s9QmWv7xZr2LtN", "W26001728 C26-01250/1 " + strings.Repeat("0123456789abcdef", 4), "12345"} {
		out := paper(t, func(d *Document) { d.QR(20, 20, 24, text) })
		if got := pdftest.QR(t, out, 1); len(got) != 1 || got[0] != text {
			t.Errorf("QR of %q read back as %q", text, got)
		}
	}
}

func TestQRThatCannotBeReadIsAnError(t *testing.T) {
	for name, text := range map[string]string{"modules too small": strings.Repeat("x", 800), "more than any code holds": strings.Repeat("x", 8000)} {
		d := New(Meta{})
		d.AddPage()
		d.QR(20, 20, 20, text)
		if _, err := d.Bytes(); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// Cubic curves stand for arcs; the usual form is off by at most 2.7e-4 of the
// radius for a quarter (Goldapp, Computer Aided Geometric Design 8, 1991).
func TestArcLiesOnItsCircle(t *testing.T) {
	for _, angle := range []float64{0.3, math.Pi / 2, -math.Pi, 2 * math.Pi, 5} {
		arc := vg.PathComp{Type: vg.ArcComp, Pos: vg.Point{X: 7, Y: -3}, Radius: 100, Start: 0.7, Angle: angle}
		at := onCircle(arc.Pos, arc.Radius, arc.Start)
		for _, curve := range arcCurves(arc) {
			for i := range 21 {
				s := float64(i) / 20
				weight := []float64{(1 - s) * (1 - s) * (1 - s), 3 * s * (1 - s) * (1 - s), 3 * s * s * (1 - s), s * s * s}
				x, y := 0.0, 0.0
				for j, p := range []vg.Point{at, curve[0], curve[1], curve[2]} {
					x, y = x+weight[j]*p.X.Points(), y+weight[j]*p.Y.Points()
				}
				if r := math.Hypot(x-7, y+3); math.Abs(r-100) > 0.03 {
					t.Errorf("angle %.2f: radius %.4f, want 100", angle, r)
				}
			}
			at = curve[2]
		}
		if end := onCircle(arc.Pos, arc.Radius, arc.Start+arc.Angle); math.Hypot((at.X-end.X).Points(), (at.Y-end.Y).Points()) > 1e-9 {
			t.Errorf("angle %.2f: ends at %v, want %v", angle, at, end)
		}
	}
}

// A chart of gonum's draws through the canvas; its own text lies where it
// measured it, and saved states come back.
func TestCanvasTakesAChart(t *testing.T) {
	p := plot.New()
	p.Title.Text = "Full reading"
	p.X.Label.Text = "Wheel"
	line, err := plotter.NewLine(plotter.XYs{{X: 0, Y: 0.1}, {X: 5, Y: 0.3}, {X: 10, Y: 0.2}})
	if err != nil {
		t.Fatal(err)
	}
	p.Add(line)
	d := New(Meta{Title: "Chart", Plain: true})
	d.AddPage()
	d.Canvas(20, 20, 160, 90, func(c *Canvas) { p.Draw(draw.New(c)) })
	d.Text(20, 150, plainText, "after the chart", Left)
	out, err := d.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	pdftest.Sound(t, out)
	text := pdftest.Text(t, out)
	for _, want := range []string{"Full reading", "Wheel", "after the chart"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page says %q, want %q", text, want)
		}
	}
	saves, restores := regexp.MustCompile(`(?m)(^|\s)q(\s|$)`), regexp.MustCompile(`(?m)(^|\s)Q(\s|$)`)
	if s, r := len(saves.FindAll(out, -1)), len(restores.FindAll(out, -1)); s == 0 || s != r {
		t.Errorf("%d states saved, %d restored", s, r)
	}
}

func TestCanvasRefuses(t *testing.T) {
	for name, act := range map[string]func(c *Canvas){
		"a picture of dots": func(c *Canvas) { c.DrawImage(vg.Rectangle{}, image.NewGray(image.Rect(0, 0, 1, 1))) },
		"Pop without Push":  func(c *Canvas) { c.Pop() },
	} {
		d := New(Meta{})
		d.AddPage()
		d.Canvas(20, 20, 50, 50, act)
		if _, err := d.Bytes(); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// What is left pushed is popped when the canvas closes, and text after it has
// its own font and colour again.
func TestCanvasClosesWhatIsOpen(t *testing.T) {
	out := paper(t, func(d *Document) {
		d.Text(20, 10, plainText, "before", Left)
		d.Canvas(20, 20, 50, 50, func(c *Canvas) {
			c.Push()
			c.Rotate(math.Pi / 2)
			c.FillString(SemiBold().Face(24), vg.Point{X: 5, Y: -20}, "turned")
			c.Push()
		})
		d.Text(20, 100, plainText, "after", Left)
	})
	pdftest.Sound(t, out)
	words, _, _ := pdftest.Words(t, out)
	for _, w := range words {
		if height := w.Foot - w.Top; (w.Text == "before" || w.Text == "after") && math.Abs(height-13) > 0.1 {
			t.Errorf("%s is %.1f points high, want 13", w, height)
		}
	}
	if len(words) != 3 {
		t.Errorf("read back %v", words)
	}
}

// A letter that a font prints for the first time behind a canvas, where another font
// was in use, is printed like one before it.
func TestLettersBehindACanvasArePrinted(t *testing.T) {
	heading, other := Style{Font: SemiBold(), Size: 12}, func(d *Document) {
		d.Canvas(20, 20, 50, 50, func(c *Canvas) { c.FillString(Sans().Face(9), vg.Point{X: 5, Y: 20}, "9 Oct") })
	}
	behind := paper(t, func(d *Document) {
		d.Text(20, 10, heading, "ab", Left)
		other(d)
		d.Text(20, 100, heading, "BMS", Left)
	})
	ahead := paper(t, func(d *Document) {
		d.Text(20, 10, heading, "ab", Left)
		d.Text(20, 100, heading, "BMS", Left)
		other(d)
	})
	if !bytes.Equal(pdftest.Grey(t, behind, 1), pdftest.Grey(t, ahead, 1)) {
		t.Error("letters behind a canvas look otherwise than before it")
	}
}

func TestTextWidthOfADrawing(t *testing.T) {
	if got, want := TextWidth(Sans().Face(10), "0.24"), font.Points(Sans().Width("0.24", 10)); got != want {
		t.Errorf("TextWidth = %v, want %v", got, want)
	}
}

func TestTableSharesItsDecimalPoints(t *testing.T) {
	table := Table{X: 20, Head: plainText, Body: plainText, Pad: 1, Rule: Line, Columns: []Column{{Title: "Name", Width: 40}, {Title: "Value", Width: 30, Align: Point}, {Title: "Unit", Width: 20}}}
	figures := []string{"0.24", "1078", "651", "7.8", "\u221211.6", "0.005"}
	var rows [][]Cell
	for _, f := range figures {
		rows = append(rows, []Cell{{Text: "row"}, {Text: f}, {Text: "mm"}})
	}
	table.Fit(rows)
	out := paper(t, func(d *Document) {
		table.DrawHead(d, 20)
		y := 20 + table.HeadHeight()
		for _, row := range rows {
			table.DrawRow(d, y, row)
			y += table.RowHeight(row)
		}
	})
	words, _, _ := pdftest.Words(t, out)
	points := map[string]float64{}
	for _, w := range words {
		whole, _, _ := strings.Cut(w.Text, ".")
		points[w.Text] = w.Left + Sans().Width(whole, 10)
	}
	for _, f := range figures {
		if math.Abs(points[f]-points["0.24"]) > 0.1 {
			t.Errorf("%s has its point at %.2f, 0.24 at %.2f", f, points[f], points["0.24"])
		}
	}
}

func TestTableWrapsInsideItsColumns(t *testing.T) {
	table := Table{X: 20, Head: plainText, Body: plainText, Pad: 1, Columns: []Column{{Title: "Name", Width: 30}, {Title: "Long", Width: 40}, {Title: "End", Width: 20}}}
	long := strings.Repeat("lot-SP-0931-", 8) + " and more words than fit"
	row := []Cell{{Text: long}, {Text: long}, {Text: long}}
	table.Fit([][]Cell{row})
	out := paper(t, func(d *Document) {
		table.DrawRow(d, 20, row)
		d.Text(20, 20+table.RowHeight(row)+plainText.Rise(), plainText, "below", Left)
	})
	words, _, _ := pdftest.Words(t, out)
	for i, w := range words {
		for _, other := range words[:i] {
			if w.Overlap(other) > 0.2 {
				t.Errorf("%s lies over %s", w, other)
			}
		}
		if w.Right > (20+90)/MMPerPoint+0.1 {
			t.Errorf("%s reaches beyond the table", w)
		}
	}
}
