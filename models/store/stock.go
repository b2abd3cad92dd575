package store

import (
	"context"
	"slices"
	"strings"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// AddBlocks takes blocks in, in one transaction: those without a maker's number
// get the next free serials of their letter. A number, or a row, that is taken is
// models.ErrConflict, and nothing is taken in. The items come back as stored.
func (s *Store) AddBlocks(ctx context.Context, stamp models.Stamp, year int, blocks []models.NewBlock) ([]models.Item, error) {
	items := make([]models.Item, len(blocks))
	err := s.changing(ctx, func(tx *gorm.DB) error {
		for i, b := range blocks {
			item, receipt := b.Item, b.Receipt
			if item.MakerNumber == nil && item.Serial == nil {
				serial, err := s.nextSerial(tx, string(rune(ident.Block)), year)
				if err != nil {
					return err
				}
				item.Serial, item.SerialTail = &serial, nil
			}
			if err := addItem(tx, stamp, &item, nil); err != nil {
				return err
			}
			receipt.ItemID = item.ID
			receipt.ReceivedAt, receipt.ReceivedBy = settled(receipt.ReceivedAt, stamp), orActor(receipt.ReceivedBy, stamp)
			if err := add(tx, &receipt); err != nil {
				return err
			}
			if err := enter(tx, stamp, receipt, ""); err != nil {
				return err
			}
			items[i] = item
		}
		return nil
	})
	return items, fault(err, "take in %d blocks", len(blocks))
}

// askedAtOnce bounds the keys of one question.
const askedAtOnce = 500

// BlockReceiptsOf lists the blocks that came in by these rows, row by row.
func (s *Store) BlockReceiptsOf(ctx context.Context, rowIDs []string) ([]models.BlockReceipt, error) {
	var all []models.BlockReceipt
	for some := range slices.Chunk(rowIDs, askedAtOnce) {
		found, err := list[models.BlockReceipt](ctx, s, "find blocks by their rows", "row_id, n", "row_id IN ?", some)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
	}
	return all, nil
}

// BlocksNumbered lists the items of a supplier and model that have one of these
// maker's numbers.
func (s *Store) BlocksNumbered(ctx context.Context, supplier, model string, numbers []string) ([]models.Item, error) {
	var all []models.Item
	for some := range slices.Chunk(numbers, askedAtOnce) {
		found, err := list[models.Item](ctx, s, "find blocks by their numbers", "maker_number", "maker_number IN ? AND supplier = ? AND model = ?", some, supplier, model)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
	}
	return all, nil
}

// Disposition gives the newest decision about a block, or models.ErrNotFound.
func (s *Store) Disposition(ctx context.Context, itemID string) (models.Disposition, error) {
	return newest[models.Disposition](ctx, s, "find what was decided about block "+itemID, "decided_at DESC, id DESC", "item_id = ?", itemID)
}

// Dispositions lists them, oldest first.
func (s *Store) Dispositions(ctx context.Context, itemID string) ([]models.Disposition, error) {
	return list[models.Disposition](ctx, s, "list what was decided about block "+itemID, "decided_at, id", "item_id = ?", itemID)
}

// AddDispositions decides about blocks, all or none, with the blocks locked: none
// is fitted at the same moment by who did not hear of it.
func (s *Store) AddDispositions(ctx context.Context, stamp models.Stamp, decisions []models.Disposition) error {
	decisions = slices.SortedFunc(slices.Values(decisions), func(a, b models.Disposition) int { return strings.Compare(a.ItemID, b.ItemID) })
	return fault(s.changing(ctx, func(tx *gorm.DB) error {
		for _, d := range decisions {
			if _, err := s.lockItem(tx, d.ItemID); err != nil {
				return err
			}
		}
		for _, d := range decisions {
			d.ID = orNewID(d.ID)
			d.DecidedAt, d.DecidedBy = settled(d.DecidedAt, stamp), orActor(d.DecidedBy, stamp)
			if err := add(tx, &d); err != nil {
				return err
			}
			if err := enter(tx, stamp, d, ""); err != nil {
				return err
			}
		}
		return nil
	}), "decide about %d blocks", len(decisions))
}
