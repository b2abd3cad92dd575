package shipping

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// PackingList gives what the paper in the box says: what went, with the certificates
// that were in force then, whatever became of either since. Whom it goes to stands on it
// for an actor who may see customers, which counts as a look at one.
func (s *Service) PackingList(ctx context.Context, actor models.Actor, number string) (models.PackingList, error) {
	sh, err := s.Shipment(ctx, number)
	if err != nil {
		return models.PackingList{}, err
	}
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return models.PackingList{}, fmt.Errorf("settings of the shop: %w", err)
	}
	list := models.PackingList{Language: models.LanguageOr(settings[models.SettingPaperLanguage]), Issuer: models.CertificateIssuer{Name: settings[models.SettingShopName], Address: settings[models.SettingShopAddress]}, Number: sh.Number,
		ShippedOn: sh.ShippedAt.In(s.zone(ctx)).Format(time.DateOnly), Order: sh.OrderRef, Carrier: sh.Carrier, Tracking: sh.Tracking, Void: sh.Void != nil}
	if list.Issuer.Name == "" {
		return models.PackingList{}, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("shop_name_missing")}}
	}
	if err := s.shipTo(ctx, actor, sh.Customer, &list); err != nil {
		return models.PackingList{}, err
	}
	if len(sh.Against) > 0 {
		list.Concessions = append(list.Concessions, models.PackingConcession{Reason: sh.Reason, Against: printed(sh.Against)})
	}
	for _, k := range sh.Kits {
		if err := s.boxOf(ctx, k, sh.ShippedAt, &list); err != nil {
			return models.PackingList{}, err
		}
	}
	if len(sh.Loose) > 0 {
		box := models.PackingBox{}
		for _, item := range sh.Loose {
			line, err := s.packed(ctx, item, sh.ShippedAt, &list)
			if err != nil {
				return models.PackingList{}, err
			}
			box.Lines = append(box.Lines, line)
		}
		list.Boxes = append(list.Boxes, box)
	}
	return list, nil
}

func (s *Service) shipTo(ctx context.Context, actor models.Actor, customer string, list *models.PackingList) error {
	if customer == "" || !actor.May(models.ActCustomers) {
		return nil
	}
	c, err := s.store.Customer(ctx, models.NewStamp(actor, s.now()), customer, list.Number)
	if errors.Is(err, models.ErrNotFound) {
		return nil // Erased since.
	}
	if err != nil {
		return fmt.Errorf("customer of shipment %s: %w", list.Number, err)
	}
	list.ShipTo = append([]string{c.Name}, strings.Split(strings.TrimSpace(c.Address), "\n")...)
	return nil
}

func (s *Service) boxOf(ctx context.Context, k Kit, at time.Time, list *models.PackingList) error {
	box := models.PackingBox{Serial: k.Item.Name(), Product: k.Product.Name}
	lines := k.Lines
	if len(k.Extra) > 0 {
		for _, item := range k.Extra {
			lines = append(lines, Line{KitLine: models.KitLine{Quantity: 1}, In: []models.Item{item}, Done: 1})
		}
	}
	for _, l := range lines {
		if l.Done == 0 {
			continue // What is not in the box is said by the concession.
		}
		line := models.PackingLine{Name: l.Name, Quantity: l.Done}
		for _, item := range l.In {
			one, err := s.packed(ctx, item, at, list)
			if err != nil {
				return err
			}
			if line.Name == "" {
				line.Name = one.Name
			}
			line.Items = append(line.Items, one.Items...)
		}
		box.Lines = append(box.Lines, line)
	}
	for _, p := range k.Let {
		serial := ""
		if p.ItemID != nil {
			item, err := s.store.Item(ctx, *p.ItemID)
			if err != nil {
				return fmt.Errorf("what went into %s by concession: %w", k.Item.Name(), err)
			}
			serial = item.Name()
		}
		list.Concessions = append(list.Concessions, models.PackingConcession{Serial: serial, PackedOn: p.PackedAt.In(s.zone(ctx)).Format(time.DateOnly), Reason: p.Reason, Against: printed(p.Against)})
	}
	list.Boxes = append(list.Boxes, box)
	return nil
}

// printed is what stood against something as the customer's paper says it: without the
// words that a hold was raised with, which are for the house, and once however many
// holds there were.
func printed(against []models.Remark) []models.Remark {
	said := against[:0:0]
	for _, r := range against {
		if r.Code == "held_back" {
			r = models.NewRemark("was_held", "serial", r.Values["serial"])
		}
		if !slices.ContainsFunc(said, func(s models.Remark) bool { return s.Code == r.Code && maps.Equal(s.Values, r.Values) }) {
			said = append(said, r)
		}
	}
	return said
}

// packed is the line of one item that was shipped at a moment, with its certificate.
func (s *Service) packed(ctx context.Context, item models.Item, at time.Time, list *models.PackingList) (models.PackingLine, error) {
	line := models.PackingLine{Quantity: 1, Items: []models.PackingItem{{Serial: item.Name()}}}
	if item.ProductID != nil {
		product, err := s.store.Product(ctx, *item.ProductID)
		if err != nil {
			return line, fmt.Errorf("product of %s: %w", item.Name(), err)
		}
		form, err := s.formAt(ctx, product.ID, at)
		if err != nil {
			return line, err
		}
		line.Name = product.Name
		if form.Form.Pack != nil {
			list.Packs = append(list.Packs, form.Form.Pack.Chemistry)
		}
	}
	certificates, err := s.store.CertificatesOf(ctx, item.ID)
	if err != nil {
		return line, fmt.Errorf("certificates of %s: %w", item.Name(), err)
	}
	for _, c := range certificates { // The newest first. One that ended in that very moment was in force: the shipment was asked about it.
		if !c.IssuedAt.After(at) && (c.Change == nil || !c.Change.ChangedAt.Before(at)) {
			line.Items[0].Certificate, line.Items[0].Revision = c.Number, c.Revision
			break
		}
	}
	return line, nil
}
