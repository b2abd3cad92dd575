package web

import (
	"fmt"
	"math"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/words"
)

// Rim is the rim unrolled: the spoke number along the page, a band for each
// run-out that was read, and tension bars for side A upward and side B
// downward on a common line. Text keeps its size; a narrow page scrolls.
type Rim struct {
	Width, Height int
	Label         string // what the picture shows, for who cannot see it
	Bands         []RimBand
	Bars          []RimBar
	BarTitle      string
	BarTitleY     float64
	Line          float64 // the common line of the bars; 0 without bars
	Means         []RimMean
	Spokes        []RimSpoke
	SpokesY       float64
	Left, Right   float64
}

// RimBand is the strip of one run-out.
type RimBand struct {
	Title    string
	Y        float64 // of the title
	Zero     float64 // where the gauge read zero
	Path     string  // through the readings of every hole
	Points   []RimPoint
	High     string // value at the upper edge
	HighY    float64
	Low      string
	LowY     float64
	Every    bool
	ZeroText string
}

// RimPoint is one reading.
type RimPoint struct {
	X, Y    float64
	Extreme bool
	Text    string // beside an extreme
	TextX   float64
	TextY   float64
}

// RimBar is the tension of one spoke.
type RimBar struct {
	X, Y, W, H float64
	B          bool // side B, hatched
	Text       string
	TextX      float64
	TextY      float64
}

// RimMean is the mean of a side.
type RimMean struct {
	Y    float64
	Text string
	B    bool
}

// RimSpoke is a number under the rim.
type RimSpoke struct {
	X    float64
	Text string
}

const (
	rimLeft   = 52.0
	rimRight  = 8.0
	rimStep   = 25.0 // between spokes: two digits of 14 px fit, and 36 spokes on a page of 1024
	bandTall  = 64.0
	bandTitle = 32.0 // room for the title and the word over the highest point
	bandFoot  = 42.0 // room for the word under the lowest point
	barTall   = 84.0
	rimTop    = 18.0
	numberRow = 24.0
)

// rimOf draws the readings of a wheel; nil where there is no run-out and no
// tension to draw.
func rimOf(in models.InspectionView, form models.ProductForm) *Rim {
	if form.Wheel == nil || form.Wheel.Holes < 2 {
		return nil
	}
	holes := form.Wheel.Holes
	r := &Rim{Left: rimLeft, Width: int(rimLeft + rimStep*float64(holes) + rimRight)}
	r.Right = float64(r.Width) - rimRight
	y := rimTop
	var said []string
	for _, code := range []string{"lateral_runout", "radial_runout"} {
		set := bestSet(in, code)
		if set == nil {
			continue
		}
		if band, ok := runOutBand(*set, y); ok {
			for i := range band.Points {
				// A word beside the last spoke stays on the page.
				band.Points[i].TextX = min(band.Points[i].TextX, r.Right-16)
			}
			r.Bands = append(r.Bands, band)
			said = append(said, band.Title+" from "+band.Low+" to "+band.High)
			y += bandTitle + bandTall + bandFoot
		}
	}
	y = r.tensions(in, y)
	if len(r.Bands) == 0 && len(r.Bars) == 0 {
		return nil
	}
	r.SpokesY = y + 16
	for j := range holes {
		r.Spokes = append(r.Spokes, RimSpoke{X: spokeX(j), Text: fmt.Sprint(j + 1)})
	}
	r.Height = int(y + numberRow)
	if r.Line > 0 {
		said = append(said, fmt.Sprintf("spoke tension of %d spokes", len(r.Bars)))
	}
	r.Label = "Rim unrolled, spokes 1 to " + fmt.Sprint(holes) + ": " + strings.Join(said, "; ") + ". The readings stand as numbers below."
	return r
}

func spokeX(j int) float64 { return rimLeft + rimStep*(float64(j)+0.5) }

// bestSet is the set of a characteristic that shows most: every place before
// a sample before extremes.
func bestSet(in models.InspectionView, code string) *models.ReadingSet {
	for _, method := range []string{models.EveryHole, models.EveryBlock, models.Sample, models.Extremes, models.Whole} {
		for i := range in.Sets {
			if in.Sets[i].Code == code && in.Sets[i].Method == method && !in.Sets[i].Meaningless() {
				return &in.Sets[i]
			}
		}
	}
	return nil
}

