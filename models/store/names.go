package store

import "gorm.io/gorm/schema"

// names gives tables and columns the names of the migrations: those of gorm,
// but for a word whose plural is itself.
type names struct{ schema.NamingStrategy }

func (n names) TableName(record string) string {
	if record == "Unplaced" {
		return "unplaced"
	}
	return n.NamingStrategy.TableName(record)
}
