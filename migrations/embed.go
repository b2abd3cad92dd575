// Package migrations holds the schema as SQL that can be read: one folder for
// SQLite and one for PostgreSQL, with the same numbers, names, tables and
// columns. A file is one transaction and is never edited after a release; a
// change is the next number, in both folders, and go generate.
package migrations

import (
	"archive/zip"
	"bytes"
	_ "embed"
	"io/fs"
)

// The program holds the files packed: as they stand they are six times as long.
//
//go:generate go run pack.go migrations.zip */*.sql
//go:embed migrations.zip
var packed []byte

// Files holds sqlite/NNNN_name.sql and postgres/NNNN_name.sql.
var Files fs.FS = opened()

func opened() fs.FS {
	files, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		panic("the migrations are not those that were packed: " + err.Error())
	}
	return files
}
