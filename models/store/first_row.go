package store

import (
	"database/sql"

	"gorm.io/gorm"
)

// firstRow scans the first row of a question; without one it is sql.ErrNoRows.
// gorm's own Row must not be used with prepared statements: where preparing one
// fails, as when the connection was cut, it gives an empty row that panics.
func firstRow(query *gorm.DB, into ...any) error {
	rows, err := query.Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	if !rows.Next() {
		if err := rows.Err(); err != nil {
			return err
		}
		return sql.ErrNoRows
	}
	if err := rows.Scan(into...); err != nil {
		return err
	}
	return rows.Close()
}
