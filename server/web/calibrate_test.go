package web

import (
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/gauges"
)

// After a calibration the page says what became of the gauge, and never that it counts
// as in tolerance when it is out or was left so.
func TestWhatIsSaidAfterACalibration(t *testing.T) {
	const trusted, kept, out = "counts as in tolerance", "stay those of that one", "stays out of use"
	for name, c := range map[string]struct {
		out          gauges.Calibrated
		has, hasNone []string
	}{
		"good":                         {gauges.Calibrated{Report: models.CalibrationReport{AsLeftGood: true}}, []string{trusted}, []string{kept, out}},
		"good, and a later one known":  {gauges.Calibrated{Report: models.CalibrationReport{AsLeftGood: true}, Later: true}, []string{kept}, []string{trusted, out}},
		"good, and it went out since":  {gauges.Calibrated{Report: models.CalibrationReport{AsLeftGood: true}, StaysOut: true}, []string{out}, []string{trusted, kept}},
		"good, and both":               {gauges.Calibrated{Report: models.CalibrationReport{AsLeftGood: true}, StaysOut: true, Later: true}, []string{out, kept}, []string{trusted}},
		"left bad":                     {gauges.Calibrated{}, []string{"left the gauge out of tolerance"}, []string{trusted, kept, out}},
		"left bad, a later one known":  {gauges.Calibrated{Later: true}, []string{"left the gauge out of tolerance", kept}, []string{trusted, "nothing is judged"}},
		"found bad":                    {gauges.Calibrated{Trace: &models.GaugeTrace{}}, []string{"judged again below"}, []string{trusted, kept}},
		"found bad, a later one known": {gauges.Calibrated{Trace: &models.GaugeTrace{}, Later: true}, []string{"judged again below", kept}, []string{trusted}},
	} {
		said := doneWords[calibratedAs(c.out)]
		for _, text := range c.has {
			if !strings.Contains(said, text) {
				t.Errorf("%s: %q does not say %q", name, said, text)
			}
		}
		for _, text := range c.hasNone {
			if strings.Contains(said, text) {
				t.Errorf("%s: %q says %q", name, said, text)
			}
		}
	}
}
