package store

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// leftFirst says of items and shipments that the item never left before: neither by
// itself nor in a kit that it lay in, with a shipment that was not made void.
const leftFirst = `NOT EXISTS (SELECT 1 FROM shipment_items AS si JOIN shipments AS earlier ON earlier.id = si.shipment_id
		WHERE si.item_id = items.id AND ` + wasEarlier + `)
	AND NOT EXISTS (SELECT 1 FROM kit_packings AS kp JOIN shipment_items AS si ON si.item_id = kp.kit_id JOIN shipments AS earlier ON earlier.id = si.shipment_id
		WHERE kp.item_id = items.id AND kp.added AND kp.packed_at <= earlier.shipped_at AND ` + wasEarlier + `
		AND NOT EXISTS (SELECT 1 FROM kit_packings AS kq WHERE kq.item_id = kp.item_id AND kq.id > kp.id AND kq.packed_at <= earlier.shipped_at))`

const wasEarlier = `(earlier.shipped_at < shipments.shipped_at OR earlier.shipped_at = shipments.shipped_at AND earlier.id < shipments.id)
		AND NOT EXISTS (SELECT 1 FROM shipment_voids AS ev WHERE ev.shipment_id = earlier.id)`

// wentOut joins shipments with the items that went with them, by themselves and in a
// kit; waysOut are both.
const wentOut = `shipments JOIN shipment_items ON shipment_items.shipment_id = shipments.id JOIN items ON items.id = shipment_items.item_id`

var waysOut = []string{wentOut, wentInKit + ` JOIN items ON items.id = p.item_id`}

// holding joins items with the lots that they held pieces of when they left: fitted
// by then, and not yet taken out. A block is a piece of the lot it came with.
func holding(fitted, receipt string) string {
	return fmt.Sprintf(` JOIN fitted_parts AS %[1]s ON %[1]s.item_id = items.id AND %[1]s.fitted_at <= shipments.shipped_at AND (%[1]s.out_at IS NULL OR %[1]s.out_at > shipments.shipped_at)
	LEFT JOIN block_receipts AS %[2]s ON %[2]s.item_id = %[1]s.part_id`, fitted, receipt)
}

// shippedKey is a row of the counts without its units.
type shippedKey struct{ family, lot, day string }

// shippedRow is a line as the database groups it.
type shippedRow struct {
	ShippedAt time.Time
	LotID     string
	Units     int
}

// CountShipped brings the counts of what left up to date: anew from the first
// shipment on where there are none yet or the shop's zone is another one, else of
// the days that shipments or voids touched since. It writes only what differs.
func (s *Store) CountShipped(ctx context.Context, zone *time.Location, now time.Time) error {
	var known struct {
		Zone  string
		Until time.Time
	}
	err := s.read.WithContext(ctx).Raw("SELECT zone, until FROM shipped_counted WHERE one = 1").Scan(&known).Error
	if err != nil {
		return fault(err, "find up to when shipments are counted")
	}
	if known.Zone != zone.String() {
		return s.RecountShipped(ctx, zone, now, nil)
	}
	// A day of room: a change may be stored a little later than it is dated.
	since := known.Until.AddDate(0, 0, -1)
	days := map[string]bool{}
	for d := startOfDay(since, zone); !d.After(now); d = d.AddDate(0, 0, 1) {
		days[d.Format(time.DateOnly)] = true
	}
	var moments []time.Time
	err = s.read.WithContext(ctx).Raw(`SELECT DISTINCT shipments.shipped_at FROM shipments JOIN shipment_items AS other ON other.shipment_id = shipments.id
		JOIN shipment_items AS si ON si.item_id = other.item_id JOIN shipment_voids AS v ON v.shipment_id = si.shipment_id WHERE v.voided_at >= ?`, models.Moment(since)).Scan(&moments).Error
	if err != nil {
		return fault(err, "find shipments made void")
	}
	for _, m := range moments {
		days[m.In(zone).Format(time.DateOnly)] = true
	}
	list := slices.Sorted(maps.Keys(days))
	for len(list) > 0 { // Days in a row are one question.
		n := 1
		for n < len(list) && nextDay(list[n-1]) == list[n] {
			n++
		}
		if err := s.countDays(ctx, zone, list[0], nextDay(list[n-1])); err != nil {
			return err
		}
		list = list[n:]
	}
	if now.Sub(known.Until) < time.Hour {
		return nil
	}
	return s.countedUntil(ctx, zone, now)
}

// RecountShipped counts everything that left anew, a month at a time, so that no
// transaction is long; progress, where it is not nil, hears of each.
func (s *Store) RecountShipped(ctx context.Context, zone *time.Location, now time.Time, progress func(done, total int)) error {
	var first models.Shipment
	err := s.read.WithContext(ctx).Order("shipped_at").Take(&first).Error
	switch {
	case errors.Is(err, gorm.ErrRecordNotFound):
		return s.countedUntil(ctx, zone, now)
	case err != nil:
		return fault(err, "find the first shipment")
	}
	from := startOfDay(first.ShippedAt, zone)
	if err := s.replaceDays(ctx, "0000-00-00", from.Format(time.DateOnly), nil); err != nil {
		return err
	}
	total := 0
	for d := from.AddDate(0, 0, 1-from.Day()); !d.After(now.AddDate(0, 0, 2)); d = d.AddDate(0, 1, 0) {
		total++
	}
	from = from.AddDate(0, 0, 1-from.Day())
	for done := range total {
		if progress != nil {
			progress(done, total)
		}
		if err := s.countDays(ctx, zone, from.Format(time.DateOnly), from.AddDate(0, 1, 0).Format(time.DateOnly)); err != nil {
			return err
		}
		from = from.AddDate(0, 1, 0)
	}
	return s.countedUntil(ctx, zone, now)
}

