package store_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

const (
	missing = "'01900000-0000-7000-8000-000000000001'"
	reader  = "'01900000-0000-7000-8000-000000000002'"
	newKey  = "'01900000-0000-7000-8000-000000000003'"
)

// rowsAgain is a statement that copies the rows of an inspection with another value in one column, and
// with their codes told apart by a letter.
func rowsAgain(table, column, value, letter, of string) string {
	columns := map[string]string{
		"results":      "inspection_id, code, position, value, unit, low, high, accept_low, accept_high, u, verdict, reason, method, readings",
		"reading_sets": "inspection_id, code, method, instrument_id, person_id, unit, manner, readings, positions, moments, remarks",
	}[table]
	shown := strings.Replace(strings.Replace(columns, column, value, 1), "code", "code || '"+letter+"'", 1)
	return "INSERT INTO " + table + " (" + columns + ") SELECT " + shown + " FROM " + table + " WHERE inspection_id = " + of
}

// What reading sets and results name is there and stays there, whether the database
// looks for it once a row or once a statement.
func TestWhatAMeasuredRowNamesIsThere(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		h := worktest.On(t, s)
		sub := h.EveryHole()
		h.MustRecord(sub)
		key := "'" + sub.ID + "'"
		// What else names a gauge would hold it too, and who read a set is held by nothing else.
		h.Must(exec(t, dsn, "DELETE FROM calibrations"))
		h.Must(exec(t, dsn, "DELETE FROM instrument_states"))
		h.Must(exec(t, dsn, "INSERT INTO people (id, name, role, password_hash, pin_hash, active, created_at) VALUES ("+reader+", 'Reader', 'operator', '', '', true, '2031-01-01 00:00:00+00:00')"))
		h.Must(exec(t, dsn, rowsAgain("reading_sets", "person_id", reader, "r", key)))
		h.Must(exec(t, dsn, rowsAgain("results", "no column", "", "r", key)))
		for _, c := range []struct{ name, statement, constraint string }{
			{"results of no inspection", rowsAgain("results", "inspection_id", missing, "x", key), "results_inspection_id_fkey"},
			{"sets of no inspection", rowsAgain("reading_sets", "inspection_id", missing, "x", key), "reading_sets_inspection_id_fkey"},
			{"sets by no instrument", rowsAgain("reading_sets", "instrument_id", missing, "x", key), "reading_sets_instrument_id_fkey"},
			{"sets read by nobody", rowsAgain("reading_sets", "person_id", missing, "x", key), "reading_sets_person_id_fkey"},
			{"results moved to none", "UPDATE results SET inspection_id = " + missing + " WHERE inspection_id = " + key, "results_stay"},
			{"sets moved to none", "UPDATE reading_sets SET inspection_id = " + missing + " WHERE inspection_id = " + key, "reading_sets_stay"},
			{"sets moved to no instrument", "UPDATE reading_sets SET instrument_id = " + missing + " WHERE inspection_id = " + key, "reading_sets_stay"},
			{"sets moved to nobody", "UPDATE reading_sets SET person_id = " + missing + " WHERE inspection_id = " + key, "reading_sets_stay"},
			{"an inspection with results", "DELETE FROM inspections WHERE id = " + key, "inspections_named_go"},
			{"an inspection of another key", "UPDATE inspections SET id = " + newKey + " WHERE id = " + key, "inspections_named_stay"},
			{"an instrument that was used", "DELETE FROM instruments WHERE id IN (SELECT instrument_id FROM reading_sets)", "instruments_named_go"},
			{"an instrument of another key", "UPDATE instruments SET id = " + newKey + " WHERE id = (SELECT instrument_id FROM reading_sets WHERE instrument_id IS NOT NULL LIMIT 1)", "instruments_named_stay"},
			{"who read a set", "DELETE FROM people WHERE id = " + reader, "people_named_go"},
			{"who read a set, of another key", "UPDATE people SET id = " + newKey + " WHERE id = " + reader, "people_named_stay"},
		} {
			refusedBy(t, c.name, exec(t, dsn, c.statement), c.constraint)
		}
		if s.Dialect() == store.Postgres {
			namesAsAForeignKeyDoes(t, dsn, key)
		}
	})
}

