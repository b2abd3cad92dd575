package web

import (
	"fmt"

	"tracewright/models/numbers/spc"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
)

// What a chart rests on, what weakens it, and how often it cries wolf.

func (w chartWords) facts() []ChartFact {
	ph := w.v.Present()
	f := ph.Limits.Facts
	if f.N == 0 {
		return nil
	}
	count := ChartFact{"Count", w.items(f.N), ""}
	switch {
	case f.NoLimits && f.NoLimitsReason == spc.NoLimitsFewPoints:
		count.Means = fmt.Sprintf("Limits need %d.", w.v.Needed)
	case w.v.Grouped != "" && ph.Baseline == nil:
		count.Means = "The first ones, which later ones do not move."
	case ph.Baseline == nil && f.N < spc.FewestForFirmLimits:
		count.Means = fmt.Sprintf("Fewer than %d: the limits are provisional, wider for it, and will still move.", spc.FewestForFirmLimits)
	case f.Provisional:
		count.Means = fmt.Sprintf("Fewer than %d: the limits are an estimate, and wider for it.", spc.FewestForFirmLimits)
	default:
		count.Means = "An estimate all the same, which the limits allow for."
	}
	facts := []ChartFact{count}
	distinct := ChartFact{"Different values", fmt.Sprint(f.Distinct), ""}
	if f.Resolution > 0 {
		distinct.Means = "The gauge reads in steps of " + words.Quantity(trimmed(f.Resolution), w.v.Unit) + "."
		if f.ResolutionCoarse {
			distinct.Means += " That is coarser than the spread: few steps make the limits too narrow or too wide."
		}
	}
	facts = append(facts, distinct)
	if f.Lag1Known {
		lag := ChartFact{"Neighbours alike", words.Number(fmt.Sprintf("%.2f", f.Lag1)), fmt.Sprintf("Correlation of each with the one before; by chance within ±%.2f.", f.Lag1Limit)}
		if f.Correlated {
			lag.Means += " Here it is more: neighbours resemble each other or contrast, so the limits claim more than they can hold."
			if w.v.Grouped == "" { // A week or a lot is longer than a day already.
				lag.Means += " Means of whole days are the better chart then."
			}
		}
		facts = append(facts, lag)
	}
	facts = append(facts, w.lots(ph)...)
	if w.v.Lifted > 0 {
		facts = append(facts, ChartFact{"Values of zero", fmt.Sprint(w.v.Lifted), "There is no logarithm of zero: they stand as half a step."})
	}
	return facts
}

// lots parts the spread of a chart by lots into that of the lots and that of the blocks
// of one lot.
func (w chartWords) lots(ph monitor.Phase) []ChartFact {
	if w.v.Grouped != monitor.ByLot || ph.Limits.Facts.NoLimits {
		return nil
	}
	figure := func(x float64) string { return words.Quantity(fmt.Sprintf("%.*f", w.v.Decimals+1, x), w.v.Unit) }
	facts := []ChartFact{{"Within a lot", figure(ph.Limits.Within), "Standard deviation of the blocks of one lot, pooled: the middle of the lower strip, less what few blocks make it look smaller. Of each lot its first hundred blocks count."}}
	if between, _, err := spc.Components(ph.Limits); err == nil {
		facts = append(facts, ChartFact{"From lot to lot", figure(between), "Standard deviation of the lots, without what the blocks of a lot lend to its mean."})
	}
	return facts
}

func (w chartWords) why() string {
	if w.v.Grouped != "" {
		return english.Say("chart_kind."+w.v.KindReason, nil) + " Limits say what to expect, not what to accept."
	}
	text := english.Say("chart_kind."+w.v.KindReason, nil) + fmt.Sprintf(" One %s at a time is made, so each is a point", w.kind)
	if l := w.v.Present().Limits; l.SigmaEstimator == spc.MeanMovingRange {
		text += ", and the spread comes from how much neighbours differ (mean moving range over 1.128)"
	}
	text += ". Many readings of one " + w.kind + " are one result before they come here: they are no group."
	if w.v.FirstSets {
		text += " Only the first reading after stress relief of each wheel counts: later ones show where truing stopped, not what the process gives."
	}
	return text + " Limits say what to expect, not what to accept: those of the specification do not run through this chart."
}

// wolf says how often the chart cries wolf.
func (w chartWords) wolf() string {
	d := w.v.Design
	watched := "Charts of weeks and lots are watched once somebody has chosen a baseline, and this one is not: it is looked at when somebody asks."
	if w.v.Present().Baseline != nil {
		watched = "It is watched, because somebody chose its baseline."
	}
	switch w.v.Grouped {
	case monitor.ByWeek:
		return watched + " A point where nothing changed lies beyond a limit in at most about one of 370."
	case monitor.ByLot:
		return watched + fmt.Sprintf(" A lot and the smoothed mean (weight %.2f, for slow drifts) each give one false alarm about once in %.0f lots where nothing changed; the spread within a lot has limits of three standard deviations, which give one in about 110 where lots have two blocks, and one in about 370 where they have many.", d.Watch.Weight, d.RunLength)
	}
	text := fmt.Sprintf("%s are watched, with about %.0f points a month. The shop is ready for %s a month on all of them together, so a point and the smoothed mean (weight %.2f, for slow drifts) each give one about once in %.0f points where nothing changed.",
		words.Sentence(plural(d.Charts, "chart", "charts")), d.Points, alarms(d.Alarms), d.Watch.Weight, d.RunLength)
	if w.v.Alone > 0 {
		text += fmt.Sprintf(" The other rules that were asked for cry wolf about once in %.0f points by themselves.", w.v.Alone)
	}
	return text
}

func alarms(n float64) string {
	if n == 1 {
		return "one false alarm"
	}
	return fmt.Sprintf("%g false alarms", n)
}
