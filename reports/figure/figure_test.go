package figure

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// sketch is a canvas that remembers what was drawn, in the coordinates of the
// whole figure.
type sketch struct {
	turned  bool // quarter to the left
	origin  vg.Point
	color   color.Color
	width   vg.Length
	saved   []sketch
	marks   *[]mark
	letters *[]letters
}

// mark is a path that was drawn, as its corners.
type mark struct {
	filled bool
	color  color.Color
	points []vg.Point
}

// letters is a text that was drawn, as its box.
type letters struct {
	text                     string
	left, bottom, right, top vg.Length
}

func newSketch() *sketch { return &sketch{marks: &[]mark{}, letters: &[]letters{}} }

func (s *sketch) at(p vg.Point) vg.Point {
	if s.turned {
		return vg.Point{X: s.origin.X - p.Y, Y: s.origin.Y + p.X}
	}
	return vg.Point{X: s.origin.X + p.X, Y: s.origin.Y + p.Y}
}

func (s *sketch) SetLineWidth(w vg.Length)            { s.width = w }
func (s *sketch) SetLineDash([]vg.Length, vg.Length)  {}
func (s *sketch) SetColor(c color.Color)              { s.color = c }
func (s *sketch) Rotate(float64)                      { s.turned = true }
func (s *sketch) Translate(p vg.Point)                { s.origin = s.at(p) }
func (s *sketch) Scale(float64, float64)              { panic("no figure scales") }
func (s *sketch) Push()                               { s.saved = append(s.saved, *s) }
func (s *sketch) DrawImage(vg.Rectangle, image.Image) { panic("no figure holds pictures") }
func (s *sketch) Stroke(p vg.Path)                    { s.draw(p, false) }
func (s *sketch) Fill(p vg.Path)                      { s.draw(p, true) }
func (s *sketch) Pop()                                { saved := s.saved; *s = saved[len(saved)-1]; s.saved = saved[:len(saved)-1] }
func width(f font.Face, text string) vg.Length {
	return f.Font.Size * vg.Length(0.6*float64(len([]rune(text))))
}
func face(bold bool, size float64) font.Face {
	return font.Face{Font: font.Font{Size: font.Points(size)}}
}

func (s *sketch) draw(p vg.Path, filled bool) {
	m := mark{filled: filled, color: s.color}
	for _, part := range p {
		switch part.Type {
		case vg.CloseComp:
		case vg.ArcComp:
			for _, d := range []vg.Point{{X: part.Radius}, {X: -part.Radius}, {Y: part.Radius}, {Y: -part.Radius}} {
				m.points = append(m.points, s.at(part.Pos.Add(d)))
			}
		default:
			m.points = append(m.points, s.at(part.Pos))
		}
	}
	*s.marks = append(*s.marks, m)
}

func (s *sketch) FillString(f font.Face, p vg.Point, text string) {
	size := f.Font.Size
	a, b := s.at(vg.Point{X: p.X, Y: p.Y - size*0.22}), s.at(vg.Point{X: p.X + width(f, text), Y: p.Y + size*0.8})
	*s.letters = append(*s.letters, letters{text, min(a.X, b.X), min(a.Y, b.Y), max(a.X, b.X), max(a.Y, b.Y)})
}

var (
	blue, brown = color.RGBA{0, 0, 200, 255}, color.RGBA{150, 100, 0, 255}
	look        = Look{Face: face, Width: width, Ink: color.Black, Ink2: color.Gray{80}, Line: color.Gray{200}, Band: color.Gray{240}, SideA: blue, SideB: brown}
)

const page = vg.Length(482)

