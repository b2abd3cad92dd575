package receive

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// mostPoured is more lots than go into one bin at once.
const mostPoured = 20

// Mixed is lots that are put into a bin. The bin is a lot of its own and is made
// where its code is new.
type Mixed struct {
	ID          string // made by whoever sends it, so that sending it again is harmless; empty: made here
	Bin         string // code
	Description string // of a new one
	Lots        []Poured
	Reason      string // why more of a lot is put in than it has
}

// Poured is what goes into the bin of one lot.
type Poured struct {
	Lot      string // code
	Quantity int
}

// Mix puts lots into a bin. From then on what holds pieces of the bin possibly
// holds pieces of each of them, and of each lot that those were mixed of. Errors:
// *models.InvalidError for lots that are none, of two materials, set aside, or
// hold the bin themselves. Sent again under its key it puts in nothing, and is
// models.ErrConflict where it says something else.
func (s *Service) Mix(ctx context.Context, actor models.Actor, in Mixed) error {
	return once(in.ID, func() (bool, error) { return s.mixed(ctx, in) }, func() error { return s.mix(ctx, actor, in) })
}

func (s *Service) mix(ctx context.Context, actor models.Actor, in Mixed) error {
	invalid := &models.InvalidError{}
	checkID(invalid, in.ID)
	in.Bin = ident.WithoutPrefix(in.Bin)
	check(invalid, field{"bin", &in.Bin, true, longestCode}, field{"description", &in.Description, false, longestText}, field{"reason", &in.Reason, false, longestReason})
	lots, err := s.poured(ctx, in, invalid)
	if err != nil {
		return err
	}
	why, err := s.pouredBeyond(ctx, in, lots, invalid)
	if err != nil {
		return err
	}
	if err := invalid.OrNil(); err != nil {
		return err
	}
	stamp := models.NewStamp(actor, s.now())
	bin, err := s.lot(ctx, in.Bin)
	var made *models.Lot
	switch {
	case errors.Is(err, models.ErrNotFound):
		bin = models.Lot{ID: models.NewID(), Code: in.Bin, Material: lots[0].Material, Description: in.Description, ReceivedAt: stamp.At, ReceivedBy: actor.String()}
		made = &bin
	case err != nil:
		return err
	default:
		totals, err := s.store.LotTotals(ctx, []string{bin.ID})
		if err != nil {
			return err
		}
		if totals[bin.ID].PutIn == 0 || bin.Material != lots[0].Material {
			return models.Invalid("bin", "not_a_bin", "lot", bin.Code)
		}
	}
	var mixes []models.LotMix
	for i, lot := range lots {
		records, err := s.store.LotRecords(ctx, lot.ID)
		if err != nil {
			return err
		}
		if lot.ID == bin.ID || slices.ContainsFunc(records.Contents, func(m models.LotMix) bool { return m.LotID == bin.ID }) {
			return models.Invalid(fmt.Sprintf("lots[%d].lot", i), "mix_cycle", "lot", lot.Code)
		}
		row := models.LotMix{MixID: bin.ID, MixedBy: actor.String(), MixedAt: stamp.At}
		direct := row
		direct.ID, direct.LotID, direct.Quantity = models.NewID(), lot.ID, in.Lots[i].Quantity
		if i == 0 {
			direct.ID = cmp.Or(in.ID, direct.ID)
		}
		mixes = append(mixes, direct)
		for _, m := range records.Contents {
			came := row
			came.ID, came.LotID, came.ViaID = models.NewID(), m.LotID, &lot.ID
			if !slices.ContainsFunc(mixes, func(x models.LotMix) bool { return x.LotID == m.LotID }) {
				mixes = append(mixes, came)
			}
		}
	}
	err = s.store.AddLotMixes(ctx, stamp, made, mixes, why...)
	if made != nil && errors.Is(err, models.ErrConflict) { // The code, or the key that another bin was made under.
		if _, there := s.lot(ctx, in.Bin); there == nil {
			return models.Invalid("bin", "taken", "value", in.Bin)
		}
	}
	return err
}

// pouredBeyond asks why more of a lot is put in than it has, and keeps what is said
// as the explanation of its balance.
func (s *Service) pouredBeyond(ctx context.Context, in Mixed, lots []models.Lot, invalid *models.InvalidError) ([]models.LotExplanation, error) {
	var ids []string
	for _, lot := range lots {
		if lot.ID != "" { // What nobody knows is said already.
			ids = append(ids, lot.ID)
		}
	}
	totals, err := s.store.LotTotals(ctx, ids)
	if err != nil {
		return nil, err
	}
	var why []models.LotExplanation
	for i, lot := range lots {
		b := balance(lot, totals[lot.ID], nil, nil)
		if b == nil || in.Lots[i].Quantity <= b.Expected {
			continue
		}
		over := in.Lots[i].Quantity - b.Expected
		if in.Reason == "" {
			invalid.Add("reason", "lot_used_up", "lot", lot.Code, "over", fmt.Sprint(over), "quantity", fmt.Sprint(max(0, b.Expected)))
		}
		why = append(why, models.LotExplanation{ID: models.NewID(), LotID: lot.ID, Difference: -over, Reason: in.Reason})
	}
	return why, nil
}

// poured finds the lots, and notes what is wrong with them.
func (s *Service) poured(ctx context.Context, in Mixed, invalid *models.InvalidError) ([]models.Lot, error) {
	if n := len(in.Lots); n == 0 || n > mostPoured {
		invalid.Add("lots", "missing")
		return nil, nil
	}
	lots := make([]models.Lot, len(in.Lots))
	for i, p := range in.Lots {
		path := fmt.Sprintf("lots[%d]", i)
		lot, err := s.lot(ctx, ident.WithoutPrefix(p.Lot))
		switch {
		case errors.Is(err, models.ErrNotFound):
			invalid.Add(path+".lot", "unknown_lot", "lot", models.Shortened(p.Lot))
		case err != nil:
			return nil, err
		case slices.ContainsFunc(lots[:i], func(x models.Lot) bool { return x.ID == lot.ID }):
			invalid.Add(path+".lot", "listed_twice", "code", lot.Code)
		case i > 0 && lot.Material != lots[0].Material && lots[0].ID != "":
			invalid.Add(path+".lot", "mix_of_materials", "lot", lot.Code)
		}
		switch {
		case p.Quantity < 1:
			invalid.Add(path+".quantity", "too_small", "least", "1")
		case p.Quantity > mostInLot:
			invalid.Add(path+".quantity", "too_big", "most", fmt.Sprint(mostInLot))
		}
		if lots[i] = lot; lot.ID == "" {
			continue
		}
		stops, err := s.store.LotStops(ctx, []string{lot.ID})
		if err != nil {
			return nil, err
		}
		for _, stop := range stops {
			invalid.Add(path+".lot", "lot_set_aside", "lot", stop.Code)
			break
		}
	}
	return lots, nil
}
