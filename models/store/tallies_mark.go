package store

import (
	"slices"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"
)

// tallyFeed is what entries of the log name, by kind.
type tallyFeed struct {
	to       int64 // the last sealed entry that was read
	more     bool  // there may be others behind it
	subjects map[string][]string
}

// talliedKinds are the records that tallies count or follow from.
var talliedKinds = []string{"inspection", "fitted_part", "part_removal", "nonconformity", "claim", "claim_event"}

// entriesAfter reads on in the log behind an entry, and what waits for its seal.
// That is read again each time until it is sealed, which takes about a second:
// numbers alone say that an entry was seen.
func (s *Store) entriesAfter(tx *gorm.DB, seq int64) (tallyFeed, error) {
	feed := tallyFeed{to: seq, subjects: map[string][]string{}}
	last := seq
	if err := tx.Raw("SELECT coalesce(max(size), 0) - 1 FROM trail_heads").Scan(&last).Error; err != nil {
		return feed, err
	}
	if last > seq {
		feed.to = min(last, seq+entriesAtOnce)
		feed.more = feed.to < last
	}
	// Two questions, and kinds are chosen here: asked for in one, they would be found
	// by the index of kinds, which leads through the whole history.
	var sealed, waiting []struct{ Kind, Subject string }
	if err := tx.Raw("SELECT kind, subject FROM trail_entries WHERE seq > ? AND seq <= ?", seq, feed.to).Scan(&sealed).Error; err != nil {
		return feed, err
	}
	if err := tx.Raw("SELECT kind, subject FROM trail_entries WHERE seq IS NULL").Scan(&waiting).Error; err != nil {
		return feed, err
	}
	for _, n := range append(sealed, waiting...) {
		if slices.Contains(talliedKinds, n.Kind) {
			feed.subjects[n.Kind] = append(feed.subjects[n.Kind], n.Subject)
		}
	}
	return feed, nil
}

// nothing says that the feed changes nothing.
func (f tallyFeed) nothing(seq int64) bool { return f.to == seq && len(f.subjects) == 0 }

// days are those that what the feed names stands on.
func (f tallyFeed) days(tx *gorm.DB, zone *time.Location) ([]tallyDay, error) {
	days := map[tallyDay]bool{}
	items, err := f.items(tx)
	if err != nil {
		return nil, err
	}
	add := func(rows []struct {
		FamilyID string
		At       time.Time
	}) {
		for _, r := range rows {
			days[tallyDay{r.FamilyID, r.At.In(zone).Format(dayForm)}] = true
		}
	}
	look := func(ids []string, text string) error {
		for chunk := range slices.Chunk(ids, 500) {
			var rows []struct {
				FamilyID string
				At       time.Time
			}
			if err := tx.Raw(text, chunk).Scan(&rows).Error; err != nil {
				return err
			}
			add(rows)
		}
		return nil
	}
	// Every inspection of an item: one that came late, was corrected or moved away
	// changes which of the others is the first.
	if err := look(items, "SELECT CAST(family_id AS text) AS family_id, measured_at AS at FROM inspections WHERE item_id IN ?"); err != nil {
		return nil, err
	}
	if err := look(f.subjects["nonconformity"], "SELECT CAST(i.family_id AS text) AS family_id, n.opened_at AS at FROM nonconformities AS n JOIN items AS i ON i.id = n.item_id WHERE n.id IN ? AND i.family_id IS NOT NULL"); err != nil {
		return nil, err
	}
	claims := slices.Clone(f.subjects["claim"])
	for chunk := range slices.Chunk(f.subjects["claim_event"], 500) {
		var of []string
		if err := tx.Raw("SELECT CAST(claim_id AS text) FROM claim_events WHERE id IN ?", chunk).Scan(&of).Error; err != nil {
			return nil, err
		}
		claims = append(claims, of...)
	}
	// A claim may have been linked to another item before, or to none.
	for _, text := range []string{
		"SELECT '' AS family_id, opened_at AS at FROM claims WHERE id IN ?",
		"SELECT CAST(i.family_id AS text) AS family_id, c.opened_at AS at FROM claims AS c JOIN claim_events AS e ON e.claim_id = c.id JOIN items AS i ON i.id = e.item_id WHERE c.id IN ? AND i.family_id IS NOT NULL",
	} {
		if err := look(claims, text); err != nil {
			return nil, err
		}
	}
	list := make([]tallyDay, 0, len(days))
	for d := range days {
		list = append(list, d)
	}
	return list, nil
}

