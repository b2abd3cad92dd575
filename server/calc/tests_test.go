package calc

import (
	"strings"
	"testing"
)

// What the tests of groups refuse, and the field that they name.
func TestGroupsRefused(t *testing.T) {
	for _, test := range []struct{ name, kind, input, field string }{
		{"no groups", "oneway_anova", `{"groups":[]}`, "groups"},
		{"one group", "oneway_anova", `{"groups":[[1,2]]}`, "groups"},
		{"an empty group", "oneway_anova", `{"groups":[[1,2],[]]}`, "groups[1]"},
		{"equal values", "oneway_anova", `{"groups":[[1,1],[2,2]]}`, "groups"},
		{"a group of equal values", "variance_tests", `{"groups":[[1,2,3],[2,2,2]]}`, "groups[1]"},
		{"no level", "anom_means", `{"groups":[[1,2],[3,5]],"alpha":0}`, "alpha"},
		{"more than all", "anom_proportions", `{"x":[1,9],"n":[5,5],"alpha":0.05}`, "x[1]"},
		{"fewer than none", "anom_proportions", `{"x":[-1,2],"n":[5,5],"alpha":0.05}`, "x[0]"},
		{"counts without sizes", "funnel_limits", `{"x":[1,2],"n":[5],"target":0.1}`, "x"},
		{"no target", "funnel_limits", `{"x":[1],"n":[5],"target":0}`, "target"},
		{"a row of two", "funnel_exact", `{"rows_name_k_n":[["A",1],["B",2,5]]}`, "rows_name_k_n[0]"},
		{"a name that is a number", "funnel_exact", `{"rows_name_k_n":[["A",1,5],[2,2,5]]}`, "rows_name_k_n[1][0]"},
		{"a count that is text", "funnel_exact", `{"rows_name_k_n":[["A","1",5],["B",2,5]]}`, "rows_name_k_n[0][1]"},
		{"a size that is null", "funnel_exact", `{"rows_name_k_n":[["A",1,null],["B",2,5]]}`, "rows_name_k_n[0][2]"},
		{"a count above its size", "funnel_exact", `{"rows_name_k_n":[["A",1,5],["B",6,5]]}`, "rows_name_k_n[1][1]"},
		{"one row", "funnel_exact", `{"rows_name_k_n":[["A",1,5]]}`, "rows_name_k_n"},
	} {
		t.Run(test.name, func(t *testing.T) { refused(t, test.kind, test.input, test.field) })
	}
}

// A limit of groups of one size is one number, of several a list.
func TestAnomMeansLimits(t *testing.T) {
	for input, list := range map[string]bool{
		`{"groups":[[1,2],[3,5],[2,4]],"alpha":0.05}`:   false,
		`{"groups":[[1,2],[3,5,4],[2,4]],"alpha":0.05}`: true,
	} {
		got, err := Run("anom_means", []byte(input))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(got), `"ldl":[`) != list || !strings.Contains(string(got), `"ldl":`) {
			t.Errorf("%s: %s; want a list of limits: %v", input, got, list)
		}
	}
}
