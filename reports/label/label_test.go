package label

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf/pdftest"
)

const pointsPerMM = 72 / 25.4

// What a label of some size and symbol may be refused for. Anything else that
// is not drawn is a fault.
var mayRefuse = map[string]func(d drawing) bool{
	"label_symbol_too_small":   func(d drawing) bool { return d.size.Width < 50 || len(d.content.Code) > 20 },
	"label_symbol_cannot_hold": func(d drawing) bool { return d.content.Code == "ΑΚΤ-12" },
	"label_text_too_small":     func(d drawing) bool { return d.size.Width < 40 },
	"label_words_too_small": func(d drawing) bool {
		return (d.content.Charged() || d.content.Kind == models.LabelBox) && d.size.Code == "25x15"
	},
	"label_hub_symbol": func(d drawing) bool { return d.content.Kind == models.LabelHub },
}

// Every symbol of every label is read back by decoders that had no part in
// drawing it; every text is found on its page, which has the size of the label.
func TestEveryLabelIsReadBack(t *testing.T) {
	each(t, func(t *testing.T, d drawing) {
		var refusal *models.RefusedError
		if errors.As(d.err, &refusal) {
			code := refusal.Reasons[0].Code
			if may, known := mayRefuse[code]; !known || !may(d) {
				t.Errorf("refused: %s", words.In("en").Remark(refusal.Reasons[0]))
			}
			return
		}
		if d.err != nil {
			t.Fatal(d.err)
		}
		p, err := layout(d.content, d.size, d.symbol, words.In("en"))
		if err != nil {
			t.Fatal(err)
		}
		var linearAndQR []string
		matrices := 0
		for _, s := range p.symbols {
			switch s.symbol {
			case models.SymbolQR:
				linearAndQR = append(linearAndQR, "QR-Code:"+d.content.Code)
			case models.SymbolCode128:
				linearAndQR = append(linearAndQR, "CODE-128:"+d.content.Code)
			default:
				matrices++
			}
		}
		if len(linearAndQR)+matrices == 0 {
			t.Error("no symbol at all")
		}
		if len(linearAndQR) > 0 {
			got := pdftest.Symbols(t, d.pdf, 1, d.area())
			slices.Sort(got)
			slices.Sort(linearAndQR)
			if !slices.Equal(got, linearAndQR) {
				t.Errorf("read %q, want %q", got, linearAndQR)
			}
		}
		if matrices > 0 {
			if got := pdftest.DataMatrix(t, d.pdf, 1, d.area(), matrices); len(got) != matrices || got[0] != d.content.Code {
				t.Errorf("read %q, want %q", got, d.content.Code)
			}
		}
	})
}

// Pages have their size, nothing leaves its label, nothing lies over anything
// else, quiet zones stay white, modules and figures keep their least size.
func TestEverythingHasItsPlace(t *testing.T) {
	each(t, func(t *testing.T, d drawing) {
		if d.err != nil {
			return
		}
		p, err := layout(d.content, d.size, d.symbol, words.In("en"))
		if err != nil {
			t.Fatal(err)
		}
		found, width, height := pdftest.Words(t, d.pdf)
		wantWidth, wantHeight, left, top := d.size.Width, d.size.Height, 0.0, 0.0
		if d.size.Columns > 0 {
			wantWidth, wantHeight, left, top = 210, 297, d.size.Left, d.size.Top
		}
		if math.Abs(width/pointsPerMM-wantWidth) > 0.01 || math.Abs(height/pointsPerMM-wantHeight) > 0.01 {
			t.Errorf("a page of %.2f by %.2f mm, want %.2f by %.2f", width/pointsPerMM, height/pointsPerMM, wantWidth, wantHeight)
		}
		saysAll(t, d, found)
		label := box{left, top, left + d.size.Width, top + d.size.Height}
		var quiet []box
		for _, s := range p.symbols {
			q := float64(s.quiet) * s.width
			across, down := float64(s.code.Columns())*s.width, float64(len(s.code))*s.height
			b := box{left + s.x - q, top + s.y - q, left + s.x + across + q, top + s.y + down + q}
			if s.symbol == models.SymbolCode128 { // Its quiet zone lies left and right.
				b.top, b.foot = top+s.y, top+s.y+down
			}
			if !label.holds(b) {
				t.Errorf("%s with its quiet zone %+v leaves the label %+v", s.symbol, b, label)
			}
			for _, other := range quiet {
				if b.meets(other) {
					t.Errorf("the symbols %+v and %+v touch", b, other)
				}
			}
			quiet = append(quiet, b)
			if s.width < map[string]float64{models.SymbolQR: 0.4, models.SymbolDataMatrix: 0.3, models.SymbolCode128: 0.25}[s.symbol]-1e-9 {
				t.Errorf("%s has modules of %.3f mm", s.symbol, s.width)
			}
			if wantQuiet := map[string]int{models.SymbolQR: 4, models.SymbolDataMatrix: 1, models.SymbolCode128: 10}[s.symbol]; s.quiet < wantQuiet {
				t.Errorf("%s keeps %d modules white, want %d", s.symbol, s.quiet, wantQuiet)
			}
		}
		for i, w := range found {
			// The box of a word reaches from ascent to descent, 1.3 times the size;
			// capitals are 0.698 of it (the font's own figures).
			size := (w.Foot - w.Top) / 1.3
			ink := box{w.Left / pointsPerMM, (w.Foot - 0.275*size - 0.698*size) / pointsPerMM, w.Right / pointsPerMM, (w.Foot - 0.275*size + 0.2*size) / pointsPerMM}
			if !label.holds(ink) {
				t.Errorf("%s leaves the label", w)
			}
			for _, q := range quiet {
				if q.meets(ink) {
					t.Errorf("%s lies in a quiet zone %+v", w, q)
				}
			}
			if mm := size * 0.698 / pointsPerMM; i == 0 && mm < leastText-0.005 {
				t.Errorf("%s is %.2f mm high", w, mm)
			}
			if size < leastType-0.05 {
				t.Errorf("%s is set in %.2f points", w, size)
			}
			for _, other := range found[:i] {
				if other.Overlap(w) > 0.35*size {
					t.Errorf("%s lies over %s", w, other)
				}
			}
		}
	})
}

