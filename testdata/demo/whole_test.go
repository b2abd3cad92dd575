package demo

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

// told is the SHA-256 of every row of every table. Only the keys of trail
// entries, which the database makes, and its own notes are left out.
func (s shop) told(t *testing.T) map[string]string {
	t.Helper()
	sums := map[string]string{}
	for _, table := range s.rows(t, "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%' AND name NOT LIKE 'goose%' ORDER BY name") {
		var columns []string
		for _, c := range s.rows(t, "SELECT name FROM pragma_table_info(?)", table[0]) {
			if (table[0] != "trail_entries" || c[0] != "id") && c[0] != "entry_id" {
				columns = append(columns, c[0])
			}
		}
		sum := sha256.New()
		for _, row := range s.rows(t, "SELECT "+strings.Join(columns, ", ")+" FROM "+table[0]+" ORDER BY "+strings.Join(columns, ", ")) {
			fmt.Fprintf(sum, "%q\n", row)
		}
		sums[table[0]] = hex.EncodeToString(sum.Sum(nil))
	}
	return sums
}

func TestTheSameSeedIsTheSameShop(t *testing.T) {
	first, second, other := small(t, Options{Seed: 9}).told(t), small(t, Options{Seed: 9}).told(t), small(t, Options{Seed: 10}).told(t)
	for table, sum := range first {
		if second[table] != sum {
			t.Errorf("the same seed gave other rows of %s", table)
		}
	}
	for _, table := range []string{"items", "lots", "inspections", "reading_sets", "results", "certificates", "trail_entries"} {
		if first[table] == other[table] {
			t.Errorf("two seeds gave the same rows of %s", table)
		}
	}
}

