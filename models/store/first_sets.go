package store

import (
	"context"
	"strings"

	"gorm.io/gorm"

	"tracewright/models"
)

// FirstSets lists the first sets behind a count, newest first, with what failed in
// them, and says how many there are.
func (s *Store) FirstSets(ctx context.Context, q models.FirstSetQuery) (list []models.FirstSet, total int, err error) {
	where := []string{"i.family_id IN ?", "i.measured_at >= ?", "i.measured_at < ?", "i.round = 1", "i.superseded_by IS NULL", "i.stage IN ?"}
	args := []any{q.Families, models.Moment(q.From), models.Moment(q.To), models.JudgingStages}
	for _, f := range []struct{ column, value string }{{"i.product_id", q.ProductID}, {"i.place", q.Place}, {"i.person_id", q.PersonID}} {
		if f.value != "" {
			where, args = append(where, f.column+" = ?"), append(args, f.value)
		}
	}
	if q.LotID != "" { // As daySum.lotsOf counts them.
		where = append(where, "i.verdict IN ('pass', 'provisional', 'fail') AND EXISTS (SELECT 1 FROM fitted_parts AS f WHERE f.item_id = i.item_id AND f.lot_id = ? AND f.fitted_at <= i.received_at AND (f.out_at IS NULL OR f.out_at > i.measured_at))")
		args = append(args, q.LotID)
	}
	if q.Failed || q.Code != "" {
		where = append(where, "i.verdict = 'fail'")
	}
	if q.Code != "" {
		results, sided, below := models.ResultsOf(q.Code)
		side := "r.code IN ?"
		switch under := "r.value_f < CASE WHEN r.low <> '' THEN CAST(r.low AS double precision) END"; {
		case len(sided) > 0 && below:
			side = "r.code IN ? AND coalesce(" + under + ", false)"
		case len(sided) > 0:
			side = "r.code IN ? AND NOT coalesce(" + under + ", false)"
		}
		where = append(where, "EXISTS (SELECT 1 FROM results AS r WHERE r.inspection_id = i.id AND r.verdict IN ? AND (r.code IN ? OR "+side+"))")
		args = append(args, failingVerdicts, atLeastOne(results), atLeastOne(sided))
	}
	err = s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error { // One state for the count and the list.
		from := " FROM inspections AS i JOIN items AS t ON t.id = i.item_id WHERE " + strings.Join(where, " AND ")
		if err := tx.Raw("SELECT count(*)"+from, args...).Scan(&total).Error; err != nil {
			return err
		}
		err := tx.Raw("SELECT CAST(i.id AS text) AS inspection_id, CAST(i.item_id AS text) AS item_id, coalesce(t.serial, '') AS serial, coalesce(CAST(i.product_id AS text), '') AS product_id, i.place, CAST(i.person_id AS text) AS person_id, i.measured_at, i.verdict"+
			from+" ORDER BY i.measured_at DESC, i.id DESC LIMIT ?", append(args, q.Limit)...).Scan(&list).Error
		if err != nil {
			return err
		}
		return failedIn(tx, list)
	})
	return list, total, fault(err, "list first sets")
}

// failedIn fills in what failed in each.
func failedIn(tx *gorm.DB, list []models.FirstSet) error {
	at := map[string]int{}
	var ids []string
	for i, f := range list {
		if f.Verdict == models.VerdictFail {
			at[f.InspectionID] = i
			ids = append(ids, f.InspectionID)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	var rows []struct {
		InspectionID string
		models.FailedResult
	}
	err := tx.Raw("SELECT CAST(inspection_id AS text) AS inspection_id, code, value, unit, low, high FROM results WHERE inspection_id IN ? AND verdict IN ? ORDER BY inspection_id, code, position", ids, failingVerdicts).Scan(&rows).Error
	for _, r := range rows {
		f := &list[at[r.InspectionID]]
		f.Failed = append(f.Failed, r.FailedResult)
	}
	return err
}

// atLeastOne keeps a list from being empty, which is no list in SQL.
func atLeastOne(list []string) []string {
	if len(list) == 0 {
		return []string{""}
	}
	return list
}