// saysAll finds what must stand on a label: its serial or code first, and on
// what holds charge what is known of it and whose data comes first.
func saysAll(t *testing.T, d drawing, found []pdftest.Word) {
	t.Helper()
	texts := make([]string, len(found))
	for i, w := range found {
		texts[i] = w.Text
	}
	title := d.content.Code
	if d.content.Kind == models.LabelItem || d.content.Kind == models.LabelHub {
		title = words.Serial(title)
	}
	if whole := strings.Join(texts, ""); !strings.HasPrefix(whole, title) {
		t.Errorf("the label says %q, want %q first", whole, title)
	}
	var wants []string
	if d.content.Charged() && d.content.Kind == models.LabelItem {
		wants = []string{"Maker’s data first."}
	}
	if d.content.NominalV != "" {
		wants = append(wants, "Lead-acid, glass mat, 48 V nominal.")
	}
	if d.content.Chemistry == "lifepo4" {
		wants = append(wants, "Lithium iron phosphate")
	}
	if d.content.Kind == models.LabelBox {
		wants = append(wants, fmt.Sprintf("Box %d of %d", d.content.Box, d.content.Boxes), "Order "+d.content.Order)
	}
	if d.size.Width > 45 && d.content.Product != "" {
		wants = append(wants, d.content.Product)
	}
	all := strings.Join(texts, " ")
	for _, want := range wants {
		if !strings.Contains(all, want) {
			t.Errorf("the label says %q, want %q in it", all, want)
		}
	}
}

type box struct{ left, top, right, foot float64 }

func (b box) holds(o box) bool {
	const slack = 0.02
	return o.left > b.left-slack && o.top > b.top-slack && o.right < b.right+slack && o.foot < b.foot+slack
}

func (b box) meets(o box) bool {
	const slack = 0.02
	return o.left < b.right-slack && o.right > b.left+slack && o.top < b.foot-slack && o.foot > b.top+slack
}

var (
	colours    = regexp.MustCompile(`(?m)([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b`)
	rectangles = regexp.MustCompile(`([\d.]+) ([\d.]+) re\b`)
)

// Printers of labels know black: symbols are filled rectangles of it, no
// narrower on the page than their least module, and no picture is embedded.
func TestBlackRectanglesOnly(t *testing.T) {
	each(t, func(t *testing.T, d drawing) {
		if d.err != nil {
			return
		}
		if bytes.Contains(d.pdf, []byte("/Subtype /Image")) {
			t.Error("a picture of dots is in the file")
		}
		for _, c := range colours.FindAllSubmatch(d.pdf, -1) {
			if string(c[1]) != "0.000" || string(c[2]) != "0.000" || string(c[3]) != "0.000" {
				t.Errorf("something is drawn in %s", c[0])
			}
		}
		drawn := rectangles.FindAllSubmatch(d.pdf, -1)
		if len(drawn) < 20 {
			t.Errorf("%d rectangles, want those of a symbol", len(drawn))
		}
		for _, r := range drawn {
			// A coordinate is written in hundredths of a point.
			if w, err := strconv.ParseFloat(string(r[1]), 64); err != nil || w/pointsPerMM < 0.25-0.004 {
				t.Errorf("a rectangle %s points wide", r[1])
			}
		}
	})
}

