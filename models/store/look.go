package store

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// Look tells what the database says of itself, for whoever looks after it. It
// reads nothing that grows with history.
func (s *Store) Look(ctx context.Context) (models.DatabaseLook, error) {
	look := models.DatabaseLook{Dialect: s.dialect}
	tx := s.read.WithContext(ctx)
	version, err := s.SchemaVersion(ctx)
	if err != nil {
		return look, err
	}
	look.Schema = version
	var newest []models.TrailEntry
	if err := tx.Select("at").Order("at DESC").Limit(1).Find(&newest).Error; err != nil {
		return look, fault(err, "find the newest change")
	}
	if len(newest) > 0 {
		look.Newest = newest[0].At
	}
	if s.dialect == SQLite {
		err = s.lookSQLite(tx, &look)
	} else {
		err = s.lookPostgres(ctx, &look)
	}
	return look, fault(err, "ask the database for its settings")
}

func (s *Store) lookSQLite(tx *gorm.DB, look *models.DatabaseLook) error {
	var pages, size int64
	for ask, to := range map[string]any{"SELECT sqlite_version()": &look.Version, "PRAGMA journal_mode": &look.Journal, "PRAGMA page_count": &pages, "PRAGMA page_size": &size} {
		if err := tx.Raw(ask).Scan(to).Error; err != nil {
			return err
		}
	}
	look.Size, look.Now = pages*size, time.Now()
	return nil
}

func (s *Store) lookPostgres(ctx context.Context, look *models.DatabaseLook) error {
	var version, connections, reserved string
	var fsync, whole, committed string
	err := s.pool.QueryRow(ctx, `SELECT current_setting('server_version'), current_setting('server_version_num'), current_setting('fsync'), current_setting('full_page_writes'), current_setting('synchronous_commit'),
current_setting('server_encoding'), current_setting('max_connections'), current_setting('superuser_reserved_connections'), pg_database_size(current_database()), clock_timestamp(),
coalesce((SELECT checksum_failures FROM pg_stat_database WHERE datname = current_database()), 0)`).
		Scan(&look.Version, &version, &fsync, &whole, &committed, &look.Encoding, &connections, &reserved, &look.Size, &look.Now, &look.BrokenPages)
	if err != nil {
		return err
	}
	numbers := make([]int, 3)
	for i, text := range []string{version, connections, reserved} {
		if numbers[i], err = strconv.Atoi(text); err != nil {
			return err
		}
	}
	look.Major, look.Connections = numbers[0]/10000, numbers[1]-numbers[2]
	look.Wants = int(s.pool.Config().MaxConns + s.writers.Config().MaxConns)
	for _, x := range []struct{ name, value string }{{"fsync", fsync}, {"full_page_writes", whole}, {"synchronous_commit", committed}} {
		if x.value == "off" {
			look.Unsafe = append(look.Unsafe, x.name)
		}
	}
	return nil
}

// QuickCheck looks whether the pages of a SQLite file agree with one another, and
// gives what does not, at most five lines; none means that all is well. It leaves
// out what takes longest, whether indexes hold what their tables do. PostgreSQL
// looks after its own pages.
func (s *Store) QuickCheck(ctx context.Context) ([]string, error) {
	if s.dialect != SQLite {
		return nil, nil
	}
	var found []string
	err := s.read.WithContext(ctx).Raw("PRAGMA quick_check(5)").Scan(&found).Error
	switch {
	case isDamaged(err):
		return []string{opaque(err).Error()}, nil
	case err != nil:
		return nil, fault(err, "look through the database")
	case len(found) == 1 && found[0] == "ok":
		return nil, nil
	}
	return found, nil
}

// ToolFor says which program of PostgreSQL makes copies here; ErrNoTool where none
// does. It is empty for SQLite, which needs none.
func (s *Store) ToolFor(ctx context.Context, name string) (string, error) {
	if s.dialect != Postgres {
		return "", nil
	}
	return s.tool(ctx, name)
}

// SizeOf is what the files of a SQLite database take, its log of the newest
// changes included.
func SizeOf(path string) (int64, error) {
	var all int64
	for _, end := range []string{"", "-wal"} {
		info, err := os.Stat(path + end)
		if err != nil && end == "" {
			return 0, fmt.Errorf("size of the database: %w", err)
		}
		if err == nil {
			all += info.Size()
		}
	}
	return all, nil
}
