package store

import (
	"context"
	"errors"
	"strings"

	"gorm.io/gorm"

	"tracewright/models"
)

// AddCustomer adds a customer. The log knows the key alone.
func (s *Store) AddCustomer(ctx context.Context, stamp models.Stamp, c models.Customer) error {
	c.EnteredAt, c.EnteredBy = settled(c.EnteredAt, stamp), orActor(c.EnteredBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &c), "add a customer")
}

// ChangeCustomer writes a customer anew.
func (s *Store) ChangeCustomer(ctx context.Context, stamp models.Stamp, c models.Customer) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		done := tx.Model(&models.Customer{}).Where("id = ?", c.ID).Updates(map[string]any{"name": c.Name, "address": c.Address, "email": c.Email, "phone": c.Phone, "note": c.Note})
		if err := changedOne(done, "customer"); err != nil {
			return err
		}
		return enter(tx, stamp, c, "changed")
	})
	return fault(err, "change a customer")
}

// EraseCustomer removes a customer for good. Orders and shipments keep a key
// that leads nowhere.
func (s *Store) EraseCustomer(ctx context.Context, stamp models.Stamp, id string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := changedOne(tx.Where("id = ?", id).Delete(&models.Customer{}), "customer"); err != nil {
			return err
		}
		return enter(tx, stamp, models.Customer{ID: id}, "erased")
	})
	if err == nil {
		err = s.forget(ctx)
	}
	return fault(err, "erase a customer")
}

// CustomerThere says whether a key leads to a customer; nothing of them is read.
func (s *Store) CustomerThere(ctx context.Context, id string) (bool, error) {
	var n int64
	err := fault(s.read.WithContext(ctx).Model(&models.Customer{}).Where("id = ?", id).Count(&n).Error, "find a customer")
	if errors.Is(err, models.ErrNotFound) { // It is no key at all.
		err = nil
	}
	return n > 0, err
}

// Customer finds one, and records that somebody looked.
func (s *Store) Customer(ctx context.Context, stamp models.Stamp, id, reason string) (models.Customer, error) {
	var c models.Customer
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := tx.Where("id = ?", id).Take(&c).Error; err != nil {
			return err
		}
		look := models.CustomerLook{ID: models.NewID(), Customer: id, PersonID: stamp.By.PersonID, Reason: reason, LookedAt: models.Moment(stamp.At)}
		if err := add(tx, &look); err != nil {
			return err
		}
		return enter(tx, stamp, look, "")
	})
	return c, fault(err, "look a customer up")
}

// CustomersNamed lists customers whose name, phone or e-mail holds a text, by
// name, at most limit. Each of them was looked at, which is recorded.
func (s *Store) CustomersNamed(ctx context.Context, stamp models.Stamp, text, reason string, limit int) ([]models.Customer, error) {
	var found []models.Customer
	err := s.changing(ctx, func(tx *gorm.DB) error {
		pattern := "%" + likeSigns.Replace(text) + "%"
		if err := tx.Where(`lower(name) LIKE lower(?) ESCAPE '\' OR phone LIKE ? ESCAPE '\' OR lower(email) LIKE lower(?) ESCAPE '\'`, pattern, pattern, pattern).Order("name, id").Limit(limit).Find(&found).Error; err != nil {
			return err
		}
		for _, c := range found {
			look := models.CustomerLook{ID: models.NewID(), Customer: c.ID, PersonID: stamp.By.PersonID, Reason: reason, LookedAt: models.Moment(stamp.At)}
			if err := add(tx, &look); err != nil {
				return err
			}
			if err := enter(tx, stamp, look, ""); err != nil {
				return err
			}
		}
		return nil
	})
	return found, fault(err, "find customers")
}

// likeSigns keeps a typed text from being a pattern.
var likeSigns = strings.NewReplacer(`\`, `\\`, "%", `\%`, "_", `\_`)

// LooksAt lists who looked a customer up, the newest first.
func (s *Store) LooksAt(ctx context.Context, id string, limit int) ([]models.CustomerLook, error) {
	var looks []models.CustomerLook
	err := s.read.WithContext(ctx).Where("customer = ?", id).Order("looked_at DESC, id DESC").Limit(limit).Find(&looks).Error
	return looks, fault(err, "list who looked a customer up")
}
