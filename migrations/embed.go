// Package migrations holds the schema as SQL that can be read: one folder for
// SQLite and one for PostgreSQL, with the same numbers, names, tables and
// columns. A file is one transaction and is never edited after a release; a
// change is the next number, in both folders.
package migrations

import "embed"

// SQLite holds sqlite/NNNN_name.sql.
//
//go:embed sqlite/*.sql
var SQLite embed.FS

// Postgres holds postgres/NNNN_name.sql.
//
//go:embed postgres/*.sql
var Postgres embed.FS
