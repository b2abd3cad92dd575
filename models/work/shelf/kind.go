package shelf

import (
	"context"
	"fmt"
	"strconv"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// kind is what the shelf needs to know of a product.
type kind struct {
	name      string
	pack      *models.PackForm
	block     models.BlockForm // itself, or that of the pack
	s25       float64
	socMin    float64
	age       pack.AgeRule
	restHours float64
	lowest    float64 // shipping limit where the reading was judged by none; 0 for none
	dead      float64 // voltage below which a block is scrap; 0 for none
	airMax    float64 // charge above which it may not go by air, %; 0 for none
}

// catalogue is what the shelf needs to know of the products, by their keys.
type catalogue struct {
	kinds map[string]*kind
	kits  map[string][]models.KitLine
}

// catalogue reads the products; what is fixed the store keeps.
func (s *Service) catalogue(ctx context.Context) (catalogue, error) {
	products, err := s.store.Products(ctx, "")
	if err != nil {
		return catalogue{}, err
	}
	out := catalogue{make(map[string]*kind, len(products)), map[string][]models.KitLine{}}
	for _, p := range products {
		revision, err := s.store.ProductRevision(ctx, p.ID, p.Revision)
		if err != nil {
			return catalogue{}, err
		}
		var k *kind
		switch form := revision.Form; {
		case form.Pack != nil:
			k, err = kindOf(*form.Pack)
		case form.Block != nil:
			k = kindOfBlock(*form.Block)
		case form.Kit != nil:
			out.kits[p.ID] = form.Kit.Lines
			continue
		default:
			continue
		}
		if err != nil {
			return catalogue{}, fmt.Errorf("product %s: %w", p.Name, err)
		}
		k.name = p.Name
		out.kinds[p.ID] = k
	}
	return out, nil
}

// kindOfBlock takes the figures of a block model: those of its form. Loose, a
// block is to stay as full as one that may be shipped in a pack.
func kindOfBlock(form models.BlockForm) *kind {
	k := &kind{block: form, restHours: 24, age: pack.DefaultAge()}
	for code, into := range map[string]*float64{"self_discharge_pct_month": &k.s25, "stored_soc_min_pct": &k.socMin, "shelf_base_months": &k.age.BaseMonths, "rest_min_h": &k.restHours,
		"ship_ocv_min_b_v": &k.lowest, "scrap_below_v": &k.dead, "ship_soc_max_air_pct": &k.airMax} {
		if limit, ok := kinds.BlockLimit(form, code); ok && limit.Sign() > 0 {
			*into = limit.Float()
			continue
		}
		// The form was cleared of it: something must be reckoned with.
		if usual, err := strconv.ParseFloat(kinds.UsualLimit(form, code), 64); err == nil {
			*into = usual
		}
	}
	return k
}

// kindOf takes the figures of a pack: those of its blocks, which are their
// model's where the form took them over, and the rest that it asks for itself.
func kindOf(form models.PackForm) (*kind, error) {
	k := kindOfBlock(kinds.PackBlock(form))
	k.pack, k.restHours = &form, 24
	if form.MinRestHours != "" {
		hours, err := celsius(form.MinRestHours)
		if err != nil {
			return nil, fmt.Errorf("rest asked for: %w", err)
		}
		k.restHours = hours
	}
	if len(form.Limits) > 0 {
		return k, nil
	}
	k.lowest = 0
	if ready, err := pack.DefaultReadyLimits(pack.Chemistry(form.Chemistry)); err == nil {
		limit, err := strconv.ParseFloat(ready.LowestB, 64)
		if err != nil {
			return nil, fmt.Errorf("shipping limit: %w", err)
		}
		k.lowest = limit * float64(form.Cells) / float64(ready.PerCells)
	}
	return k, nil
}