func TestItIsAWholeShop(t *testing.T) {
	s := full(t, Story)
	if got := s.summary; got.Wheels != 1500 || got.Packs != 700 {
		t.Errorf("%d wheels and %d packs, want 1500 and 700", got.Wheels, got.Packs)
	}
	released := "SELECT count(*) FROM items WHERE kind = ? AND state IN ('released', 'shipped')"
	wheel := func(rest string) string {
		return "SELECT count(*) FROM items AS t WHERE kind = 'wheel' AND " + rest
	}
	for _, c := range []struct {
		name        string
		least, most int
		query       string
		args        []any
	}{
		{"wheel products", 9, 12, "SELECT count(*) FROM products AS p JOIN families AS f ON f.id = p.family_id WHERE f.kind = 'wheel'", nil},
		{"families with a second revision", 1, 1, "SELECT count(DISTINCT family_id) FROM specifications WHERE revision = 2", nil},
		{"people", 8, 8, "SELECT count(*) FROM people", nil},
		{"gauges overdue on the last day", 1, 1, "SELECT count(*) FROM instruments WHERE due_on < ?", []any{"2031-11-25"}},
		{"gauges due within a month", 1, 2, "SELECT count(*) FROM instruments WHERE due_on BETWEEN '2031-11-25' AND '2031-12-25'", nil},
		{"materials received", 5, 5, "SELECT count(DISTINCT material) FROM lots", nil},
		{"wheels released", 1300, 1490, released, []any{"wheel"}},
		{"packs released", 600, 698, released, []any{"pack"}},
		{"wheels that needed more than one round", 250, 550, wheel("(SELECT max(round) FROM inspections WHERE item_id = t.id AND stage = 'after_relief') > 1"), nil},
		{"wheels read at every hole first", 400, 620, "SELECT count(*) FROM inspections AS i JOIN reading_sets AS r ON r.inspection_id = i.id WHERE i.first_set AND r.code = 'lateral_runout' AND r.method = 'every_hole'", nil},
		{"wheels whose last set failed", 3, 30, wheel("state = 'in_process' AND (SELECT verdict FROM inspections WHERE item_id = t.id ORDER BY measured_at DESC LIMIT 1) = 'fail'"), nil},
		{"wheels not measured yet", 6, 12, wheel("NOT EXISTS (SELECT 1 FROM inspections WHERE item_id = t.id) AND NOT EXISTS (SELECT 1 FROM nonconformities WHERE item_id = t.id)"), nil},
		{"steps at which a nonconformity waits", 6, 6, "SELECT count(DISTINCT state) FROM nonconformities WHERE state <> 'closed'", nil},
		{"ways in which one ended", 4, 4, "SELECT count(DISTINCT what) FROM nonconformity_steps WHERE what IN ('approve_concession', 'confirm_scrap', 'confirm_return', 'inspect_pass')", nil},
		{"corrective actions, one of them done", 3, 3, "SELECT count(*) + sum(state = 'done') FROM corrective_actions", nil},
		{"items on hold", 5, 60, "SELECT count(*) FROM items WHERE state = 'held'", nil},
		{"holds lifted", 5, 60, "SELECT count(*) FROM hold_lifts", nil},
		{"packs judged as provisional", 8, 60, "SELECT count(*) FROM inspections WHERE verdict = 'provisional'", nil},
		{"packs measured again after charging", 10, 60, "SELECT count(*) FROM inspections WHERE stage = 'final' AND round > 1", nil},
		{"rechecks", 100, 260, "SELECT count(*) FROM inspections WHERE recheck", nil},
		{"certificates superseded", 10, 80, "SELECT count(*) FROM certificate_changes WHERE state = 'superseded'", nil},
		{"certificates void", 1, 1, "SELECT count(*) FROM certificate_changes WHERE state = 'void'", nil},
		{"papers drawn", 0, 0, "SELECT count(*) FROM certificate_papers", nil},
		{"drafts", 2, 2, "SELECT count(*) FROM drafts WHERE closed_at IS NULL", nil},
		{"unplaced inspections", 2, 2, "SELECT count(*) FROM unplaced", nil},
		{"wheels shipped", 1350, 1480, wheel("state = 'shipped'"), nil}, // built to order: what is released goes out
		{"wheels that passed three weeks ago and have no certificate", 0, 0, wheel("state = 'in_process' AND julianday('2031-11-26') - julianday((SELECT max(measured_at) FROM inspections WHERE item_id = t.id AND verdict = 'pass')) > 21"), nil},
		{"kits shipped", 100, 700, "SELECT count(*) FROM items WHERE kind = 'kit' AND state = 'shipped'", nil},
		{"kits being packed", 2, 2, "SELECT count(*) FROM items WHERE kind = 'kit' AND state = 'in_process'", nil},
		{"orders open", 3, 3, "SELECT count(*) FROM orders WHERE NOT EXISTS (SELECT 1 FROM order_ends WHERE order_id = orders.id)", nil},
		{"items in two kits, or shipped twice", 0, 0, "SELECT count(*) FROM (SELECT item_id FROM shipment_items GROUP BY item_id HAVING count(*) > 1) AS x", nil},
		{"rolls of labels", 2, 2, "SELECT count(*) FROM serial_rolls", nil},
		{"prints of labels", 14, 14, "SELECT count(*) FROM label_prints WHERE what <> 'certificate'", nil},
		{"prints of certificates", 2, 2, "SELECT count(*) FROM label_prints WHERE what = 'certificate'", nil},
		{"inspections with an overdue gauge", 1, 1, "SELECT count(*) FROM inspections WHERE remarks LIKE '%instrument_overdue%'", nil},
	} {
		if got := s.count(t, c.query, c.args...); got < c.least || got > c.most {
			t.Errorf("%s: %d, want %d to %d", c.name, got, c.least, c.most)
		}
	}
}

