package lists_test

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // to look at the tables as another program would
	_ "modernc.org/sqlite"

	"tracewright/models"
	"tracewright/models/sheet"
	"tracewright/models/store/storetest"
	"tracewright/models/work/assembly"
	"tracewright/models/work/lists"
	"tracewright/models/work/receive"
	"tracewright/models/work/shipping"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// desk is a workshop with everything that lists are checked by.
type desk struct {
	*worktest.Shop
	dsn   string
	s     *lists.Service
	goods *receive.Service
	built *assembly.Service
	ships *shipping.Service
}

func each(t *testing.T, f func(t *testing.T, d desk)) {
	t.Helper()
	storetest.EachDSN(t, func(t *testing.T, dsn string) { f(t, at(worktest.On(t, storetest.Open(t, dsn)), dsn)) })
}

func at(h *worktest.Shop, dsn string) desk {
	d := desk{Shop: h, dsn: dsn, goods: receive.New(h.Store, h.Clock, worktest.Zone), built: assembly.New(h.Store, h.Clock, worktest.Zone), ships: shipping.New(h.Store, nil, h.Clock, worktest.Zone)}
	plain := func(code string) string { return code }
	d.s = lists.New(h.Store, lists.Checks{Materials: d.goods.Materials, Lots: d.goods.CheckLots, Parts: d.built.Check, Customer: d.ships.CheckCustomer, Reason: d.ships.ReasonToLook},
		lists.Words{Stage: plain, Result: plain, Unit: plain, Verdict: plain}, h.Clock, worktest.Zone)
	return d
}

// try looks at a list, and makes sure that nothing came of it.
func (d desk) try(t *testing.T, kind, raw string) lists.Report {
	t.Helper()
	before := d.stored(t)
	report, err := d.s.Try(t.Context(), d.Owner, kind, []byte(raw))
	d.Must(err)
	if after := d.stored(t); !maps.Equal(before, after) {
		t.Errorf("looking at a list left something: %v, before %v", after, before)
	}
	return report
}

// take takes a list in that is good.
func (d desk) take(t *testing.T, kind, raw string) lists.Report {
	t.Helper()
	report, err := d.s.TakeIn(t.Context(), d.Owner, kind, []byte(raw), "")
	if err != nil {
		t.Fatalf("%s: %v: %v", kind, err, told(report))
	}
	return report
}

// stored counts the rows of every table, as another program would.
func (d desk) stored(t *testing.T) map[string]int {
	t.Helper()
	driver, dsn, tables := "pgx", d.dsn, "SELECT table_name FROM information_schema.tables WHERE table_schema = 'public'"
	if path, ok := strings.CutPrefix(d.dsn, "sqlite:"); ok {
		driver, dsn, tables = "sqlite", path, "SELECT name FROM sqlite_master WHERE type = 'table'"
	}
	db, err := sql.Open(driver, dsn)
	d.Must(err)
	defer db.Close()
	rows, err := db.QueryContext(t.Context(), tables)
	d.Must(err)
	var names []string
	for rows.Next() {
		var name string
		d.Must(rows.Scan(&name))
		names = append(names, name)
	}
	d.Must(rows.Err())
	counts := map[string]int{}
	for _, name := range names {
		var n int
		d.Must(db.QueryRowContext(t.Context(), `SELECT count(*) FROM "`+name+`"`).Scan(&n))
		counts[name] = n
	}
	if len(counts) < 40 {
		t.Fatalf("only %d tables are counted", len(counts))
	}
	return counts
}

// told writes problems as "row, column: code values".
func told(r lists.Report) []string {
	var out []string
	for _, p := range r.Problems {
		line := strings.TrimPrefix(p.Place()+": "+p.Code, ": ")
		for _, name := range slices.Sorted(maps.Keys(p.Values)) {
			line += fmt.Sprintf(" %s=%s", name, p.Values[name])
		}
		out = append(out, line)
	}
	slices.Sort(out)
	return out
}

func (d desk) written(t *testing.T, actor models.Actor, kind string, ask lists.Ask) string {
	t.Helper()
	if ask.Form.Comma == 0 {
		ask.Form = sheet.Commas
	}
	var b bytes.Buffer
	d.Must(d.s.Write(context.Background(), actor, kind, ask, &b))
	return strings.TrimPrefix(b.String(), "\ufeff")
}