// items are those whose inspections or parts the feed names: of an inspection that
// replaced another one, that one's too.
func (f tallyFeed) items(tx *gorm.DB) ([]string, error) {
	var items []string
	for _, q := range []struct{ kind, text string }{
		{"inspection", "SELECT CAST(item_id AS text) FROM inspections WHERE id IN ?"},
		{"inspection", "SELECT CAST(before.item_id AS text) FROM inspections AS i JOIN inspections AS before ON before.id = i.supersedes WHERE i.id IN ?"},
		{"fitted_part", "SELECT CAST(item_id AS text) FROM fitted_parts WHERE id IN ?"},
		{"part_removal", "SELECT CAST(item_id AS text) FROM part_removals WHERE id IN ?"},
	} {
		for chunk := range slices.Chunk(f.subjects[q.kind], 500) {
			var found []string
			if err := tx.Raw(q.text, chunk).Scan(&found).Error; err != nil {
				return nil, err
			}
			items = append(items, found...)
		}
	}
	slices.Sort(items)
	return slices.Compact(items), nil
}

// markDays marks days, those that are marked already too.
func markDays(tx *gorm.DB, days []tallyDay) error {
	for chunk := range slices.Chunk(days, 400) {
		if err := tx.Clauses(clause.OnConflict{DoNothing: true}).Table("tally_days").Create(&chunk).Error; err != nil {
			return err
		}
	}
	return nil
}

// everyDay lists the days of a family on which something was measured, opened or
// claimed, or that have tallies. From one day that has inspections the index leads
// to the next one, so that a long history costs its days and not its inspections.
func everyDay(tx *gorm.DB, zone *time.Location) ([]tallyDay, error) {
	var list []tallyDay
	var families []string
	if err := tx.Raw("SELECT CAST(id AS text) FROM families ORDER BY id").Scan(&families).Error; err != nil {
		return nil, err
	}
	for _, family := range families {
		from := time.Time{}
		for {
			var next []time.Time
			if err := tx.Raw("SELECT measured_at FROM inspections WHERE family_id = ? AND measured_at >= ? ORDER BY measured_at LIMIT 1", family, from).Scan(&next).Error; err != nil {
				return nil, err
			}
			if len(next) == 0 {
				break
			}
			day := next[0].In(zone).Format(dayForm)
			list = append(list, tallyDay{family, day})
			_, after, err := dayBounds(day, zone)
			if err != nil {
				return nil, err
			}
			// A day that begins twice, or not at midnight, must not be found for ever.
			if from = after; !from.After(next[0]) {
				from = next[0].Add(time.Millisecond)
			}
		}
	}
	for _, text := range []string{
		"SELECT CAST(i.family_id AS text) AS family_id, n.opened_at AS at FROM nonconformities AS n JOIN items AS i ON i.id = n.item_id WHERE i.family_id IS NOT NULL",
		"SELECT coalesce(CAST(i.family_id AS text), '') AS family_id, c.opened_at AS at FROM claims AS c LEFT JOIN items AS i ON i.id = c.item_id",
	} {
		var rows []struct {
			FamilyID string
			At       time.Time
		}
		if err := tx.Raw(text).Scan(&rows).Error; err != nil {
			return nil, err
		}
		for _, r := range rows {
			list = append(list, tallyDay{r.FamilyID, r.At.In(zone).Format(dayForm)})
		}
	}
	for _, table := range []string{"tallies", "defect_tallies", "lot_tallies"} {
		var rows []tallyDay
		if err := tx.Raw("SELECT DISTINCT family_id, day FROM " + table).Scan(&rows).Error; err != nil {
			return nil, err
		}
		list = append(list, rows...)
	}
	return list, nil
}
