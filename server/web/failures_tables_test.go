package web

import (
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/failures"
)

// Every table that the page links to is one, with its units in its headings and as
// many cells as headings; the figures are those of the page.
func TestWhatFailsAsTables(t *testing.T) {
	share := failures.Share{K: 1, N: 8, Value: 0.125, Low: 0.0032, High: 0.5265} // Clopper and Pearson: R, binom.test(1, 8).
	v := failures.View{Kind: models.KindWheel, Query: failures.Query{From: "2031-05-01", To: "2031-05-31"},
		Causes: []failures.Cause{{Code: "W01", Severity: models.Major, Share: share}, {Code: "lacing_ok", Share: share}},
		Weeks:  []failures.Week{{Monday: "2031-05-05", Share: share, Limited: true, Low: 3, High: 8, Signal: "low"}, {Monday: "2031-05-12", Share: share}},
		Cuts:   []failures.Cut{{By: failures.ByPlace, Groups: []failures.Group{{Name: "stand 1", K: 4, N: 40, Expected: 2.5, Low: 1, High: 6, Least: 0, Most: 8}}, Few: []failures.Group{{Name: "stand 2", K: 1, N: 9}}}},
		Months: []failures.Month{{Month: "2031-05", Took: failures.Took{Finished: 8, Rounds: 10, Minutes: 90, Again: share}}},
		Costs:  []failures.Cost{{Currency: "EUR", Rows: []failures.CostRow{{Code: "W01", Claims: 2, Amount: "40.50", Minutes: 30, Total: 60.5, Low: 10, High: 90, Interval: true}, {Code: "W02", Total: 3}}}},
		Later:  []failures.Later{{Code: "W08", Severity: models.Critical, Nonconformities: 1, Claims: 2}}}
	for which, want := range map[string]struct {
		headings string
		row      string
	}{
		tableCauses: {"code cause severity failed first sets share(%) 95 % from(%) 95 % to(%)", "W01|" + english.Fault("W01") + "|" + english.Severity("major") + "|1|8|12.5|0.3|52.6"},
		tableWeeks:  {"week of passed first sets yield(%) 95 % from(%) 95 % to(%) limit below(wheels) limit above(wheels) signal", "2031-05-05|1|8|12.5|0.3|52.6|3|8|below its limits"},
		tableGroups: {"by name failed first sets expected 95 % from 95 % to all groups from all groups to signal", "Place|stand 1|4|40|2.5|1|6|0|8|"},
		tableMonths: {"first read in passed rounds each minutes each(min) need a second round of share(%) 95 % from(%) 95 % to(%)", "2031-05|8|1.25|11.2|1|8|12.5|0.3|52.6"},
		tableCosts:  {"code cause severity claims claimed(EUR) at the stand(min) together(EUR) 95 % from(EUR) 95 % to(EUR)", "W01|" + english.Fault("W01") + "||2|40.50|30|60.50|10.00|90.00"},
		tableLater:  {"code what severity nonconformities claims", "W08|Spoke broken|" + english.Severity("critical") + "|1|2"},
	} {
		table, err := failuresTable(v, models.Defects{}, which, map[string]string{tableCosts: "EUR"}[which])
		if err != nil {
			t.Fatal(err)
		}
		var headings []string
		for _, c := range table.Columns {
			if c.Unit != "" {
				c.Name += "(" + c.Unit + ")"
			}
			headings = append(headings, c.Name)
		}
		if got := strings.Join(headings, " "); got != want.headings {
			t.Errorf("%s is headed %s", which, got)
		}
		if len(table.Rows) == 0 || strings.Join(table.Rows[0], "|") != want.row {
			t.Errorf("%s: %q, want %s", which, table.Rows, want.row)
		}
		if slices.ContainsFunc(table.Rows, func(row []string) bool { return len(row) != len(table.Columns) }) {
			t.Errorf("%s has rows that are not as wide as its headings: %q", which, table.Rows)
		}
	}
	for _, c := range [][2]string{{"colours", ""}, {tableCosts, "gold"}} {
		if _, err := failuresTable(v, models.Defects{}, c[0], c[1]); err == nil {
			t.Errorf("%q is a table", c)
		}
	}
}
