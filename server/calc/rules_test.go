package calc

import (
	"encoding/json"
	"math"
	"testing"
)

// A budget of false alarms gives the limits, and these have the run length asked
// for; the printed designs stand in the package of charts.
func TestRunLengthFindsLimits(t *testing.T) {
	for _, test := range []struct{ name, input, field string }{
		{"limits of rules", `{"chart":"individuals","rules":["beyond_limit","two_of_three_beyond_two_sigma"],"shifts":[0],"points_per_month":1000,"alarms_per_month":2}`, "limit_sigmas"},
		{"limits of means", `{"chart":"mean","n":4,"shifts":[0],"wanted_run_length":500}`, "limit_sigmas"},
		{"limit of an EWMA", `{"chart":"ewma","lambda":0.1,"shifts":[0],"wanted_run_length":500}`, "L"},
		{"interval of a CUSUM", `{"chart":"cusum","k":0.5,"shifts":[0],"wanted_run_length":500,"headstart_share":0.5,"within_points":500}`, "h"},
	} {
		t.Run(test.name, func(t *testing.T) {
			raw, err := Run("run_length", []byte(test.input))
			if err != nil {
				t.Fatal(err)
			}
			var got map[string]any
			if err := json.Unmarshal(raw, &got); err != nil {
				t.Fatal(err)
			}
			arl := got["arl"].([]any)[0].(float64)
			if limit, found := got[test.field].(float64); !found || limit <= 0 || math.Abs(arl-500) > 1e-3 {
				t.Errorf("%s: %s", test.input, raw)
			}
		})
	}
}

func TestRunLengthRefuses(t *testing.T) {
	for _, test := range []struct{ name, input, field string }{
		{"unknown chart", `{"chart":"palm","shifts":[0]}`, "chart"},
		{"no rules", `{"chart":"individuals","shifts":[0]}`, "rules"},
		{"empty rules", `{"chart":"individuals","rules":[],"shifts":[0]}`, "rules"},
		{"unknown rule", `{"chart":"individuals","rules":["beyond_limit","full_moon"],"shifts":[0]}`, "rules[1]"},
		{"a rule twice", `{"chart":"individuals","rules":["beyond_limit","beyond_limit"],"shifts":[0]}`, "rules[1]"},
		{"limits at 0", `{"chart":"mean","n":4,"limit_sigmas":0,"shifts":[0]}`, "limit_sigmas"},
		{"limits below 0", `{"chart":"mean","n":4,"limit_sigmas":-1,"shifts":[0]}`, "limit_sigmas"},
		{"subgroup of none", `{"chart":"mean","n":0,"shifts":[0]}`, "n"},
		{"subgroup of a billion", `{"chart":"mean","n":1000000000,"shifts":[0]}`, "n"},
		{"constant of another chart", `{"chart":"ewma","lambda":0.1,"L":2.7,"k":0.5,"shifts":[0]}`, "k"},
		{"lambda missing", `{"chart":"ewma","L":2.7,"shifts":[0]}`, "lambda"},
		{"lambda above 1", `{"chart":"ewma","lambda":1.5,"L":2.7,"shifts":[0]}`, "lambda"},
		{"lambda near 0", `{"chart":"ewma","lambda":1e-9,"L":2.7,"shifts":[0]}`, "lambda"},
		{"limit too wide", `{"chart":"ewma","lambda":0.1,"L":1e9,"shifts":[0]}`, "L"},
		{"slack below 0", `{"chart":"cusum","k":-1,"h":4,"shifts":[0]}`, "k"},
		{"interval too long", `{"chart":"cusum","k":0.5,"h":1e9,"shifts":[0]}`, "h"},
		{"head start beyond the interval", `{"chart":"cusum","k":0.5,"h":4,"headstart":5,"shifts":[0]}`, "headstart"},
		{"a shift out of bounds", `{"chart":"cusum","k":0.5,"h":4,"shifts":[1e9]}`, "shifts"},
		{"too many shifts", `{"chart":"cusum","k":0.5,"h":4,"shifts":[0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0]}`, "shifts"},
		{"never a signal", `{"chart":"cusum","k":10,"h":40,"shifts":[0]}`, "shifts"},
		{"within no points", `{"chart":"cusum","k":0.5,"h":4,"shifts":[0],"within_points":0}`, "within_points"},
		{"limit given and asked for", `{"chart":"cusum","k":0.5,"h":4,"shifts":[0],"wanted_run_length":300}`, "h"},
		{"more alarms than points", `{"chart":"cusum","k":0.5,"shifts":[0],"points_per_month":3,"alarms_per_month":4}`, "alarms_per_month"},
		{"half a budget", `{"chart":"cusum","k":0.5,"shifts":[0],"points_per_month":3}`, "alarms_per_month"},
		{"a run length out of reach", `{"chart":"individuals","rules":["eight_one_side"],"shifts":[0],"wanted_run_length":300}`, "wanted_run_length"},
		{"a share without an interval asked for", `{"chart":"cusum","k":0.5,"h":4,"shifts":[0],"headstart_share":0.5}`, "headstart_share"},
		{"a share above a half", `{"chart":"cusum","k":0.5,"shifts":[0],"wanted_run_length":300,"headstart_share":0.9}`, "headstart_share"},
	} {
		t.Run(test.name, func(t *testing.T) { refused(t, "run_length", test.input, test.field) })
	}
	refused(t, "run_rules", `{"z":[1],"rules":[]}`, "rules")
	refused(t, "run_rules", `{"z":[1],"rules":["full_moon"]}`, "rules[0]")
}
