package store_test

import (
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// A rebuild of what was measured over five years, three quarters first sets of which
// a fifth fails, sums up every first set, within three minutes for a million
// inspections:
//
//	TRACEWRIGHT_TALLY_SIZE=1000000 go test -run RebuildAtSize -v -timeout 60m ./models/store
func TestRebuildAtSize(t *testing.T) {
	const within = 3 * time.Minute
	size := 2000
	if text := os.Getenv("TRACEWRIGHT_TALLY_SIZE"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 4 {
			t.Fatalf("TRACEWRIGHT_TALLY_SIZE=%s: a number of inspections", text)
		}
		size = n
	}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		h := worktest.On(t, s)
		firsts, failed := fillMeasured(t, dsn, h, size)
		began := time.Now()
		if err := s.RebuildTallies(t.Context(), time.UTC, func(int, int) {}); err != nil {
			t.Fatal(err)
		}
		took := time.Since(began)
		t.Logf("%d inspections: %s", size, took.Round(time.Millisecond))
		if size >= 1_000_000 && took > within { // Of fewer the time says nothing.
			t.Errorf("it took %s, at most %s", took, within)
		}
		inspected, fails := 0, 0
		for _, x := range read(t, h).Sets {
			inspected, fails = inspected+x.Inspected, fails+x.Failed
		}
		if inspected != firsts || fails != failed {
			t.Errorf("%d first sets, %d failed; want %d and %d", inspected, fails, firsts, failed)
		}
	})
}

// fillMeasured writes inspections past the program: of four, three are first sets and
// the fourth is the second round of the third, which failed in one of its five
// results where its number divides by five.
func fillMeasured(t *testing.T, dsn string, h *worktest.Shop, inspections int) (firsts, failed int) {
	t.Helper()
	put, done := bulk(t, dsn)
	of := h.Item[models.KindWheel]
	spec := must(h.Store.SpecificationInForce(t.Context(), *of.FamilyID, nil))
	began := time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)
	step := min(20*time.Minute, 5*365*24*time.Hour/time.Duration(inspections))
	items := table{"items", []string{"id", "kind", "serial", "serial_tail", "supplier", "model", "maker_number", "family_id", "product_id", "state", "origin", "created_at", "created_by"}, nil}
	sets := table{"inspections", []string{"id", "item_id", "family_id", "product_id", "product_revision", "specification_id", "stage", "person_id", "place", "started_at", "measured_at", "offset_ms", "received_at", "conditions", "verdict", "remarks", "reason", "sent_hash", "recheck", "round", "first_set", "pass_rounds", "pass_minutes"}, nil}
	results := table{"results", []string{"inspection_id", "code", "position", "value", "value_f", "unit", "low", "high", "accept_low", "accept_high", "u", "verdict", "reason", "method", "readings"}, nil}
	flush := func() {
		for _, x := range []*table{&items, &sets, &results} {
			if err := put(*x); err != nil {
				t.Fatal(err)
			}
			x.rows = x.rows[:0]
		}
	}
	item := 0
	for i := range inspections {
		at, round, verdict, rounds := began.Add(time.Duration(i)*step).Truncate(time.Millisecond), 1, models.VerdictPass, 1
		if i%4 == 3 {
			round, rounds = 2, 2
		} else {
			item++
			serial := serialOf('W', item)
			items.rows = append(items.rows, []any{keyOf('6', item), models.KindWheel, serial, serial[len(serial)-5:], "", "", nil, *of.FamilyID, *of.ProductID, models.StateConforming, "made", at, "system"})
			if firsts++; i%4 == 2 || i%5 == 0 {
				failed++
				verdict, rounds = models.VerdictFail, 0
			}
		}
		sets.rows = append(sets.rows, []any{keyOf('7', i), keyOf('6', item), *of.FamilyID, *of.ProductID, 1, spec.ID, models.AfterRelief, h.Operator.PersonID, fmt.Sprint("stand ", i%3), at.Add(-4 * time.Minute), at, 0, at, "{}", verdict, "[]", "", "h", false, round, round == 1, rounds, 4 * rounds})
		for k, code := range []string{"dish_abs", "lateral_tir", "radial_tir", "side_ratio", "tension_lowest"} {
			v := models.VerdictPass
			if verdict == models.VerdictFail && k == i%5 {
				v = models.VerdictFail
			}
			results.rows = append(results.rows, []any{keyOf('7', i), code, "", "0.20", 0.2, "mm", "", "0.30", "", "", "", v, "", models.Extremes, 2})
		}
		if len(sets.rows) == 5000 {
			flush()
		}
	}
	flush()
	if err := done(); err != nil {
		t.Fatal(err)
	}
	return firsts, failed
}
