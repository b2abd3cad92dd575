package stock

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// findBlocks finds, row by row, the block it is of: one that came in by the same
// row, one that is here by its number, or none yet.
func (s *Service) findBlocks(ctx context.Context, in *intake) error {
	rows, numbers := make([]string, len(in.Rows)), []string{}
	for i, r := range in.Rows {
		rows[i] = r.ID
		if r.Number != "" {
			numbers = append(numbers, spelled(r.Number)...)
		}
	}
	receipts, err := s.store.BlockReceiptsOf(ctx, good(rows))
	if err != nil {
		return err
	}
	in.known = map[string][]models.BlockReceipt{}
	for _, r := range receipts {
		in.known[r.RowID] = append(in.known[r.RowID], r)
	}
	found, err := s.store.BlocksNumbered(ctx, in.form.Supplier, in.form.Model, numbers)
	if err != nil {
		return err
	}
	byNumber := map[string]models.Item{}
	for _, item := range found {
		byNumber[*item.MakerNumber] = item
	}
	in.items, in.hashes = make([]*models.Item, len(in.Rows)), make([]string, len(in.Rows))
	in.labels = make([]string, len(in.Rows))
	for i, r := range in.Rows {
		if in.hashes[i], err = in.digest(i); err != nil {
			return err
		}
		if before := in.known[r.ID]; len(before) > 0 {
			if before[0].SentHash != in.hashes[i] {
				in.conflict = fmt.Errorf("row %d, %s, is known with other content: %w", i+1, r.ID, models.ErrConflict)
			}
			item, err := s.store.Item(ctx, before[0].ItemID)
			if err != nil {
				return fmt.Errorf("the block of row %s: %w", r.ID, err)
			}
			in.items[i] = &item
			continue
		}
		if err := s.findNumbered(ctx, in, i, byNumber); err != nil {
			return err
		}
	}
	return nil
}

// spelled are the ways that a maker's number may stand here: as it is named now,
// and as the shift key or a scanner makes it.
func spelled(number string) []string {
	return []string{number, strings.ToUpper(number), strings.ToLower(number)}
}

// findNumbered finds the block that a row names, and refuses one that came in
// before, or that ought to be here and is not.
func (s *Service) findNumbered(ctx context.Context, in *intake, i int, byNumber map[string]models.Item) error {
	r, field := in.Rows[i], fmt.Sprintf("rows[%d].number", i)
	item, here := models.Item{}, false
	for _, number := range spelled(r.Number) {
		if item, here = byNumber[number]; here {
			break
		}
	}
	if serial, err := ident.Normalise(r.Number); err == nil {
		item, err = s.store.ItemBySerial(ctx, serial)
		if here = err == nil; err != nil && !errors.Is(err, models.ErrNotFound) {
			return fmt.Errorf("find block %s: %w", serial, err)
		}
		if !here && in.Stage == models.Incoming && ident.KindOf(serial) == ident.Block {
			return s.labelled(ctx, in, i, serial)
		}
		if !here || item.Kind != models.KindBlock {
			in.invalid.Add(field, "unknown_number", "number", models.Shortened(r.Number))
			return nil
		}
	}
	switch {
	case !here && in.Stage == models.SecondReading:
		in.invalid.Add(field, "unknown_number", "number", models.Shortened(r.Number))
		return nil
	case !here:
		return nil
	case item.ProductID == nil || *item.ProductID != in.product.ID:
		in.invalid.Add(field, "block_of_other_model", "number", models.Shortened(r.Number), "product", in.product.Name)
		return nil
	}
	if in.Stage == models.Incoming {
		before, err := s.store.InspectionsOf(ctx, item.ID)
		if err != nil {
			return fmt.Errorf("readings of block %s: %w", item.Name(), err)
		}
		again := false
		for _, x := range before {
			again = again || x.ID == r.ID
		}
		if !r.read() || len(before) > 0 && !again {
			in.invalid.Add(field, "block_here_already", "number", models.Shortened(numberOf(item)))
			return nil
		}
	}
	in.items[i] = &item
	return nil
}

// labelled brings the label of a printed roll into use: the block gets its serial.
func (s *Service) labelled(ctx context.Context, in *intake, i int, serial string) error {
	field := fmt.Sprintf("rows[%d].number", i)
	letter, year, counter, err := ident.Parts(serial)
	if err != nil {
		return fmt.Errorf("parts of serial %s: %w", serial, err)
	}
	roll, err := s.store.RollFor(ctx, string(letter), year, counter)
	switch {
	case errors.Is(err, models.ErrNotFound):
		in.invalid.Add(field, "unknown_number", "number", ident.Print(serial))
	case err != nil:
		return fmt.Errorf("find the roll of serial %s: %w", serial, err)
	case roll.ProductID != nil && *roll.ProductID != in.product.ID:
		in.invalid.Add(field, "block_of_other_model", "number", ident.Print(serial), "product", in.product.Name)
	case slices.Contains(in.labels, serial):
		in.invalid.Add(field, "number_twice", "number", ident.Print(serial))
	default:
		in.labels[i] = serial
	}
	return nil
}

// tailLength is how many of its last characters name a block at least, where a
// match shows no more of it.
const tailLength = 4

// inMatch finds a block as it is scanned or typed at a match: by its number or
// serial, else by how it ends, where one of the match's blocks alone ends so.
func (s *Service) inMatch(ctx context.Context, v View, named string) (item models.Item, code string, err error) {
	item, code, err = s.block(ctx, named, v.Model.ID)
	if err != nil || code != "unknown_number" {
		return item, code, err
	}
	tail := strings.ToUpper(ident.WithoutPrefix(strings.TrimSpace(named)))
	if len([]rune(tail)) < tailLength {
		return item, code, nil
	}
	var found []models.Item
	for _, i := range v.Items {
		if strings.HasSuffix(strings.ToUpper(ident.Print(numberOf(i))), tail) {
			found = append(found, i)
		}
	}
	if len(found) != 1 {
		return item, code, nil
	}
	return found[0], "", nil
}