// refusedBy checks that a constraint refused, and on PostgreSQL which.
func refusedBy(t *testing.T, name string, err error, constraint string) {
	t.Helper()
	var told *pgconn.PgError
	switch {
	case err == nil:
		t.Errorf("%s: taken", name)
	case errors.As(err, &told):
		if told.Code != "23503" || told.ConstraintName != constraint {
			t.Errorf("%s: refused by %q (%s), want %s", name, told.ConstraintName, told.Message, constraint)
		}
	case !strings.Contains(strings.ToLower(err.Error()), "constraint"):
		t.Errorf("%s: refused for another reason: %v", name, err)
	}
}

// On PostgreSQL triggers stand for foreign keys, and hold where those do.
func namesAsAForeignKeyDoes(t *testing.T, dsn, key string) {
	t.Helper()
	must(0, exec(t, dsn, "INSERT INTO people (id, name, role, password_hash, pin_hash, active, created_at) VALUES ("+newKey+", 'Nobody', 'operator', '', '', true, now())"))
	for _, c := range []struct{ name, statements, constraint string }{
		{"all inspections", "TRUNCATE inspections CASCADE", "inspections_named_all"},
		{"all instruments", "TRUNCATE instruments CASCADE", "instruments_named_all"},
		{"all people", "TRUNCATE people CASCADE", "people_named_all"},
		{"a table that hides another", "CREATE TEMP TABLE instruments AS SELECT CAST(" + missing + " AS uuid) AS id; " + rowsAgain("reading_sets", "instrument_id", missing, "x", key), "reading_sets_instrument_id_fkey"},
		{"what came since is not seen", "BEGIN ISOLATION LEVEL REPEATABLE READ; DELETE FROM people WHERE name = 'Nobody'; COMMIT", "people_named_go"},
		{"and not by a serializable look", "BEGIN ISOLATION LEVEL SERIALIZABLE; DELETE FROM people WHERE name = 'Nobody'; COMMIT", "people_named_go"},
	} {
		refusedBy(t, c.name, exec(t, dsn, c.statements), c.constraint)
	}
	// Who is named by nothing may go, and the right to add rows is enough.
	role := "adds_" + strings.ReplaceAll(models.NewRandomID(), "-", "")
	for _, statement := range []string{"DELETE FROM people WHERE name = 'Nobody'", "CREATE ROLE " + role, "GRANT SELECT, INSERT ON reading_sets, results TO " + role,
		"SET ROLE " + role + "; " + rowsAgain("reading_sets", "no column", "", "y", key), "SET ROLE " + role + "; " + rowsAgain("results", "no column", "", "y", key),
		"DROP OWNED BY " + role, "DROP ROLE " + role} {
		if err := exec(t, dsn, statement); err != nil {
			t.Errorf("%s: %v", statement, err)
		}
	}
	// The functions have their owner's rights, and lend them to no other table.
	for function, when := range map[string]string{
		"results_refer":      "AFTER INSERT ON another REFERENCING NEW TABLE AS added FOR EACH STATEMENT",
		"reading_sets_refer": "AFTER INSERT ON another REFERENCING NEW TABLE AS added FOR EACH STATEMENT",
		"is_not_named":       "AFTER INSERT ON another FOR EACH ROW",
	} {
		err := exec(t, dsn, "CREATE TEMP TABLE another (id uuid, inspection_id uuid, instrument_id uuid, person_id uuid); CREATE TRIGGER lent "+when+" EXECUTE FUNCTION "+function+"(); INSERT INTO another VALUES (NULL)")
		if err == nil || !strings.Contains(err.Error(), "not for this table") {
			t.Errorf("%s on another table: %v", function, err)
		}
	}
}
