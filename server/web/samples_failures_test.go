package web

import (
	"tracewright/models"
	"tracewright/models/work/failures"
)

// failurePages are the page of what fails: with nothing, with all there is, ordered
// in each way, and the items behind a bar.
func failurePages(s *site, owner Frame) map[string][]any {
	share := failures.Share{K: 9, N: 41, Value: 0.2195, Low: 0.12, High: 0.367}
	took := failures.Took{Finished: 41, Rounds: 52, Minutes: 600, Rework: 90, Again: share}
	v := failures.View{Query: failures.Query{What: models.KindWheel, From: "2027-03-01", To: "2027-05-24"}, Kind: models.KindWheel, Products: []models.Product{{ID: "p1", Name: "Quillet 26 rear"}}, Places: []string{"stand 1", "stand 2"},
		Waiting: 2, Inspected: 44, Failed: 9, Undecided: 3, Yield: failures.Share{K: 32, N: 41, Value: 0.78, Low: 0.63, High: 0.88}, Rolled: &failures.Rolled{Value: 0.77, Low: 0.6, High: 0.87}, Usual: 0.78,
		Causes: []failures.Cause{{Code: "W01", Severity: models.Major, Share: share}, {Code: "W15", Severity: models.Critical, Share: share}, {Code: "W02", Severity: models.Major, Share: share}, {Code: "spokes_seated", Severity: models.Major, Share: share}}, Joined: []failures.Span{{From: 0, To: 2}, {From: 1, To: 3}},
		Weeks:  []failures.Week{{Monday: "2027-05-10", Share: share, Limited: true, Low: 4, High: 12, Signal: "low"}, {Monday: "2027-05-17", Share: share, Limited: true, Low: 4, High: 8, Signal: "high"}, {Monday: "2027-05-24", Share: share}},
		Months: []failures.Month{{Month: "2027-04", Took: failures.Took{Again: share}}, {Month: "2027-05", Took: took}}, Took: took, Compared: 3, Rate: &failures.Rate{Amount: 45, Text: "45", Currency: "EUR"},
		Cuts: []failures.Cut{{By: failures.ByPlace, Among: 2, Groups: []failures.Group{{ID: "stand 1", Name: "stand 1", K: 9, N: 41, Expected: 4.2, Low: 1, High: 8, Least: 0, Most: 8, Signal: "high"}, {ID: "stand 2", Name: "stand 2", K: 0, N: 41, Expected: 4.2, Low: 1, High: 8, Least: 1, Most: 8, Signal: "low"}}}, {By: failures.ByPerson, Few: []failures.Group{{ID: "p2", Name: "Inge Okarra", K: 1, N: 3}}, Hidden: true},
			{By: failures.ByLot, Few: []failures.Group{{ID: "l1", Name: "RM-1", K: 1, N: 3}, {ID: "l2", Name: "RM-2", K: 1, N: 3}}}, {By: failures.ByMonth, Groups: []failures.Group{{ID: "2027-04", Name: "2027-04", K: 3, N: 41, Expected: 4, Low: 1, High: 8, Least: 0, Most: 9}}}},
		Costs: []failures.Cost{{Currency: "EUR", Total: 200, Joined: []failures.Span{{From: 0, To: 1}}, Rows: []failures.CostRow{{Code: "W08", Claims: 5, Amount: "150.00", Minutes: 30, Total: 172.5, Low: 100, High: 240, Interval: true}, {Code: "", Claims: 1, Amount: "27.5", Total: 27.5}}}},
		Later: []failures.Later{{Code: "W08", Severity: models.Critical, Nonconformities: 1, Claims: 5}, {Claims: 1}},
		Says: []models.Sentence{{Remark: models.NewRemark("failures_week_low", "date", "2027-05-10", "k", "9", "n", "41", "kinds", "wheel", "least", "20", "share", "78.0")}, {Remark: models.NewRemark("failures_place_high", "name", "stand 1", "k", "9", "n", "41", "kinds", "wheel", "expected", "4.2")},
			{Remark: models.NewRemark("failures_rounds", "n", "41", "kinds", "wheel", "rounds", "1.3", "minutes", "14")}, {Remark: models.NewRemark("failures_no_rate")}, {Remark: models.NewRemark("failures_waiting", "days", "2")}},
		Answer: models.NewRemark("failures_none", "n", "1", "kinds", "wheel")}
	page := func(by string, v failures.View) FailuresPage {
		p := FailuresPage{Frame: owner, View: by, Fields: failuresFields(v, []models.Family{{ID: "f1", Kind: models.KindWheel, Name: "Rear"}, {ID: "f2", Kind: models.KindWheel, Name: "Front"}}, models.NewDefects(nil))}
		s.fillFailures(&p, v, models.NewDefects(nil))
		return p
	}
	none := failures.View{Query: v.Query, Kind: models.KindPack, Answer: models.NewRemark("failures_none_measured", "kinds", "pack")}
	list := FailedItemsPage{Frame: owner, People: true}
	s.fillFailedItems(&list, failures.Items{Query: failures.ItemQuery{Query: failures.Query{From: "2027-03-01", To: "2027-05-24", Code: "W01"}}, Kind: models.KindWheel, Total: 300, List: []models.FirstSet{{ItemID: "i1", Serial: "W26000051", PersonID: "p2", MeasuredAt: sampleNow, Verdict: models.VerdictFail,
		Failed: []models.FailedResult{{Code: "lateral_tir", Value: "0.71", Unit: "mm", High: "0.50"}, {Code: "tension_mean_tight", Value: "700", Unit: "N", Low: "800", High: "1200"}, {Code: "tension_lowest", Value: "400", Unit: "N", Low: "450"}, {Code: "spins_freely", Value: "no"}}}}}, map[string]string{"p2": "Inge Okarra"}, nil, models.NewDefects(nil))
	return map[string][]any{
		"failures":     {FailuresPage{Frame: owner}, page("", v), page("cost", v), page("severity", v), page("cost", none), page("", failures.View{}), FailuresPage{Frame: owner, Answer: "This cannot be told", Problem: "The end lies before the start."}},
		"failed_items": {FailedItemsPage{Frame: owner}, list},
	}
}
