package calc

import (
	"errors"
	"fmt"
	"slices"

	"tracewright/models/numbers/spc"
)

type runLengthInput struct {
	Chart  string    `json:"chart"` // individuals, mean, ewma or cusum.
	Shifts []float64 `json:"shifts"`

	// Individuals and means. A mean chart has the rule of a point beyond a limit
	// where it names none.
	Rules       []string `json:"rules,omitempty"`
	LimitSigmas *float64 `json:"limit_sigmas,omitempty"` // 3 when left out.
	N           *int     `json:"n,omitempty"`
	// EWMA.
	Lambda *float64 `json:"lambda,omitempty"`
	L      *float64 `json:"L,omitempty"`
	// CUSUM.
	K         *float64 `json:"k,omitempty"`
	H         *float64 `json:"h,omitempty"`
	HeadStart *float64 `json:"headstart,omitempty"`

	// A budget of false alarms, or a run length in control, asks for the limits:
	// limit_sigmas, L or h, which are then not given. The head start is then a
	// share of h.
	Points         *float64 `json:"points_per_month,omitempty"`
	Alarms         *float64 `json:"alarms_per_month,omitempty"`
	Wanted         *float64 `json:"wanted_run_length,omitempty"`
	HeadStartShare *float64 `json:"headstart_share,omitempty"`

	// WithinPoints asks for the chance of a signal among so many points.
	WithinPoints *int `json:"within_points,omitempty"`
}

type runLengthAnswer struct {
	ARL         []float64 `json:"arl"`
	Within      []float64 `json:"chance_within,omitempty"`
	LimitSigmas *float64  `json:"limit_sigmas,omitempty"`
	L           *float64  `json:"L,omitempty"`
	H           *float64  `json:"h,omitempty"`
	HeadStart   *float64  `json:"headstart,omitempty"`
}

const (
	mostShifts = 30
	// mostChances is how many shifts may be asked about together with a chance.
	mostChances = 5
)

// designNames are the fields of the constants of a design.
var designNames = []string{"width", "limit_sigmas", "size", "n", "limit", "L", "slack", "k", "interval", "h",
	"head_start", "headstart", "points", "within_points"}

// runLengthFields are the fields that each chart takes; those of the second list
// are found where false alarms are budgeted, and given where they are not.
var runLengthFields = map[string]struct{ takes, needs, finds []string }{
	"individuals": {takes: []string{"rules", "limit_sigmas"}, needs: []string{"rules"}, finds: []string{"limit_sigmas"}},
	"mean":        {takes: []string{"rules", "limit_sigmas", "n"}, needs: []string{"n"}, finds: []string{"limit_sigmas"}},
	"ewma":        {takes: []string{"lambda", "L"}, needs: []string{"lambda", "L"}, finds: []string{"L"}},
	"cusum":       {takes: []string{"k", "h", "headstart"}, needs: []string{"k", "h"}, finds: []string{"h", "headstart"}},
}

func runLength(in runLengthInput) (runLengthAnswer, error) {
	wanted, err := in.check()
	if err != nil {
		return runLengthAnswer{}, err
	}
	var answer runLengthAnswer
	design, err := in.design(wanted, &answer)
	if err != nil {
		var failure *Failure
		if errors.As(err, &failure) {
			return runLengthAnswer{}, failure
		}
		field := "wanted_run_length"
		if in.Alarms != nil {
			field = "alarms_per_month"
		}
		return runLengthAnswer{}, argument("", field, err, designNames...)
	}
	if answer.ARL, err = design.RunLengths(in.Shifts...); err != nil {
		return runLengthAnswer{}, argument("", "shifts", err, designNames...)
	}
	if in.WithinPoints == nil {
		return answer, nil
	}
	for _, shift := range in.Shifts {
		chance, err := design.Within(shift, *in.WithinPoints)
		if err != nil {
			return runLengthAnswer{}, argument("", "within_points", err, designNames...)
		}
		answer.Within = append(answer.Within, chance)
	}
	return answer, nil
}