func (s *Store) countedUntil(ctx context.Context, zone *time.Location, now time.Time) error {
	return fault(s.write.WithContext(ctx).Exec(`INSERT INTO shipped_counted (one, zone, until) VALUES (1, ?, ?) ON CONFLICT (one) DO UPDATE SET zone = excluded.zone, until = excluded.until`,
		zone.String(), models.Moment(now)).Error, "keep up to when shipments are counted")
}

// shippedRows asks for what left in a time, with its lots.
func shippedRows(way string) string {
	return `SELECT CAST(items.id AS text), CAST(items.family_id AS text), shipments.shipped_at, coalesce(CAST(f.lot_id AS text), CAST(b.lot_id AS text), '') FROM ` + way + ` LEFT` + holding("f", "b") +
		` WHERE shipments.shipped_at >= ? AND shipments.shipped_at < ? AND items.family_id IS NOT NULL AND ` + notVoided + ` AND ` + leftFirst
}

// countDays counts what left on the days of from <= day < to, and keeps it where it
// differs from what is kept.
func (s *Store) countDays(ctx context.Context, zone *time.Location, from, to string) error {
	counts := map[shippedKey]int{}
	begin, end := models.Moment(dayIn(from, zone)), models.Moment(dayIn(to, zone))
	for _, way := range waysOut {
		// A row an item and lot, told apart here: whether it left first is asked once an
		// item then, and not again for its lots.
		seen := map[string]bool{}
		err := s.ask(ctx, question{shippedRows(way), []any{begin, end}, func(scan func(...any) error) error {
			var item, family, lot string
			var at time.Time
			if err := scan(&item, &family, &at, &lot); err != nil {
				return err
			}
			day := at.In(zone).Format(time.DateOnly)
			if !seen[item] {
				seen[item] = true
				counts[shippedKey{family: family, day: day}]++
			}
			if lot != "" && !seen[item+lot] {
				seen[item+lot] = true
				counts[shippedKey{family, lot, day}]++
			}
			return nil
		}})
		if err != nil {
			return fault(err, "count what left from %s to %s", from, to)
		}
	}
	kept, err := s.keptDays(ctx, from, to)
	if err != nil || maps.Equal(kept, counts) {
		return err
	}
	return s.replaceDays(ctx, from, to, counts)
}

func (s *Store) keptDays(ctx context.Context, from, to string) (map[shippedKey]int, error) {
	kept := map[shippedKey]int{}
	for _, text := range []string{"SELECT family_id, '' AS lot_id, day, units FROM shipped_days WHERE day >= ? AND day < ?", "SELECT family_id, lot_id, day, units FROM shipped_lot_days WHERE day >= ? AND day < ?"} {
		var rows []struct {
			FamilyID, LotID, Day string
			Units                int
		}
		if err := s.read.WithContext(ctx).Raw(text, from, to).Scan(&rows).Error; err != nil {
			return nil, fault(err, "read what left from %s to %s", from, to)
		}
		for _, r := range rows {
			kept[shippedKey{r.FamilyID, r.LotID, r.Day}] = r.Units
		}
	}
	return kept, nil
}

func (s *Store) replaceDays(ctx context.Context, from, to string, counts map[shippedKey]int) error {
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		for _, table := range []string{"shipped_days", "shipped_lot_days"} {
			if err := tx.Exec("DELETE FROM "+table+" WHERE day >= ? AND day < ?", from, to).Error; err != nil {
				return err
			}
		}
		for some := range slices.Chunk(slices.Collect(maps.Keys(counts)), rowsKept) {
			var all, byLot []any
			for _, key := range some {
				if key.lot == "" {
					all = append(all, key.family, key.day, counts[key])
				} else {
					byLot = append(byLot, key.family, key.lot, key.day, counts[key])
				}
			}
			if n := len(all) / 3; n > 0 {
				if err := tx.Exec("INSERT INTO shipped_days (family_id, day, units) VALUES (?, ?, ?)"+strings.Repeat(", (?, ?, ?)", n-1)+" ON CONFLICT (family_id, day) DO UPDATE SET units = excluded.units", all...).Error; err != nil {
					return err
				}
			}
			if n := len(byLot) / 4; n > 0 {
				if err := tx.Exec("INSERT INTO shipped_lot_days (family_id, lot_id, day, units) VALUES (?, ?, ?, ?)"+strings.Repeat(", (?, ?, ?, ?)", n-1)+" ON CONFLICT (family_id, lot_id, day) DO UPDATE SET units = excluded.units", byLot...).Error; err != nil {
					return err
				}
			}
		}
		return nil
	})
	return fault(err, "keep what left from %s to %s", from, to)
}

// rowsKept is how many rows are written at once.
const rowsKept = 100

func startOfDay(t time.Time, zone *time.Location) time.Time {
	return models.DayOf(t.In(zone), 0)
}

// dayIn is the moment at which a day begins; days are our own, so that one that
// cannot be read is the first of all.
func dayIn(day string, zone *time.Location) time.Time {
	t, _ := models.ReadDay(day, zone)
	return t
}

func nextDay(day string) string {
	return dayIn(day, time.UTC).AddDate(0, 0, 1).Format(time.DateOnly)
}
