package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gorm.io/gorm"

	"tracewright/models"
)

// Lots lists them, last received first.
func (s *Store) Lots(ctx context.Context) ([]models.Lot, error) {
	return list[models.Lot](ctx, s, "list lots", "received_at DESC, code", everything)
}

// Lot finds one by id.
func (s *Store) Lot(ctx context.Context, id string) (models.Lot, error) {
	return first[models.Lot](ctx, s, "find lot "+id, "id = ?", id)
}

// LotByCode finds one by its code, or by a code that is the same but for capitals,
// where one lot alone has such a one.
func (s *Store) LotByCode(ctx context.Context, code string) (models.Lot, error) {
	lot, err := first[models.Lot](ctx, s, fmt.Sprintf("find lot %.40q", code), "code = ?", code)
	if !errors.Is(err, models.ErrNotFound) {
		return lot, err
	}
	if alike, errAlike := s.LotsAlike(ctx, []string{code}); errAlike != nil || len(alike) == 1 {
		return append(alike, models.Lot{})[0], errAlike
	}
	return lot, err
}

// LotsAlike gives the lots whose codes are these, capitals aside.
func (s *Store) LotsAlike(ctx context.Context, codes []string) ([]models.Lot, error) {
	return inChunks[models.Lot](ctx, s, "find lots of like codes", "code", "lower(code) IN ?", inSmall(codes))
}

func inSmall(codes []string) []string {
	folded := make([]string, len(codes))
	for i, code := range codes {
		folded[i] = strings.ToLower(code)
	}
	return folded
}

// LotsOfSupplierCode gives the lots that a supplier calls by a code.
func (s *Store) LotsOfSupplierCode(ctx context.Context, code string) ([]models.Lot, error) {
	if code == "" {
		return nil, nil
	}
	return list[models.Lot](ctx, s, "find lots by their supplier's code", "code", "supplier_code = ? AND supplier_code <> ''", code)
}

// LotsByCode gives those that exist of the codes asked for, each as LotByCode finds it.
func (s *Store) LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error) {
	found, err := inChunks[models.Lot](ctx, s, "find lots by code", "code", "code IN ?", codes)
	if err != nil {
		return nil, err
	}
	return withAlike(found, codes, func(left []string) ([]models.Lot, error) { return s.LotsAlike(ctx, left) })
}

// withAlike adds to what was found of some codes what alone has one of the others but
// for capitals; alike finds what may. Where more have one and some of them were asked
// for by their own code, the rest is added too: models.CodedAs takes none of them then.
func withAlike[T models.Lot | models.Instrument](found []T, codes []string, alike func([]string) ([]T, error)) ([]T, error) {
	var left []string
	for _, code := range codes {
		if code != "" && !slices.ContainsFunc(found, func(x T) bool { return models.CodeOf(x) == code }) {
			left = append(left, code)
		}
	}
	if len(left) == 0 {
		return found, nil
	}
	may, err := alike(left)
	if err != nil {
		return nil, err
	}
	for _, code := range left {
		var more []T
		all := 0
		for _, x := range may {
			if !strings.EqualFold(models.CodeOf(x), code) {
				continue
			}
			if all++; !slices.ContainsFunc(found, func(y T) bool { return models.CodeOf(x) == models.CodeOf(y) }) {
				more = append(more, x)
			}
		}
		if all == 1 || len(more) < all {
			found = append(found, more...)
		}
	}
	return found, nil
}

// LotsByID gives those that exist of the keys asked for.
func (s *Store) LotsByID(ctx context.Context, ids []string) ([]models.Lot, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	return list[models.Lot](ctx, s, "find lots by key", "code", "id IN ?", ids)
}

// AddLot adds a lot, and its supplier where that is not in the register yet;
// models.ErrConflict when its code is taken.
func (s *Store) AddLot(ctx context.Context, stamp models.Stamp, l models.Lot) error {
	return fault(s.changing(ctx, func(tx *gorm.DB) error { return addLot(tx, stamp, l) }), "add lot %s", l.Code)
}

func addLot(tx *gorm.DB, stamp models.Stamp, l models.Lot) error {
	l.ReceivedAt, l.ReceivedBy = settled(l.ReceivedAt, stamp), orActor(l.ReceivedBy, stamp)
	if err := register(tx, stamp, l.Supplier); err != nil {
		return err
	}
	if err := add(tx, &l); err != nil {
		return err
	}
	return enter(tx, stamp, l, "")
}

// LotsMixedInto lists by bin the lots that were put into it, by themselves or with
// another bin, by their codes; a lot that is none is left out.
func (s *Store) LotsMixedInto(ctx context.Context, bins []string) (map[string][]models.Lot, error) {
	if len(bins) == 0 {
		return nil, nil
	}
	var rows []struct {
		models.Lot
		MixID string
	}
	err := s.read.WithContext(ctx).Raw("SELECT DISTINCT lots.*, CAST(m.mix_id AS text) AS mix_id FROM lot_mixes AS m JOIN lots ON lots.id = m.lot_id WHERE m.mix_id IN ? ORDER BY lots.code", bins).Scan(&rows).Error
	mixed := map[string][]models.Lot{}
	for _, r := range rows {
		mixed[r.MixID] = append(mixed[r.MixID], r.Lot)
	}
	return mixed, fault(err, "list the lots of bins")
}
