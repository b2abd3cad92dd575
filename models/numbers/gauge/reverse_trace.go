package gauge

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// Calibration is one calibration of an instrument: how it was found, before
// anything was adjusted, and how it was left.
type Calibration struct {
	Instrument              string
	At                      time.Time
	AsFoundGood, AsLeftGood bool
}

// Comparison is a check in the shop of one instrument, or an adjustment of it,
// against another that serves as the standard.
type Comparison struct {
	Checked, Used string
	At            time.Time
}

// Measurement is one measurement of record. Times of tablets are to be
// corrected for the offset of their clocks before.
type Measurement struct {
	ID, Instrument string
	At             time.Time
}

// Window is a stretch of time in which an instrument is suspect: after From, up
// to and including Until.
type Window struct {
	Instrument string
	From       time.Time // The last good event. Not used when Open.
	Open       bool      // There is no good event before.
	Until      time.Time // [Forever] when a window has no end yet.
}

// Forever ends a window that no sound check has closed so far.
var Forever = time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC)

// holds reports whether a moment lies in the window.
func (w Window) holds(t time.Time) bool {
	return (w.Open || t.After(w.From)) && !t.After(w.Until)
}

// Suspects is the answer of [Trace].
type Suspects struct {
	Windows      []Window // By instrument, then by end.
	Measurements []string // Their ids, each once, in order.
}

// mostEvents bounds what one trace may be asked about.
const mostEvents = 1_000_000

// Trace finds what has to be looked at again after calibrations that found an
// instrument out of tolerance.
//
// The window of a failed calibration begins after the last good event of its
// instrument, an as-found or an as-left result that was good, and ends with the
// failure, which belongs to it. Every measurement by the instrument in it is
// suspect, for the error is taken to have been there all the time.
//
// If a suspect instrument served as the standard of a comparison inside its
// window, the instrument checked against it is suspect too, from the comparison
// until its next comparison with something sound or its next calibration, and
// may pass that on in turn. Where two comparisons of an instrument at the same
// moment differ, the unsound one counts. (ISO 9001:2015, 7.1.5.2 asks for the
// judgement; the windows are our own reading of it.)
//
// What happens after a calibration that left an instrument out of tolerance is
// not asked here: it is out of use from then on.
func Trace(calibrations []Calibration, comparisons []Comparison, measurements []Measurement) (Suspects, error) {
	if err := checkEvents(calibrations, comparisons, measurements); err != nil {
		return Suspects{}, err
	}
	windows := windowsOf(calibrations)
	windows = append(windows, passedOn(windows, calibrations, comparisons)...)
	slices.SortFunc(windows, func(a, b Window) int {
		return cmp.Or(cmp.Compare(a.Instrument, b.Instrument), a.Until.Compare(b.Until), a.From.Compare(b.From))
	})
	byInstrument := stretchesOf(windows)
	s := Suspects{Windows: windows}
	for _, m := range measurements {
		if suspect(byInstrument[m.Instrument], m.At) {
			s.Measurements = append(s.Measurements, m.ID)
		}
	}
	slices.Sort(s.Measurements)
	s.Measurements = slices.Compact(s.Measurements)
	return s, nil
}

// windowsOf returns the windows of failed calibrations.
func windowsOf(calibrations []Calibration) []Window {
	inTime := slices.Clone(calibrations)
	slices.SortStableFunc(inTime, func(a, b Calibration) int { return a.At.Compare(b.At) })
	good := map[string]time.Time{}
	var windows []Window
	for _, c := range inTime {
		if !c.AsFoundGood {
			from, known := good[c.Instrument]
			if !known || from.Before(c.At) {
				windows = append(windows, Window{Instrument: c.Instrument, From: from, Open: !known, Until: c.At})
			}
		}
		if c.AsFoundGood || c.AsLeftGood {
			good[c.Instrument] = c.At
		}
	}
	return windows
}

// event is a comparison or, with nothing used, a calibration.
type event struct {
	instrument, used string
	at               time.Time
}

