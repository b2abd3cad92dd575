package calc

import (
	"encoding/json"
	"strings"
	"testing"
	"time"
)

// What the fields of these kinds may not hold, beside what TestEveryKind tries
// on all: each is one failure that names its field.
func TestGaugeKindsRefuse(t *testing.T) {
	const dial = `{"value":1,"dist":"normal"}`
	for _, test := range []struct{ name, kind, input, field string }{
		{"no components", "uncertainty_budget", `{"components":[],"coverage":0.95}`, "components"},
		{"coverage 1", "uncertainty_budget", `{"components":[` + dial + `],"coverage":1}`, "coverage"},
		{"unknown shape", "uncertainty_budget", `{"components":[` + dial + `,{"value":1,"dist":"stated"}],"coverage":0.95}`, "components[1].dist"},
		{"no degrees of freedom", "uncertainty_budget", `{"components":[{"value":1,"dist":"normal","dof":0}],"coverage":0.95}`, "components[0].dof"},
		{"a value below 0 of no weight", "uncertainty_budget", `{"components":[{"value":-1,"dist":"normal","c":0}],"coverage":0.95}`, "components[0].value"},
		{"coverage factor 0", "uncertainty_budget", `{"components":[{"value":1,"dist":"normal","k":0}],"coverage":0.95}`, "components[0].k"},
		{"one repeat", "uncertainty_budget", `{"components":[{"value":1,"dist":"typeA_sd","n":1}],"coverage":0.95}`, "components[0].n"},
		{"all nothing", "uncertainty_budget", `{"components":[{"value":0,"dist":"normal"}],"coverage":0.95}`, "components"},
		{"no degrees of freedom for t", "student_t_k", `{"coverage":0.95,"dof":0}`, "dof"},
		{"coverage 0", "student_t_k", `{"coverage":0,"dof":5}`, "coverage"},
		{"no readings", "mean_typeA", `{"x":[]}`, "x"},
		{"over nothing", "ratio", `{"a":1,"ua":0,"b":0,"ub":0,"corr":0}`, "b"},
		{"negative uncertainty", "ratio", `{"a":1,"ua":-1,"b":1,"ub":0,"corr":0}`, "ua"},
		{"correlation above 1", "ratio", `{"a":1,"ua":1,"b":1,"ub":1,"corr":1.1}`, "corr"},
		{"one point", "tir_noise_floor", `{"points":1,"sigma":0.01}`, "points"},
		{"ten million points", "tir_noise_floor", `{"points":10000000,"sigma":0.01}`, "points"},
		{"negative noise", "tir_noise_floor", `{"points":36,"sigma":-0.01}`, "sigma"},
		{"ten million points", "tir_monte_carlo", `{"amplitude1":0.1,"amplitude2":0,"phase2":0,"points":10000000,"sigma":0.01,"trials_min":20000}`, "points"},
		{"a million million trials", "tir_monte_carlo", `{"amplitude1":0.1,"amplitude2":0,"phase2":0,"points":36,"sigma":0.01,"trials_min":1000000000000}`, "trials_min"},
		{"few trials", "tir_monte_carlo", `{"amplitude1":0.1,"amplitude2":0,"phase2":0,"points":36,"sigma":0.01,"trials_min":100}`, "trials_min"},
		{"negative noise", "tir_monte_carlo", `{"amplitude1":0.1,"amplitude2":0,"phase2":0,"points":36,"sigma":-1,"trials_min":20000}`, "sigma"},
		{"no parts", "gauge_crossed", `{"y_part_operator_trial":[]}`, "y_part_operator_trial"},
		{"unbalanced", "gauge_crossed", `{"y_part_operator_trial":[[[1,2],[1,2]],[[1,2],[1]]]}`, "y_part_operator_trial[1][1]"},
		{"all equal", "gauge_crossed", `{"y_part_operator_trial":[[[1,1],[1,1]],[[1,1],[1,1]]]}`, "y_part_operator_trial"},
		{"one operator", "gauge_crossed_summary", `{"data_part_operator_trial":[[[1,2]],[[1,2]]],"pool_interaction":true}`, "data_part_operator_trial[0]"},
		{"tolerance 0", "gauge_crossed_summary", `{"data_part_operator_trial":[[[1,2],[2,3]],[[1,2],[3,3]]],"pool_interaction":true,"tolerance_width":0}`, "tolerance_width"},
		{"negative tolerance", "gauge_crossed_summary", `{"data_part_operator_trial":[[[1,2],[2,3]],[[1,2],[3,3]]],"pool_interaction":true,"tolerance_width":-1}`, "tolerance_width"},
		{"runs announced", "gauge_nested", `{"J_repetitions":2,"K_days":2,"L_runs":3,"rows_run_average_sd":[[1,1,1],[1,2,1],[2,1,1],[2,2,1]]}`, "L_runs"},
		{"days announced", "gauge_nested", `{"J_repetitions":2,"K_days":3,"L_runs":2,"rows_run_average_sd":[[1,1,1],[1,2,1],[2,1,1],[2,2,1]]}`, "K_days"},
		{"one repeat a day", "gauge_nested", `{"J_repetitions":1,"K_days":2,"L_runs":2,"rows_run_average_sd":[[1,1,1],[1,2,1],[2,1,1],[2,2,1]]}`, "J_repetitions"},
		{"negative sd", "gauge_nested", `{"J_repetitions":2,"K_days":2,"L_runs":2,"rows_run_average_sd":[[1,1,1],[1,2,1],[2,1,1],[2,2,-1]]}`, "rows_run_average_sd[3][2]"},
		{"all equal", "bias_t", `{"x":[8,8],"ref":8,"alpha":0.05}`, "x"},
		{"alpha 0", "bias_t", `{"x":[8,9],"ref":8,"alpha":0}`, "alpha"},
		{"sizes differ", "linearity", `{"ref":[1,2,3],"bias":[1,2]}`, "bias"},
		{"one reference", "linearity", `{"ref":[2,2,2],"bias":[1,2,3]}`, "ref"},
		{"unknown way", "calibration_curve", `{"table_reading_to_value":[[1,1],[2,2]],"reading":1,"interp":"linear"}`, "interp"},
		{"one point", "calibration_curve", `{"table_reading_to_value":[[1,1]],"reading":1,"interp":"monotone_cubic"}`, "table_reading_to_value"},
		{"not monotone", "calibration_curve", `{"table_reading_to_value":[[1,1],[2,3],[3,2]],"reading":1,"interp":"monotone_cubic","monotone":true}`, "table_reading_to_value"},
		{"outside", "calibration_curve", `{"table_reading_to_value":[[1,1],[2,3],[3,2]],"reading":3.1,"interp":"monotone_cubic"}`, "reading"},
		{"no uncertainty", "reevaluate_after_oot", `{"y":1,"as_found_error_at_value":0,"tl":0,"rule":"guarded"}`, "U"},
		{"limits crossed", "reevaluate_after_oot", `{"y":1,"as_found_error_at_value":0,"tl":2,"tu":1,"rule":"simple"}`, "tl, tu"},
		{"unknown rule", "reevaluate_after_oot", `{"y":1,"as_found_error_at_value":0,"tl":0,"rule":"kind"}`, "rule"},
		{"neither pass nor fail", "reverse_trace", `{"calibrations":[{"instrument":"A","t":"2026-01-01T00:00:00Z","as_found":"good"}],"measurements":[],"intermediate_checks":[]}`, "calibrations[0].as_found"},
		{"no day", "reverse_trace", `{"calibrations":[{"instrument":"A","t":"yesterday","as_found":"pass"}],"measurements":[],"intermediate_checks":[]}`, "calibrations[0].t"},
		{"beyond the calendar", "reverse_trace", `{"calibrations":[],"measurements":[{"id":"m","instrument":"A","t":"9999-12-31T23:00:00-23:00"}],"intermediate_checks":[]}`, "measurements[0].t"},
		{"against itself", "reverse_trace", `{"calibrations":[],"measurements":[],"intermediate_checks":[{"checked":"A","used":"A","t":"2026-01-01T00:00:00Z"}]}`, "intermediate_checks[0].used"},
	} {
		t.Run(test.kind+"/"+test.name, func(t *testing.T) {
			began := time.Now()
			refused(t, test.kind, test.input, test.field)
			if took := time.Since(began); took > time.Second {
				t.Errorf("refused after %v", took)
			}
		})
	}
	// More parts than there are range constants: the analysis of variance stands,
	// the method of ranges gives its ranges alone.
	answer, err := Run("gauge_crossed", []byte(`{"y_part_operator_trial":[`+strings.TrimSuffix(strings.Repeat(`[[1,2],[2,4]],`, 101), ",")+`]}`))
	if err != nil || !strings.Contains(string(answer), `"part_sd":null`) {
		t.Errorf("101 parts: %.300s, %v", answer, err)
	}
}

