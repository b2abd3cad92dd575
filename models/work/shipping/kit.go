package shipping

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tracewright/models"
)

// Kit is a kit as it is packed, or, of a shipment, as it went.
type Kit struct {
	Item     models.Item
	Product  models.Product
	Lines    []Line
	Extra    []models.Item       // in it, though the list does not ask for them
	Against  []models.Remark     // holds on the kit, and what the gate says today of what lies in it, by item
	Let      []models.KitPacking // what the owner let in against the gate
	Whole    bool
	Shipment *models.ShipmentView
	People   map[string]string
	sent     bool // it is told as it went, whatever became of it since
}

// Line is one line of the kit's list with what is in the box of it.
type Line struct {
	models.KitLine
	Name string // of the product, or the words of the small parts
	In   []models.Item
	Done int
}

// Full says whether the box holds what the line asks for.
func (l Line) Full() bool { return l.Done >= l.Quantity }

// Inside lists every item in the kit.
func (k Kit) Inside() []models.Item {
	items := slices.Clone(k.Extra)
	for _, l := range k.Lines {
		items = append(items, l.In...)
	}
	return items
}

// gone says whether the kit left the shop.
func (k *Kit) gone() bool {
	return k.sent || k.Item.State == models.StateShipped || k.Item.State == models.StateRecalled
}

// Kit gives a kit by its serial or id.
func (s *Service) Kit(ctx context.Context, named string) (Kit, error) {
	item, err := s.scanned(ctx, named, "kit")
	if err != nil {
		return Kit{}, err
	}
	return s.kit(ctx, item)
}

func (s *Service) kit(ctx context.Context, item models.Item) (Kit, error) {
	k := Kit{Item: item}
	if item.Kind != models.KindKit || item.ProductID == nil {
		return Kit{}, models.Invalid("kit", "no_kit", "serial", item.Name())
	}
	form, err := s.store.ProductForm(ctx, *item.ProductID)
	if err != nil {
		return Kit{}, fmt.Errorf("list of kit %s: %w", item.Name(), err)
	}
	if err := s.asks(ctx, &k, form); err != nil {
		return Kit{}, err
	}
	if !k.gone() {
		if k.Against, err = s.held(ctx, item); err != nil {
			return Kit{}, err
		}
	}
	packings, err := s.store.KitPackings(ctx, item.ID)
	if err != nil {
		return Kit{}, fmt.Errorf("what is in kit %s: %w", item.Name(), err)
	}
	if err := s.fill(ctx, &k, packings); err != nil {
		return Kit{}, err
	}
	shipments, err := s.store.ShipmentsOf(ctx, item.ID)
	if err != nil {
		return Kit{}, fmt.Errorf("shipments of %s: %w", item.Name(), err)
	}
	for i := range shipments {
		if shipments[i].Void == nil && k.Shipment == nil {
			k.Shipment = &shipments[i]
		}
	}
	k.People, err = s.names(ctx)
	return k, err
}

// asks gives a kit the lines that its form asks for.
func (s *Service) asks(ctx context.Context, k *Kit, form models.ProductRevision) (err error) {
	if k.Product, err = s.store.Product(ctx, *k.Item.ProductID); err != nil {
		return fmt.Errorf("product of kit %s: %w", k.Item.Name(), err)
	}
	if form.Form.Kit == nil {
		return nil
	}
	for _, l := range form.Form.Kit.Lines {
		line := Line{KitLine: l, Name: l.Part}
		if l.Product != "" {
			product, err := s.store.Product(ctx, l.Product)
			if err != nil {
				return fmt.Errorf("what kit %s holds: %w", k.Item.Name(), err)
			}
			line.Name = product.Name
		}
		k.Lines = append(k.Lines, line)
	}
	return nil
}

