package store

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
)

// dischargeColumns are what a discharge is read from: its end follows from the
// first and the last row of its log. %first and %last are those, by dialect.
const dischargeColumns = `, t.id, t.started_at, t.entered_by, t.entered_at, %first, %last`

// wasIn leaves out the parts of which the record was wrong.
const wasIn = ` AND NOT EXISTS (SELECT 1 FROM part_removals AS r WHERE r.fitted_id = f.id AND r.fate = 'never_in')`

// emptiedWith joins the tests of a pack with what was in it then.
const emptiedWith = `JOIN fitted_parts AS f ON f.item_id = t.item_id AND (f.out_at IS NULL OR f.out_at >= t.started_at) AND f.fitted_at <= t.entered_at` + wasIn

// chargedWith joins parts with the charges that have ended of packs they were in
// then: what a pack went through, its blocks did too.
const chargedWith = `fitted_parts AS f JOIN charges AS c ON c.item_id = f.item_id AND (f.out_at IS NULL OR c.started_at <= f.out_at)` + wasIn + `
	JOIN charge_ends AS e ON e.charge_id = c.id AND e.ended_at >= f.fitted_at`

// discharging finds the capacity tests of an item and those of a pack that it, or
// a part in it, was in then: its own first. %s names the item, three times.
const discharging = `SELECT 0 AS other, t.item_id` + dischargeColumns + ` FROM items AS i JOIN capacity_tests AS t ON t.item_id = i.id WHERE %s
UNION ALL SELECT 1 AS other, f.part_id` + dischargeColumns + ` FROM capacity_tests AS t ` + emptiedWith + `
WHERE f.part_id IN (SELECT i.id FROM items AS i WHERE %s UNION ALL
	SELECT p.part_id FROM items AS i JOIN fitted_parts AS p ON p.item_id = i.id WHERE %s AND p.part_id IS NOT NULL AND p.out_at IS NULL)
ORDER BY 1, 4 DESC`

// discharges of many items: %s is the list of their keys, twice.
const discharges = `SELECT 0, t.item_id` + dischargeColumns + ` FROM capacity_tests AS t WHERE t.item_id IN (%s)
UNION ALL SELECT 1, f.part_id` + dischargeColumns + ` FROM capacity_tests AS t ` + emptiedWith + ` WHERE f.part_id IN (%s)`

// dischargesOf asks for discharges by one of the texts above; args are those of
// one place that is named.
func (s *Store) dischargesOf(text, where string, args []any, row func(models.ChargeView)) question {
	first, last := `json_extract(t.log, '$.hours[0]')`, `json_extract(t.log, '$.hours[#-1]')`
	if s.dialect == Postgres {
		first, last = `CAST(t.log AS jsonb) #>> '{hours,0}'`, `CAST(t.log AS jsonb) #>> '{hours,-1}'`
	}
	named := strings.Count(text, "%s")
	text = strings.NewReplacer("%first", first, "%last", last, "%s", where).Replace(text)
	return question{text, slices.Repeat(args, named), func(scan func(...any) error) error {
		var (
			d           models.Charge
			other       int
			first, last *string
		)
		if err := scan(&other, &d.ItemID, &d.ID, &d.StartedAt, &d.StartedBy, &d.EnteredAt, &first, &last); err != nil {
			return err
		}
		d.Kind, d.StartedAt, d.EnteredAt = models.Discharge, d.StartedAt.UTC(), d.EnteredAt.UTC()
		end := models.ChargeEnd{ChargeID: d.ID, EndedAt: d.StartedAt.Add(span(first, last)), EndedBy: d.StartedBy, EnteredAt: d.EnteredAt}
		row(models.ChargeView{Charge: d, End: &end})
		return nil
	}}
}

// span is the time from one hour of a log to another. They were checked when the
// log was added: of one that says nothing it is 0.
func span(first, last *string) time.Duration {
	if first == nil || last == nil {
		return 0
	}
	from, errFrom := strconv.ParseFloat(*first, 64)
	to, errTo := strconv.ParseFloat(*last, 64)
	if errFrom != nil || errTo != nil {
		return 0
	}
	return time.Duration((to - from) * float64(time.Hour))
}
