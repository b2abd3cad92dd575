package calc

import (
	"encoding/json"
	"strings"
	"testing"
)

// twentyOne positive values, as JSON numbers without brackets.
const twentyOne = `0.15,0.09,0.18,0.1,0.05,0.12,0.08,0.05,0.08,0.1,0.07,0.02,0.01,0.1,0.1,0.1,0.02,0.1,0.01,0.4,0.1`

// Every input that cannot be used is refused, and the line begins with the
// field that is to blame.
func TestCapabilityNamesTheField(t *testing.T) {
	const normal, percentile = "capability_normal", "capability_percentile"
	tests := []struct{ name, kind, input, field string }{
		{"no limits", normal, `{"mean":1,"sd":1,"n":9,"confidence":0.95}`, "lsl, usl"},
		{"limits crossed", normal, `{"mean":1,"sd":1,"n":9,"lsl":3,"usl":2,"confidence":0.95}`, "lsl"},
		{"no spread", normal, `{"mean":1,"sd":0,"n":9,"usl":2,"confidence":0.95}`, "sd"},
		{"one value", normal, `{"mean":1,"sd":1,"n":1,"usl":2,"confidence":0.95}`, "n"},
		{"negative count", normal, `{"mean":1,"sd":1,"n":-9,"usl":2,"confidence":0.95}`, "n"},
		{"certainty", normal, `{"mean":1,"sd":1,"n":9,"usl":2,"confidence":1}`, "confidence"},
		{"no degrees of freedom", normal, `{"mean":1,"sd":1,"n":9,"usl":2,"confidence":0.9,"degrees":0}`, "degrees"},
		{"negative degrees of freedom", normal, `{"mean":1,"sd":1,"n":9,"usl":2,"confidence":0.9,"degrees":-1}`, "degrees"},
		{"unknown shape", percentile, `{"dist":"bell","sigma":1,"usl":2}`, "dist"},
		{"parameter missing", percentile, `{"dist":"weibull","shape":1,"usl":2}`, "scale"},
		{"parameter of another shape", percentile, `{"dist":"rayleigh","sigma":1,"mu":1,"usl":2}`, "mu"},
		{"parameter that cannot be", percentile, `{"dist":"rayleigh","sigma":-1,"usl":2}`, "sigma"},
		{"parameter beside values", percentile, `{"dist":"rayleigh","sigma":1,"x":[` + twentyOne + `],"usl":2}`, "sigma"},
		{"confidence beside parameters", percentile, `{"dist":"rayleigh","sigma":1,"confidence":0.9,"usl":2}`, "confidence"},
		{"confidence 0", percentile, `{"dist":"rayleigh","x":[` + twentyOne + `],"confidence":0,"usl":2}`, "confidence"},
		{"confidence 2", percentile, `{"dist":"rayleigh","x":[` + twentyOne + `],"confidence":2,"usl":2}`, "confidence"},
		{"empty", percentile, `{"dist":"weibull","x":[],"usl":2}`, "x"},
		{"few values", percentile, `{"dist":"weibull","x":[1],"usl":2}`, "x"},
		{"a zero under the Weibull shape", percentile, `{"dist":"weibull","x":[0,` + twentyOne + `],"usl":2}`, "x"},
		{"all equal", percentile, `{"dist":"normal","x":[1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1],"usl":2}`, "x"},
		{"values without limits", percentile, `{"dist":"weibull","x":[` + twentyOne + `]}`, "lsl, usl"},
		{"percentiles beyond a double", percentile, `{"dist":"weibull","shape":0.001,"scale":2,"usl":1}`, "dist"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) { refused(t, test.kind, test.input, test.field) })
	}
}

// Whether the process is in control stands beside every index, and where nobody
// said so that stands there.
func TestCapabilityCarriesControl(t *testing.T) {
	inputs := map[string]string{
		"capability_normal":     `{"mean":1,"sd":1,"n":9,"usl":2,"confidence":0.95`,
		"capability_percentile": `{"dist":"weibull","x":[` + twentyOne + `],"usl":0.6`,
	}
	for kind, input := range inputs {
		for end, want := range map[string]string{`}`: "control_not_shown", `,"in_control":true}`: "in_control", `,"in_control":false}`: "not_in_control"} {
			got, err := Run(kind, []byte(input+end))
			var answer struct {
				Control string `json:"control"`
			}
			if err != nil || json.Unmarshal(got, &answer) != nil || answer.Control != want {
				t.Errorf("%s ...%s: %s, %v; want %s", kind, end, got, err, want)
			}
		}
	}
}

func TestRisksNameTheField(t *testing.T) {
	const empty = "REFUSE_EMPTY_ACCEPTANCE_ZONE"
	tests := []struct{ name, kind, input, field, code string }{
		{"no limits", "conformance_probability", `{"y":1,"u":1}`, "tl, tu", ""},
		{"limits crossed", "conformance_probability", `{"y":1,"u":1,"tl":2,"tu":1}`, "tl, tu", ""},
		{"exactly known", "conformance_probability", `{"y":1,"u":0,"tu":1}`, "u", ""},
		{"no risk", "guard_for_risk", `{"max_specific_risk":0,"u":1,"k":2}`, "max_specific_risk", ""},
		{"no coverage", "guard_for_risk", `{"max_specific_risk":0.1,"u":1,"k":0}`, "k", ""},
		{"guard band that leaves nothing", "guard_for_risk", `{"max_specific_risk":0.05,"u":1,"k":2,"tl":0,"tu":3}`, "max_specific_risk", empty},
		{"three sides", "specific_risk_at_limit", `{"r":1,"k":2,"sides":3}`, "sides", ""},
		{"two sides too close", "specific_risk_at_limit", `{"r":1,"k":2,"sides":2,"width_over_u":3}`, "r", empty},
		{"distance beside one side", "specific_risk_at_limit", `{"r":1,"k":2,"sides":1,"width_over_u":3}`, "width_over_u", ""},
		{"negative coverage", "specific_risk_at_limit", `{"r":1,"k":-2,"sides":1}`, "k", ""},
		{"process without spread", "global_risks", `{"process_mean":1,"process_sd":0,"u":1,"tu":2,"w":0}`, "process_sd", ""},
		{"guard bands that cross", "global_risks", `{"process_mean":1,"process_sd":1,"u":1,"tl":1,"tu":2,"w":0.6}`, "w", empty},
		{"no limits in the long run", "global_risks", `{"process_mean":1,"process_sd":1,"u":1,"w":0.6}`, "tl, tu", ""},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			refused(t, test.kind, test.input, test.field)
			if _, err := Run(test.kind, []byte(test.input)); err != nil && test.code != "" && !strings.HasPrefix(err.Error(), test.code+" ") {
				t.Errorf("%v; want the code %s in front", err, test.code)
			}
		})
	}
}