// An input that leaves the seed out gets the usual one, which stands in the
// answer; the same seed gives the same answer, another one another.
func TestSeed(t *testing.T) {
	const input = `{"amplitude1":0.1,"amplitude2":0.02,"phase2":0.3,"points":36,"sigma":0.01,"trials_min":20000`
	answers := map[string]tirAnswer{}
	for _, seed := range []string{``, `,"seed":20260101`, `,"seed":7`} {
		raw, err := Run("tir_monte_carlo", []byte(input+seed+`}`))
		if err != nil {
			t.Fatal(err)
		}
		var answer tirAnswer
		if err := json.Unmarshal(raw, &answer); err != nil {
			t.Fatal(err)
		}
		answers[seed] = answer
	}
	if answers[``] != answers[`,"seed":20260101`] || answers[``].Seed != usualSeed || answers[``].Mean == answers[`,"seed":7`].Mean {
		t.Errorf("%+v", answers)
	}
}

// Nothing adjusted: left as it was found.
func TestLeftAsFound(t *testing.T) {
	answer, err := Run("reverse_trace", []byte(`{"calibrations":[{"instrument":"A","t":"2026-01-01T00:00:00+01:00","as_found":"pass"},
		{"instrument":"A","t":"2026-03-01T00:00:00Z","as_found":"fail"}],"measurements":[{"id":"m","instrument":"A","t":"2026-02-01T00:00:00Z"}],"intermediate_checks":[]}`))
	const want = `{"suspect_measurements":["m"],"windows":[{"instrument":"A","from":"2025-12-31T23:00:00Z","to":"2026-03-01T00:00:00Z"}]}`
	if err != nil || string(answer) != want {
		t.Errorf("got %s, %v\nwant %s", answer, err, want)
	}
}