// passedOn follows suspicion from standards to what was checked against them.
// A window that is passed on begins after the comparison that passed it, so
// that one walk in time meets every cause before its effect.
func passedOn(own []Window, calibrations []Calibration, comparisons []Comparison) []Window {
	var events []event
	for _, c := range calibrations {
		events = append(events, event{instrument: c.Instrument, at: c.At})
	}
	for _, c := range comparisons {
		events = append(events, event{instrument: c.Checked, used: c.Used, at: c.At})
	}
	slices.SortStableFunc(events, func(a, b event) int { return a.at.Compare(b.at) })

	owned := stretchesOf(own)
	since := map[string]time.Time{} // Instruments under passed-on suspicion now.
	var windows []Window
	for len(events) > 0 {
		now := 1
		for now < len(events) && events[now].at.Equal(events[0].at) {
			now++
		}
		// All events of one moment are judged by what was known before it.
		unsound := map[string]bool{}
		for _, e := range events[:now] {
			_, passed := since[e.used]
			bad := e.used != "" && (passed || suspect(owned[e.used], e.at))
			unsound[e.instrument] = unsound[e.instrument] || bad
		}
		for _, e := range events[:now] {
			from, suspected := since[e.instrument]
			switch {
			case unsound[e.instrument] && !suspected:
				since[e.instrument] = e.at
			case !unsound[e.instrument] && suspected:
				windows = append(windows, Window{Instrument: e.instrument, From: from, Until: e.at})
				delete(since, e.instrument)
			}
		}
		events = events[now:]
	}
	for instrument, from := range since {
		windows = append(windows, Window{Instrument: instrument, From: from, Until: Forever})
	}
	return windows
}

// stretchesOf joins the windows of each instrument where they overlap or touch,
// so that a moment is looked up in a few steps.
func stretchesOf(windows []Window) map[string][]Window {
	inOrder := slices.Clone(windows)
	slices.SortFunc(inOrder, func(a, b Window) int {
		switch {
		case a.Open != b.Open && a.Open:
			return -1
		case a.Open != b.Open:
			return 1
		}
		return a.From.Compare(b.From)
	})
	by := map[string][]Window{}
	for _, w := range inOrder {
		stretches := by[w.Instrument]
		if last := len(stretches) - 1; last >= 0 && (w.Open || !w.From.After(stretches[last].Until)) {
			if w.Until.After(stretches[last].Until) {
				stretches[last].Until = w.Until
			}
			continue
		}
		by[w.Instrument] = append(stretches, w)
	}
	return by
}

// suspect reports whether a moment lies in one of an instrument's stretches,
// which are in order and apart.
func suspect(stretches []Window, t time.Time) bool {
	i, _ := slices.BinarySearchFunc(stretches, t, func(w Window, t time.Time) int { return w.Until.Compare(t) })
	return i < len(stretches) && stretches[i].holds(t)
}

// checkEvents refuses events without a name, and moments beyond the calendar
// that windows are written in.
func checkEvents(calibrations []Calibration, comparisons []Comparison, measurements []Measurement) error {
	if len(calibrations)+len(comparisons)+len(measurements) > mostEvents {
		return about("measurements", fmt.Errorf("more than %d events in all: %w", mostEvents, ErrTooMuch))
	}
	for i, c := range calibrations {
		if err := checkEvent(c.At, "instrument", c.Instrument); err != nil {
			return at(fmt.Sprintf("calibrations[%d]", i), err)
		}
	}
	for i, c := range comparisons {
		err := checkAll(checkEvent(c.At, "checked", c.Checked), checkEvent(c.At, "used", c.Used))
		if err == nil && c.Checked == c.Used {
			err = outside("used", c.Used, "is the instrument checked itself")
		}
		if err != nil {
			return at(fmt.Sprintf("comparisons[%d]", i), err)
		}
	}
	for i, m := range measurements {
		if err := checkAll(checkEvent(m.At, "instrument", m.Instrument), checkEvent(m.At, "id", m.ID)); err != nil {
			return at(fmt.Sprintf("measurements[%d]", i), err)
		}
	}
	return nil
}

func checkEvent(t time.Time, field, name string) error {
	if name == "" {
		return outside(field, "an empty name", "names nothing")
	}
	if t.UTC().Year() < 1 || !t.Before(Forever) {
		return outside("at", t.UTC().Year(), "is not a year of a measurement")
	}
	return nil
}
