package stock

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tracewright/models"
)

// View is a match with what became of it, its blocks by name.
type View struct {
	models.MatchView
	Content Content
	Product models.Product         // of the packs
	Model   models.Product         // of the blocks
	Items   map[string]models.Item // every block named
	Made    []models.Item          // packs, once it was kept
}

// Slot is a place of a pack, both from 1.
type Slot struct{ Pack, Place int }

// At is the block that lies in a place: the one confirmed, else the one
// proposed.
func (v View) At(at Slot) (itemID string, placed *models.MatchPlacement) {
	for i := range v.Placements {
		if p := &v.Placements[i]; p.Pack == at.Pack && p.Place == at.Place {
			return p.ItemID, p
		}
	}
	return v.Content.Packs[at.Pack-1].Blocks[at.Place-1], nil
}

// Position is where a place lies on the bench: string and place in it.
func (v View) Position(at Slot) models.Position {
	return models.Block((at.Place-1)/v.Content.Blocks+1, (at.Place-1)%v.Content.Blocks+1)
}

// Next is the first place that is not confirmed; ok is false where all are.
func (v View) Next() (at Slot, ok bool) {
	for i, g := range v.Content.Packs {
		for k := range g.Blocks {
			at := Slot{i + 1, k + 1}
			if _, placed := v.At(at); placed == nil {
				return at, true
			}
		}
	}
	return Slot{}, false
}

// Places is how many places there are.
func (v View) Places() int {
	n := 0
	for _, g := range v.Content.Packs {
		n += len(g.Blocks)
	}
	return n
}

// Match finds one.
func (s *Service) Match(ctx context.Context, id string) (View, error) {
	stored, err := s.store.Match(ctx, id)
	if err != nil {
		return View{}, err
	}
	v := View{MatchView: stored, Items: map[string]models.Item{}}
	if v.Content, err = decode(stored.Content); err != nil {
		return View{}, fmt.Errorf("match %s: %w", id, err)
	}
	if v.Product, err = s.store.Product(ctx, stored.ProductID); err != nil {
		return View{}, fmt.Errorf("product of match %s: %w", id, err)
	}
	if v.Model, err = s.store.Product(ctx, stored.Blocks); err != nil {
		return View{}, fmt.Errorf("block model of match %s: %w", id, err)
	}
	var ids []string
	for _, m := range v.Content.Input {
		ids = append(ids, m.Item)
	}
	for _, l := range v.Content.NotOffered {
		ids = append(ids, l.Item)
	}
	for _, p := range v.Placements {
		ids = append(ids, p.ItemID)
	}
	items, err := s.store.ItemsByID(ctx, ids)
	if err != nil {
		return View{}, fmt.Errorf("blocks of match %s: %w", id, err)
	}
	for _, i := range items {
		v.Items[i.ID] = i
	}
	if v.End != nil {
		for _, packID := range v.End.Packs {
			item, err := s.store.Item(ctx, packID)
			if err != nil {
				return View{}, fmt.Errorf("pack of match %s: %w", id, err)
			}
			v.Made = append(v.Made, item)
		}
	}
	return v, nil
}

// OpenMatches lists those that were neither kept nor dropped, newest first.
func (s *Service) OpenMatches(ctx context.Context) ([]models.Match, error) {
	return s.store.OpenMatches(ctx)
}

// Confirm says that a block, scanned or typed, lies in a place; at zero is the
// next one. Another block than the proposed one is refused with what is known of
// it, and the place still waits for the proposed one, unless override says why it
// is taken all the same: then it must be one that is offered.
func (s *Service) Confirm(ctx context.Context, actor models.Actor, matchID, scanned string, at Slot, override string) (View, error) {
	v, err := s.Match(ctx, matchID)
	if err != nil {
		return View{}, err
	}
	if v.End != nil {
		return View{}, refusal("match_has_ended")
	}
	if next, open := v.Next(); at == (Slot{}) {
		if !open {
			return View{}, s.scannedAgain(ctx, v, scanned)
		}
		at = next
	}
	if at.Pack < 1 || at.Pack > len(v.Content.Packs) || at.Place < 1 || at.Place > len(v.Content.Packs[at.Pack-1].Blocks) {
		return View{}, models.Invalid("place", "no_such_place")
	}
	invalid := &models.InvalidError{}
	override = models.Trimmed(override)
	if invalid.Lines("override", override, longReason); len(invalid.Problems) > 0 {
		return View{}, invalid
	}
	scanned = strings.TrimSpace(scanned)
	if scanned == "" {
		return View{}, models.Invalid("block", "missing")
	}
	item, code, err := s.inMatch(ctx, v, scanned)
	if err != nil {
		return View{}, err
	}
	if code != "" {
		return View{}, models.Invalid("block", code, "number", models.Shortened(scanned))
	}
	wanted, placed := v.At(at)
	switch {
	case placed != nil && placed.ItemID == item.ID:
		return v, nil // Scanned twice.
	case placed != nil:
		return View{}, refusal("place_is_taken", "number", numberOf(v.Items[placed.ItemID]))
	}
	if item.ID != wanted {
		if err := s.another(ctx, v, item, at, override); err != nil {
			return View{}, err
		}
	} else if err := s.stillOffered(ctx, v, item); err != nil {
		return View{}, err
	} else {
		override = ""
	}
	stamp := models.NewStamp(actor, s.now())
	p := models.MatchPlacement{ID: models.NewID(), MatchID: v.ID, Pack: at.Pack, Place: at.Place, ItemID: item.ID, Override: override, PlacedAt: stamp.At, PlacedBy: stamp.By.String()}
	if err := s.store.PlaceBlock(ctx, stamp, p); err != nil {
		if errors.Is(err, models.ErrConflict) {
			return View{}, fmt.Errorf("%w: %w", models.ErrStale, err)
		}
		return View{}, err
	}
	return s.Match(ctx, v.ID)
}

