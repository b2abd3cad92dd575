package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// Item finds one by id.
func (s *Store) Item(ctx context.Context, id string) (models.Item, error) {
	return first[models.Item](ctx, s, "find item "+id, "id = ?", id)
}

// ItemBySerial finds one by its normalised serial.
func (s *Store) ItemBySerial(ctx context.Context, serial string) (models.Item, error) {
	return first[models.Item](ctx, s, "find item "+serial, "serial = ?", serial)
}

// ItemNamed finds one by its serial, however that is written, or by its id.
func (s *Store) ItemNamed(ctx context.Context, named string) (models.Item, error) {
	if serial, err := ident.Normalise(named); err == nil {
		return s.ItemBySerial(ctx, serial)
	}
	return s.Item(ctx, named)
}

// ItemsByID gives those that exist of the keys asked for.
func (s *Store) ItemsByID(ctx context.Context, ids []string) ([]models.Item, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	return list[models.Item](ctx, s, "find items by key", "id", "id IN ?", ids)
}

// ItemsByTail lists the items whose serial ends with these five characters,
// newest first.
func (s *Store) ItemsByTail(ctx context.Context, tail string, limit int) ([]models.Item, error) {
	var items []models.Item
	err := s.ask(ctx, question{"SELECT " + itemColumns + " FROM items WHERE serial_tail = ? ORDER BY created_at DESC, id LIMIT ?", []any{tail, limit}, eachItem(&items)})
	return items, fault(err, "find items that end in %s", tail)
}

// itemColumns are those of an item, in the order of itemFields.
const itemColumns = "id, kind, serial, serial_tail, supplier, model, maker_number, family_id, product_id, state, turns_open, origin, built_on, created_at, created_by"

func itemFields(i *models.Item) []any {
	return []any{&i.ID, &i.Kind, &i.Serial, &i.SerialTail, &i.Supplier, &i.Model, &i.MakerNumber, &i.FamilyID, &i.ProductID, &i.State, &i.TurnsOpen, &i.Origin, &i.BuiltOn, &i.CreatedAt, &i.CreatedBy}
}

// eachItem takes the item of each row.
func eachItem(into *[]models.Item) func(scan func(...any) error) error {
	return func(scan func(...any) error) error {
		var i models.Item
		err := scan(itemFields(&i)...)
		*into = append(*into, i)
		return err
	}
}

// ItemsByMakerNumber lists motors and blocks with this number, capitals of plain letters
// aside, of whatever supplier and model: those on which it is written just so first.
func (s *Store) ItemsByMakerNumber(ctx context.Context, number string, limit int) ([]models.Item, error) {
	var items []models.Item
	err := s.read.WithContext(ctx).Raw("SELECT * FROM items WHERE maker_number IS NOT NULL AND lower(maker_number) = @folded ORDER BY CASE WHEN maker_number = @number THEN 0 ELSE 1 END, supplier, model, maker_number LIMIT @most",
		map[string]any{"folded": foldedNumber(number), "number": number, "most": limit}).Scan(&items).Error
	return items, fault(err, "find parts with number %s", number)
}

// AddItem adds an item that has its name already, with what is fitted in it.
func (s *Store) AddItem(ctx context.Context, stamp models.Stamp, item models.Item, parts []models.FittedPart) (models.Item, error) {
	err := s.changing(ctx, func(tx *gorm.DB) error { return addItem(tx, stamp, &item, parts) })
	return item, fault(err, "add item %s", item.Name())
}

// AddItemWithSerial adds an item under the next free serial of a kind letter
// and a two-digit year. The counter's row is locked until the item is
// committed, and no number comes back.
func (s *Store) AddItemWithSerial(ctx context.Context, stamp models.Stamp, item models.Item, letter string, year int, parts []models.FittedPart) (models.Item, error) {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		serial, err := s.nextSerial(tx, letter, year)
		if err != nil {
			return err
		}
		tail := ident.Tail(serial)
		item.Serial, item.SerialTail = &serial, &tail
		return addItem(tx, stamp, &item, parts)
	})
	return item, fault(err, "add an item of kind %s", item.Kind)
}

func addItem(tx *gorm.DB, stamp models.Stamp, item *models.Item, parts []models.FittedPart) error {
	settleItem(item, stamp)
	if err := add(tx, item); err != nil {
		return err
	}
	e, err := models.Entry(stamp, *item, "")
	if err != nil {
		return err
	}
	fitted, entries := make([]models.FittedPart, len(parts)), []models.TrailEntry{e}
	for i, part := range parts {
		part.ItemID = item.ID
		settlePart(&part, stamp)
		if e, err = models.Entry(stamp, part, ""); err != nil {
			return err
		}
		fitted[i], entries = part, append(entries, e)
	}
	if len(fitted) > 0 {
		if err := add(tx, &fitted); err != nil {
			return err
		}
	}
	return add(tx, &entries)
}

// counter locks and returns the last counter given out for a letter and year.
func (s *Store) counter(tx *gorm.DB, letter string, year int) (int, error) {
	none := models.SerialCounter{Letter: letter, Year: year}
	if err := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&none).Error; err != nil {
		return 0, err
	}
	var c models.SerialCounter
	err := s.locked(tx).Where("letter = ? AND year = ?", letter, year).Take(&c).Error
	return c.Last, err
}

func setCounter(tx *gorm.DB, letter string, year, last int) error {
	return tx.Model(&models.SerialCounter{}).Where("letter = ? AND year = ?", letter, year).Update("last", last).Error
}

func (s *Store) nextSerial(tx *gorm.DB, letter string, year int) (string, error) {
	if len(letter) != 1 {
		return "", fmt.Errorf("%q is no kind letter", letter)
	}
	last, err := s.counter(tx, letter, year)
	if err != nil {
		return "", err
	}
	serial, counter, err := ident.Next(ident.Kind(letter[0]), year, last)
	if err != nil {
		return "", err
	}
	return serial, setCounter(tx, letter, year, counter)
}

// AddRoll reserves the counters of a roll of printed labels: roll.Last less
// roll.First plus one of them, counted from the next free one.
func (s *Store) AddRoll(ctx context.Context, stamp models.Stamp, roll models.SerialRoll) (models.SerialRoll, error) {
	roll.ID = orNewID(roll.ID)
	roll.PrintedAt, roll.PrintedBy = settled(roll.PrintedAt, stamp), orActor(roll.PrintedBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		last, err := s.counter(tx, roll.Letter, roll.Year)
		if err != nil {
			return err
		}
		length := roll.Last - roll.First
		roll.First = last + 1
		roll.Last = roll.First + length
		if err := setCounter(tx, roll.Letter, roll.Year, roll.Last); err != nil {
			return err
		}
		if err := add(tx, &roll); err != nil {
			return err
		}
		return enter(tx, stamp, roll, "")
	})
	return roll, fault(err, "reserve a roll of serials")
}

// RollFor finds the roll that a counter lies on.
func (s *Store) RollFor(ctx context.Context, letter string, year, counter int) (models.SerialRoll, error) {
	var roll models.SerialRoll
	err := s.read.WithContext(ctx).Where("letter = ? AND year = ? AND first <= ?", letter, year, counter).Order("first DESC").Take(&roll).Error
	if err == nil && roll.Last < counter {
		err = gorm.ErrRecordNotFound
	}
	return roll, fault(err, "find the roll of counter %d", counter)
}

// Rolls lists them, last printed first.
func (s *Store) Rolls(ctx context.Context) ([]models.SerialRoll, error) {
	return list[models.SerialRoll](ctx, s, "list rolls", "printed_at DESC, first DESC", everything)
}
