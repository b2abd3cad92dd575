package store

import (
	"cmp"
	"context"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// sumTallies sums marked days up in one transaction, until it has written so many
// rows, and returns how many days that were.
func (s *Store) sumTallies(ctx context.Context, zone *time.Location, most int) (done int, err error) {
	var any []tallyDay
	if err := s.read.WithContext(ctx).Table("tally_days").Limit(1).Find(&any).Error; err != nil || len(any) == 0 {
		return 0, err
	}
	err = s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if _, err := s.lockTallies(tx); err != nil {
			return err
		}
		var days []tallyDay
		if err := tx.Table("tally_days").Order("day DESC, family_id").Limit(min(most, 100)).Find(&days).Error; err != nil {
			return err
		}
		for rows := 0; done < len(days) && rows < tallyRowsAtOnce; done++ {
			n, err := sumDay(tx, days[done], zone)
			if err != nil {
				return err
			}
			rows += n
		}
		return nil
	})
	return done, err
}

// sumDay sums one day of a family up anew and takes its mark away; rows is how
// many it wrote.
func sumDay(tx *gorm.DB, at tallyDay, zone *time.Location) (rows int, err error) {
	from, to, err := dayBounds(at.Day, zone)
	if err != nil {
		return 0, err
	}
	sum := &daySum{tallyDay: at, from: from, to: to, sets: map[models.Tally]*models.Tally{}, defects: map[models.DefectTally]*models.DefectTally{}, lots: map[models.LotTally]*models.LotTally{}}
	if at.FamilyID != "" {
		if err := sum.firstSets(tx); err != nil {
			return 0, err
		}
		if len(sum.first) > 0 {
			if err := sum.failures(tx); err != nil {
				return 0, err
			}
			if err := sum.lotsOf(tx); err != nil {
				return 0, err
			}
		}
		if err := sum.nonconformities(tx); err != nil {
			return 0, err
		}
	}
	if err := sum.claims(tx); err != nil {
		return 0, err
	}
	for _, table := range []string{"tallies", "defect_tallies", "lot_tallies", "tally_days"} {
		if err := tx.Exec("DELETE FROM "+table+" WHERE family_id = ? AND day = ?", at.FamilyID, at.Day).Error; err != nil {
			return 0, err
		}
	}
	return sum.write(tx)
}

// daySum is what a day of a family comes to, by keys: the rows with nothing but
// their key in them.
type daySum struct {
	tallyDay
	from, to time.Time
	first    []dayFirst
	byID     map[string]*dayFirst
	sets     map[models.Tally]*models.Tally
	defects  map[models.DefectTally]*models.DefectTally
	lots     map[models.LotTally]*models.LotTally
}

// dayFirst is a first set.
type dayFirst struct {
	ID, ItemID, Stage, ProductID, Place, PersonID, Verdict string
	StartedAt, MeasuredAt                                  time.Time
	PassRounds, PassMinutes                                int
	rework                                                 float64
}

// firstOfDay chooses the first sets of a day of a family.
const firstOfDay = "i.family_id = ? AND i.measured_at >= ? AND i.measured_at < ? AND i.round = 1 AND i.superseded_by IS NULL AND i.stage IN ?"

func (d *daySum) day() []any { return []any{d.FamilyID, d.from, d.to, models.JudgingStages} }

func (d *daySum) firstSets(tx *gorm.DB) error {
	err := tx.Raw(`SELECT CAST(i.id AS text) AS id, CAST(i.item_id AS text) AS item_id, i.stage, coalesce(CAST(i.product_id AS text), '') AS product_id, i.place, CAST(i.person_id AS text) AS person_id,
	i.verdict, i.started_at, i.measured_at, i.pass_rounds, i.pass_minutes FROM inspections AS i WHERE `+firstOfDay+` ORDER BY i.id`, d.day()...).Scan(&d.first).Error
	if err != nil || len(d.first) == 0 {
		return err
	}
	var later []struct {
		ItemID                  string
		PassRounds, PassMinutes int
	}
	err = tx.Raw(`SELECT CAST(i.item_id AS text) AS item_id, p.pass_rounds, p.pass_minutes FROM inspections AS i JOIN inspections AS p ON p.item_id = i.item_id
WHERE `+firstOfDay+` AND i.pass_rounds = 0 AND i.stage = 'after_relief' AND p.pass_rounds > 0 AND p.superseded_by IS NULL`, d.day()...).Scan(&later).Error
	if err != nil {
		return err
	}
	passed := map[string][2]int{}
	for _, l := range later {
		passed[l.ItemID] = [2]int{l.PassRounds, l.PassMinutes}
	}
	d.byID = map[string]*dayFirst{}
	for n := range d.first {
		f := &d.first[n]
		d.byID[f.ID] = f
		key := models.Tally{FamilyID: d.FamilyID, Day: d.Day, Stage: f.Stage, ProductID: f.ProductID, Place: f.Place, PersonID: f.PersonID}
		row := rowOf(d.sets, key)
		row.Inspected++
		switch {
		case passing(f.Verdict):
			row.Passed++
		case f.Verdict == models.VerdictFail:
			row.Failed++
		}
		rounds, minutes := f.PassRounds, f.PassMinutes
		if p, ok := passed[f.ItemID]; ok && rounds == 0 {
			rounds, minutes = p[0], p[1]
			own := int(atStand(nil, standing{startedAt: f.StartedAt, measuredAt: f.MeasuredAt}).Round(time.Minute) / time.Minute)
			f.rework = float64(max(0, minutes-own))
			row.Rework += int(f.rework)
		}
		if rounds > 0 {
			row.Finished++
			row.Rounds += rounds
			row.Minutes += minutes
		}
	}
	return nil
}

