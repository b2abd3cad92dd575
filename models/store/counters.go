package store

import (
	"fmt"

	"gorm.io/gorm"
)

// counted counts one on in a table of numbers per year, and writes the number as
// letters, two-digit year, hyphen and five digits. The row stays locked until the
// record is committed, so that no number is lost and none is given twice.
func counted(tx *gorm.DB, table, letters string, year2 int) (string, error) {
	var last int
	err := tx.Raw("INSERT INTO "+table+" (year, last) VALUES (?, 1) ON CONFLICT (year) DO UPDATE SET last = "+table+".last + 1 RETURNING last", year2).Scan(&last).Error
	return fmt.Sprintf("%s%02d-%05d", letters, year2, last), err
}