// check refuses fields that do not go together and returns the wanted run length,
// 0 when the limits are given.
func (in runLengthInput) check() (float64, error) {
	chart, known := runLengthFields[in.Chart]
	if !known {
		return 0, refuse("chart", fmt.Errorf("%.40q is none of individuals, mean, ewma, cusum", in.Chart))
	}
	most := mostShifts
	if in.WithinPoints != nil {
		most = mostChances
	}
	if len(in.Shifts) == 0 {
		return 0, refuse("shifts", errors.New("lists none; 0 is the process as it should be"))
	}
	if len(in.Shifts) > most {
		return 0, refuse("shifts", fmt.Errorf("%d shifts are more than %d", len(in.Shifts), most))
	}
	wanted, err := in.wanted()
	if err != nil {
		return 0, err
	}
	for _, field := range []struct {
		name  string
		given bool
	}{
		{"rules", in.Rules != nil}, {"limit_sigmas", in.LimitSigmas != nil}, {"n", in.N != nil}, {"lambda", in.Lambda != nil}, {"L", in.L != nil},
		{"k", in.K != nil}, {"h", in.H != nil}, {"headstart", in.HeadStart != nil},
	} {
		found := wanted > 0 && slices.Contains(chart.finds, field.name)
		switch {
		case field.given && !slices.Contains(chart.takes, field.name):
			return 0, refuse(field.name, fmt.Errorf("is not a constant of the chart %s", in.Chart))
		case field.given && found:
			return 0, refuse(field.name, errors.New("is what is asked for"))
		case !field.given && !found && slices.Contains(chart.needs, field.name):
			return 0, refuse(field.name, errors.New("is missing"))
		}
	}
	// In the design 0 stands for the usual value; here it is left out for that.
	if in.LimitSigmas != nil && *in.LimitSigmas == 0 {
		return 0, refuse("limit_sigmas", errors.New("must be above 0"))
	}
	if in.N != nil && *in.N == 0 {
		return 0, refuse("n", errors.New("must be above 0"))
	}
	if in.HeadStartShare != nil && (in.Chart != "cusum" || wanted == 0) {
		return 0, refuse("headstart_share", errors.New("goes with a cusum whose h is asked for"))
	}
	return wanted, nil
}

// wanted is the run length in control that is asked for, 0 when none is.
func (in runLengthInput) wanted() (float64, error) {
	switch {
	case in.Points == nil && in.Alarms == nil && in.Wanted == nil:
		return 0, nil
	case in.Points == nil && in.Alarms == nil:
		if !(*in.Wanted > 1) {
			return 0, refuse("wanted_run_length", errors.New("must be above 1"))
		}
		return *in.Wanted, nil
	case in.Wanted != nil:
		return 0, refuse("wanted_run_length", errors.New("is given by the budget of false alarms already"))
	case in.Points == nil:
		return 0, refuse("points_per_month", errors.New("is missing"))
	case in.Alarms == nil:
		return 0, refuse("alarms_per_month", errors.New("is missing"))
	}
	wanted, err := spc.Budget{Points: *in.Points, Alarms: *in.Alarms}.RunLength()
	if err != nil {
		return 0, refuse("alarms_per_month", err)
	}
	return wanted, nil
}

// design is the design as given, or found for the wanted run length and noted in
// the answer.
func (in runLengthInput) design(wanted float64, answer *runLengthAnswer) (spc.Design, error) {
	switch {
	case in.Chart == "ewma" && wanted > 0:
		d, err := spc.EWMAFor(*in.Lambda, wanted)
		answer.L = &d.Limit
		return d, err
	case in.Chart == "ewma":
		return spc.EWMADesign{Lambda: *in.Lambda, Limit: *in.L}, nil
	case in.Chart == "cusum" && wanted > 0:
		share := orZero(in.HeadStartShare)
		if !(share >= 0 && share <= 0.5) {
			return nil, refuse("headstart_share", errors.New("must be from 0 to 0.5"))
		}
		d, err := spc.CUSUMFor(*in.K, share, wanted)
		answer.H, answer.HeadStart = &d.Interval, &d.HeadStart
		return d, err
	case in.Chart == "cusum":
		return spc.CUSUMDesign{Slack: *in.K, Interval: *in.H, HeadStart: orZero(in.HeadStart)}, nil
	}
	d := spc.RuleDesign{Rules: in.Rules, Size: 1, Width: 3}
	if in.Rules == nil {
		d.Rules = []string{spc.BeyondLimit}
	}
	if in.LimitSigmas != nil {
		d.Width = *in.LimitSigmas
	}
	if wanted > 0 {
		var err error
		if d, err = spc.RulesFor(d.Rules, wanted); err != nil {
			return nil, err
		}
		answer.LimitSigmas = &d.Width
	}
	if in.N != nil {
		d.Size = *in.N
	}
	return d, nil
}

func orZero(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}
