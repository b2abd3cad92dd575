package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"gorm.io/gorm"

	"tracewright/models"
)

// ErrNoTool says that a program of PostgreSQL is missing, or is too old for the
// server.
var ErrNoTool = errors.New("a program of PostgreSQL is missing")

// snapshotPostgres has pg_dump read one exported snapshot, from which the facts
// are read too.
func (s *Store) snapshotPostgres(ctx context.Context) (models.Snapshot, error) {
	program, err := s.tool(ctx, "pg_dump")
	if err != nil {
		return models.Snapshot{}, err
	}
	at := models.Moment(time.Now())
	tx := s.read.WithContext(ctx).Begin()
	snapshot, id := models.Snapshot{At: at, Name: "pgdump", Size: -1, Close: func() error { return opaque(tx.Rollback().Error) }}, ""
	err = tx.Error
	if err == nil {
		err = tx.Exec("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY").Error
	}
	if err == nil {
		snapshot.Facts, err = facts(tx, Postgres)
	}
	if err == nil {
		err = tx.Raw("SELECT pg_export_snapshot()").Scan(&id).Error
	}
	if err != nil {
		tx.Rollback()
		return models.Snapshot{}, fault(err, "take a snapshot of the database")
	}
	snapshot.Open = func() (io.ReadCloser, error) {
		// The archive is compressed as a whole.
		return s.piped(ctx, program, "--format=custom", "--compress=0", "--no-owner", "--no-privileges", "--snapshot="+id)
	}
	return snapshot, nil
}

// restorationBegun is a table that stands in a database from before it is filled from
// a backup until all is done that makes it fit to go on: a program that is killed
// between leaves one whose numbers would be given out twice, and whole by its looks.
const restorationBegun = "restoration_begun"

// ErrNotEmpty says that a database that is to be filled from a backup holds something.
var ErrNotEmpty = errors.New("the database is not empty")

// RestorePostgres fills an empty database from a dump, all or nothing. It is refused to
// whoever opens it otherwise than with [Options.Restoring] until [Store.RestorationEnded].
// One that holds anything is [ErrNotEmpty]. Where it fails, what others made in the
// database meanwhile stays as it is.
func (s *Store) RestorePostgres(ctx context.Context, dump string) (err error) {
	program, err := s.tool(ctx, "pg_restore")
	if err != nil {
		return err
	}
	if err := s.write.WithContext(ctx).Exec("CREATE TABLE " + restorationBegun + " ()").Error; err != nil {
		return fault(err, "begin a restoration")
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, s.withdrawn(context.WithoutCancel(ctx), ctx.Err() != nil))
		}
	}()
	// From here on no other program begins a shop in it.
	if n, err := s.tables(ctx); err != nil {
		return err
	} else if n > 1 {
		return ErrNotEmpty
	}
	command := s.command(ctx, program, "--single-transaction", "--exit-on-error", "--no-owner", "--no-privileges", "--dbname="+s.address.conninfo, dump)
	var said bytes.Buffer
	command.Stderr = &said
	if err := command.Run(); err != nil {
		return fmt.Errorf("pg_restore: %w: %s", err, causeIn(said.String()))
	}
	return nil
}

// withdrawn takes away the mark of a restoration that failed and left nothing. Where the
// program that filled the database was stopped, all may be in it already: then the mark stays.
func (s *Store) withdrawn(ctx context.Context, stopped bool) error {
	if stopped {
		if n, err := s.tables(ctx); err != nil || n > 1 {
			return err
		}
	}
	return s.RestorationEnded(ctx)
}

// RestorationEnded lets everybody open what was put back.
func (s *Store) RestorationEnded(ctx context.Context) error {
	return fault(s.write.WithContext(ctx).Exec("DROP TABLE "+restorationBegun).Error, "end the restoration")
}

// Clear takes away every table and the functions of their triggers, for a restoration
// that could not be ended: the database was empty before it.
func (s *Store) Clear(ctx context.Context) error {
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		var names []string
		if err := tx.Raw("SELECT quote_ident(tablename) FROM pg_tables WHERE schemaname = current_schema()").Scan(&names).Error; err != nil || len(names) == 0 {
			return err
		}
		var functions []string
		if err := tx.Raw(triggerFunctions).Scan(&functions).Error; err != nil {
			return err
		}
		err := tx.Exec("DROP TABLE " + strings.Join(names, ", ") + " CASCADE").Error
		if err != nil || len(functions) == 0 {
			return err
		}
		return tx.Exec("DROP FUNCTION " + strings.Join(functions, ", ")).Error
	})
	return fault(err, "take away what was restored")
}

