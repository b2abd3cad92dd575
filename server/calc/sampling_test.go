package calc

import (
	"errors"
	"strings"
	"testing"
)

// Inputs that no plan or life can be made of, and the field that says so.
func TestSamplingAndLifeRefuse(t *testing.T) {
	for _, test := range []struct{ name, kind, input, field string }{
		{"lot beyond all", "code_letter", `{"lot":1000000000000000000,"level":"II"}`, "lot"},
		{"AQL between columns", "single_normal_plan", `{"letter":"J","aql":"1.2"}`, "aql"},
		{"the unsettled cell", "attribute_plan_lookup", `{"queries":[{"lot":90,"level":"II","aql":1},{"lot":600000,"level":"III","aql":0.015}]}`, "queries[1].aql"},
		{"no queries", "attribute_plan_lookup", `{"queries":[]}`, "queries"},
		{"no lots", "switching_iso2859", `{"lots":[]}`, "lots"},
		{"negative acceptance number", "switching_iso2859", `{"lots":[{"ok":true},{"ok":true,"ac":-1}]}`, "lots[1].ac"},
		{"more bad than the lot", "zero_acceptance_n", `{"queries":[{"lot":50,"defectives":51,"beta":0.1}]}`, "queries[0].defectives"},
		{"certain risk", "c0_sample_size", `{"lot":50,"nonconforming":5,"max_accept_probability":1}`, "max_accept_probability"},
		{"sample of 1e9", "oc_point", `{"n":1000000000,"ac":2,"p":0.1}`, "n"},
		{"more allowed than taken", "oc_point", `{"n":5,"ac":6,"p":0.1}`, "ac"},
		{"second fraction above one", "attribute_plan_oc", `{"n":5,"c":1,"p":[0.1,1.1]}`, "p[1]"},
		{"sample above the lot", "attribute_plan_oc", `{"n":5,"c":1,"p":[0.1],"lots_for_hypergeometric":[{"lot":4,"defectives":1}]}`, "lots_for_hypergeometric[0].n"},
		{"rejection below acceptance", "double_plan_oc", `{"n1":50,"c1":4,"r1":4,"n2":100,"c2":5,"p":[0.1]}`, "r1"},
		{"points too close", "two_point_plan", `{"queries":[{"p1":0.01,"alpha":0.05,"p2":0.0101,"beta":0.1}]}`, "queries[0].p2"},
		{"all values equal", "variables_accept_k", `{"x":[5,5,5],"usl":6,"k":1}`, "x"},
		{"no limits", "variables_accept_m", `{"x":[5,5,6],"M_percent":1}`, "lsl, usl"},
		{"percent above all", "variables_accept_m", `{"x":[5,5,6],"usl":7,"M_percent":101}`, "M_percent"},
		{"event neither 0 nor 1", "life_fit", `{"time":[5,6],"event":[1,2]}`, "event[1]"},
		{"fewer events than times", "survival_curve", `{"time":[5,6],"event":[1]}`, "event"},
		{"fewer counts than times", "survival_curve", `{"time":[5,6],"event":[1,0],"frequency":[1]}`, "frequency"},
		{"negative count", "survival_curve", `{"time":[5,6],"event":[1,0],"frequency":[1,-1]}`, "frequency[1]"},
		{"negative time", "survival_summary", `{"obs_t_event":[[5,1],[-6,0]]}`, "obs_t_event[1][0]"},
		{"a horizon gone by", "weibull_fit", `{"obs_t_event":[[5,1],[6,1],[9,0]],"horizon":-1}`, "horizon"},
		{"shape of nothing", "weibull_fit", `{"obs_t_event":[[5,1],[6,1],[9,0]],"horizon":2,"shape":0}`, "shape"},
		{"month in two spellings", "returns_triangle", `{"shipped_by_month":{"1":5,"01":5},"returns_by_ship_month_and_age":{},"as_of_month":3}`, "shipped_by_month.01"},
		{"returns of a month without shipment", "returns_triangle", `{"shipped_by_month":{"1":5},"returns_by_ship_month_and_age":{"2":{"0":1}},"as_of_month":3}`, "returns_by_ship_month_and_age.2"},
		{"end beyond all months", "returns_triangle", `{"shipped_by_month":{"1":5},"returns_by_ship_month_and_age":{},"as_of_month":9000000000000000000}`, "as_of_month"},
	} {
		t.Run(test.name, func(t *testing.T) { refused(t, test.kind, test.input, test.field) })
	}
}

// Few failures carry a code and a range by assumed shape; none at all are
// refused by a code, unless a shape is given.
func TestFewFailuresSaySo(t *testing.T) {
	few := `{"obs_t_event":[[3,1],[5,1],[6,1],[8,1],[9,0]],"horizon":2}`
	got, err := Run("weibull_fit", []byte(few))
	if err != nil || !strings.Contains(string(got), `"code":"FEW_FAILURES"`) || !strings.Contains(string(got), `"by_assumed_shape":[{"shape":0.5,`) {
		t.Errorf("four failures: %s, %v", got, err)
	}
	got, err = Run("weibull_fit", []byte(strings.Replace(few, `[9,0]`, `[8.5,1],[9,0]`, 1)))
	if err != nil || strings.Contains(string(got), "FEW_FAILURES") || strings.Contains(string(got), "by_assumed_shape") {
		t.Errorf("five failures: %s, %v", got, err)
	}
	const none = `{"obs_t_event":[[3,0],[5,0]],"horizon":2`
	_, err = Run("weibull_fit", []byte(none+`}`))
	var failure *Failure
	if !errors.As(err, &failure) || failure.Code != "NO_FAILURES" || !strings.HasPrefix(err.Error(), "NO_FAILURES ") {
		t.Errorf("no failures: %v", err)
	}
	got, err = Run("weibull_fit", []byte(none+`,"shape":1}`))
	if err != nil || !strings.Contains(string(got), `"expected_returns_in_horizon":null`) || !strings.Contains(string(got), `"scale_ci95_upper":null`) {
		t.Errorf("no failures, shape given: %s, %v", got, err)
	}
}

// The curve goes on, marked, or stops where the caller says.
func TestCurveStopsWhereAsked(t *testing.T) {
	const lives = `{"time":[1,2,3],"event":[1,1,1],"frequency":[2,1,9]`
	got, err := Run("survival_curve", []byte(lives+`}`))
	if err != nil || !strings.Contains(string(got), `"time":[1,2,3]`) || !strings.Contains(string(got), `"few_at_risk":[false,false,true]`) {
		t.Errorf("not asked: %s, %v", got, err)
	}
	got, err = Run("survival_curve", []byte(lives+`,"least_at_risk":11}`))
	if err != nil || !strings.Contains(string(got), `"time":[1],`) {
		t.Errorf("at 11: %s, %v", got, err)
	}
}