// scannedAgain refuses a scan where every block lies in place: mostly it is one of them.
func (s *Service) scannedAgain(ctx context.Context, v View, scanned string) error {
	item, _, err := s.inMatch(ctx, v, scanned)
	if err != nil {
		return err
	}
	for _, p := range v.Placements {
		if p.ItemID == item.ID {
			return refusal("block_placed_already", "number", numberOf(item), "n", fmt.Sprint(p.Pack), "place", fmt.Sprint(p.Place))
		}
	}
	return refusal("all_in_place")
}

// another says what is wrong with another block than the proposed one, or lets
// it pass for a reason.
func (s *Service) another(ctx context.Context, v View, item models.Item, at Slot, override string) error {
	refused := &models.RefusedError{}
	wanted, _ := v.At(at)
	add := func(code string, values ...string) {
		refused.Reasons = append(refused.Reasons, models.NewRemark(code, append([]string{"number", numberOf(item)}, values...)...))
	}
	for _, p := range v.Placements {
		if p.ItemID == item.ID {
			add("block_placed_already", "n", fmt.Sprint(p.Pack), "place", fmt.Sprint(p.Place))
			return refused
		}
	}
	if err := s.stillOffered(ctx, v, item); err != nil {
		return err
	}
	if override != "" {
		return nil
	}
	elsewhere := false
	for i, g := range v.Content.Packs {
		for k, id := range g.Blocks {
			if id == item.ID {
				add("block_goes_elsewhere", "n", fmt.Sprint(i+1), "place", fmt.Sprint(k+1))
				elsewhere = true
			}
		}
	}
	for _, l := range v.Content.Left {
		if l.Item == item.ID {
			add("block_left_over")
			refused.Reasons = append(refused.Reasons, l.Reasons...)
			elsewhere = true
		}
	}
	if !elsewhere {
		add("block_not_in_match")
	}
	refused.Reasons = append(refused.Reasons, models.NewRemark("block_expected", "number", numberOf(v.Items[wanted])))
	return refused
}

// stillOffered refuses a block that something is against now; that it lies in a
// place of this match is nothing.
func (s *Service) stillOffered(ctx context.Context, v View, item models.Item) error {
	b, err := s.weighed(ctx, v.Model.ID, item)
	if err != nil {
		return err
	}
	if b == nil {
		return &models.RefusedError{Reasons: []models.Remark{models.NewRemark("block_not_in_stock", "product", v.Model.Name)}}
	}
	refused := &models.RefusedError{}
	for _, r := range b.Reasons {
		if r.Code == "block_in_match" && b.Match == v.ID {
			continue
		}
		refused.Reasons = append(refused.Reasons, r)
	}
	if len(refused.Reasons) == 0 {
		return nil
	}
	refused.Reasons = append([]models.Remark{models.NewRemark("block_not_offered", "number", numberOf(item))}, refused.Reasons...)
	return refused
}

// weighed is one block of the stock with what is against it, nil where it is not
// of it.
func (s *Service) weighed(ctx context.Context, productID string, item models.Item) (*Block, error) {
	_, form, err := s.model(ctx, productID, "blocks")
	if err != nil {
		return nil, err
	}
	if item.ProductID == nil || *item.ProductID != productID {
		return nil, nil
	}
	stored, err := s.store.StockBlock(ctx, item.ID)
	if err != nil {
		return nil, err
	}
	b := &Block{StockBlock: stored}
	var suspect []models.Remark
	if stored.Receipt != nil && stored.Receipt.LotID != nil {
		all, err := s.store.StockOf(ctx, productID)
		if err != nil {
			return nil, err
		}
		screening, err := s.screenLot(ctx, productID, form, *stored.Receipt.LotID, resistances(all))
		if err != nil {
			return nil, err
		}
		suspect, b.Loss = screening.Reasons, screening.lossOf(item.ID)
	}
	return b, b.weigh(form, s.now().In(s.zone(ctx)), suspect)
}

