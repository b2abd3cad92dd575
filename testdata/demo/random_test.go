package demo

import (
	"fmt"
	"regexp"
	"testing"
	"time"

	"tracewright/models"
)

// The layout is RFC 9562 section 5.7: 48 bits of milliseconds, version 7,
// variant 10.
func TestKeysAreLikeTheProductsOwn(t *testing.T) {
	layout := regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)
	moment := time.Date(2031, 3, 7, 9, 30, 0, 250_000_000, time.UTC)
	keys, last := newIDs(5), ""
	for i := range 10_000 {
		key := keys.next(moment.Add(time.Duration(i/6000) * time.Millisecond))
		if !layout.MatchString(key) {
			t.Fatalf("key %s has another layout", key)
		}
		if key <= last {
			t.Fatalf("key %s does not sort behind %s", key, last)
		}
		if want := fmt.Sprintf("%012x", moment.UnixMilli()); i == 0 && key[:8]+key[9:13] != want {
			t.Errorf("key %s begins otherwise than its moment, %s", key, want)
		}
		last = key
	}
}

// A shop can be invented on any day of the year, and none of its work lies
// ahead of that day.
func TestAnyDayWillDo(t *testing.T) {
	for _, now := range []string{"2030-01-01T00:10:00Z", "2028-02-29T12:00:00Z", "2031-03-30T01:30:00Z", "2031-10-26T08:00:00Z", "2032-12-27T23:50:00Z"} {
		t.Run(now, func(t *testing.T) {
			moment, err := time.Parse(time.RFC3339, now)
			if err != nil {
				t.Fatal(err)
			}
			s := small(t, Options{Seed: 11, Now: moment})
			if n := s.count(t, "SELECT count(*) FROM trail_entries WHERE at > ?", moment.Format("2006-01-02 15:04:05")); n > 0 {
				t.Errorf("%d changes lie ahead", n)
			}
			if s.summary.Certificates < 60 {
				t.Errorf("%d certificates of 85 items", s.summary.Certificates)
			}
		})
	}
}

// A customer's key says nothing of when it was made, and claims and orders take it.
func TestCustomersHaveKeysThatSayNothing(t *testing.T) {
	s := small(t, Options{Seed: 5})
	rows, err := s.db.Query("SELECT id FROM customers")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	seen := map[string]bool{}
	for rows.Next() {
		var id string
		if err := rows.Scan(&id); err != nil {
			t.Fatal(err)
		}
		if !models.IsRandomID(id) || seen[id] {
			t.Errorf("the key %s", id)
		}
		seen[id] = true
	}
	if err := rows.Err(); err != nil || len(seen) == 0 {
		t.Errorf("%d customers, %v", len(seen), err)
	}
}
