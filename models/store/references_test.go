package store_test

import (
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// What reading sets and results name is there and stays there, whether the database
// looks for it once a row or once a statement.
func TestWhatAMeasuredRowNamesIsThere(t *testing.T) {
	const nobody = "'01900000-0000-7000-8000-000000000001'"
	columns := map[string]string{
		"results":      "inspection_id, code, position, value, unit, low, high, accept_low, accept_high, u, verdict, reason, method, readings",
		"reading_sets": "inspection_id, code, method, instrument_id, person_id, unit, manner, readings, positions, moments, remarks",
	}
	copied := func(table, column, key string) string {
		from := columns[table]
		shown := strings.Replace(strings.Replace(from, column, nobody, 1), "code", "code || 'x'", 1)
		return "INSERT INTO " + table + " (" + from + ") SELECT " + shown + " FROM " + table + " WHERE inspection_id = " + key
	}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		h := worktest.On(t, s)
		sub := h.EveryHole()
		h.MustRecord(sub)
		key := "'" + sub.ID + "'"
		another := models.NewID()
		h.Must(exec(t, dsn, copied("results", "nothing", key)))
		h.Must(exec(t, dsn, copied("reading_sets", "nothing", key)))
		for name, statement := range map[string]string{
			"results of no inspection":     copied("results", "inspection_id", key),
			"sets of no inspection":        copied("reading_sets", "inspection_id", key),
			"sets by no instrument":        copied("reading_sets", "instrument_id", key),
			"sets read by nobody":          copied("reading_sets", "person_id", key),
			"results moved to none":        "UPDATE results SET inspection_id = " + nobody + " WHERE inspection_id = " + key,
			"sets moved to none":           "UPDATE reading_sets SET inspection_id = " + nobody + " WHERE inspection_id = " + key,
			"sets moved to no instrument":  "UPDATE reading_sets SET instrument_id = " + nobody + " WHERE inspection_id = " + key,
			"sets moved to nobody":         "UPDATE reading_sets SET person_id = " + nobody + " WHERE inspection_id = " + key,
			"an inspection with results":   "DELETE FROM inspections WHERE id = " + key,
			"an inspection of another key": "UPDATE inspections SET id = '" + another + "' WHERE id = " + key,
			"an instrument that was used":  "DELETE FROM instruments WHERE id IN (SELECT instrument_id FROM reading_sets)",
			"an instrument of another key": "UPDATE instruments SET id = '" + another + "' WHERE id = (SELECT instrument_id FROM reading_sets WHERE instrument_id IS NOT NULL LIMIT 1)",
		} {
			err := exec(t, dsn, statement)
			if err == nil {
				t.Errorf("%s: taken", name)
				continue
			}
			if text := strings.ToLower(err.Error()); !strings.Contains(text, "constraint") {
				t.Errorf("%s: refused for another reason: %v", name, err)
			}
		}
		// A person who read a set is held by it alone when nothing else names them.
		const reader = "'01900000-0000-7000-8000-000000000002'"
		h.Must(exec(t, dsn, "INSERT INTO people (id, name, role, password_hash, pin_hash, active, created_at) VALUES ("+reader+", 'Reader', 'operator', '', '', true, '2031-01-01 00:00:00+00:00')"))
		h.Must(exec(t, dsn, strings.Replace(copied("reading_sets", "person_id", key), nobody, reader, 1)+" AND code = 'dishx'"))
		for _, statement := range []string{"DELETE FROM people WHERE id = " + reader, "UPDATE people SET id = '" + another + "' WHERE id = " + reader} {
			if err := exec(t, dsn, statement); err == nil || !strings.Contains(strings.ToLower(err.Error()), "constraint") {
				t.Errorf("%s: %v", statement, err)
			}
		}
		if s.Dialect() == store.Postgres {
			namesAsAForeignKeyDoes(t, dsn, func(table, column string) string {
				return strings.Replace(copied(table, column, key), "|| 'x'", "|| 'y'", 1) + " AND code = 'dish'"
			})
		}
	})
}

// On PostgreSQL triggers stand for foreign keys, and hold where those do.
func namesAsAForeignKeyDoes(t *testing.T, dsn string, copied func(table, column string) string) {
	t.Helper()
	for name, statements := range map[string]string{
		"all inspections":                "TRUNCATE inspections CASCADE",
		"all instruments and people":     "TRUNCATE instruments, people CASCADE",
		"a table that hides another":     "CREATE TEMP TABLE instruments AS SELECT CAST('01900000-0000-7000-8000-000000000001' AS uuid) AS id; " + copied("reading_sets", "instrument_id"),
		"what came since is not seen":    "BEGIN ISOLATION LEVEL REPEATABLE READ; DELETE FROM people WHERE name = 'Nobody'; COMMIT",
		"and not by a serializable look": "BEGIN ISOLATION LEVEL SERIALIZABLE; DELETE FROM people WHERE name = 'Nobody'; COMMIT",
	} {
		if strings.Contains(statements, "Nobody") {
			if err := exec(t, dsn, "INSERT INTO people (id, name, role, password_hash, pin_hash, active, created_at) VALUES (gen_random_uuid(), 'Nobody', 'operator', '', '', true, now())"); err != nil {
				t.Fatal(err)
			}
		}
		if err := exec(t, dsn, statements); err == nil || !strings.Contains(err.Error(), "constraint") {
			t.Errorf("%s: %v", name, err)
		}
	}
	// The right to add rows is enough.
	role := "adds_" + strings.ReplaceAll(models.NewRandomID(), "-", "")
	for _, statement := range []string{"CREATE ROLE " + role, "GRANT SELECT, INSERT ON reading_sets, results TO " + role,
		"SET ROLE " + role + "; " + copied("reading_sets", "nothing"), "DROP OWNED BY " + role, "DROP ROLE " + role} {
		if err := exec(t, dsn, statement); err != nil {
			t.Errorf("%s: %v", statement, err)
		}
	}
}
