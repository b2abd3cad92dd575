package stock

import (
	"context"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// Doubted is a lot that screening doubts, and about which somebody has to
// decide: loose blocks of it are neither set aside nor released.
type Doubted struct {
	Lot     string
	Model   models.Product
	Open    int // blocks that nobody has decided about
	Reasons []models.Remark
	Since   time.Time // its newest reading
}

// Doubted lists the lots in doubt of these block models, by model and code.
func (s *Service) Doubted(ctx context.Context, products []models.Product) ([]Doubted, error) {
	var out []Doubted
	for _, p := range products {
		v, err := s.Stock(ctx, p.ID, "")
		if err != nil {
			return nil, err
		}
		for _, lot := range v.Lots {
			if len(lot.Reasons) == 0 {
				continue
			}
			d := Doubted{Lot: lot.Lot, Model: v.Model, Reasons: lot.Reasons}
			for _, b := range v.Blocks {
				if b.Lot != lot.Lot {
					continue
				}
				for _, r := range b.Readings {
					if r.MeasuredAt.After(d.Since) {
						d.Since = r.MeasuredAt
					}
				}
				if b.undecided() {
					d.Open++
				}
			}
			if d.Open > 0 {
				out = append(out, d)
			}
		}
	}
	return out, nil
}

// undecided says whether the block is held back by its lot alone: a person who
// set it aside, or released it, has decided.
func (b Block) undecided() bool {
	has := func(is func(string) bool) bool {
		return slices.ContainsFunc(b.Reasons, func(r models.Remark) bool { return is(r.Code) })
	}
	return has(func(code string) bool { return code == "lot_suspect" }) && !has(func(code string) bool { return strings.HasPrefix(code, "set_aside") })
}
