package store

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// chunk is how many keys are asked for at once: databases bound how many values a
// statement takes.
const chunk = 500

// inChunks finds records by many keys, each chunk in an order.
func inChunks[T any](ctx context.Context, s *Store, doing, order, where string, keys []string) ([]T, error) {
	keys = slices.Clone(keys)
	slices.Sort(keys)
	var out []T
	for some := range slices.Chunk(slices.Compact(keys), chunk) {
		found, err := list[T](ctx, s, doing, order, where, some)
		if err != nil {
			return nil, err
		}
		out = append(out, found...)
	}
	return out, nil
}

// ItemsByMakerNumbers gives every item that carries one of many numbers, capitals of
// plain letters aside, whatever its supplier and model.
func (s *Store) ItemsByMakerNumbers(ctx context.Context, numbers []string) ([]models.Item, error) {
	folded := make([]string, len(numbers))
	for i, number := range numbers {
		folded[i] = foldedNumber(number)
	}
	return inChunks[models.Item](ctx, s, "find items by number", "supplier, model, maker_number", "maker_number IS NOT NULL AND lower(maker_number) IN ?", folded)
}

// foldedNumber is a number without capitals of plain letters, as both databases do it.
func foldedNumber(number string) string {
	return strings.Map(func(r rune) rune {
		if 'A' <= r && r <= 'Z' {
			r += 'a' - 'A'
		}
		return r
	}, number)
}

// PartsOf lists what went into many items, with lots and parts named.
func (s *Store) PartsOf(ctx context.Context, itemIDs []string) (map[string][]models.PartView, error) {
	parts := map[string][]models.PartView{}
	for some := range slices.Chunk(itemIDs, chunk) {
		var found []models.PartView
		if err := s.read.WithContext(ctx).Raw(partViews+"fitted_parts.item_id IN ? ORDER BY fitted_parts.id", some).Scan(&found).Error; err != nil {
			return nil, fault(err, "list the parts of %d items", len(itemIDs))
		}
		for _, p := range found {
			parts[p.ItemID] = append(parts[p.ItemID], p)
		}
	}
	return parts, nil
}

// CustomersAlike finds customers by their whole names, capitals aside. Nobody looks
// at them: they are compared with a list that somebody has.
func (s *Store) CustomersAlike(ctx context.Context, names []string) ([]models.Customer, error) {
	wanted := map[string]bool{}
	for _, n := range names {
		wanted[strings.ToLower(n)] = true
	}
	var out []models.Customer
	for after := noKey; ; { // A name is in no index, which would be one more place that it has to be erased from.
		page, err := list[models.Customer](ctx, s, "compare customers", "id LIMIT "+strconv.Itoa(chunk), "id > ?", after)
		if err != nil {
			return nil, err
		}
		for _, c := range page {
			if after = c.ID; wanted[strings.ToLower(c.Name)] {
				out = append(out, c)
			}
		}
		if len(page) < chunk {
			return out, nil
		}
	}
}

// writeAll inserts records with their trail entries, in the transaction.
func writeAll[T models.Recorded](tx *gorm.DB, stamp models.Stamp, records []T) error {
	entries := make([]models.TrailEntry, len(records))
	for i, r := range records {
		var err error
		if entries[i], err = models.Entry(stamp, r, ""); err != nil {
			return err
		}
	}
	if err := tx.Omit(clause.Associations).CreateInBatches(&records, chunk).Error; err != nil {
		return err
	}
	return tx.CreateInBatches(&entries, chunk).Error
}

// AddLots adds many lots in one transaction, and suppliers that are new in the
// register. A lot without a code gets the next of the year: L26-0001.
func (s *Store) AddLots(ctx context.Context, stamp models.Stamp, year2 int, lots []models.Lot) error {
	stamp.At = models.Moment(stamp.At)
	lots = slices.Clone(lots)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.giveLotCodes(tx, year2, lots); err != nil {
			return err
		}
		seen := map[string]bool{}
		for i := range lots {
			lots[i].ReceivedAt, lots[i].ReceivedBy = settled(lots[i].ReceivedAt, stamp), orActor(lots[i].ReceivedBy, stamp)
			if name := lots[i].Supplier; !seen[name] {
				if seen[name] = true; name == "" {
					continue
				}
				if err := register(tx, stamp, name); err != nil {
					return err
				}
			}
		}
		return writeAll(tx, stamp, lots)
	})
	return fault(err, "add %d lots", len(lots))
}

