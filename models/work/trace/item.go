package trace

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// Service answers questions about items.
type Service struct{ store Store }

// New returns the service on its store.
func New(store Store) *Service { return &Service{store: store} }

// Item returns everything about one item, by its id or by its serial however
// written. The error wraps [models.ErrNotFound] when no item answers to either,
// and beside it an [models.InvalidError] on the field "item" when none can: a
// misread serial, or a text that is neither a serial nor an id.
//
// It asks a fixed number of questions of the store, however long the history is
// and however much is built in. What others have to say of the item is asked
// beside them, at the same time.
func (s *Service) Item(ctx context.Context, idOrSerial string, beside ...func(context.Context, models.Item) error) (ItemView, error) {
	return s.item(ctx, idOrSerial, s.fillInspections, beside)
}

// One is the item alone; errors as of Item.
func (s *Service) One(ctx context.Context, idOrSerial string) (models.Item, error) {
	return s.one(ctx, idOrSerial)
}

// Glance is Item with the readings and results of the newest standing
// inspection and of the one named alone: what a page shows at once.
func (s *Service) Glance(ctx context.Context, idOrSerial, open string) (ItemView, error) {
	return s.item(ctx, idOrSerial, func(ctx context.Context, v *ItemView) error {
		views, err := s.store.GlanceOf(ctx, v.Item.ID, open)
		if err != nil {
			return fmt.Errorf("inspections: %w", err)
		}
		slices.Reverse(views)
		v.Inspections = views
		return nil
	}, nil)
}

func (s *Service) item(ctx context.Context, idOrSerial string, inspections func(context.Context, *ItemView) error, beside []func(context.Context, models.Item) error) (ItemView, error) {
	item, err := s.one(ctx, idOrSerial)
	if err != nil {
		return ItemView{}, err
	}
	view := ItemView{Item: item}
	var parts []func(context.Context) error
	for _, fill := range []func(context.Context, *ItemView) error{
		s.fillFamily, s.fillProduct, s.fillForm, s.fillParts, s.fillFittedInto, inspections, s.fillHolds, s.fillNonconformities, s.fillCertificates, s.fillPeople,
	} {
		parts = append(parts, func(ctx context.Context) error { return fill(ctx, &view) })
	}
	for _, ask := range beside {
		parts = append(parts, func(ctx context.Context) error { return ask(ctx, item) })
	}
	if err = s.store.Together(ctx, parts...); err == nil {
		err = s.countEntries(ctx, &view)
	}
	if err != nil {
		return ItemView{}, fmt.Errorf("item %s: %w", item.Name(), err)
	}
	return view, nil
}

// Named finds items by their keys, without anything about them.
func (s *Service) Named(ctx context.Context, ids []string) (map[string]models.Item, error) {
	items, err := s.store.ItemsByID(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("items: %w", err)
	}
	named := make(map[string]models.Item, len(items))
	for _, i := range items {
		named[i.ID] = i
	}
	return named, nil
}

// one finds the item itself.
func (s *Service) one(ctx context.Context, idOrSerial string) (models.Item, error) {
	serial, misread := ident.Normalise(idOrSerial)
	if misread == nil {
		item, err := s.store.ItemBySerial(ctx, serial)
		if err != nil {
			return models.Item{}, fmt.Errorf("item %s: %w", serial, err)
		}
		return item, nil
	}
	item, err := s.store.Item(ctx, idOrSerial)
	if errors.Is(err, models.ErrNotFound) {
		err = errors.Join(err, unreadable(idOrSerial, misread))
	}
	if err != nil {
		return models.Item{}, fmt.Errorf("item %.40q: %w", idOrSerial, err)
	}
	return item, nil
}

// unreadable says what is wrong with a text that names no item, nil where it
// could name one: a misread serial must not end as "no such item".
func unreadable(typed string, misread error) error {
	switch {
	case len(typed) > maxTyped:
		return models.Invalid("item", "too_long", "most", fmt.Sprint(maxTyped))
	case errors.Is(misread, ident.ErrCheck):
		return models.Invalid("item", "serial_check", "serial", typed)
	case len(typed) != idLength || strings.Count(typed, "-") != 4:
		return models.Invalid("item", "serial_form", "serial", typed)
	}
	return nil
}

