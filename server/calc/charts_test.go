package calc

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"
)

func TestChartKindsNameTheField(t *testing.T) {
	refused(t, "mean_range_sd_chart", `{"subgroups":[]}`, "subgroups")
	refused(t, "mean_range_sd_chart", `{"subgroups":[[1,2],[3]]}`, "subgroups[1]")
	refused(t, "mean_range_sd_chart", `{"subgroups":[[1,2],[3,4,5]]}`, "subgroups")
	refused(t, "mean_sd_chart_unequal", `{"subgroups":[[1,2],[]]}`, "subgroups[1]")
	refused(t, "c_chart", `{"counts":[]}`, "counts")
	refused(t, "c_chart", `{"counts":[1,-1]}`, "counts[1]")
	refused(t, "u_chart", `{"counts":[1,2],"units":[1]}`, "units")
	refused(t, "u_chart", `{"counts":[1,2],"units":[1,0]}`, "units[1]")
	refused(t, "u_chart", `{"counts":[1,2],"units":"many"}`, "units")
	refused(t, "np_chart", `{"counts":[1,5],"n":4}`, "counts[1]")
	refused(t, "np_chart", `{"counts":[1,2],"n":1e18}`, "n")
	refused(t, "p_chart", `{"counts":[1,5],"n":[4,4]}`, "counts[1]")
	refused(t, "p_chart", `{"counts":[1,2],"n":[4,null]}`, "n")
	refused(t, "p_chart", `{"counts":[1,2],"n":4,"proportions":[0.25,0.6]}`, "proportions[1]")
	refused(t, "overdispersed_chart", `{"counts":[1,5,2],"n":[4,4,4],"of":"items"}`, "counts[1]")
	refused(t, "overdispersed_chart", `{"counts":[1,5,2],"n":[4,4,0],"of":"units"}`, "n[2]")
	refused(t, "overdispersed_chart", `{"counts":[0,0,0],"n":[4,4,4]}`, "counts")
	refused(t, "overdispersed_chart", `{"counts":[5,5,5],"n":[10,10,10]}`, "counts")
	refused(t, "overdispersed_chart", `{"counts":[5],"n":[10]}`, "counts")
	refused(t, "c_chart", `{"counts":[3]}`, "counts")
	refused(t, "c_chart", `{"counts":[0,0,0]}`, "counts")
	refused(t, "u_chart", `{"counts":[0,0],"units":2}`, "counts")
	refused(t, "np_chart", `{"counts":[4,4],"n":4}`, "counts")
	refused(t, "np_chart", `{"counts":[3,5],"n":-50}`, "n")
	refused(t, "p_chart", `{"counts":[0,0],"n":4}`, "counts")
	refused(t, "individuals_chart", `{"x":[2,2,2,2,2,2]}`, "x")
	refused(t, "mean_range_sd_chart", `{"subgroups":[[1,1],[1,1]]}`, "subgroups")
	refused(t, "mean_range_sd_chart", `{"subgroups":[[1,2]]}`, "subgroups")
	refused(t, "mean_sd_chart_unequal", `{"method":"sbar","subgroups":[[1,1],[1,1,1]]}`, "subgroups")
	refused(t, "mean_sd_interval", `{"x":[5,5,5],"confidence":0.95}`, "x")
	refused(t, "run_length", `{"chart":"individuals","rules":["beyond_limit"],"shifts":[]}`, "shifts")
	refused(t, "overdispersed_chart", `{"counts":[1,5,2],"n":[9,9,9],"of":"wheels"}`, "of")
	refused(t, "ewma", `{"x":[],"target":1,"sigma":1,"lambda":0.2,"L":3}`, "x")
	refused(t, "ewma", `{"x":[1],"target":1,"sigma":0,"lambda":0.2,"L":3}`, "sigma")
	refused(t, "ewma", `{"x":[1],"target":1,"sigma":1,"lambda":1.2,"L":3}`, "lambda")
	refused(t, "ewma", `{"x":[1],"target":1,"sigma":1,"lambda":0.2,"L":-3}`, "L")
	refused(t, "cusum", `{"x":[1],"target":1,"k":-1,"h":4}`, "k")
	refused(t, "cusum", `{"x":[1],"target":1,"k":1,"h":0}`, "h")
	refused(t, "cusum", `{"x":[1],"target":1,"k":1,"h":4,"headstart":5}`, "headstart")
	refused(t, "t2_individuals", `{"x":[[1,2],[2,3],[3,4],[5,6]],"alpha":0.01}`, "x")
	refused(t, "t2_individuals", `{"x":[[1,2],[2]],"alpha":0.01}`, "x[1]")
	refused(t, "t2_individuals", `{"x":[[1,2],[2,1],[3,4],[5,6]],"alpha":0}`, "alpha")
	refused(t, "t2_subgroups", `{"subgroups":[[[1,2],[2,1]],[[1,2]]],"alpha":0.01}`, "subgroups[1]")
}

// One size for all points gives one limit, an array an array. With 6 expected
// of 300 the exact limits are to be used: P(X > 14) is the first tail of no more
// than 0.00135 (Poisson with mean 6: 0.0014, binomial less).
func TestOneOrMany(t *testing.T) {
	one, err := Run("p_chart", []byte(`{"counts":[5,6,7],"n":300}`))
	if err != nil {
		t.Fatal(err)
	}
	many, err := Run("p_chart", []byte(`{"counts":[5,6,7],"n":[300,300,300]}`))
	if err != nil {
		t.Fatal(err)
	}
	var a struct {
		UCL   float64 `json:"ucl"`
		Exact float64 `json:"ucl_exact"`
		Small bool    `json:"small_counts"`
	}
	var b struct {
		UCL []float64 `json:"ucl"`
	}
	if json.Unmarshal(one, &a) != nil || json.Unmarshal(many, &b) != nil || len(b.UCL) != 3 || b.UCL[0] != a.UCL || !a.Small || a.Exact != 14.0/300 {
		t.Errorf("one size: %s\nmany: %s", one, many)
	}
}

// A chart of as many points as are taken, all of different sizes, answers within
// about a second.
func TestLargestCountChart(t *testing.T) {
	sizes, counts := make([]string, mostCounts), make([]string, mostCounts)
	for i := range sizes {
		sizes[i], counts[i] = fmt.Sprint(1_000_000+i), fmt.Sprint(20+i%7)
	}
	input := fmt.Sprintf(`{"counts":[%s],"n":[%s]}`, strings.Join(counts, ","), strings.Join(sizes, ","))
	begin := time.Now()
	if _, err := Run("p_chart", []byte(input)); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(begin); took > 10*time.Second { // Other work may share the machine.
		t.Errorf("%d different sizes took %v", mostCounts, took)
	} else {
		t.Logf("%d different sizes took %v", mostCounts, took)
	}
	refused(t, "c_chart", fmt.Sprintf(`{"counts":[%s,1]}`, strings.Join(counts, ",")), "counts")
}
