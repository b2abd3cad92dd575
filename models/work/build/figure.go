package build

import (
	"math"

	"tracewright/models"
)

// mostDrawn is how many moments of a log are drawn: no screen shows more.
const mostDrawn = 400

// Figure draws the voltage of each block over the hours since the first row, and
// its cut-off. Of a long log every so many rows are drawn, evenly, its first and
// last always.
func (t Tested) Figure() models.Figure {
	f := models.Figure{Along: models.FigureAxis{Code: "discharge.hours", Unit: "h", Decimals: 2}, Up: models.FigureAxis{Code: "discharge.block_voltage", Unit: "V", Decimals: 2}}
	hours := floats(t.Content.Hours)
	rows := drawn(len(hours))
	for _, i := range rows {
		f.At = append(f.At, hours[i]-hours[0])
	}
	for b, column := range t.Content.Volts {
		volts, line := floats(column), models.FigureLine{Name: t.Blocks[b].Name, Foremost: t.Blocks[b].Place == t.Weakest}
		for _, i := range rows {
			line.Values = append(line.Values, volts[i])
		}
		f.Lines = append(f.Lines, line)
	}
	if cut := floats([]string{t.CutOffV}); cut[0] > 0 {
		f.Levels = []models.FigureMark{{Code: "discharge.cut_off", Value: cut[0]}}
	}
	return f
}

// drawn are the rows of a log that are drawn.
func drawn(rows int) []int {
	n := min(rows, mostDrawn)
	out := make([]int, n)
	for i := range out {
		out[i] = i
		if n > 1 {
			out[i] = int(math.Round(float64(i) * float64(rows-1) / float64(n-1)))
		}
	}
	return out
}