// Keep makes a match whose blocks all lie in place into packs, with the blocks
// fitted where they lie.
func (s *Service) Keep(ctx context.Context, actor models.Actor, matchID string) (View, error) {
	v, err := s.Match(ctx, matchID)
	if err != nil {
		return View{}, err
	}
	if v.End != nil {
		if v.End.Kept {
			return v, nil // Pressed twice.
		}
		return View{}, refusal("match_has_ended")
	}
	if at, open := v.Next(); open {
		wanted, _ := v.At(at)
		return View{}, refusal("blocks_not_in_place", "count", fmt.Sprint(v.Places()-len(v.Placements)), "number", numberOf(v.Items[wanted]))
	}
	lots, err := s.stopped(ctx, v)
	if err != nil {
		// Another press may have kept it since it was read; then its own packs
		// are what holds the blocks.
		if now, again := s.Match(ctx, matchID); again == nil && now.End != nil && now.End.Kept {
			return now, nil
		}
		return View{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	var packs []models.NewPack
	for i, g := range v.Content.Packs {
		p := models.NewPack{Item: models.Item{ID: models.NewID(), Kind: models.KindPack, FamilyID: &v.Product.FamilyID, ProductID: &v.Product.ID, State: models.StateInProcess, Origin: "made",
			CreatedAt: stamp.At, CreatedBy: stamp.By.String()}}
		of := map[string]int{}
		for k := range g.Blocks {
			id, _ := v.At(Slot{i + 1, k + 1})
			of[lots[id]]++
			p.Parts = append(p.Parts, models.FittedPart{ID: models.NewID(), Role: "block", Place: v.Position(Slot{i + 1, k + 1}).Key(), PartID: &id, Quantity: 1, FittedAt: stamp.At, FittedBy: stamp.By.String()})
		}
		// The lots too, so that a hold on one of them stops the pack.
		delete(of, "")
		for _, lot := range slices.Sorted(maps.Keys(of)) {
			p.Parts = append(p.Parts, models.FittedPart{ID: models.NewID(), Role: "block", LotID: &lot, Quantity: of[lot], FittedAt: stamp.At, FittedBy: stamp.By.String()})
		}
		packs = append(packs, p)
	}
	if _, err := s.store.KeepMatch(ctx, stamp, v.ID, s.now().In(s.zone(ctx)).Year()%100, packs); err != nil {
		if errors.Is(err, models.ErrConflict) {
			return View{}, fmt.Errorf("%w: %w", models.ErrStale, err)
		}
		return View{}, fmt.Errorf("keep match %s: %w", v.ID, err)
	}
	return s.Match(ctx, v.ID)
}

// hardStop says whether a reason keeps a block that lies in its place from being
// built in. Nothing was against it when it was placed: whatever came up since does,
// but that it, or its reading, grew older meanwhile.
func hardStop(r models.Remark) bool {
	return !slices.Contains([]string{"block_in_match", "reading_old", "block_too_old"}, r.Code)
}

// stopped refuses to keep a match with a block that something came up against since
// it was placed, as a charge or a damaged case; it gives the lot of each block.
func (s *Service) stopped(ctx context.Context, v View) (lots map[string]string, err error) {
	stock, err := s.Stock(ctx, v.Model.ID, "")
	if err != nil {
		return nil, err
	}
	refused := &models.RefusedError{}
	lots = map[string]string{}
	for _, p := range v.Placements {
		loose := false
		for _, b := range stock.Blocks {
			if b.Item.ID != p.ItemID {
				continue
			}
			loose = true
			if b.Receipt != nil && b.Receipt.LotID != nil {
				lots[b.Item.ID] = *b.Receipt.LotID
			}
			for _, r := range b.Reasons {
				if hardStop(r) {
					refused.Reasons = append(refused.Reasons, models.NewRemark("block_not_offered", "number", numberOf(b.Item)), r)
				}
			}
		}
		if !loose {
			refused.Reasons = append(refused.Reasons, models.NewRemark("block_not_offered", "number", numberOf(v.Items[p.ItemID])), models.NewRemark("block_fitted"))
		}
	}
	if len(refused.Reasons) > 0 {
		return nil, refused
	}
	return lots, nil
}

// Drop ends a match without packs; its blocks are free again.
func (s *Service) Drop(ctx context.Context, actor models.Actor, matchID, reason string) error {
	invalid := &models.InvalidError{}
	reason = models.Trimmed(reason)
	if invalid.Reason("reason", reason); len(invalid.Problems) > 0 {
		return invalid
	}
	err := s.store.DropMatch(ctx, models.NewStamp(actor, s.now()), matchID, reason)
	if errors.Is(err, models.ErrConflict) {
		return refusal("match_has_ended")
	}
	return err
}