func TestSameContentSameBytes(t *testing.T) {
	job := Job{Labels: []models.LabelContent{contents["pack"]}, Size: models.LabelSizes[1], Made: made}
	first, err := Draw(job)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := Draw(job); err != nil || !bytes.Equal(first, again) {
		t.Errorf("drawn again it differs: %v", err)
	}
	pdftest.Sound(t, first)
	for _, f := range pdftest.Fonts(t, first) {
		if !f.Embedded || !f.Unicode {
			t.Errorf("font %s: embedded %v, readable %v", f.Name, f.Embedded, f.Unicode)
		}
	}
}

// A half-used sheet goes on at its next place, and onto the next sheet.
func TestSheetGoesOnWhereItStopped(t *testing.T) {
	for _, size := range models.LabelSizes {
		per := size.PerSheet()
		if per == 0 {
			continue
		}
		t.Run(size.Code, func(t *testing.T) {
			t.Parallel()
			var labels []models.LabelContent
			for i := range 4 {
				labels = append(labels, models.LabelContent{Kind: models.LabelItem, Code: fmt.Sprintf("W26000%d51", i), Of: models.KindWheel})
			}
			pdf, err := Draw(Job{Labels: labels, Size: size, Place: per - 1, Made: made})
			if err != nil {
				t.Fatal(err)
			}
			words, _, _ := pdftest.Words(t, pdf)
			right, down := size.Left+float64(size.Columns-1)*(size.Width+size.GapX), size.Top+float64(size.Rows-1)*(size.Height+size.GapY)
			for i, want := range []struct {
				page int
				x, y float64
			}{{1, right - size.Width - size.GapX, down}, {1, right, down}, {2, size.Left, size.Top}, {2, size.Left + size.Width + size.GapX, size.Top}} {
				w := words[i]
				x, y := w.Left/pointsPerMM, w.Top/pointsPerMM
				if w.Page != want.page || x < want.x || x > want.x+size.Width || y < want.y-1 || y > want.y+size.Height {
					t.Errorf("label %d stands on page %d at %.1f, %.1f; want page %d in the label at %.1f, %.1f", i+1, w.Page, x, y, want.page, want.x, want.y)
				}
			}
			for page, want := range []int{2, 2} {
				if got := pdftest.Symbols(t, pdf, page+1, pdftest.Area{}); len(got) < want {
					t.Errorf("page %d: %q", page+1, got)
				}
			}
			for _, place := range []int{0, per + 1} {
				if _, err := Draw(Job{Labels: labels, Size: size, Place: place, Made: made}); err == nil {
					t.Errorf("place %d of %d was drawn", place, per)
				}
			}
		})
	}
}

// A sheet's labels and margins lie on A4, margins equal left and right, above
// and below.
func TestSheetsFillA4(t *testing.T) {
	for _, s := range models.LabelSizes {
		if s.PerSheet() == 0 {
			continue
		}
		across := 2*s.Left + float64(s.Columns)*s.Width + float64(s.Columns-1)*s.GapX
		down := 2*s.Top + float64(s.Rows)*s.Height + float64(s.Rows-1)*s.GapY
		if math.Abs(across-210) > 0.01 || math.Abs(down-297) > 0.01 {
			t.Errorf("%s is %.2f by %.2f mm with its margins", s.Code, across, down)
		}
	}
}

// A size too small for a symbol says so, in a sentence that names both.
func TestTooSmallSaysSo(t *testing.T) {
	small, _ := models.LabelSizeOf("25x15")
	_, err := Draw(Job{Labels: []models.LabelContent{contents["wheel"]}, Size: small, Symbol: models.SymbolCode128, Made: made})
	var refusal *models.RefusedError
	if !errors.As(err, &refusal) {
		t.Fatalf("got %v, want a refusal", err)
	}
	// 134 modules of the longest serial with ten white on either side: 154 in
	// the 23 mm between the edges.
	want := "25 × 15 mm is too small for Code 128: its modules would be 0.15 mm, and 0.25 mm is the least that is read with certainty. Take a larger label or another symbol."
	if got := words.In("en").Remark(refusal.Reasons[0]); got != want {
		t.Errorf("says %q, want %q", got, want)
	}
}
