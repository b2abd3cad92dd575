package store_test

import (
	"database/sql"
	"strings"
	"testing"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
)

// Who listens is asked for every two seconds, and who is due each time somebody
// looks at what needs attention: both through indexes, however many customers and
// shipments there were.
func TestAccountsAreAskedForThroughIndexes(t *testing.T) {
	dsn := storetest.SQLite(t)
	s := storetest.Open(t, dsn)
	if _, err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", strings.TrimPrefix(dsn, "sqlite:"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for name, query := range map[string]string{
		"due customers":       store.DueCustomersSQL,
		"what is called back": "SELECT number FROM recalls WHERE id IN (SELECT back.recall_id FROM (CALLED) AS back WHERE back.customer = 'x')",
		"open orders of one":  strings.Replace(store.OpenOrdersSQL, "?", "'x'", 1),
		"sessions of one":     "SELECT token_hash FROM sessions WHERE person_id IS NOT NULL AND seen_at > 'x' AND person_id = 'x' ORDER BY seen_at DESC",
		"who listens":         "SELECT token_hash FROM sessions WHERE seen_at > 'x' AND token_hash IN ('x', 'y')",
		"a device's sessions": "DELETE FROM sessions WHERE device_id = 'x'",
		"orders of one":       "SELECT * FROM orders WHERE customer = 'x' AND customer <> ''",
		"claims of one":       "SELECT * FROM claims WHERE customer = 'x' AND customer <> ''",
		"a doubt":             "UPDATE device_doubts SET times = 2 WHERE device_id = 'x' AND kind = 'turn' AND agent = 'x' AND address = 'x' AND settled_at IS NULL",
	} {
		query = strings.NewReplacer("@before", "'x'", "@most", "9").Replace(s.OfCustomers(query))
		rows, err := db.QueryContext(t.Context(), "EXPLAIN QUERY PLAN "+query)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for rows.Next() {
			var id, parent, unused int
			var detail string
			if err := rows.Scan(&id, &parent, &unused, &detail); err != nil {
				t.Fatal(err)
			}
			// The answers of recalls, the lists in those of open ones, and the lines of one order: a handful.
			if detail == "SCAN r" || strings.HasPrefix(detail, "SCAN x VIRTUAL TABLE") || strings.HasPrefix(detail, "SCAN x EXISTS VIRTUAL TABLE") || strings.HasPrefix(detail, "SCAN line VIRTUAL TABLE") {
				continue
			}
			if strings.HasPrefix(detail, "SCAN") || strings.Contains(detail, "TEMP B-TREE") {
				t.Errorf("%s: %s", name, detail)
			}
		}
		if err := rows.Close(); err != nil {
			t.Fatal(err)
		}
	}
}