// check holds for every figure: nothing outside its rectangle, no texts over
// one another, no coordinate that is not a number.
func (s *sketch) check(t *testing.T, height vg.Length) {
	t.Helper()
	inside := func(p vg.Point) bool {
		return p.X >= -0.01 && p.X <= page+0.01 && p.Y >= -0.01 && p.Y <= height+0.01 && !math.IsNaN(float64(p.X+p.Y))
	}
	for _, m := range *s.marks {
		for _, p := range m.points {
			if !inside(p) {
				t.Errorf("a line reaches %v, outside %v by %v", p, page, height)
				return
			}
		}
	}
	for i, a := range *s.letters {
		if !inside(vg.Point{X: a.left, Y: a.bottom}) || !inside(vg.Point{X: a.right, Y: a.top}) {
			t.Errorf("%q at %.1f,%.1f to %.1f,%.1f is outside %v by %v", a.text, a.left, a.bottom, a.right, a.top, page, height)
		}
		for _, b := range (*s.letters)[:i] {
			x, y := min(a.right, b.right)-max(a.left, b.left), min(a.top, b.top)-max(a.bottom, b.bottom)
			if x > 0.5 && y > 0.5 {
				t.Errorf("%q lies over %q", a.text, b.text)
			}
		}
	}
	if len(*s.marks) == 0 || len(*s.letters) == 0 {
		t.Error("nothing was drawn")
	}
}

// count counts marks of a colour that were filled, or not.
func (s *sketch) count(c color.Color, filled bool) int {
	n := 0
	for _, m := range *s.marks {
		if m.color == c && m.filled == filled {
			n++
		}
	}
	return n
}

func runOut(holes int) *RunOut {
	r := &RunOut{Heading: Heading{Name: []string{"Lateral run-out"}, Lines: []string{"0.24 of 0.30 mm", "mm; line: mean"}}, Limit: 0.3, Line: 0.02}
	for j := range holes {
		v := 0.02 + 0.12*math.Cos(float64(j)/3)
		r.Readings = append(r.Readings, Reading{Place: j, Value: v, Text: fmt.Sprintf("%+.2f", v)})
	}
	return r
}

func tension(holes int, form string) *Tension {
	t := &Tension{A: Side{Heading: Heading{Name: []string{"Tension"}, Lines: []string{"side A, N", "mean 1080"}}, Mean: 1080, Allowed: 0.15}, B: Side{Heading: Heading{Lines: []string{"side B, N", "mean 720"}}, Mean: 720, Allowed: 0.15}}
	for j := range holes {
		side, v := &t.A, 1080+60*math.Sin(float64(j))
		if j%2 == 1 {
			side, v = &t.B, 720+40*math.Sin(float64(j))
		}
		side.Readings = append(side.Readings, Reading{Place: j, Value: v, Text: fmt.Sprintf(form, v)})
	}
	return t
}

func drawWheel(w Wheel) (*sketch, vg.Length) {
	s := newSketch()
	w.Draw(s, page, look)
	return s, w.Height(page, look)
}

func TestWheelsOfEverySizeStayInsideAndApart(t *testing.T) {
	for holes := 12; holes <= 72; holes += 2 {
		for _, form := range []string{"%.0f", "%.1f", "%.3f"} {
			t.Run(fmt.Sprintf("%d holes, tension as %s", holes, form), func(t *testing.T) {
				s, height := drawWheel(Wheel{Holes: holes, Lateral: runOut(holes), Radial: runOut(holes), Tension: tension(holes, form), Spoke: "Spoke"})
				s.check(t, height)
			})
		}
	}
}

func TestEveryReadingIsDrawnOnceOnItsSide(t *testing.T) {
	s, _ := drawWheel(Wheel{Holes: 36, Lateral: runOut(36), Spoke: "Spoke"})
	// Side A: a filled dot for each of 18 spokes. Side B: a square's outline and a
	// stem each.
	if a, b := s.count(blue, true), s.count(brown, false); a != 18 || b != 2*18 {
		t.Errorf("%d dots of side A and %d lines of side B, want 18 and 36", a, b)
	}
}

