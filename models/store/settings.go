package store

import (
	"context"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// Settings gives the settings of the shop by name.
func (s *Store) Settings(ctx context.Context) (map[string]string, error) {
	rows, err := list[models.Setting](ctx, s, "read the settings", "name", everything)
	values := make(map[string]string, len(rows))
	for _, r := range rows {
		values[r.Name] = r.Value
	}
	return values, err
}

// Setting gives one, or models.ErrNotFound when it was never set.
func (s *Store) Setting(ctx context.Context, name string) (string, error) {
	row, err := first[models.Setting](ctx, s, "read the setting "+name, "name = ?", name)
	return row.Value, err
}

// SetSetting sets one.
func (s *Store) SetSetting(ctx context.Context, stamp models.Stamp, name, value string) error {
	setting := models.Setting{Name: name, Value: value}
	err := s.changing(ctx, func(tx *gorm.DB) error {
		upsert := clause.OnConflict{Columns: []clause.Column{{Name: "name"}}, DoUpdates: clause.AssignmentColumns([]string{"value"})}
		if err := tx.Clauses(upsert).Create(&setting).Error; err != nil {
			return err
		}
		return enter(tx, stamp, setting, "")
	})
	return fault(err, "set %s", name)
}
