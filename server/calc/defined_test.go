package calc

import (
	"encoding/json"
	"math"
	"testing"
)

// What is defined is answered: inputs at the edge of what a kind takes. Expected values:
// scipy 1.10 where named, else by hand.
func TestWhatIsDefinedIsAnswered(t *testing.T) {
	type want map[string]any // A number, or nil for null.
	for _, test := range []struct {
		name, kind, input string
		want              want
	}{
		// 1 - Phi(2), stats.norm: with limits far apart the nearer one counts alone.
		{"two limits far apart", "specific_risk_at_limit", `{"r":1,"k":2,"sides":2}`, want{"risk": 0.02275013194817921}},
		{"an input that the result does not change with", "uncertainty_budget", `{"components":[{"value":3,"dist":"normal"},{"value":1,"dist":"normal","c":0,"dof":4}],"coverage":0.95}`, want{"uc": 3., "nu_eff": nil, "U": 3 * 1.959963984540054}},
		{"within no time", "weibull_fit", `{"obs_t_event":[[5,1],[6,1],[9,0]],"horizon":0}`, want{"expected_returns_in_horizon": 0.}},
		// stats.foldnorm.ppf of c = 2, scale 0.5, at stats.norm.cdf(-3, 0, 3).
		{"a folded law of a mean below 0", "capability_percentile", `{"dist":"folded_normal","mu":-1,"sigma":0.5,"usl":3}`, want{"x_0.135": 0.00625008526774, "x_50": 1.00003968071, "x_99.865": 2.50000000014, "mu": 1.}},
		// Of three values by the formula of Royston, exact: 6/pi (asin sqrt W - asin sqrt 0.75);
		// of four stats.shapiro, in single precision. Moments with numpy.
		{"three values", "normality", `{"x":[1,2,4]}`, want{"shapiro_W_double": 0.9642857142857144, "shapiro_p_double": 0.6368868450289701, "skewness_G1_adjusted": 0.9352195295828235, "excess_kurtosis_g2": -1.5, "excess_kurtosis_G2_adjusted": nil, "anderson_darling_A2": nil, "ad_p_value_stephens": nil}},
		{"four values", "normality", `{"x":[1,2,4,4.5]}`, want{"shapiro_W": 0.9156861901283264, "shapiro_p": 0.5130406618118286, "excess_kurtosis_G2_adjusted": -3.8690053027212876, "anderson_darling_A2_star": nil}},
		// (2 - 1)/(6 sqrt(1^2 + (1-3)^2)).
		{"a target beyond the limits", "capability_normal", `{"mean":1,"sd":1,"n":9,"lsl":1,"usl":2,"target":3,"confidence":0.95}`, want{"cpm": 0.07453559924999299}},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, err := Run(test.kind, []byte(test.input))
			if err != nil {
				t.Fatal(err)
			}
			var answer map[string]any
			if err := json.Unmarshal(got, &answer); err != nil {
				t.Fatal(err)
			}
			for field, want := range test.want {
				value, there := answer[field]
				number, isNumber := value.(float64)
				expected, wantsNumber := want.(float64)
				if !there || isNumber != wantsNumber || wantsNumber && math.Abs(number-expected) > 1e-6*math.Max(1, math.Abs(expected)) {
					t.Errorf("%s is %v; want %v", field, value, want)
				}
			}
		})
	}
	refused(t, "normality", `{"x":[1,2]}`, "x")
}