func TestExtremesDrawTwoPointsOnly(t *testing.T) {
	w := Wheel{Holes: 36, Spoke: "Spoke", Lateral: &RunOut{Limit: 0.3, Line: 0.13, Readings: []Reading{{4, 0.25, "+0.25", "spoke 5"}, {18, 0.01, "+0.01", "spoke 19"}}}}
	s, height := drawWheel(w)
	s.check(t, height)
	if n := s.count(blue, true) + s.count(brown, true); n != 2 {
		t.Errorf("%d points, want 2", n)
	}
	for _, want := range []string{"+0.25, spoke 5", "+0.01, spoke 19"} {
		if !s.says(want) {
			t.Errorf("%q does not stand there", want)
		}
	}
}

func (s *sketch) says(text string) bool {
	for _, l := range *s.letters {
		if strings.Contains(l.text, text) {
			return true
		}
	}
	return false
}

func TestSampleDrawsOnlyTheSpokesRead(t *testing.T) {
	w := Wheel{Holes: 36, Spoke: "Spoke", Tension: &Tension{
		A: Side{Mean: 1080, Readings: []Reading{{0, 1093, "1093", "spoke 1"}, {12, 1071, "1071", "spoke 13"}, {24, 1073, "1073", "spoke 25"}}},
		B: Side{Mean: 703, Readings: []Reading{{7, 678, "678", "spoke 8"}}}}}
	s, height := drawWheel(w)
	s.check(t, height)
	if n := s.count(blue, true); n != 3 {
		t.Errorf("%d bars of side A, want 3", n)
	}
	if !s.says("spoke 8") {
		t.Error("the spoke of side B is not named")
	}
}

// The band's two lines lie the limit apart about the middle of highest and
// lowest, so both points are inside it exactly when the full reading is
// within the limit; equal to it is within.
func TestBandHoldsThePointsExactlyWithinTheLimit(t *testing.T) {
	for _, c := range []struct {
		name   string
		high   float64
		within bool
	}{{"below the limit", 0.29, true}, {"equal to the limit", 0.30, true}, {"above the limit", 0.31, false}} {
		t.Run(c.name, func(t *testing.T) {
			s, height := drawWheel(Wheel{Holes: 36, Lateral: &RunOut{Limit: 0.3, Readings: []Reading{{0, c.high, "a", ""}, {2, 0, "b", ""}}}})
			s.check(t, height)
			var band, dots []vg.Length
			for _, m := range *s.marks {
				switch {
				case m.color == color.Gray{240}:
					band = append(band, m.points[0].Y, m.points[2].Y)
				case m.color == color.Color(blue) && m.filled:
					dots = append(dots, m.points[0].Y)
				}
			}
			if len(band) != 2 || len(dots) != 2 {
				t.Fatalf("band %v, points %v", band, dots)
			}
			inside := max(dots[0], dots[1]) <= band[1]+1e-6 && min(dots[0], dots[1]) >= band[0]-1e-6
			if inside != c.within {
				t.Errorf("points at %v, band from %v to %v", dots, band[0], band[1])
			}
		})
	}
}

// Both sides have one scale: the bars' heights are in the ratio of tensions.
func TestTensionHasOneScale(t *testing.T) {
	s, _ := drawWheel(Wheel{Holes: 36, Tension: &Tension{A: Side{Mean: 1000, Readings: []Reading{{0, 1000, "1000", ""}}}, B: Side{Mean: 500, Readings: []Reading{{1, 500, "500", ""}}}}})
	var up, down vg.Length
	for _, m := range *s.marks {
		if m.color == color.Color(blue) && m.filled {
			up = m.points[2].Y - m.points[0].Y
		}
		if m.color == color.Color(brown) && len(m.points) == 4 {
			down = m.points[2].Y - m.points[0].Y
		}
	}
	if math.Abs(float64(up/down)-2) > 1e-9 {
		t.Errorf("bars %v up and %v down, want twice as much", up, down)
	}
}

