package web

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"tracewright/models/words"
	"tracewright/models/work/stock"
)

// lossDot is the side of a dot's place, in pixels.
const lossDot = 13.0

// LossPlot is a strip of dots, one a block, along the loss.
type LossPlot struct {
	For    string // the screen it is drawn for: broad or narrow
	Width  float64
	Dots   []LossDot
	Middle float64 // place along the strip
	Lines  []LossLine
	Ticks  []LossTick
	Height float64
	Words  string
}

// LossDot is one block; a flagged one is an open square.
type LossDot struct {
	X, Y    float64
	Flagged bool
	Name    string
}

// LossTick is a mark of the scale.
type LossTick struct {
	X    float64
	Text string
}

// LossLine is a limit with its name.
type LossLine struct {
	Name, Anchor string
	X, TextX     float64
}

// lossPlots lays the dots along the loss, one above another where they meet; for
// a phone it is laid anew, so that its text keeps its size.
func lossPlots(v stock.Screening, losses []stock.Loss) []LossPlot {
	if len(losses) == 0 {
		return nil
	}
	plots := make([]LossPlot, 0, 2)
	for _, screen := range []LossPlot{{For: "broad", Width: 900}, {For: "narrow", Width: 326}} {
		plots = append(plots, screen.drawn(v, losses))
	}
	return plots
}

func (p LossPlot) drawn(v stock.Screening, losses []stock.Loss) LossPlot {
	limit, watch := limitMV(v, "k_reject_mv_day"), limitMV(v, "k_watch_mv_day")
	low, high := 0.0, math.Max(limit*1.2, 1)
	for _, l := range losses {
		low, high = math.Min(low, l.MVDay), math.Max(high, l.MVDay*1.05)
	}
	at := func(k float64) float64 { return 20 + (k-low)/(high-low)*(p.Width-40) }
	p.Middle, p.Words = at(v.Median), fmt.Sprintf("Loss of %d blocks, middle %s mV a day", len(losses), mvDay(v.Median))
	if limit > 0 {
		p.line("limit", at(limit))
	}
	if watch > 0 {
		p.line("watch", at(watch))
	}
	step := 1.0
	for (high-low)/step > p.Width/70 {
		step *= 2
	}
	for k := math.Ceil(low/step) * step; k <= high; k += step {
		p.Ticks = append(p.Ticks, LossTick{at(k), words.Number(strconv.FormatFloat(k, 'f', -1, 64))})
	}
	rows := map[int]int{}
	highest := 0
	for _, l := range slices.Backward(losses) {
		column := int(math.Round(at(l.MVDay) / lossDot))
		rows[column]++
		highest = max(highest, rows[column])
		p.Dots = append(p.Dots, LossDot{X: float64(column) * lossDot, Y: float64(rows[column]), Flagged: l.Flagged, Name: blockName(l.Block.Item)})
	}
	p.Height = float64(highest)*lossDot + 46
	for i := range p.Dots {
		p.Dots[i].Y = p.Height - 30 - (p.Dots[i].Y-0.5)*lossDot
	}
	return p
}

// line adds a named line; where its name has no room to the right it stands to
// the left.
func (p *LossPlot) line(name string, x float64) {
	l := LossLine{Name: name, X: x, TextX: x + 5, Anchor: "start"}
	if x > p.Width-50 {
		l.TextX, l.Anchor = x-5, "end"
	}
	p.Lines = append(p.Lines, l)
}
