package studies

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// Figure draws a study: the mean of each person for each item; the biases over the
// references; or the readings in their order. names gives the names of people.
func (r Result) Figure(study models.GaugeStudy, names map[string]string) models.Figure {
	f := models.Figure{Up: models.FigureAxis{Code: "study.value", Unit: study.Unit, Decimals: decimals(study)}}
	switch {
	case r.Crossed != nil:
		f.Along = models.FigureAxis{Code: "study.item"}
		sums := make([][]float64, len(study.Persons))
		for i := range sums {
			sums[i] = make([]float64, len(study.Items))
		}
		for i, t := range study.Turns {
			sums[t.Person][t.Item] += r.Values[i] / float64(study.Repeats)
		}
		for i := range study.Items {
			f.At = append(f.At, float64(i+1))
		}
		for i, person := range study.Persons {
			f.Lines = append(f.Lines, models.FigureLine{Name: names[person], Values: sums[i]})
		}
	case r.Linearity != nil:
		f.Along, f.Up.Code = models.FigureAxis{Code: "study.reference", Unit: study.Unit, Decimals: f.Up.Decimals}, "study.bias"
		means, line := make([]float64, len(study.Items)), make([]float64, len(study.Items))
		for i, t := range study.Turns {
			means[t.Item] += r.Linearity.Biases[i] / float64(study.Repeats)
		}
		order := rising(study.Items)
		read := models.FigureLine{Name: "read", Values: make([]float64, len(order)), Foremost: true}
		for k, i := range order {
			reference := number(study.Items[i].Reference)
			f.At = append(f.At, reference)
			read.Values[k], line[k] = means[i], r.Linearity.Intercept+r.Linearity.Slope*reference
		}
		f.Lines = []models.FigureLine{read, {Name: "line", Values: line}}
		f.Levels = []models.FigureMark{{Code: "study.no_bias"}}
	default:
		f.Along = models.FigureAxis{Code: "study.turn"}
		for i := range r.Values {
			f.At = append(f.At, float64(i+1))
		}
		f.Lines = []models.FigureLine{{Name: "read", Values: r.Values, Foremost: true}}
		if reference := study.Items[0].Reference; reference != "" {
			f.Levels = []models.FigureMark{{Code: "study.reference_level", Value: number(reference)}}
		}
		if s := r.Stability; s != nil && r.Judgement != TooFew {
			f.Levels = append(f.Levels, models.FigureMark{Code: "study.high", Value: s.High}, models.FigureMark{Code: "study.low", Value: s.Low})
		}
	}
	return f
}

// Range is the lowest, the highest and the mean of some readings, in a row of the
// table below the figure.
type Range struct {
	Name            string
	N               int
	Low, High, Mean float64
}

// Ranges are those of the persons of a crossed study, of the references of one over
// the range, and of all readings of the others.
func (r Result) Ranges(study models.GaugeStudy, names map[string]string) []Range {
	var rows []Range
	add := func(name string, value float64) {
		for i := range rows {
			if rows[i].Name == name {
				x := &rows[i]
				x.Low, x.High = min(x.Low, value), max(x.High, value)
				x.Mean += (value - x.Mean) / float64(x.N+1)
				x.N++
				return
			}
		}
		rows = append(rows, Range{name, 1, value, value, value})
	}
	if r.Crossed != nil {
		for k, person := range study.Persons {
			for i, t := range study.Turns {
				if t.Person == k {
					add(names[person], r.Values[i])
				}
			}
		}
	}
	for k, item := range study.Items {
		for i, t := range study.Turns {
			if t.Item == k {
				add(item.Name, r.Values[i])
			}
		}
	}
	return rows
}

// decimals are how many the picture reads off: one more than was typed most.
func decimals(study models.GaugeStudy) int {
	n := 0
	for _, text := range []string{study.Low, study.High, study.Items[0].Reference} {
		if d, err := measure.Parse(text); err == nil {
			n = max(n, d.Decimals())
		}
	}
	return n + 1
}

func number(text string) float64 {
	d, err := measure.Parse(text)
	if err != nil {
		return 0
	}
	return d.Float()
}

// rising gives the places of items by rising reference.
func rising(items []models.StudyItem) []int {
	order := make([]int, len(items))
	for i := range order {
		order[i] = i
	}
	for i := 1; i < len(order); i++ {
		for j := i; j > 0 && number(items[order[j]].Reference) < number(items[order[j-1]].Reference); j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
	return order
}

// Figures are what is kept of a confirmed study.
func (r Result) Figures() []models.StudyFigure {
	var out []models.StudyFigure
	add := func(code string, value float64) {
		out = append(out, models.StudyFigure{Code: code, Value: plain(value)})
	}
	switch {
	case r.Crossed != nil:
		add("repeatability", r.Crossed.Summary.Repeatability)
		add("persons", r.Crossed.Summary.Operator)
		add("interaction", r.Crossed.Summary.Interaction)
		add("gauge", r.Crossed.Summary.Gauge)
		add("items", r.Crossed.Summary.Part)
		if r.Crossed.Summary.CategoriesKnown {
			add("categories", r.Crossed.Summary.Categories)
		}
	case r.Bias != nil:
		add("bias", r.Bias.Bias)
		add("repeatability", r.Bias.Mean.S)
	case r.Linearity != nil:
		add("slope", r.Linearity.Slope)
		add("intercept", r.Linearity.Intercept)
		add("bias", r.Linearity.Bias)
		add("largest_bias", r.Linearity.Largest)
		add("repeatability", r.Linearity.S)
	case r.Stability != nil:
		if sd, err := sdOf(r.Values); err == nil {
			add("over_time", sd)
		}
		add("drift", r.Stability.Drift)
	}
	if r.ShareKnown {
		add("share", r.Share)
	}
	if r.ShareKnown && r.Crossed != nil {
		add("share_low", r.ShareLow)
		add("share_high", r.ShareHigh)
	}
	return append(out, models.StudyFigure{Code: "judgement", Value: r.Judgement})
}

// plain writes a figure with six significant digits, as decimal text.
func plain(x float64) string {
	d, err := measure.Round(x, 12)
	if err != nil {
		return fmt.Sprint(x)
	}
	return d.RoundSignificant(6).Trim().String()
}