// failures counts what failed in first sets, once an item for a code.
func (d *daySum) failures(tx *gorm.DB) error {
	var rows []struct {
		InspectionID, Code, Low string
		ValueF                  *float64
	}
	err := tx.Raw(`SELECT CAST(r.inspection_id AS text) AS inspection_id, r.code, r.low, r.value_f FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id
WHERE `+firstOfDay+` AND i.verdict = 'fail' AND r.verdict IN ? ORDER BY r.inspection_id, r.code, r.position`, append(d.day(), failingVerdicts)...).Scan(&rows).Error
	if err != nil {
		return err
	}
	type mark struct{ inspection, source, code string }
	seen := map[mark]bool{}
	codes := map[string][]string{}
	for _, r := range rows {
		f := d.byID[r.InspectionID]
		if f == nil {
			continue
		}
		if m := (mark{r.InspectionID, models.FromResult, r.Code}); !seen[m] {
			seen[m] = true
			d.defect(f, models.FromResult, r.Code).Items++
		}
		code := models.DefectOf(r.Code, under(r.ValueF, r.Low))
		if m := (mark{r.InspectionID, models.FromFirstSet, code}); !seen[m] {
			seen[m] = true
			codes[r.InspectionID] = append(codes[r.InspectionID], code)
		}
	}
	for n := range d.first { // In the order of keys: sums of fractions must come out the same each time.
		f := &d.first[n]
		for _, code := range codes[f.ID] {
			row := d.defect(f, models.FromFirstSet, code)
			share := f.rework / float64(len(codes[f.ID]))
			row.Items++
			row.Rework += share
			row.ReworkSq += share * share
		}
	}
	return nil
}

// failingVerdicts are those that models.Failed knows.
var failingVerdicts = []string{models.VerdictFail, models.VerdictConditionalFail, models.VerdictNonconformity}

// under says whether a value lies below a lower limit; of what is no number, no.
func under(value *float64, low string) bool {
	limit, err := strconv.ParseFloat(low, 64)
	return err == nil && value != nil && *value < limit
}

func (d *daySum) defect(f *dayFirst, source, code string) *models.DefectTally {
	return rowOf(d.defects, models.DefectTally{FamilyID: d.FamilyID, Day: d.Day, Source: source, Code: code, Stage: f.Stage, ProductID: f.ProductID, Place: f.Place, PersonID: f.PersonID})
}

// lotsOf counts first sets by the lots whose pieces were in the item by then: a
// lot that was fitted afterwards, perhaps because it failed, has no part in it.
func (d *daySum) lotsOf(tx *gorm.DB) error {
	var rows []struct{ ID, LotID string }
	err := tx.Raw(`SELECT DISTINCT CAST(i.id AS text) AS id, CAST(f.lot_id AS text) AS lot_id FROM inspections AS i JOIN fitted_parts AS f ON f.item_id = i.item_id
WHERE `+firstOfDay+` AND f.lot_id IS NOT NULL AND f.fitted_at <= i.received_at AND (f.out_at IS NULL OR f.out_at > i.measured_at)`, d.day()...).Scan(&rows).Error
	for _, r := range rows {
		f := d.byID[r.ID]
		if f == nil || f.Verdict != models.VerdictFail && !passing(f.Verdict) {
			continue
		}
		row := rowOf(d.lots, models.LotTally{FamilyID: d.FamilyID, Day: d.Day, Stage: f.Stage, LotID: r.LotID, ProductID: f.ProductID})
		if f.Verdict == models.VerdictFail {
			row.Failed++
		} else {
			row.Passed++
		}
	}
	return err
}

