package web

import (
	"context"

	"tracewright/models/words"
	"tracewright/models/work/gauges"
)

// checkRows are the short checks of gauges that want somebody: a row for each gauge
// whose check failed and was not answered, and one for all that are due today; n is how
// many gauges there are.
func (s *site) checkRows(ctx context.Context) (failed, due []TodayRow, n int, err error) {
	list, err := s.services.Gauges.ChecksNeeded(ctx)
	if err != nil {
		return nil, nil, 0, err
	}
	var waiting []gauges.CheckNeeded
	for _, n := range list {
		if n.State == gauges.ChecksDue {
			waiting = append(waiting, n)
			continue
		}
		failed = append(failed, TodayRow{Mark: Mark{"triangle", "Gauge", "care"}, Act: checkAct(n),
			Title: append(gaugeName(n), Span{Text: " failed its last check"}),
			Line:  words.Sentence(placed(n)) + "Check it again, calibrate it or take it out of use; see what it had measured."})
	}
	if len(waiting) == 0 {
		return failed, nil, len(list), nil
	}
	row := TodayRow{Mark: Mark{"clock", "Check", "none"}, Title: append(gaugeName(waiting[0]), Span{Text: " is to be checked today"}), Line: words.Sentence(placed(waiting[0])), Act: checkAct(waiting[0])}
	if len(waiting) > 1 {
		row.Title, row.Line = []Span{{Text: counted(len(waiting), "gauge is", "gauges are") + " to be checked today: "}}, ""
		for i, n := range waiting {
			if i > 0 {
				row.Title = append(row.Title, Span{Text: ", "})
			}
			row.Title = append(row.Title, Span{Text: n.Instrument.Code, Mono: true, Path: instrumentPath(n.Instrument.Code) + "#checks"})
		}
		row.Act = Act{Text: "See all gauges", Path: "/instruments"}
	}
	return failed, []TodayRow{row}, len(list), nil
}

func gaugeName(n gauges.CheckNeeded) []Span {
	return []Span{{Text: words.Sentence(english.Instrument(n.Instrument.Kind)) + " "}, {Text: n.Instrument.Code, Mono: true}}
}

func placed(n gauges.CheckNeeded) string { return stopped(n.Instrument.Place) + " " }

func checkAct(n gauges.CheckNeeded) Act {
	return Act{Text: "Open the gauge", Path: instrumentPath(n.Instrument.Code) + "#checks"}
}
