package lists

import (
	"context"

	"tracewright/models"
)

// results are what inspections found. Who measured is left out: a list of them
// would say how well each person works, which is nobody's question here.
var results = Kind{Name: "results", Out: models.ActLook, write: writeResults, Columns: []Column{
	{Name: "item"}, {Name: "kind"}, {Name: "stage"}, {Name: "measured at"}, {Name: "result"}, {Name: "place"}, {Name: "value"}, {Name: "unit"}, {Name: "verdict"},
}}

func writeResults(ctx context.Context, s *Service, o *output) error {
	for after := ""; ; {
		list, last, err := s.store.ResultsAfter(ctx, after, page)
		if err != nil {
			return err
		}
		for _, r := range list {
			name, value := printed(r.Serial), r.Value
			if name == "" {
				name = r.Number
			}
			if r.ValueF != nil {
				value = o.Number(value)
			}
			if err := o.Row(name, r.Kind, s.words.Stage(r.Stage), r.MeasuredAt.In(o.zone).Format("2006-01-02 15:04"), s.words.Result(r.Code), r.Position, value, s.words.Unit(r.Unit), s.words.Verdict(r.Verdict)); err != nil {
				return err
			}
		}
		if after = last; after == "" {
			return nil
		}
	}
}
