package bench

import (
	"context"
	_ "embed" // the tables and the script of the comparison
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

//go:embed raw_schema.sql
var rawSchema string

//go:embed raw.pgbench
var rawScript string

// MakeRaw makes the tables of the raw comparison.
func (d Database) MakeRaw(ctx context.Context) error {
	conn, err := pgx.Connect(ctx, d.DSN)
	if err != nil {
		return fmt.Errorf("make the raw tables: %w", err)
	}
	defer conn.Close(ctx)
	if _, err = conn.Exec(ctx, rawSchema); err != nil {
		return fmt.Errorf("make the raw tables: %w", err)
	}
	return nil
}

// RawPostgres is how many inspections a second the database's own client
// writes: one row and 108 readings by one multi-row insert, each in a
// transaction. Where pgbench is not installed the same statements go through
// the driver that the server uses.
func (d Database) RawPostgres(ctx context.Context, pgbench string, during time.Duration) (float64, error) {
	if pgbench != "" {
		return d.runPgbench(ctx, pgbench, []string{rawScript}, during)
	}
	readings := "INSERT INTO bench_readings (inspection_id, code, spoke, typed, value) VALUES "
	for i := range 3 * holes {
		if i > 0 {
			readings += ", "
		}
		readings += fmt.Sprintf("($%d, $%d, $%d, $%d, $%d)", 5*i+1, 5*i+2, 5*i+3, 5*i+4, 5*i+5)
	}
	return d.withPool(ctx, during, func(ctx context.Context, conn *pgxpool.Conn) error {
		id := rand.Int64()
		tx, err := conn.Begin(ctx)
		if err != nil {
			return err
		}
		_, err = tx.Exec(ctx, "INSERT INTO bench_inspections (id, serial, stage, person, verdict, at) VALUES ($1, 'W26000051', 'after_relief', 'p', 'pass', now())", id)
		if err == nil {
			_, err = tx.Exec(ctx, readings, rawReadings(id)...)
		}
		if err != nil {
			return errors.Join(err, tx.Rollback(ctx))
		}
		return tx.Commit(ctx)
	})
}

// rawLooks runs look-ups as read-only transactions of the database's own
// client, or through the driver where there is none.
func (d Database) rawLooks(ctx context.Context, pgbench string, looks [][]string, during time.Duration) (float64, error) {
	if pgbench != "" {
		scripts := make([]string, len(looks))
		for i, statements := range looks {
			for _, s := range statements {
				if asVariable.MatchString(s) {
					return 0, fmt.Errorf("pgbench would take a part of %.80q for a variable", s)
				}
			}
			scripts[i] = strings.Join(statements, ";\n") + ";\n"
		}
		return d.runPgbench(ctx, pgbench, scripts, during)
	}
	next := turns(len(looks))
	return d.withPool(ctx, during, func(ctx context.Context, conn *pgxpool.Conn) error {
		for _, text := range looks[next()] {
			rows, err := conn.Query(ctx, text)
			if err != nil {
				return err
			}
			for rows.Next() {
				rows.RawValues()
			}
			if rows.Close(); rows.Err() != nil {
				return rows.Err()
			}
		}
		return nil
	})
}

// asVariable is what pgbench would put a value of its own in for.
var asVariable = regexp.MustCompile(`(^|[^:]):[A-Za-z_]`)

func (d Database) withPool(ctx context.Context, during time.Duration, do func(context.Context, *pgxpool.Conn) error) (float64, error) {
	config, err := pgxpool.ParseConfig(d.DSN)
	if err != nil {
		return 0, err
	}
	config.MaxConns = Clients
	pool, err := pgxpool.NewWithConfig(ctx, config)
	if err != nil {
		return 0, err
	}
	defer pool.Close()
	return closed(ctx, Clients, during, func(ctx context.Context) error {
		return pool.AcquireFunc(ctx, func(conn *pgxpool.Conn) error { return do(ctx, conn) })
	})
}

var tps = regexp.MustCompile(`tps = ([0-9.]+)`)

// runPgbench runs scripts in turn by chance, each as often, and gives how many
// transactions a second were done. It counts in whole seconds.
func (d Database) runPgbench(ctx context.Context, program string, scripts []string, during time.Duration) (float64, error) {
	folder, err := os.MkdirTemp("", "tracewright-bench")
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(folder)
	args := []string{"-n", "-c", strconv.Itoa(Clients), "-j", "2", "-T", strconv.Itoa(max(1, int(during.Round(time.Second)/time.Second))), "-M", "prepared"}
	for i, s := range scripts {
		file := filepath.Join(folder, fmt.Sprintf("%d.sql", i))
		if err := os.WriteFile(file, []byte(s), 0o600); err != nil {
			return 0, err
		}
		args = append(args, "-f", file)
	}
	command := exec.CommandContext(ctx, program, append(args, d.plain)...)
	command.Env = append(os.Environ(), "PGOPTIONS=-c search_path="+d.schema)
	if d.schema == "" {
		command.Env = os.Environ()
	}
	out, err := command.CombinedOutput()
	if err != nil {
		return 0, fmt.Errorf("pgbench: %w\n%s", err, out)
	}
	m := tps.FindSubmatch(out)
	if m == nil {
		return 0, fmt.Errorf("pgbench printed no rate:\n%s", out)
	}
	return strconv.ParseFloat(string(m[1]), 64)
}

// Pgbench finds the program, of the PostgreSQL server's own folder or of the
// path; empty where it is not installed.
func Pgbench() string {
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/pgbench")
	if len(found) > 0 {
		return slices.Max(found)
	}
	path, err := exec.LookPath("pgbench")
	if err != nil {
		return ""
	}
	return path
}
