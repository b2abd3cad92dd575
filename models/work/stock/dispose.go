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

// mostDecided bounds one decision: a lot and more.
const (
	mostDecided = 1000
	longReason  = 500
)

// Decision sets blocks aside or releases them. Blocks are named by key, serial
// or maker's number.
type Decision struct {
	Blocks []string
	Model  string // product, where a number alone is not unique
	Code   string
	Reason string // words of the person; needed for the code other, and for a release
}

// SetAside puts blocks into quarantine: they go into no pack until they are
// released. All or none; *models.RefusedError names those that are set aside
// already, or are in a pack.
func (s *Service) SetAside(ctx context.Context, actor models.Actor, d Decision) ([]models.Item, error) {
	return s.decide(ctx, actor, models.Quarantine, d)
}

// Release lets blocks go that were set aside, and those in a pack that were fitted
// although the stock spoke against them.
func (s *Service) Release(ctx context.Context, actor models.Actor, d Decision) ([]models.Item, error) {
	return s.decide(ctx, actor, models.Release, d)
}

func (s *Service) decide(ctx context.Context, actor models.Actor, decision string, d Decision) ([]models.Item, error) {
	invalid := &models.InvalidError{}
	d.Reason = models.Trimmed(d.Reason)
	switch n := len(d.Blocks); {
	case n == 0:
		invalid.Add("blocks", "missing")
	case n > mostDecided:
		invalid.Add("blocks", "too_big", "most", fmt.Sprint(mostDecided))
	}
	if !slices.Contains(models.DispositionCodes[decision], d.Code) {
		invalid.Add("code", "unknown_code", "code", models.Shortened(d.Code))
	}
	if d.Reason == "" && (d.Code == "other" || decision == models.Release) {
		invalid.Add("reason", "reason_needed")
	}
	invalid.Lines("reason", d.Reason, longReason)
	if err := invalid.OrNil(); err != nil {
		return nil, err
	}
	stamp := models.NewStamp(actor, s.now())
	refused := &models.RefusedError{}
	var items []models.Item
	var decisions []models.Disposition
	for i, named := range d.Blocks {
		item, code, err := s.block(ctx, named, d.Model)
		if err != nil {
			return nil, err
		}
		if code == "" && slices.ContainsFunc(items, func(x models.Item) bool { return x.ID == item.ID }) {
			code = "number_twice"
		}
		if code != "" {
			invalid.Add(fmt.Sprintf("blocks[%d]", i), code, "number", models.Shortened(named))
			continue
		}
		b, err := s.store.StockBlock(ctx, item.ID)
		if err != nil {
			return nil, err
		}
		aside := b.Disposition != nil && b.Disposition.Decision == models.Quarantine
		switch {
		case decision == models.Quarantine && b.Fitted:
			refused.Reasons = append(refused.Reasons, models.NewRemark("block_is_fitted", "number", numberOf(item)))
		case decision == models.Quarantine && aside:
			refused.Reasons = append(refused.Reasons, models.NewRemark("block_is_set_aside", "number", numberOf(item)))
		case decision == models.Release && !aside && !b.Fitted:
			refused.Reasons = append(refused.Reasons, models.NewRemark("block_not_set_aside", "number", numberOf(item)))
		}
		items = append(items, item)
		decisions = append(decisions, models.Disposition{ID: models.NewID(), ItemID: item.ID, Decision: decision, Code: d.Code, Reason: d.Reason, DecidedAt: stamp.At, DecidedBy: stamp.By.String()})
	}
	if err := invalid.OrNil(); err != nil {
		return nil, err
	}
	if len(refused.Reasons) > 0 {
		return nil, refused
	}
	return items, s.store.AddDispositions(ctx, stamp, decisions)
}

// History lists what was decided about a block, oldest first. The block is named
// by key, serial or maker's number; productID is that of its model, where a
// number alone is not unique.
func (s *Service) History(ctx context.Context, named, productID string) (models.Item, []models.Disposition, error) {
	item, code, err := s.block(ctx, named, productID)
	switch {
	case err != nil:
		return models.Item{}, nil, err
	case code == "number_not_unique":
		return models.Item{}, nil, models.Invalid("model", code, "number", models.Shortened(named))
	case code != "":
		return models.Item{}, nil, fmt.Errorf("block %.40q: %w", named, models.ErrNotFound)
	}
	list, err := s.store.Dispositions(ctx, item.ID)
	return item, list, err
}

// Known gives a block as the stock has it, with its newest reading at rest, nil
// before the first.
func (s *Service) Known(ctx context.Context, itemID string) (models.StockBlock, *models.StockReading, error) {
	stored, err := s.store.StockBlock(ctx, itemID)
	if err != nil {
		return stored, nil, err
	}
	b := &Block{StockBlock: stored}
	b.readings()
	return stored, b.Reading, nil
}

// block finds one by key, serial or maker's number; code says why not.
func (s *Service) block(ctx context.Context, named, productID string) (item models.Item, code string, err error) {
	named = ident.MakersNumber(strings.TrimSpace(named))
	if models.IsID(named) {
		item, err = s.store.Item(ctx, named)
	} else if serial, bad := ident.Normalise(named); bad == nil {
		item, err = s.store.ItemBySerial(ctx, serial)
	} else {
		return s.blockByNumber(ctx, named, productID)
	}
	switch {
	case errors.Is(err, models.ErrNotFound):
		return models.Item{}, "unknown_number", nil
	case err != nil:
		return models.Item{}, "", fmt.Errorf("find block %.40q: %w", named, err)
	case item.Kind != models.KindBlock:
		return models.Item{}, "unknown_number", nil
	}
	return item, "", nil
}

func (s *Service) blockByNumber(ctx context.Context, number, productID string) (models.Item, string, error) {
	const most = 50 // makers and models that share a number
	found, err := s.store.ItemsByMakerNumber(ctx, number, most)
	if err != nil {
		return models.Item{}, "", fmt.Errorf("find block %.40q: %w", number, err)
	}
	found = slices.DeleteFunc(found, func(i models.Item) bool {
		return i.Kind != models.KindBlock || productID != "" && (i.ProductID == nil || *i.ProductID != productID)
	})
	item, code := models.OnlyItem(models.WrittenSo(found, number))
	return item, code, nil
}

// numberOf is what people call a block inside its model.
func numberOf(i models.Item) string {
	if i.MakerNumber != nil {
		return *i.MakerNumber
	}
	return i.Name()
}
