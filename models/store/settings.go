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
	return settingsOf(rows), err
}

func settingsOf(rows []models.Setting) map[string]string {
	values := make(map[string]string, len(rows))
	for _, r := range rows {
		values[r.Name] = r.Value
	}
	return values
}

// Setting gives one, or models.ErrNotFound when it was never set.
func (s *Store) Setting(ctx context.Context, name string) (string, error) {
	row, err := first[models.Setting](ctx, s, "read the setting "+name, "name = ?", name)
	return row.Value, err
}

// SetSetting sets one.
func (s *Store) SetSetting(ctx context.Context, stamp models.Stamp, name, value string) error {
	setting := models.Setting{Name: name, Value: value}
	err := s.changing(ctx, func(tx *gorm.DB) error { return setSetting(tx, stamp, setting) })
	return fault(err, "set %s", name)
}

func setSetting(tx *gorm.DB, stamp models.Stamp, setting models.Setting) error {
	upsert := clause.OnConflict{Columns: []clause.Column{{Name: "name"}}, DoUpdates: clause.AssignmentColumns([]string{"value"})}
	if err := tx.Clauses(upsert).Create(&setting).Error; err != nil {
		return err
	}
	return enter(tx, stamp, setting, "")
}

// ChangeSettings lets change decide over the settings as they stand now, and sets what
// it answers with, in one transaction; of two such changes at the same moment the second
// sees the first. An error of change leaves all as they were.
func (s *Store) ChangeSettings(ctx context.Context, stamp models.Stamp, change func(now map[string]string) ([]models.Setting, error)) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if s.dialect == Postgres { // A row that is not there yet cannot be locked.
			if err := tx.Exec("LOCK TABLE settings IN SHARE ROW EXCLUSIVE MODE").Error; err != nil {
				return err
			}
		}
		var rows []models.Setting
		if err := tx.Find(&rows).Error; err != nil {
			return err
		}
		next, err := change(settingsOf(rows))
		if err != nil {
			return err
		}
		for _, setting := range next {
			if err := setSetting(tx, stamp, setting); err != nil {
				return err
			}
		}
		return nil
	})
	return fault(err, "change the settings")
}

// ReplaceSetting sets one that is still what it was; an empty before stands for one that
// was never set, or emptied. Where somebody was faster it is models.ErrConflict.
func (s *Store) ReplaceSetting(ctx context.Context, stamp models.Stamp, name, before, value string) error {
	setting := models.Setting{Name: name, Value: value}
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var done *gorm.DB
		if before == "" {
			emptied := clause.Where{Exprs: []clause.Expression{clause.Eq{Column: clause.Column{Table: "settings", Name: "value"}, Value: ""}}}
			done = tx.Clauses(clause.OnConflict{Columns: []clause.Column{{Name: "name"}}, DoUpdates: clause.AssignmentColumns([]string{"value"}), Where: emptied}).Create(&setting)
		} else {
			done = tx.Model(&models.Setting{}).Where("name = ? AND value = ?", name, before).Update("value", value)
		}
		if done.Error != nil {
			return done.Error
		}
		if done.RowsAffected == 0 {
			return models.ErrConflict
		}
		return enter(tx, stamp, setting, "")
	})
	return fault(err, "set %s", name)
}