// triggerFunctions are those of the triggers of this schema's tables, but for what an
// extension brought.
const triggerFunctions = `SELECT DISTINCT CAST(CAST(p.oid AS regprocedure) AS text)
	FROM pg_trigger AS t JOIN pg_class AS c ON c.oid = t.tgrelid JOIN pg_namespace AS n ON n.oid = c.relnamespace JOIN pg_proc AS p ON p.oid = t.tgfoid
	WHERE n.nspname = current_schema() AND NOT t.tgisinternal AND p.pronamespace = n.oid
	AND NOT EXISTS (SELECT FROM pg_depend AS d WHERE d.classid = CAST('pg_proc' AS regclass) AND d.objid = p.oid AND d.deptype = 'e')`

// Scratch makes a database on the server of an address, for a moment; drop takes
// it away.
func Scratch(ctx context.Context, dsn string) (scratch string, drop func() error, err error) {
	config, err := pgx.ParseConfig(dsn)
	if err != nil {
		return "", nil, fmt.Errorf("open database: %w", opaque(err))
	}
	conn, err := pgx.ConnectConfig(ctx, config)
	if err != nil {
		return "", nil, fmt.Errorf("reach the postgres database: %w", opaque(err))
	}
	name := "tracewright_check_" + strings.ReplaceAll(models.NewRandomID(), "-", "")
	if _, err := conn.Exec(ctx, "CREATE DATABASE "+name+" TEMPLATE template0"); err != nil {
		conn.Close(ctx)
		return "", nil, fmt.Errorf("make a database for a moment: %w", opaque(err))
	}
	config.Database = name
	at := addressOf(dsn, config)
	scratch = at.conninfo
	if at.password != "" {
		scratch += " password='" + quoted.Replace(at.password) + "'"
	}
	return scratch, func() error {
		ctx := context.WithoutCancel(ctx)
		defer conn.Close(ctx)
		_, err := conn.Exec(ctx, "DROP DATABASE IF EXISTS "+name+" WITH (FORCE)")
		return opaque(err)
	}, nil
}

