package calc

import (
	"encoding/json"
	"math"
	"testing"
)

// All failures at one life have an exponential law, whose mean is sum t / r and
// whose log likelihood -r (ln mean + 1), and no other: three at 5, and two at 5
// with one unit still running at 2.
func TestLifeFitWithoutSpread(t *testing.T) {
	for _, row := range []struct {
		input      string
		mean, logl float64
	}{
		{`{"time":[5,5,5],"event":[1,1,1]}`, 5, -3 * (math.Log(5) + 1)},
		{`{"time":[5,5,2],"event":[1,1,0]}`, 6, -2 * (math.Log(6) + 1)},
	} {
		text, err := Run("life_fit", []byte(row.input))
		var got map[string]any
		if err != nil || json.Unmarshal(text, &got) != nil {
			t.Fatalf("%s: %v", row.input, err)
		}
		mean, _ := got["exponential_mean"].(float64)
		logl, _ := got["exponential_loglik"].(float64)
		if math.Abs(mean-row.mean) > 1e-9 || math.Abs(logl-row.logl) > 1e-9 || got["code"] != "NO_SPREAD" {
			t.Errorf("%s: mean %v, log likelihood %v, code %v; want %v, %v", row.input, mean, logl, got["code"], row.mean, row.logl)
		}
		for _, field := range []string{"shape", "scale", "lognormal_sigma"} {
			if v, there := got[field]; there {
				t.Errorf("%s: %s is %v, though nothing fixes it", row.input, field, v)
			}
		}
	}
}