func TestOddReadingsAreDrawnWithoutHarm(t *testing.T) {
	for name, w := range map[string]Wheel{
		"nothing read":         {Holes: 36, Lateral: &RunOut{}, Tension: &Tension{}, Spoke: "Spoke"},
		"all the same":         {Holes: 36, Lateral: &RunOut{Readings: []Reading{{0, 0.1, "0.10", ""}, {2, 0.1, "0.10", ""}}, Line: 0.1}, Spoke: "Spoke"},
		"a slack spoke":        {Holes: 36, Tension: &Tension{A: Side{Readings: []Reading{{0, 0, "0", ""}, {2, 900, "900", ""}}, Mean: 450}}, Spoke: "Spoke"},
		"no tension at all":    {Holes: 36, Tension: &Tension{A: Side{Readings: []Reading{{0, 0, "0", ""}}}}, Spoke: "Spoke"},
		"one side only":        {Holes: 36, Tension: &Tension{B: Side{Readings: []Reading{{1, 700, "700", ""}}, Mean: 700}}, Spoke: "Spoke"},
		"neighbours sampled":   {Holes: 72, Tension: &Tension{A: Side{Readings: []Reading{{0, 1000, "1000", "spoke 1"}, {2, 990, "990", "spoke 3"}}, Mean: 995}}, Spoke: "Spoke"},
		"a wheel without hole": {Spoke: "Spoke"},
	} {
		t.Run(name, func(t *testing.T) {
			s := newSketch()
			w.Draw(s, page, look)
			for _, m := range *s.marks {
				for _, p := range m.points {
					if math.IsNaN(float64(p.X+p.Y)) || math.IsInf(float64(p.X+p.Y), 0) {
						t.Fatalf("a line reaches %v", p)
					}
				}
			}
			if h := w.Height(page, look); h < 0 || math.IsNaN(float64(h)) || math.IsInf(float64(h), 0) {
				t.Errorf("height %v", h)
			}
		})
	}
}

func TestStringsOfEverySizeStayInsideAndApart(t *testing.T) {
	for blocks := 1; blocks <= 20; blocks++ {
		for _, form := range []string{"%.2f", "%.4f"} {
			t.Run(fmt.Sprintf("%d blocks as %s", blocks, form), func(t *testing.T) {
				strip := func() *Strip {
					s := &Strip{Heading: Heading{Name: []string{"Voltage"}, Lines: []string{"V; line: middle", "AC, 1 kHz", "0.04 of 0.10 V"}}, Middle: 12.9, Reach: 0.03, Limit: 0.1, Centre: 12.905}
					for place := range blocks {
						v := 12.9 + 0.03*math.Sin(float64(place))
						s.Readings = append(s.Readings, Reading{Place: place, Value: v, Text: fmt.Sprintf(form, v)})
					}
					return s
				}
				f := String{Name: "String 1", Blocks: blocks, Voltage: strip(), Resistance: strip()}
				s := newSketch()
				f.Draw(s, page, look)
				s.check(t, f.Height(page, look))
				if dots := s.count(blue, true); dots != blocks {
					t.Errorf("%d voltages drawn, want %d", dots, blocks)
				}
			})
		}
	}
}

// Blocks stand in their real order, minus left of the first, plus right of the
// last.
func TestStringRunsFromMinusToPlus(t *testing.T) {
	f := String{Blocks: 4}
	s := newSketch()
	f.Draw(s, page, look)
	x := map[string]vg.Length{}
	for _, l := range *s.letters {
		x[l.text] = l.left
	}
	if !(x["\u2212"] < x["1"] && x["1"] < x["2"] && x["2"] < x["3"] && x["3"] < x["4"] && x["4"] < x["+"]) {
		t.Errorf("order along the page: %v", x)
	}
}

func TestHatchStaysInsideItsBar(t *testing.T) {
	for _, c := range [][4]vg.Length{{0, 0, 6, 40}, {10, 5, 30, 12}, {0, 0, 1, 1}} {
		for _, part := range hatch(c[0], c[1], c[2], c[3], 2.2) {
			if p := part.Pos; p.X < c[0]-1e-9 || p.X > c[2]+1e-9 || p.Y < c[1]-1e-9 || p.Y > c[3]+1e-9 {
				t.Errorf("hatch of %v reaches %v", c, p)
			}
		}
	}
}