// fill puts what was packed into the kit to its lines and asks the gate about each item.
func (s *Service) fill(ctx context.Context, k *Kit, packings []models.KitPacking) error {
	newest, parts := map[string]models.KitPacking{}, map[string]int{}
	var order []string
	for _, p := range packings {
		switch {
		case p.KitID != k.Item.ID: // Into another one of the shipment.
		case p.ItemID != nil:
			if _, seen := newest[*p.ItemID]; !seen {
				order = append(order, *p.ItemID)
			}
			newest[*p.ItemID] = p
		case p.Added:
			parts[p.Part] += p.Quantity
		default:
			parts[p.Part] -= p.Quantity
		}
	}
	items, err := s.store.ItemsByID(ctx, order)
	if err != nil {
		return fmt.Errorf("items of kit %s: %w", k.Item.Name(), err)
	}
	for _, id := range order {
		p := newest[id]
		at := slices.IndexFunc(items, func(i models.Item) bool { return i.ID == id })
		if !p.Added || at < 0 {
			continue
		}
		if !k.gone() { // What went in it is told by what was packed.
			in, err := s.store.KitOf(ctx, id)
			if err != nil {
				return fmt.Errorf("the kit of %s: %w", items[at].Name(), err)
			}
			if in != k.Item.ID {
				continue // It came back, and lies in another one.
			}
		}
		if err := s.place(ctx, k, items[at], p); err != nil {
			return err
		}
	}
	k.Whole = len(k.Lines) > 0
	for i := range k.Lines {
		l := &k.Lines[i]
		if l.Product == "" {
			l.Done = max(0, parts[l.Part])
		}
		k.Whole = k.Whole && l.Full()
	}
	return nil
}

func (s *Service) place(ctx context.Context, k *Kit, item models.Item, p models.KitPacking) error {
	thrown := !k.gone() && (item.State == models.StateScrapped || item.State == models.StateReturned)
	if line := k.lineFor(item); line != nil {
		if line.In = append(line.In, item); !thrown {
			line.Done++
		}
	} else {
		k.Extra = append(k.Extra, item)
	}
	if len(p.Against) > 0 {
		k.Let = append(k.Let, p)
	}
	if k.gone() {
		return nil
	}
	if thrown {
		k.Against = append(k.Against, models.NewRemark("gone_from_kit", "serial", item.Name()))
		return nil
	}
	against, err := s.Gate(ctx, item)
	for _, r := range against {
		if !has(p.Against, r) {
			k.Against = append(k.Against, r)
		}
	}
	return err
}

// has says whether the very same was said before: another hold, another lot, or parts
// that were taken out once more are news even where the code is the same.
func has(list []models.Remark, r models.Remark) bool {
	return slices.ContainsFunc(list, func(x models.Remark) bool { return x.Code == r.Code && maps.Equal(x.Values, r.Values) })
}

// lineFor is the line that an item of this product fills, nil for none with room.
func (k *Kit) lineFor(item models.Item) *Line {
	for i := range k.Lines {
		l := &k.Lines[i]
		if item.ProductID != nil && l.Product == *item.ProductID && !l.Full() {
			return l
		}
	}
	return nil
}

// Packed is what a scan at the packing bench did.
type Packed struct {
	Kit  Kit
	Item models.Item
}

// Pack puts a scanned item into a kit. What the gate says against it is a
// models.RefusedError; the owner may let it in all the same by a reason.
func (s *Service) Pack(ctx context.Context, actor models.Actor, kitNamed, typed, reason string) (Packed, error) {
	k, err := s.Kit(ctx, kitNamed)
	if err != nil {
		return Packed{}, err
	}
	item, err := s.scanned(ctx, typed, "item")
	if err != nil {
		return Packed{}, err
	}
	against, err := s.Gate(ctx, item)
	if err != nil {
		return Packed{}, err
	}
	hard, err := s.misfit(ctx, k, item)
	if err != nil {
		return Packed{}, err
	}
	if len(hard) > 0 {
		return Packed{}, &models.RefusedError{Reasons: hard}
	}
	if k.lineFor(item) == nil {
		against = append(against, models.NewRemark("not_in_kit", "serial", item.Name(), "product", k.Product.Name))
	}
	if err := allowed(actor, against, &reason); err != nil {
		return Packed{}, err
	}
	p := models.KitPacking{ID: models.NewID(), KitID: k.Item.ID, ItemID: &item.ID, Quantity: 1, Added: true, Reason: reason, Against: against}
	if err := s.store.PackKit(ctx, models.NewStamp(actor, s.now()), p); err != nil {
		return Packed{}, fmt.Errorf("pack %s into %s: %w", item.Name(), k.Item.Name(), err)
	}
	k, err = s.kit(ctx, k.Item)
	return Packed{Kit: k, Item: item}, err
}