func TestNothingDanglesAndNothingIsOverdrawn(t *testing.T) {
	for _, scenario := range []string{Story, Quiet} {
		s := full(t, scenario)
		if bad := s.rows(t, "PRAGMA foreign_key_check"); len(bad) > 0 {
			t.Errorf("%s: %d rows name what is not there: %v", scenario, len(bad), bad[0])
		}
		for _, row := range s.rows(t, "SELECT serial FROM items WHERE serial IS NOT NULL") {
			if normal, err := ident.Normalise(row[0]); err != nil || normal != row[0] {
				t.Errorf("%s: serial %q: %v", scenario, row[0], err)
			}
		}
		if twice := s.rows(t, "SELECT part_id FROM fitted_parts WHERE part_id IS NOT NULL GROUP BY part_id HAVING count(*) > 1"); len(twice) > 0 {
			t.Errorf("%s: %d parts are built in twice", scenario, len(twice))
		}
		for _, row := range s.rows(t, "SELECT l.code, l.quantity, sum(f.quantity) AS used FROM fitted_parts AS f JOIN lots AS l ON l.id = f.lot_id GROUP BY l.id HAVING used > l.quantity") {
			t.Errorf("%s: of lot %s, %s came and %s were used", scenario, row[0], row[1], row[2])
		}
		if early := s.count(t, "SELECT count(*) FROM fitted_parts AS f JOIN lots AS l ON l.id = f.lot_id WHERE f.fitted_at < l.received_at"); early > 0 {
			t.Errorf("%s: %d parts were built in before their lot came", scenario, early)
		}
	}
}

// Work of nine months is written in the order of time, and nothing lies ahead.
func TestTimeGoesForward(t *testing.T) {
	s := full(t, Story)
	last := ""
	for _, row := range s.rows(t, "SELECT strftime('%Y-%m-%d %H:%M:%f', at) FROM trail_entries ORDER BY rowid") {
		if row[0] < last {
			t.Fatalf("an entry of %s stands behind one of %s", row[0], last)
		}
		last = row[0]
	}
	if now := testDay.Format(time.DateTime); last > now {
		t.Errorf("something happened at %s, after %s", last, now)
	}
	if first := s.rows(t, "SELECT min(date(measured_at)) FROM inspections")[0][0]; first < "2031-02-15" || first > "2031-03-15" {
		t.Errorf("the first inspection is of %s, want about nine months before %s", first, testDay.Format(time.DateOnly))
	}
}

// A certificate names the calibration that its gauges had that day.
func TestCertificatesNameCalibrationsOfTheirTime(t *testing.T) {
	s := full(t, Story)
	contents := s.rows(t, "SELECT content FROM certificates")
	if len(contents) < 1900 {
		t.Errorf("%d certificates of 2200 items", len(contents))
	}
	for _, row := range contents {
		var c models.CertificateContent
		if err := json.Unmarshal([]byte(row[0]), &c); err != nil {
			t.Fatal(err)
		}
		for _, g := range c.Instruments {
			if g.CalibratedOn > c.Inspection.MeasuredOn && c.IssuedOn < g.CalibratedOn || g.Overdue {
				t.Errorf("%s: measured on %s with %s, calibrated on %s, due on %s", c.Number, c.Inspection.MeasuredOn, g.Code, g.CalibratedOn, g.DueOn)
			}
		}
	}
}

// Each product is judged by limits that fit it: adding it by hand would have
// given it no others.
func TestEveryProductFitsItsFamilysLimits(t *testing.T) {
	s, err := store.Open(t.Context(), storetest.SQLite(t), store.Options{Disposable: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	m, err := newMaker(t.Context(), s, Options{Now: testDay})
	if err != nil {
		t.Fatal(err)
	}
	for _, step := range []func() error{m.makeShop, m.makeProducts} {
		if err := step(); err != nil {
			t.Fatal(err)
		}
	}
	for _, p := range append(m.wheels, m.packs...) {
		kind, _ := kinds.Named(p.family.Kind)
		if _, needed, err := kind.Own(p.form, models.ProductForm{}, p.spec, p.spec); err != nil || needed {
			t.Errorf("%s needs limits of its own: %v, %v", p.Name, needed, err)
		}
	}
}

func TestWhatCannotBeInvented(t *testing.T) {
	for _, c := range []struct {
		name    string
		options Options
		says    string
	}{
		{"another scenario", Options{Scenario: "loud", Now: testDay}, `"loud"`},
		{"no day", Options{}, "which day"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := Seed(t.Context(), nil, c.options); err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%v, want it to speak of %s", err, c.says)
			}
		})
	}
}
