package web

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
	"tracewright/models/words"
	"tracewright/models/work/studies"
)

// result puts what a study came to into words, tables and a picture.
func (p *StudyPage) result(v studies.View, r studies.Result) {
	study, unit := v.Study, v.Study.Unit
	p.Answer = english.Judgement(r.Answer())
	switch {
	case r.Crossed != nil:
		p.crossed(unit, r)
	case r.Bias != nil:
		b := r.Bias
		p.Says = append(p.Says, fmt.Sprintf("The mean of %d readings is %s, the reference %s: a bias of %s. From these readings, the reference taken as exact, the bias lies between %s and %s, with a confidence of 95 %%.", b.Mean.N, figure(b.Mean.Value, unit), figure(b.Reference, unit),
			signedFigure(b.Bias, unit), signedFigure(b.Low, unit), signedFigure(b.High, unit)), "Single readings scatter by "+figure(b.Mean.S, unit)+" (standard deviation).")
	case r.Linearity != nil:
		l := r.Linearity
		p.Says = append(p.Says, fmt.Sprintf("Along the range the bias changes by %s for each %s of the reference; on the line through all readings it is largest at %s: %s.", signedFigure(l.Slope, unit), words.Quantity("1", unit), figure(l.At, unit), signedFigure(l.Largest, unit)),
			fmt.Sprintf("The mean of all biases is %s. From these readings, the references taken as exact, it lies between %s and %s, with a confidence of 97.5 %%: together with the slope, 95 %%.", signedFigure(l.Bias, unit), signedFigure(l.Bias-l.Shown.Half, unit), signedFigure(l.Bias+l.Shown.Half, unit)),
			"About the line single readings scatter by "+figure(l.S, unit)+" (standard deviation).")
	case r.Stability != nil:
		p.Says = append(p.Says, p.stability(unit, r.Stability))
	}
	if r.ShareKnown {
		what := "their scatter"
		if r.Crossed != nil {
			what = "the scatter of gauge and persons"
			if r.Crossed.StepCounts {
				what += ", with the step of the gauge in place of what it hides,"
			}
		}
		p.Says = append(p.Says, fmt.Sprintf("Six times %s is %s of the tolerance%s. Common practice, from no standard: below 10 %% is good, 10 to 30 %% may do, above 30 %% is not good enough.", what, perCent(r.Share), toleranceWords(study)))
		if r.Crossed != nil {
			p.Says = append(p.Says, shareInterval(r))
		}
	}
	for _, code := range r.Next {
		p.Next = append(p.Next, english.Say(code, nil))
	}
	f := r.Figure(study, v.People)
	p.Data = drawnFigure(f, "")
	p.Describe = studyDescribed(v, r)
	p.RangeName = "Item"
	if r.Crossed != nil {
		p.RangeName = "Person or item"
	}
	for _, x := range r.Ranges(study, v.People) {
		p.Ranges = append(p.Ranges, RangeRow{x.Name, fmt.Sprint(x.N), words.Quantity(significant(x.Low, 6), unit), words.Quantity(significant(x.High, 6), unit), words.Quantity(significant(x.Mean, 6), unit)})
	}
}

func signedFigure(x float64, unit string) string {
	return words.Quantity(words.Signed(significant(x, 3)), unit)
}

// toleranceWords says what the width of a tolerance without a lower limit is.
func toleranceWords(study models.GaugeStudy) string {
	if study.Low == "" {
		return " from 0 to " + words.Quantity(study.High, study.Unit)
	}
	return ""
}

func (p *StudyPage) crossed(unit string, r studies.Result) {
	c := r.Crossed
	row := func(title string, sd, share float64, whole bool) {
		x := ComponentRow{Name: title, Spread: figure(sd, unit), Share: perCent(share), Whole: whole}
		if r.Width > 0 {
			x.Tolerance = perCent(100 * 6 * sd / r.Width)
		}
		p.Components = append(p.Components, x)
	}
	row("One person reading one item again", c.Summary.Repeatability, c.Percents.Repeatability, false)
	row("Between persons", c.Summary.Operator, c.Percents.Operator, false)
	if !c.Pooled {
		row("Some persons with some items", c.Summary.Interaction, c.Percents.Interaction, false)
	}
	row("Gauge and persons together", c.Summary.Gauge, c.Percents.Gauge, true)
	row("Between the items", c.Summary.Part, c.Percents.Part, false)
	switch {
	case !c.Summary.CategoriesKnown:
		p.Says = append(p.Says, "Gauge and persons show no scatter at all.")
	case c.Summary.Categories < 2:
		p.Says = append(p.Says, "It cannot tell these items apart: what is read of them differs no more than the readings of one do.")
	default:
		p.Says = append(p.Says, fmt.Sprintf("It tells %.0f classes of these items apart; %d or more is common practice.", c.Summary.Categories, gauge.FewestCategories))
	}
	if c.Pooled {
		p.Says = append(p.Says, "No person reads some items otherwise than the others do, as far as these readings show; that part counts with reading again.")
	}
}

// bandWords are the bands of the share within a sentence.
var bandWords = map[string]string{studies.Good: "good", studies.MayDo: "may do", studies.Unfit: "not good enough"}

// shareInterval says between what the share of a crossed study lies, and where that
// leaves open what the gauge is good for.
func shareInterval(r studies.Result) string {
	text := fmt.Sprintf("With a confidence of 95 %% that share lies between %s %% and %s %%", significant(r.ShareLow, 3), significant(r.ShareHigh, 3))
	if low, high := r.ShareBands(); r.Open {
		text += fmt.Sprintf(", from “%s” to “%s”: too few persons or items to tell", bandWords[low], bandWords[high])
	}
	return text + "."
}

func (p *StudyPage) stability(unit string, st *gauge.StabilityStudy) string {
	text := fmt.Sprintf("From check to check the readings drift by %s", signedFigure(st.Drift, unit))
	if st.DriftSignificant {
		text += ", more than chance gives"
	} else {
		text += ", no more than chance gives"
	}
	outside, jumps := len(st.Outside), len(st.Jumps)
	switch {
	case st.Verdict == gauge.Unknown:
		return text + "; limits are drawn from twenty checks on."
	case outside+jumps == 0:
		text += "; no check lies farther from the others than chance gives in so many."
	case jumps == 0:
		text += "; " + plural(outside, "check lies", "checks lie") + " farther from the mean than chance gives in so many."
	case outside == 0:
		text += "; " + plural(jumps, "check lies", "checks lie") + " farther from the one before than chance gives in so many."
	default:
		text += fmt.Sprintf("; %s farther from the mean, and %d from the one before, than chance gives in so many.", plural(outside, "check lies", "checks lie"), jumps)
	}
	if st.Coarse {
		text += " The limits leave room for the step of the gauge."
	}
	return text
}

// studyDescribed is the picture in words.
func studyDescribed(v studies.View, r studies.Result) string {
	switch {
	case r.Crossed != nil:
		return fmt.Sprintf("The mean of each person for each of %d items, a line a person: lines that lie on each other say that all read alike. The tables below hold the same.", len(v.Study.Items))
	case r.Linearity != nil:
		return "The bias at each reference, and the line through all readings. The table below holds the readings."
	}
	return "The readings in their order. The table below holds the same."
}