// misfit is what nobody may let pass: the kit is closed, the item is in a box
// already, or is no item that goes into one.
func (s *Service) misfit(ctx context.Context, k Kit, item models.Item) ([]models.Remark, error) {
	switch {
	case k.Item.State == models.StateShipped:
		return []models.Remark{models.NewRemark("shipped_already", "serial", k.Item.Name())}, nil
	case item.State == models.StateShipped, item.State == models.StateRecalled:
		return []models.Remark{models.NewRemark("shipped_already", "serial", item.Name())}, nil
	case item.State == models.StateScrapped, item.State == models.StateReturned:
		return []models.Remark{models.NewRemark("item_gone", "serial", item.Name())}, nil
	case item.Kind != models.KindWheel && item.Kind != models.KindPack:
		return []models.Remark{models.NewRemark("not_packable", "serial", item.Name())}, nil
	}
	in, err := s.store.KitOf(ctx, item.ID)
	if err != nil || in == "" {
		return nil, err
	}
	if in == k.Item.ID {
		return []models.Remark{models.NewRemark("in_this_kit", "serial", item.Name())}, nil
	}
	other, err := s.store.Item(ctx, in)
	if err != nil {
		return nil, fmt.Errorf("the kit of %s: %w", item.Name(), err)
	}
	return []models.Remark{models.NewRemark("in_a_kit", "serial", item.Name(), "kit", other.Name())}, nil
}

// allowed lets something go against the gate: the owner's word with a reason.
// Without anything against it there is nothing to give a reason for.
func allowed(actor models.Actor, against []models.Remark, reason *string) error {
	if len(against) == 0 {
		*reason = ""
		return nil
	}
	if strings.TrimSpace(*reason) == "" || !actor.May(models.ActConcede) {
		return &models.RefusedError{Reasons: against}
	}
	return reasoned(reason)
}

// Tick says that the small parts of a line are in the box, or not after all.
func (s *Service) Tick(ctx context.Context, actor models.Actor, kitNamed, part string, in bool) (Kit, error) {
	k, err := s.Kit(ctx, kitNamed)
	if err != nil {
		return Kit{}, err
	}
	at := slices.IndexFunc(k.Lines, func(l Line) bool { return l.Product == "" && l.Part == part })
	if at < 0 {
		return Kit{}, models.Invalid("part", "unknown_choice", "typed", models.Shortened(part))
	}
	line := k.Lines[at]
	p := models.KitPacking{ID: models.NewID(), KitID: k.Item.ID, Part: part, Added: in, Quantity: line.Quantity - line.Done}
	if !in {
		p.Quantity = line.Done
	}
	if p.Quantity <= 0 {
		return k, nil // As it is.
	}
	if err := s.store.PackKit(ctx, models.NewStamp(actor, s.now()), p); err != nil {
		return Kit{}, fmt.Errorf("tick %q in %s: %w", part, k.Item.Name(), err)
	}
	return s.kit(ctx, k.Item)
}

// TakeOut takes an item out of a kit again.
func (s *Service) TakeOut(ctx context.Context, actor models.Actor, kitNamed, typed, reason string) (Kit, error) {
	k, err := s.Kit(ctx, kitNamed)
	if err != nil {
		return Kit{}, err
	}
	item, err := s.scanned(ctx, typed, "item")
	if err != nil {
		return Kit{}, err
	}
	if err := reasoned(&reason); err != nil {
		return Kit{}, err
	}
	p := models.KitPacking{ID: models.NewID(), KitID: k.Item.ID, ItemID: &item.ID, Quantity: 1, Reason: reason}
	if err := s.store.PackKit(ctx, models.NewStamp(actor, s.now()), p); err != nil {
		return Kit{}, fmt.Errorf("take %s out of %s: %w", item.Name(), k.Item.Name(), err)
	}
	return s.kit(ctx, k.Item)
}

// OpenKits lists the kits that are packed here, the oldest first.
func (s *Service) OpenKits(ctx context.Context) ([]Kit, error) {
	items, err := s.store.OpenKits(ctx)
	if err != nil {
		return nil, fmt.Errorf("open kits: %w", err)
	}
	var kits []Kit
	for _, item := range items {
		k, err := s.kit(ctx, item)
		if err != nil {
			return nil, err
		}
		kits = append(kits, k)
	}
	return kits, nil
}