// floats reads what was typed; a reading that is no number (it cannot have
// been stored) ends the drawing and not the page.
func floats(values []string) ([]float64, bool) {
	out := make([]float64, len(values))
	for i, v := range values {
		d, err := measure.ParseReading(v)
		if err != nil {
			return nil, false
		}
		out[i] = d.Float()
	}
	return out, len(out) > 0
}

func runOutBand(set models.ReadingSet, top float64) (RimBand, bool) {
	values, ok := floats(set.Values)
	if !ok || len(set.Index) < len(values) {
		return RimBand{}, false
	}
	high, low := 0, 0
	for i, v := range values {
		if v > values[high] {
			high = i
		}
		if v < values[low] {
			low = i
		}
	}
	most, least := math.Max(values[high], 0), math.Min(values[low], 0)
	if most == least {
		most, least = most+0.01, least-0.01
	}
	y := func(v float64) float64 { return top + bandTitle + bandTall*(most-v)/(most-least) }
	unit := set.Unit
	b := RimBand{Title: words.Sentence(english.Characteristic(set.Code)) + ", " + english.Method(set.Method), Y: top, Zero: y(0), Every: set.Method == models.EveryHole,
		High: words.Quantity(signed(set.Values[high]), unit), HighY: y(values[high]), Low: words.Quantity(signed(set.Values[low]), unit), LowY: y(values[low])}
	var path strings.Builder
	for i, v := range values {
		if b.Every && i > 0 && set.Index[i].Place == 0 {
			continue // The reread of the first station.
		}
		p := RimPoint{X: spokeX(set.Index[i].Place), Y: y(v), Extreme: i == high || i == low}
		if p.Extreme {
			p.Text, p.TextX, p.TextY = signed(set.Values[i]), p.X, p.Y-7
			if i == low {
				p.TextY = p.Y + 18
			}
		}
		command := "L"
		if i == 0 {
			command = "M"
		}
		fmt.Fprintf(&path, "%s%.1f %.1f", command, p.X, p.Y)
		b.Points = append(b.Points, p)
	}
	if b.Every {
		b.Path = path.String()
	}
	return b, true
}

func signed(typed string) string {
	d, err := measure.ParseReading(typed)
	if err != nil {
		return words.Number(typed)
	}
	return words.Signed(d.String())
}

// tensions draws the bars below top and returns the page below them.
func (r *Rim) tensions(in models.InspectionView, top float64) float64 {
	most := 0.0
	sides := map[string][]float64{}
	for _, code := range []string{"tension_a", "tension_b"} {
		if set := bestSet(in, code); set != nil {
			typed, _ := set.Readable()
			if values, ok := floats(typed); ok && len(set.Index) >= len(values) {
				sides[code] = values
				for _, v := range values {
					most = math.Max(most, v)
				}
			}
		}
	}
	if most <= 0 {
		return top
	}
	r.Line = top + 30 + barTall
	r.BarTitleY = top
	for _, code := range []string{"tension_a", "tension_b"} {
		values, set := sides[code], bestSet(in, code)
		if values == nil {
			continue
		}
		b := code == "tension_b"
		readable, unit := set.Readable()
		sum := 0.0
		for i, v := range values {
			h := barTall * v / most
			bar := RimBar{X: spokeX(set.Index[i].Place) - 8, W: 16, H: h, Y: r.Line - h, B: b, Text: whole(readable[i]), TextX: spokeX(set.Index[i].Place), TextY: r.Line - h - 5}
			if b {
				bar.Y, bar.TextY = r.Line, r.Line+h+16
			}
			r.Bars = append(r.Bars, bar)
			sum += v
		}
		mean := barTall * sum / float64(len(values)) / most
		m := RimMean{Y: r.Line - mean, B: b}
		if b {
			m.Y = r.Line + mean
		}
		r.Means = append(r.Means, m)
		r.BarTitle = "Spoke tension, " + words.Unit(unit) + ": side A upward, side B downward; the thin lines are the sides’ means"
	}
	return r.Line + barTall + 24
}

// whole leaves the decimals of a tension to the table: above its bar there is
// room for four digits.
func whole(typed string) string {
	d, err := measure.ParseReading(typed)
	if err != nil {
		return typed
	}
	return d.RoundTo(0).String()
}