// quoted is a value between quotes, as libpq reads it.
var quoted = strings.NewReplacer(`\`, `\\`, `'`, `\'`)

// tool finds a program of PostgreSQL that is not older than the server: an
// older pg_dump refuses to read it.
func (s *Store) tool(ctx context.Context, name string) (string, error) {
	var server int
	if err := s.read.WithContext(ctx).Raw("SELECT current_setting('server_version_num')::int / 10000").Scan(&server).Error; err != nil {
		return "", fault(err, "ask the server for its version")
	}
	places := []string{name}
	for _, version := range []int{server, server + 1, server + 2} {
		for _, place := range toolPlaces {
			places = append(places, fmt.Sprintf(place, version, name))
		}
	}
	newest := 0
	for _, place := range places {
		path, err := exec.LookPath(place)
		if err != nil {
			continue
		}
		out, err := exec.CommandContext(ctx, path, "--version").Output()
		if err != nil {
			continue
		}
		if version := majorOf(string(out)); version >= server {
			return path, nil
		} else if version > newest {
			newest = version
		}
	}
	if newest > 0 {
		return "", fmt.Errorf("%s of version %d is here and the server is of version %d: %w: install the client programs of PostgreSQL %d", name, newest, server, ErrNoTool, server)
	}
	return "", fmt.Errorf("%s is not here: %w: install the client programs of PostgreSQL %d", name, ErrNoTool, server)
}

// toolPlaces are where Debian, and the makers' own packages, put each version.
var toolPlaces = []string{"/usr/lib/postgresql/%d/bin/%s", "/usr/pgsql-%d/bin/%s"}

var majorShape = regexp.MustCompile(`\) (\d+)`)

func majorOf(said string) int {
	m := majorShape.FindStringSubmatch(said)
	if m == nil {
		return 0
	}
	n, err := strconv.Atoi(m[1])
	if err != nil {
		return 0
	}
	return n
}

// address is how programs of PostgreSQL are told where the database lies.
type address struct {
	conninfo string // without the password, which others could read in the list of processes
	password string
}

// libpqWords are the words of an address that libpq knows; what is meant for
// this program's own driver, and settings of a session, are left out.
var libpqWords = []string{"host", "hostaddr", "port", "dbname", "user", "passfile", "channel_binding", "connect_timeout", "options", "sslmode", "sslcert", "sslkey", "sslrootcert",
	"sslcrl", "sslsni", "ssl_min_protocol_version", "gssencmode", "krbsrvname", "target_session_attrs", "service", "servicefile"}

// addressOf takes an address apart as the driver reads it, defaults and
// variables included.
func addressOf(dsn string, config *pgx.ConnConfig) address {
	words := map[string]string{}
	if strings.Contains(dsn, "://") {
		_, query, _ := strings.Cut(dsn, "?")
		for pair := range strings.SplitSeq(query, "&") {
			name, value, _ := strings.Cut(pair, "=")
			words[name] = unescaped(value)
		}
	} else {
		for _, m := range keyword.FindAllStringSubmatch(dsn, -1) {
			value := m[2]
			if strings.HasPrefix(value, "'") {
				value = value[1 : len(value)-1]
			}
			words[m[1]] = backslash.ReplaceAllString(value, "$1")
		}
	}
	words["host"], words["port"], words["dbname"], words["user"] = config.Host, strconv.Itoa(int(config.Port)), config.Database, config.User
	var conninfo []string
	for _, name := range libpqWords {
		if value := words[name]; value != "" {
			conninfo = append(conninfo, name+"='"+quoted.Replace(value)+"'")
		}
	}
	return address{strings.Join(conninfo, " "), config.Password}
}

var (
	keyword   = regexp.MustCompile(`([a-z_]+)\s*=\s*('(?:[^'\\]|\\.)*'|(?:[^\s\\]|\\.)*)`)
	backslash = regexp.MustCompile(`\\(.)`)
)

func (s *Store) command(ctx context.Context, program string, args ...string) *exec.Cmd {
	command := exec.CommandContext(ctx, program, args...)
	command.Env = slices.DeleteFunc(os.Environ(), func(v string) bool { return strings.HasPrefix(v, "PGPASSWORD=") || strings.HasPrefix(v, "LC_ALL=") })
	command.Env = append(command.Env, "LC_ALL=C")
	if s.address.password != "" {
		command.Env = append(command.Env, "PGPASSWORD="+s.address.password)
	}
	return command
}

// piped runs a program and gives what it writes; closing it tells how it ended.
func (s *Store) piped(ctx context.Context, program string, args ...string) (io.ReadCloser, error) {
	command := s.command(ctx, program, append(args, "--dbname="+s.address.conninfo)...)
	said := &bytes.Buffer{}
	command.Stderr = said
	out, err := command.StdoutPipe()
	if err == nil {
		err = command.Start()
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", filepath.Base(program), err)
	}
	return &pipe{command, out, said, false}, nil
}

type pipe struct {
	command *exec.Cmd
	out     io.Reader
	said    *bytes.Buffer
	ended   bool
}

// Read gives how the program ended in place of the end: what it wrote before
// that is whole only if all went well.
func (p *pipe) Read(b []byte) (int, error) {
	n, err := p.out.Read(b)
	if errors.Is(err, io.EOF) && !p.ended {
		p.ended = true
		if failed := p.command.Wait(); failed != nil {
			return n, fmt.Errorf("%s: %w: %s", filepath.Base(p.command.Path), failed, causeIn(p.said.String()))
		}
	}
	return n, err
}

func (p *pipe) Close() error {
	if !p.ended {
		p.ended = true
		p.command.Process.Kill()
		p.command.Wait()
	}
	return nil
}

// causeIn is why a program failed, in what it said: the last line that gives an error of
// the database's, which the statement at fault may follow, else one of its own, else the last.
func causeIn(text string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	for _, marks := range [][]string{{"ERROR:", "FATAL:"}, {"error:"}} {
		for _, line := range slices.Backward(lines) {
			if slices.ContainsFunc(marks, func(mark string) bool { return strings.Contains(line, mark) }) {
				return line
			}
		}
	}
	return lines[len(lines)-1]
}

// unescaped is a value of a URL's query.
func unescaped(value string) string {
	if plain, err := url.QueryUnescape(value); err == nil {
		return plain
	}
	return value
}
