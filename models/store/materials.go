package store

import (
	"context"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// Materials lists them by name.
func (s *Store) Materials(ctx context.Context) ([]models.Material, error) {
	return list[models.Material](ctx, s, "list materials", "name, code", everything)
}

// Material finds one by its code.
func (s *Store) Material(ctx context.Context, code string) (models.Material, error) {
	return first[models.Material](ctx, s, "find material "+code, "code = ?", code)
}

// AddMaterial adds one; models.ErrConflict when its code is taken.
func (s *Store) AddMaterial(ctx context.Context, stamp models.Stamp, m models.Material) error {
	m.ChangedAt, m.ChangedBy = settled(m.ChangedAt, stamp), orActor(m.ChangedBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &m), "add material %s", m.Code)
}

// ChangeMaterial writes a material anew, as change leaves it, and gives what stands then;
// its code stays. Of two such changes at the same moment the second sees the first.
func (s *Store) ChangeMaterial(ctx context.Context, stamp models.Stamp, code string, change func(*models.Material) error) (models.Material, error) {
	var m models.Material
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.lockedNamed(tx).Where("code = ?", code).Take(&m).Error; err != nil {
			return err
		}
		if err := change(&m); err != nil {
			return err
		}
		m.Code, m.ChangedAt, m.ChangedBy = code, models.Moment(stamp.At), stamp.By.String()
		done := tx.Model(&models.Material{}).Where("code = ?", code).Select("Name", "Roles", "Unit", "Plan", "Least", "ChangedAt", "ChangedBy").Updates(&m)
		if err := changedOne(done, "material"); err != nil {
			return err
		}
		return enter(tx, stamp, m, "")
	})
	return m, fault(err, "change material %s", code)
}

// Suppliers lists the register by name.
func (s *Store) Suppliers(ctx context.Context) ([]models.Supplier, error) {
	return list[models.Supplier](ctx, s, "list suppliers", "name", everything)
}

// register enters a supplier that is named for the first time.
func register(tx *gorm.DB, stamp models.Stamp, name string) error {
	if name == "" {
		return nil
	}
	supplier := models.Supplier{Name: name, AddedAt: models.Moment(stamp.At), AddedBy: stamp.By.String()}
	done := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&supplier)
	if done.Error != nil || done.RowsAffected == 0 {
		return done.Error
	}
	return enter(tx, stamp, supplier, "")
}
