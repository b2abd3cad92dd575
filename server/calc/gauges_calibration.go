package calc

import (
	"errors"
	"fmt"
	"time"

	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/gauge"
	"tracewright/models/numbers/measure"
)

// calibrationKinds are calibration tables and what follows from a calibration
// that failed.
var calibrationKinds = []Kind{
	{
		Name:    "calibration_curve",
		Does:    "value for a reading from a calibration table, piecewise_linear or monotone_cubic, never beyond its points",
		Source:  "linear interpolation; Fritsch and Carlson 1980, Fritsch and Butland 1984",
		Example: `{"table_reading_to_value":[[14,400],[17,600],[19.5,800]],"reading":18,"interp":"piecewise_linear"}`,
		Run:     of(calibrationCurve),
	},
	{
		Name:    "reevaluate_after_oot",
		Does:    "verdict of a value again, after its gauge was found out of tolerance by a known error",
		Source:  "ISO 9001:2015, 7.1.5.2; decision rules as in decide",
		Example: `{"y":930,"as_found_error_at_value":18,"U":20,"tl":900,"tu":1200,"rule":"guarded"}`,
		Run:     of(reevaluate),
	},
	{
		Name:    "reverse_trace",
		Does:    "measurements in doubt after failed calibrations, through standards to the gauges checked against them",
		Source:  "ISO 9001:2015, 7.1.5.2; windows from the last good event to the failure, our own definition",
		Example: `{"calibrations":[{"instrument":"G1","t":"2026-01-10T08:00:00Z","as_found":"pass","as_left":"pass"},{"instrument":"G1","t":"2026-07-10T08:00:00Z","as_found":"fail","as_left":"pass"}],"measurements":[{"id":"m1","instrument":"G1","t":"2026-03-03T08:00:00Z"}],"intermediate_checks":[]}`,
		Run:     of(reverseTrace),
	},
}

type curveInput struct {
	Table   [][2]float64 `json:"table_reading_to_value"`
	Reading float64      `json:"reading"`
	Interp  string       `json:"interp"`
	// Monotone asks for a table on which each value belongs to one reading.
	Monotone bool `json:"monotone,omitempty"`
}

type curveAnswer struct {
	Value float64 `json:"value"`
}

func calibrationCurve(in curveInput) (curveAnswer, error) {
	how, ok := map[string]gauge.Interpolation{"piecewise_linear": gauge.Linear, "monotone_cubic": gauge.MonotoneCubic}[in.Interp]
	if !ok {
		return curveAnswer{}, &Failure{Field: "interp", Problem: fmt.Sprintf("%.40q is not one of piecewise_linear, monotone_cubic", in.Interp)}
	}
	points := make([]gauge.Point, len(in.Table))
	for i, row := range in.Table {
		points[i] = gauge.Point{Reading: row[0], Value: row[1]}
	}
	curve, err := gauge.NewCurve(points, how, in.Monotone)
	if err != nil {
		return curveAnswer{}, gaugeFailure("table_reading_to_value", err, "points", "table_reading_to_value")
	}
	value, err := curve.Value(in.Reading)
	if err != nil {
		return curveAnswer{}, gaugeFailure("reading", err, "points", "table_reading_to_value")
	}
	return curveAnswer{Value: value}, nil
}

type reevaluateInput struct {
	decideInput
	Error measure.Decimal `json:"as_found_error_at_value"`
}

type reevaluateAnswer struct {
	Corrected exact              `json:"corrected"`
	Before    conformity.Outcome `json:"before"`
	After     conformity.Outcome `json:"after"`
	Impact    conformity.Impact  `json:"impact"`
}

func reevaluate(in reevaluateInput) (reevaluateAnswer, error) {
	r, err := conformity.Reevaluate(in.question(), in.Error)
	if err != nil {
		return reevaluateAnswer{}, in.blame(err)
	}
	return reevaluateAnswer{Corrected: exact{r.Corrected}, Before: r.Before.Outcome, After: r.After.Outcome, Impact: r.Impact}, nil
}

type traceInput struct {
	Calibrations []calibrationInput `json:"calibrations"`
	Checks       []comparisonInput  `json:"intermediate_checks"`
	Measurements []measurementInput `json:"measurements"`
}

type calibrationInput struct {
	Instrument string    `json:"instrument"`
	At         time.Time `json:"t"`
	AsFound    string    `json:"as_found"`
	AsLeft     string    `json:"as_left,omitempty"` // As found when nothing was adjusted.
}

type comparisonInput struct {
	Checked string    `json:"checked"`
	Used    string    `json:"used"`
	At      time.Time `json:"t"`
}

type measurementInput struct {
	ID         string    `json:"id"`
	Instrument string    `json:"instrument"`
	At         time.Time `json:"t"`
}

type traceAnswer struct {
	Measurements []string       `json:"suspect_measurements"`
	Windows      []windowAnswer `json:"windows"`
}

type windowAnswer struct {
	Instrument string     `json:"instrument"`
	From       *time.Time `json:"from"` // null: from the beginning.
	To         time.Time  `json:"to"`
}

func reverseTrace(in traceInput) (traceAnswer, error) {
	calibrations := make([]gauge.Calibration, len(in.Calibrations))
	for i, c := range in.Calibrations {
		asLeft := c.AsLeft
		if asLeft == "" {
			asLeft = c.AsFound
		}
		found, errFound := passed(c.AsFound)
		left, errLeft := passed(asLeft)
		switch {
		case errFound != nil:
			return traceAnswer{}, refuse(fmt.Sprintf("calibrations[%d].as_found", i), errFound)
		case errLeft != nil:
			return traceAnswer{}, refuse(fmt.Sprintf("calibrations[%d].as_left", i), errLeft)
		}
		calibrations[i] = gauge.Calibration{Instrument: c.Instrument, At: c.At, AsFoundGood: found, AsLeftGood: left}
	}
	comparisons := make([]gauge.Comparison, len(in.Checks))
	for i, c := range in.Checks {
		comparisons[i] = gauge.Comparison(c)
	}
	measurements := make([]gauge.Measurement, len(in.Measurements))
	for i, m := range in.Measurements {
		measurements[i] = gauge.Measurement(m)
	}
	s, err := gauge.Trace(calibrations, comparisons, measurements)
	if err != nil {
		return traceAnswer{}, gaugeFailure("calibrations", err, "comparisons", "intermediate_checks", "at", "t")
	}
	answer := traceAnswer{Measurements: append([]string{}, s.Measurements...), Windows: make([]windowAnswer, len(s.Windows))}
	for i, w := range s.Windows {
		answer.Windows[i] = windowAnswer{Instrument: w.Instrument, To: w.Until.UTC()}
		if !w.Open {
			from := w.From.UTC()
			answer.Windows[i].From = &from
		}
	}
	return answer, nil
}

func passed(result string) (bool, error) {
	if result != "pass" && result != "fail" {
		return false, errors.New(`must be "pass" or "fail"`)
	}
	return result == "pass", nil
}
