package receive

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// once does what was sent under a key where nothing was done under it yet. before says
// whether that was this very thing; it is asked again where another request of the same
// was faster.
func once(id string, before func() (bool, error), do func() error) error {
	if id == "" {
		return do()
	}
	if done, err := before(); done || err != nil {
		return err
	}
	err := do()
	if err != nil {
		if done, _ := before(); done {
			return nil
		}
	}
	return err
}

// checkID notes a key that a program did not make as it should.
func checkID(invalid *models.InvalidError, id string) {
	if id != "" && !models.IsID(id) {
		invalid.Add("id", "bad_id")
	}
}

// scrapped says whether pieces were thrown away under this key, and is a conflict where
// they were others.
func (s *Service) scrapped(ctx context.Context, lot models.Lot, in Scrapped) (bool, error) {
	records, err := s.store.LotRecords(ctx, lot.ID)
	if err != nil {
		return false, err
	}
	i := slices.IndexFunc(records.Scraps, func(x models.LotScrap) bool { return x.ID == in.ID })
	if i < 0 {
		return false, nil
	}
	if x := records.Scraps[i]; x.Quantity != in.Quantity || x.Code != in.Code || x.Reason != models.Trimmed(in.Reason) {
		return false, fmt.Errorf("pieces of lot %s are known under this key with other content: %w", lot.Code, models.ErrConflict)
	}
	return true, nil
}

// mixed says whether lots were put into a bin under this key, which is that of the first
// of them, and is a conflict where they were others.
func (s *Service) mixed(ctx context.Context, in Mixed) (bool, error) {
	bin, err := s.lot(ctx, ident.WithoutPrefix(in.Bin))
	if errors.Is(err, models.ErrNotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	records, err := s.store.LotRecords(ctx, bin.ID)
	if err != nil {
		return false, err
	}
	at := slices.IndexFunc(records.Contents, func(m models.LotMix) bool { return m.ID == in.ID })
	if at < 0 {
		return false, nil
	}
	first, got := records.Contents[at], map[string]int{}
	for _, m := range records.Contents {
		if m.ViaID == nil && m.MixedAt.Equal(first.MixedAt) && m.MixedBy == first.MixedBy {
			got[m.LotID] = m.Quantity
		}
	}
	for _, p := range in.Lots {
		lot, err := s.lot(ctx, ident.WithoutPrefix(p.Lot))
		if err != nil && !errors.Is(err, models.ErrNotFound) {
			return false, err
		}
		if n, known := got[lot.ID]; !known || n != p.Quantity || len(got) != len(in.Lots) {
			return false, fmt.Errorf("what was put into bin %s is known under this key with other content: %w", bin.Code, models.ErrConflict)
		}
	}
	return len(in.Lots) > 0, nil
}