func (d *daySum) nonconformities(tx *gorm.DB) error {
	var rows []struct{ Code, Severity, ProductID string }
	err := tx.Raw(`SELECT n.code, n.severity, coalesce(CAST(t.product_id AS text), '') AS product_id FROM nonconformities AS n JOIN items AS t ON t.id = n.item_id
WHERE n.opened_at >= ? AND n.opened_at < ? AND t.family_id = ?`, d.from, d.to, d.FamilyID).Scan(&rows).Error
	for _, r := range rows {
		rowOf(d.defects, models.DefectTally{FamilyID: d.FamilyID, Day: d.Day, Source: models.FromNonconformity, Code: r.Code, ProductID: r.ProductID, Severity: models.Severity(r.Severity)}).Items++
	}
	return err
}

// claims counts claims opened on the day, by what they are coded now. One that
// found no fault counts for nothing but what it cost.
func (d *daySum) claims(tx *gorm.DB) error {
	var claims []struct{ ID, ProductID string }
	err := tx.Raw(`SELECT CAST(c.id AS text) AS id, coalesce(CAST(t.product_id AS text), '') AS product_id FROM claims AS c LEFT JOIN items AS t ON t.id = c.item_id
WHERE c.opened_at >= ? AND c.opened_at < ? AND coalesce(CAST(t.family_id AS text), '') = ? ORDER BY c.id`, d.from, d.to, d.FamilyID).Scan(&claims).Error
	if err != nil || len(claims) == 0 {
		return err
	}
	ids := make([]string, len(claims))
	for i, c := range claims {
		ids[i] = c.ID
	}
	newest := map[[2]string]models.ClaimEvent{}
	for chunk := range slices.Chunk(ids, 500) {
		var events []models.ClaimEvent
		if err := tx.Where("claim_id IN ? AND what IN ?", chunk, []string{models.ClaimCoded, models.ClaimAnswered, models.ClaimCost}).Order("id").Find(&events).Error; err != nil {
			return err
		}
		for _, e := range events {
			newest[[2]string{e.ClaimID, e.What}] = e
		}
	}
	for _, c := range claims {
		cost, code := newest[[2]string{c.ID, models.ClaimCost}], newest[[2]string{c.ID, models.ClaimCoded}].Code
		amount, priced := new(big.Rat).SetString(cost.Amount)
		key := models.DefectTally{FamilyID: d.FamilyID, Day: d.Day, Source: models.FromClaim, Code: code, ProductID: c.ProductID}
		if priced {
			key.Currency = cost.Currency
		}
		noFault := newest[[2]string{c.ID, models.ClaimAnswered}].Decision == models.ClaimNoFault
		if noFault && !priced {
			continue
		}
		row := rowOf(d.defects, key)
		if !noFault {
			row.Items++
		}
		if priced {
			f, _ := amount.Float64()
			row.Priced++
			row.Amount = addedText(row.Amount, cost.Amount)
			row.AmountSq += f * f
		}
	}
	return nil
}

// addedText adds decimal texts exactly, with as many decimals as the longer has.
func addedText(a, b string) string {
	x, okX := new(big.Rat).SetString(a)
	y, okY := new(big.Rat).SetString(b)
	if !okX || !okY {
		return cmp.Or(a, b)
	}
	decimals := func(text string) int {
		_, fraction, _ := strings.Cut(text, ".")
		return len(fraction)
	}
	return x.Add(x, y).FloatString(max(decimals(a), decimals(b)))
}

// rowOf is the row of a key, which is made where there is none.
func rowOf[T comparable](rows map[T]*T, key T) *T {
	if rows[key] == nil {
		row := key
		rows[key] = &row
	}
	return rows[key]
}

func (d *daySum) write(tx *gorm.DB) (int, error) {
	sets, defects, lots := valuesOf(d.sets), valuesOf(d.defects), valuesOf(d.lots)
	for _, err := range []error{createAll(tx, sets), createAll(tx, defects), createAll(tx, lots)} {
		if err != nil {
			return 0, err
		}
	}
	return len(sets) + len(defects) + len(lots), nil
}

func valuesOf[T comparable](rows map[T]*T) []T {
	out := make([]T, 0, len(rows))
	for _, row := range rows {
		out = append(out, *row)
	}
	return out
}

func createAll[T any](tx *gorm.DB, rows []T) error {
	for chunk := range slices.Chunk(rows, tallyRowsAtOnce) {
		if err := tx.Create(&chunk).Error; err != nil {
			return err
		}
	}
	return nil
}