func (s *Service) fillFamily(ctx context.Context, v *ItemView) error {
	if v.Item.FamilyID == nil {
		return nil
	}
	family, err := s.store.Family(ctx, *v.Item.FamilyID)
	if err != nil {
		return fmt.Errorf("family: %w", err)
	}
	v.Family = &family
	return nil
}

func (s *Service) fillProduct(ctx context.Context, v *ItemView) error {
	if v.Item.ProductID == nil {
		return nil
	}
	product, err := s.store.Product(ctx, *v.Item.ProductID)
	if err != nil {
		return fmt.Errorf("product: %w", err)
	}
	v.Product = &product
	return nil
}

func (s *Service) fillForm(ctx context.Context, v *ItemView) error {
	if v.Item.ProductID == nil {
		return nil
	}
	form, err := s.store.ProductForm(ctx, *v.Item.ProductID)
	if err != nil {
		return fmt.Errorf("form of its product: %w", err)
	}
	v.Form = &form
	return nil
}

// Parts lists what is or was built into an item, lots, parts and removals looked
// up together.
func (s *Service) Parts(ctx context.Context, itemID string) ([]PartView, error) {
	var (
		parts   []models.PartView
		lots    []models.Lot
		items   []models.Item
		removed []models.PartRemoval
	)
	err := s.store.Together(ctx, func(ctx context.Context) (err error) {
		if parts, err = s.store.Parts(ctx, itemID); err != nil {
			return fmt.Errorf("parts: %w", err)
		}
		lots, items, err = s.builtIn(ctx, parts)
		return err
	}, func(ctx context.Context) (err error) {
		if removed, err = s.store.RemovalsOf(ctx, itemID); err != nil {
			return fmt.Errorf("parts taken out: %w", err)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	views := make([]PartView, len(parts))
	for i, p := range parts {
		views[i].Part = p.FittedPart
		for _, r := range removed {
			if r.FittedID == p.ID {
				views[i].Out = append(views[i].Out, r)
			}
		}
		for k := range lots {
			if p.LotID != nil && lots[k].ID == *p.LotID {
				views[i].Lot = &lots[k]
			}
		}
		for k := range items {
			if p.PartID != nil && items[k].ID == *p.PartID {
				views[i].Item = &items[k]
			}
		}
	}
	return views, nil
}

// builtIn finds the lots and items that parts name.
func (s *Service) builtIn(ctx context.Context, parts []models.PartView) (lots []models.Lot, items []models.Item, err error) {
	var lotIDs, partIDs []string
	for _, p := range parts {
		if p.LotID != nil && !slices.Contains(lotIDs, *p.LotID) {
			lotIDs = append(lotIDs, *p.LotID)
		}
		if p.PartID != nil {
			partIDs = append(partIDs, *p.PartID)
		}
	}
	err = s.store.Together(ctx, func(ctx context.Context) (err error) {
		if lots, err = s.store.LotsByID(ctx, lotIDs); err != nil {
			return fmt.Errorf("lots built in: %w", err)
		}
		return nil
	}, func(ctx context.Context) (err error) {
		if items, err = s.store.ItemsByID(ctx, partIDs); err != nil {
			return fmt.Errorf("parts built in: %w", err)
		}
		return nil
	})
	return lots, items, err
}

func (s *Service) fillParts(ctx context.Context, v *ItemView) (err error) {
	v.Parts, err = s.Parts(ctx, v.Item.ID)
	return err
}

func (s *Service) fillFittedInto(ctx context.Context, v *ItemView) error {
	into, err := s.store.FittedInto(ctx, v.Item.ID)
	if err != nil {
		return fmt.Errorf("fitted into: %w", err)
	}
	for _, part := range into {
		item, err := s.store.Item(ctx, part.ItemID)
		if err != nil {
			return fmt.Errorf("fitted into: %w", err)
		}
		v.FittedInto = append(v.FittedInto, FittedInto{Part: part, Item: item})
	}
	return nil
}

func (s *Service) fillInspections(ctx context.Context, v *ItemView) (err error) {
	if v.Inspections, err = s.store.ViewsOf(ctx, v.Item.ID); err != nil {
		return fmt.Errorf("inspections: %w", err)
	}
	slices.Reverse(v.Inspections) // the store has the newest first, a history tells the oldest first
	return nil
}

func (s *Service) fillHolds(ctx context.Context, v *ItemView) error {
	holds, err := s.store.HoldsOf(ctx, v.Item.ID)
	if err != nil {
		return fmt.Errorf("holds: %w", err)
	}
	for _, h := range holds {
		v.Holds = append(v.Holds, HoldView{Hold: h.Hold, Lift: h.Lift, Lot: h.Lot})
	}
	return nil
}

func (s *Service) fillNonconformities(ctx context.Context, v *ItemView) (err error) {
	if v.Nonconformities, err = s.store.NonconformitiesOf(ctx, v.Item.ID); err != nil {
		return fmt.Errorf("nonconformities: %w", err)
	}
	return nil
}

func (s *Service) fillCertificates(ctx context.Context, v *ItemView) error {
	certificates, err := s.store.CertificatesOf(ctx, v.Item.ID)
	if err != nil {
		return fmt.Errorf("certificates: %w", err)
	}
	for _, c := range certificates {
		v.Certificates = append(v.Certificates, CertificateView{Certificate: c.Certificate, State: c.State, Change: c.Change})
	}
	return s.fillPrints(ctx, v)
}

// fillPrints reads those of the item and of its certificates.
func (s *Service) fillPrints(ctx context.Context, v *ItemView) (err error) {
	subjects := []string{v.Item.ID}
	for _, c := range v.Certificates {
		subjects = append(subjects, c.Certificate.ID)
	}
	if v.Prints, err = s.store.LabelPrintsOf(ctx, subjects); err != nil {
		return fmt.Errorf("prints: %w", err)
	}
	return nil
}

func (s *Service) fillPeople(ctx context.Context, v *ItemView) error {
	var err error
	v.People, err = s.names(ctx)
	return err
}

// TrailSubjects are what the log of changes calls the item, its inspections,
// holds, nonconformities with their steps, certificates and prints.
func (v ItemView) TrailSubjects() []string {
	subjects := []string{v.Item.ID}
	for _, i := range v.Inspections {
		subjects = append(subjects, i.Inspection.ID)
	}
	for _, h := range v.Holds {
		subjects = append(subjects, h.Hold.ID)
	}
	for _, n := range v.Nonconformities {
		subjects = append(subjects, n.ID)
		for _, step := range n.Steps {
			subjects = append(subjects, step.ID)
		}
	}
	for _, c := range v.Certificates {
		subjects = append(subjects, c.Certificate.ID)
	}
	for _, p := range v.Prints {
		subjects = append(subjects, p.ID)
	}
	return subjects
}

// countEntries counts what the log of changes says of them.
func (s *Service) countEntries(ctx context.Context, v *ItemView) (err error) {
	if v.TrailEntries, err = s.store.TrailCount(ctx, v.TrailSubjects()); err != nil {
		return fmt.Errorf("entries of the trail: %w", err)
	}
	return nil
}

// Inspection returns one inspection with its sets and results, and its item.
func (s *Service) Inspection(ctx context.Context, id string) (models.InspectionView, models.Item, error) {
	view, err := s.store.InspectionView(ctx, id)
	if err != nil {
		return models.InspectionView{}, models.Item{}, fmt.Errorf("inspection %.40q: %w", id, err)
	}
	item, err := s.store.Item(ctx, view.Inspection.ItemID)
	if err != nil {
		return models.InspectionView{}, models.Item{}, fmt.Errorf("item of inspection %s: %w", id, err)
	}
	return view, item, nil
}

// Certificate returns one revision of a certificate, with its present state.
func (s *Service) Certificate(ctx context.Context, number string, revision int) (CertificateView, error) {
	certificate, err := s.store.CertificateByNumber(ctx, number, revision)
	if err != nil {
		return CertificateView{}, fmt.Errorf("certificate %.40q revision %d: %w", number, revision, err)
	}
	all, err := s.store.CertificatesOf(ctx, certificate.ItemID)
	if err != nil {
		return CertificateView{}, fmt.Errorf("state of certificate %s: %w", number, err)
	}
	for _, c := range all {
		if c.ID == certificate.ID {
			return CertificateView{Certificate: c.Certificate, State: c.State, Change: c.Change}, nil
		}
	}
	return CertificateView{}, fmt.Errorf("certificate %s is not among those of its item", number)
}
