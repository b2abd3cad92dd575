package attention

import (
	"context"
	"strconv"

	"tracewright/models"
)

// nonconformities are those that are open: what touches safety a row each until there
// are many, all others one.
func (s *Service) nonconformities(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActDispose}
	open, err := s.store.OpenNonconformities(ctx)
	if err != nil {
		return out, err
	}
	if len(open) == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_nonconformity")}
		return out, nil
	}
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return out, err
	}
	defects.Weigh(open)
	var critical, others []models.NonconformityView
	for _, n := range open {
		if n.Worst() == models.Critical {
			critical = append(critical, n)
		} else {
			others = append(others, n)
		}
	}
	serials, err := s.serialsOf(ctx, critical[:min(len(critical), eachShown+1)], others[:min(len(others), namedInLine)])
	if err != nil {
		return out, err
	}
	one := func(n models.NonconformityView, code string, level Level) Row {
		row := Row{Kind: Nonconforming, Level: level, Since: n.OpenedAt, Count: 1, Do: Deed{Code: "decide", Needs: models.ActDispose, At: "nonconformity", Named: n.Number},
			Says: models.NewRemark(code, "nonconformity", n.Number, "serial", serials[n.ItemID], "fault", fault(defects, n.Code, n.OpenedAt))}
		if n.Note != "" {
			row.Lines = []models.Remark{models.NewRemark("attention_note", "note", noted(n.Note))}
		}
		return row
	}
	// They come oldest first, so that the first of several has waited longest.
	many := func(list []models.NonconformityView, code string, level Level) Row {
		return Row{Kind: Nonconforming, Level: level, Since: list[0].OpenedAt, Count: len(list), Do: Deed{Code: "see_all", Needs: models.ActDispose, At: "nonconformity"}, Says: models.NewRemark(code, "count", strconv.Itoa(len(list)))}
	}
	for i, n := range critical {
		if i == eachShown && len(critical) > eachShown+1 {
			out.rows = append(out.rows, many(critical[i:], "attention_critical_many", Safety))
			break
		}
		out.rows = append(out.rows, one(n, "attention_critical", Safety))
	}
	switch len(others) {
	case 0:
	case 1:
		out.rows = append(out.rows, one(others[0], "attention_nonconformity_one", Stuck))
	default:
		row := many(others, "attention_nonconformity_many", Stuck)
		for _, n := range others[:min(len(others), namedInLine)] {
			row.Lines = append(row.Lines, models.NewRemark("attention_held", "serial", serials[n.ItemID], "fault", fault(defects, n.Code, n.OpenedAt), "age", strconv.Itoa(at.days(n.OpenedAt))))
		}
		out.rows = append(out.rows, row)
	}
	return out, nil
}

// serialsOf are the names of the items that nonconformities are on, by their keys.
func (s *Service) serialsOf(ctx context.Context, lists ...[]models.NonconformityView) (map[string]string, error) {
	var ids []string
	for _, list := range lists {
		for _, n := range list {
			ids = append(ids, n.ItemID)
		}
	}
	items, err := s.store.ItemsByID(ctx, ids)
	if err != nil {
		return nil, err
	}
	serials := make(map[string]string, len(items))
	for _, i := range items {
		serials[i.ID] = i.Name()
	}
	return serials, nil
}
