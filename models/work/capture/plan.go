package capture

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

// Plan is what a stand or bench page needs before the first reading.
type Plan struct {
	Serial        string
	Source        string       // item, or roll: not scanned before
	Item          *models.Item // nil for a serial of a roll
	Family        models.Family
	Product       *models.Product
	Form          models.ProductForm
	Specification models.Specification
	Stage         string   // suggested
	Stages        []string // that may be chosen
	Instruments   []models.Instrument
	GaugeTables   []models.GaugeTable // of the tension gauges among them
	Products      []models.Product    // to choose from, when the roll names none
	Holds         []models.Hold
	Standing      []models.Inspection // earlier ones that stand, newest first
	OpenDraft     *models.Draft
}

// Plan finds what is to be read on the item with this serial, or with these
// last five characters. A roll that names no product answers with the products
// of its kind; asked again with one of them it answers in full.
func (s *Service) Plan(ctx context.Context, actor models.Actor, typed, productID, stage string) (Plan, error) {
	serial, err := s.completed(ctx, typed)
	if err != nil {
		return Plan{}, err
	}
	var unknown *unknownSerialError
	found, err := s.place(ctx, models.Submission{Serial: serial, Product: productID})
	var invalid *models.InvalidError
	if errors.As(err, &invalid) && invalid.Problems[0].Code == "product_of_roll_missing" {
		drafts, err := s.Drafts(ctx)
		if err != nil {
			return Plan{}, err
		}
		for _, d := range drafts {
			if d.Serial == serial && d.Content.Product != "" {
				return s.Plan(ctx, actor, serial, d.Content.Product, stage) // It was chosen when the draft began.
			}
		}
		products, err := s.productsOf(ctx, serial)
		return Plan{Serial: serial, Source: "roll", Products: products}, err
	}
	if errors.As(err, &unknown) {
		err = errors.Join(err, refuse("foreign_serial", "serial", serial))
	}
	if err != nil {
		return Plan{}, err
	}
	p := Plan{Serial: serial, Source: "item", Item: &found.Item, Family: found.Family, Product: found.Product, Form: found.Form.Form, Specification: found.Specification, Stage: stage}
	p.Specification.Characteristics = found.kind.Fit(found.Form.Form, found.Specification.Characteristics)
	for _, st := range found.kind.Stages {
		p.Stages = append(p.Stages, st.Name)
	}
	if !slices.Contains(p.Stages, stage) {
		if p.Stage, err = s.suggested(ctx, found); err != nil {
			return Plan{}, err
		}
	}
	if p.Instruments, err = s.usable(ctx, actor, found.Specification); err != nil {
		return Plan{}, err
	}
	if p.GaugeTables, err = s.tablesOf(ctx, p.Instruments, p.Specification); err != nil {
		return Plan{}, err
	}
	if found.newItem != nil {
		p.Source, p.Item = "roll", nil
	} else if err := s.history(ctx, &p); err != nil {
		return Plan{}, err
	}
	drafts, err := s.Drafts(ctx)
	if err != nil {
		return Plan{}, err
	}
	for i, d := range drafts {
		if d.Serial == serial {
			p.OpenDraft = &drafts[i]
			break
		}
	}
	return p, nil
}

// suggested is the stage an item comes to next: a recheck once it was judged
// conforming, and is not being worked on again.
func (s *Service) suggested(ctx context.Context, t target) (string, error) {
	if _, ok := t.kind.Stage(models.Recheck); ok {
		if recheck, err := s.rechecks(ctx, t.Item); err != nil || recheck {
			return models.Recheck, err
		}
	}
	return t.kind.SuggestedStage(), nil
}

// completed turns the last five characters into the whole serial where they
// belong to one item only.
func (s *Service) completed(ctx context.Context, typed string) (string, error) {
	scan := ident.Recognise(typed)
	if scan.What == ident.ScanSerial {
		return scan.Serial, nil
	}
	if err := s.anotherLabel(ctx, scan); err != nil {
		return "", err
	}
	// The last five are typed by a hand; what a scanner read is whole.
	tail, ok := ident.NormaliseTail(typed)
	if !ok || scan.Scanned {
		return "", s.noSerial(ctx, scan)
	}
	items, findErr := s.store.ItemsByTail(ctx, tail, 2)
	if findErr != nil {
		return "", fmt.Errorf("find the item that ends in %s: %w", tail, findErr)
	}
	switch len(items) {
	case 0:
		if err := s.makersNumber(ctx, scan); err != nil {
			return "", err
		}
		return "", errors.Join(fmt.Errorf("no item ends in %s: %w", tail, models.ErrNotFound), refuse("serial_tail_unknown", "typed", models.Shortened(scan.Text)))
	case 1:
		return *items[0].Serial, nil
	}
	return "", models.Invalid("serial", "serial_tail_not_unique", "serial", tail)
}

func (s *Service) productsOf(ctx context.Context, serial string) ([]models.Product, error) {
	families, err := s.store.Families(ctx)
	if err != nil {
		return nil, fmt.Errorf("list families: %w", err)
	}
	var products []models.Product
	for _, f := range families {
		if kind, ok := kinds.Named(f.Kind); !ok || byte(kind.Letter) != serial[0] {
			continue
		}
		of, err := s.store.Products(ctx, f.ID)
		if err != nil {
			return nil, fmt.Errorf("list products of %s: %w", f.Name, err)
		}
		products = append(products, of...)
	}
	return products, nil
}

// usable lists the instruments in use of the kinds the specification takes, with
// those that are out and may be used all the same, and without overdue ones where
// the shop lets nothing be judged by them: those in date first, and among them those of the actor's place.
func (s *Service) usable(ctx context.Context, actor models.Actor, spec models.Specification) ([]models.Instrument, error) {
	all, err := s.store.Instruments(ctx)
	if err != nil {
		return nil, fmt.Errorf("list instruments: %w", err)
	}
	wanted := map[string]bool{}
	for _, c := range spec.Characteristics {
		wanted[c.Instrument] = true
	}
	today := s.now().In(s.zone(ctx)).Format("2006-01-02")
	block := false
	if slices.ContainsFunc(all, func(i models.Instrument) bool { return i.OverdueOn(today) }) {
		if block, err = s.blocksOverdue(ctx); err != nil {
			return nil, err
		}
	}
	list := slices.DeleteFunc(all, func(i models.Instrument) bool {
		usable := i.State == models.InstrumentInUse || i.State == models.InstrumentOut && i.OutNote != ""
		return !usable || !wanted[i.Kind] || block && i.OverdueOn(today)
	})
	slices.SortStableFunc(list, func(a, b models.Instrument) int { return away(a, actor.Place, today) - away(b, actor.Place, today) })
	return list, nil
}

// away orders gauges by how likely they are the one in hand.
func away(i models.Instrument, place, today string) int {
	n := 0
	if i.OverdueOn(today) || i.State != models.InstrumentInUse {
		n = 3
	}
	switch i.Place {
	case place:
		return n
	case "":
		return n + 1
	}
	return n + 2
}

func (s *Service) history(ctx context.Context, p *Plan) error {
	inspections, err := s.store.InspectionsOf(ctx, p.Item.ID)
	if err != nil {
		return fmt.Errorf("earlier inspections of %s: %w", p.Serial, err)
	}
	p.Standing = slices.DeleteFunc(inspections, func(i models.Inspection) bool { return i.SupersededBy != nil })
	if p.Holds, err = s.store.OpenHolds(ctx, p.Item.ID); err != nil {
		return fmt.Errorf("holds on %s: %w", p.Serial, err)
	}
	return nil
}
