package main

import (
	"encoding/json"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models/words"
	"tracewright/testdata/demo"
)

// What is stored of every watched chart is what its chart says to whoever opens
// it: the same signals at the same points, in the same words.
func TestStoredSignalsAreThoseOfTheCharts(t *testing.T) {
	english := words.In("en")
	for _, scenario := range []string{demo.Story, demo.Quiet} {
		t.Run(scenario, func(t *testing.T) {
			s := ask(t, scenario, 1)
			kept, err := s.app.Store.KeptCharts(t.Context())
			if err != nil || len(kept) < 40 {
				t.Fatalf("%d charts are watched, %v; want those of every stand", len(kept), err)
			}
			all := 0
			for _, k := range kept {
				stored, err := s.app.Services.Watch.Of(t.Context(), k.ChartKey)
				if err != nil {
					t.Fatal(err)
				}
				var chart struct {
					Points []struct {
						InspectionID string `json:"inspection_id"`
					} `json:"points"`
					Signals []struct {
						Rule    string `json:"rule"`
						Side    string `json:"side"`
						Point   int    `json:"point"`
						Covered bool   `json:"covered"`
						Reason  struct {
							Message string `json:"message"`
						} `json:"reason"`
					} `json:"signals"`
				}
				query := url.Values{"family": {k.FamilyID}, "product": {k.ProductID}, "place": {k.Place}, "result": {k.Result}, "from": {"2030-01-01"}}
				if err := json.Unmarshal([]byte(s.read(t, "/api/v1/charts?"+query.Encode())), &chart); err != nil {
					t.Fatal(err)
				}
				var got, want []string
				for _, g := range stored {
					got = append(got, fmt.Sprint(g.Rule, " ", g.Side, " ", g.InspectionID, " ", english.Remark(g.Reason)))
				}
				for _, g := range chart.Signals {
					if !g.Covered {
						want = append(want, fmt.Sprint(g.Rule, " ", g.Side, " ", chart.Points[g.Point].InspectionID, " ", g.Reason.Message))
					}
				}
				slices.Sort(got)
				slices.Sort(want)
				if !slices.Equal(got, want) {
					t.Errorf("%s at %q: stored\n%s\nits chart says\n%s", k.Result, k.Place, strings.Join(got, "\n"), strings.Join(want, "\n"))
				}
				all += len(stored)
			}
			open, err := s.app.Services.Watch.Open(t.Context())
			if err != nil || len(open) != min(all, 200) {
				t.Errorf("%d signals without a cause, %v; want all %d", len(open), err, all)
			}
			t.Logf("%d signals on %d charts", all, len(kept))
			if scenario != demo.Story {
				return
			}
			// A review of the month in which the roller was replaced tells of its stand.
			said, err := s.app.Services.Watch.Said(t.Context(), s.truth.RollerFrom, s.truth.RollerReplaced.Add(24*time.Hour))
			if err != nil {
				t.Fatal(err)
			}
			var lines []string
			for _, sentence := range said {
				lines = append(lines, english.Remark(sentence.Remark))
			}
			if text := strings.Join(lines, "\n"); !strings.Contains(text, "Lateral run-out, full reading, Large-rim hub wheels, "+s.truth.RollerStand) {
				t.Errorf("said:\n%s", text)
			}
		})
	}
}