// giveLotCodes numbers the lots without a code. Two at once would give the same
// one: the second is refused by the key and comes again.
func (s *Store) giveLotCodes(tx *gorm.DB, year2 int, lots []models.Lot) error {
	if !slices.ContainsFunc(lots, func(l models.Lot) bool { return l.Code == "" }) {
		return nil
	}
	from := strings.ToLower(strings.TrimRight(ident.LotCode(year2, 0), "0"))
	var codes []string
	if err := tx.Model(&models.Lot{}).Where("lower(code) >= ? AND lower(code) < ?", from, from+":").Pluck("code", &codes).Error; err != nil { // A colon comes behind every digit.
		return err
	}
	for _, l := range lots { // One of the list may bear such a code too.
		codes = append(codes, l.Code)
	}
	last := 0
	for _, code := range codes {
		if n, ok := ident.LotNumber(year2, code); ok {
			last = max(last, n)
		}
	}
	for i := range lots {
		if lots[i].Code == "" {
			last++
			lots[i].Code = ident.LotCode(year2, last)
		}
	}
	return nil
}

// AddListedItems adds many items in one transaction. A wheel or pack without a
// serial gets the next of the year.
func (s *Store) AddListedItems(ctx context.Context, stamp models.Stamp, year2 int, items []models.Item) error {
	stamp.At = models.Moment(stamp.At)
	items = slices.Clone(items)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		for kind, letter := range map[string]ident.Kind{models.KindWheel: ident.Wheel, models.KindPack: ident.Pack} {
			if err := s.giveSerials(tx, kind, letter, year2, items); err != nil {
				return err
			}
		}
		for i := range items {
			settleItem(&items[i], stamp)
		}
		return writeAll(tx, stamp, items)
	})
	return fault(err, "add %d items", len(items))
}

// giveSerials counts on for those of a kind that have none; the counter's row is
// locked until they are committed.
func (s *Store) giveSerials(tx *gorm.DB, kind string, letter ident.Kind, year2 int, items []models.Item) error {
	var without []*models.Item
	for i := range items {
		if items[i].Kind == kind && items[i].Serial == nil {
			without = append(without, &items[i])
		}
	}
	if len(without) == 0 {
		return nil
	}
	last, err := s.counter(tx, string(rune(letter)), year2)
	if err != nil {
		return err
	}
	for _, item := range without {
		var serial string
		if serial, last, err = ident.Next(letter, year2, last); err != nil {
			return err
		}
		item.Serial = &serial
	}
	return setCounter(tx, string(rune(letter)), year2, last)
}

// AddFitted records parts of many items as built in, in one transaction with the
// items and every numbered part locked. models.ErrStale says that a part is no
// longer free, models.ErrLoop that it holds the item.
func (s *Store) AddFitted(ctx context.Context, stamp models.Stamp, parts []models.FittedPart) error {
	stamp.At = models.Moment(stamp.At)
	parts = slices.Clone(parts)
	var keys, numbered []string
	for i := range parts {
		settlePart(&parts[i], stamp)
		keys = append(keys, parts[i].ItemID)
		if id := parts[i].PartID; id != nil {
			numbered = append(numbered, *id)
		}
	}
	keys = append(keys, numbered...)
	slices.Sort(keys)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		for some := range slices.Chunk(slices.Compact(keys), chunk) {
			if err := s.locked(tx).Where("id IN ?", some).Order("id").Find(&[]models.Item{}).Error; err != nil {
				return err
			}
		}
		for some := range slices.Chunk(numbered, chunk) {
			if err := allFree(tx, some); err != nil {
				return err
			}
		}
		return writeAll(tx, stamp, parts)
	})
	return fault(err, "record %d parts as built in", len(parts))
}

// allFree refuses parts that are in an item now, or gone, or that hold anything
// themselves: what is built of parts goes into a kit, and a list packs none.
func allFree(tx *gorm.DB, ids []string) error {
	for _, q := range []struct {
		text string
		err  error
	}{
		{"SELECT count(*) FROM fitted_parts WHERE part_id IN ? AND out_at IS NULL", models.ErrStale},
		{"SELECT count(*) FROM items WHERE id IN ? AND state IN ('scrapped', 'returned_to_supplier')", models.ErrStale},
		{"SELECT count(*) FROM fitted_parts WHERE item_id IN ? AND out_at IS NULL", models.ErrLoop},
	} {
		var n int64
		if err := tx.Raw(q.text, ids).Scan(&n).Error; err != nil {
			return err
		}
		if n > 0 {
			return fmt.Errorf("%d of %d parts: %w", n, len(ids), q.err)
		}
	}
	return nil
}

// AddCustomers adds many customers in one transaction. The log knows their keys
// alone.
func (s *Store) AddCustomers(ctx context.Context, stamp models.Stamp, customers []models.Customer) error {
	stamp.At = models.Moment(stamp.At)
	customers = slices.Clone(customers)
	for i := range customers {
		customers[i].EnteredAt, customers[i].EnteredBy = settled(customers[i].EnteredAt, stamp), orActor(customers[i].EnteredBy, stamp)
	}
	return fault(s.changing(ctx, func(tx *gorm.DB) error { return writeAll(tx, stamp, customers) }), "add %d customers", len(customers))
}
