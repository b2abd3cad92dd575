package demo

import (
	"slices"
	"strconv"
	"testing"
	"time"
)

// Each story is looked for in the records by a plain comparison of two groups,
// and held against what Stories says was planted. A t of 4 comes up by chance
// about once in 16,000 comparisons.
const (
	beyond = 4.0
	within = 3.5
)

func TestTheRollerOfOneStandWears(t *testing.T) {
	s, truth := full(t, Story), full(t, Story).summary.Stories
	lateral := apartFromProduct(s.values(t, "lateral_tir"))
	begin, lasts := time.Time{}, truth.RollerReplaced.Sub(truth.RollerFrom)
	compare := func(from, to time.Time) float64 {
		with, without := split(where(lateral, between(from, to)), at(truth.RollerStand))
		return welch(with, without)
	}
	if x := compare(begin, truth.RollerFrom); x > within || x < -within {
		t.Errorf("before the wear the stands differ: t = %.1f", x)
	}
	early, late := compare(truth.RollerFrom, truth.RollerFrom.Add(lasts/3)), compare(truth.RollerReplaced.Add(-lasts/3), truth.RollerReplaced)
	if late < beyond || late < early {
		t.Errorf("the worn stand reads higher by t = %.1f at first and %.1f at last, want it to grow beyond %.0f", early, late, beyond)
	}
	if x := compare(truth.RollerReplaced, testDay); x > within || x < -within {
		t.Errorf("after the roller was replaced the stands still differ: t = %.1f", x)
	}
	radial := where(apartFromProduct(s.values(t, "radial_tir")), between(truth.RollerFrom, truth.RollerReplaced))
	if with, without := split(radial, at(truth.RollerStand)); welch(with, without) > within {
		t.Errorf("radial run-out rises too: t = %.1f", welch(with, without))
	}
}

func TestATensionGaugeReadsHigh(t *testing.T) {
	s, truth := full(t, Story), full(t, Story).summary.Stories
	tight := apartFromProduct(s.values(t, "tension_mean_tight"))
	compare := func(from, to time.Time) (by, x float64) {
		with, without := split(where(tight, between(from, to)), at(stand2))
		return mean(with) - mean(without), welch(with, without)
	}
	if _, x := compare(time.Time{}, truth.GaugeFrom); x > within || x < -within {
		t.Errorf("before, the gauges differ: t = %.1f", x)
	}
	if by, x := compare(truth.GaugeFrom, truth.GaugeFound); x < beyond || by < truth.GaugeHigh-0.015 || by > truth.GaugeHigh+0.015 {
		t.Errorf("the gauge reads %.1f %% high, t = %.1f; %.1f %% was planted", 100*by, x, 100*truth.GaugeHigh)
	}
	if _, x := compare(truth.GaugeFound, testDay); x > within || x < -within {
		t.Errorf("with the other gauge the stands differ: t = %.1f", x)
	}
	if n := s.count(t, "SELECT count(*) FROM instruments WHERE code = ? AND state = 'out' AND name LIKE '%found 4.8 % high'", truth.Gauge); n != 1 {
		t.Error("the register does not say what was found of the gauge")
	}
	after := s.count(t, "SELECT count(*) FROM reading_sets AS r JOIN instruments AS g ON g.id = r.instrument_id JOIN inspections AS i ON i.id = r.inspection_id WHERE g.code = ? AND CAST(strftime('%s', i.measured_at) AS INTEGER) > ?",
		truth.Gauge, truth.GaugeFound.Unix())
	if after > 0 {
		t.Errorf("%d sets were read with the gauge after it was taken out", after)
	}
}

func TestASpokeLotLosesTensionAndBreaks(t *testing.T) {
	s, truth := full(t, Story), full(t, Story).summary.Stories
	lots := s.lotsOf(t)
	var told, others []float64
	for _, c := range changes(s.values(t, "tension_mean_tight")) {
		if slices.Contains(lots[c.item], truth.SpokeLot) {
			told = append(told, 1-c.ratio)
		} else {
			others = append(others, 1-c.ratio)
		}
	}
	if len(told) < 10 || len(others) < 30 {
		t.Fatalf("%d rechecks of the lot and %d of others", len(told), len(others))
	}
	if x := welch(told, others); x < beyond || mean(told) < truth.SpokeLoss-0.04 || mean(told) > truth.SpokeLoss+0.06 {
		t.Errorf("the lot lost %.1f %%, others %.1f %%, t = %.1f; %.1f %% was planted", 100*mean(told), 100*mean(others), x, 100*truth.SpokeLoss)
	}
	broken := s.rows(t, `SELECT h.item_id, julianday(h.raised_at) - julianday(min(c.issued_at)) FROM holds AS h JOIN certificates AS c ON c.item_id = h.item_id
WHERE h.code = 'W08' GROUP BY h.id`)
	if len(broken) < 4 {
		t.Errorf("%d wheels came back broken, want at least 4", len(broken))
	}
	for _, row := range broken {
		if !slices.Contains(lots[row[0]], truth.SpokeLot) {
			t.Error("a wheel of another lot came back with a broken spoke")
		}
		if days, err := strconv.ParseFloat(row[1], 64); err != nil || days < 55 || days > 130 {
			t.Errorf("a wheel came back after %s days", row[1])
		}
	}
}

func TestABlockLotDischargesItself(t *testing.T) {
	s, truth := full(t, Story), full(t, Story).summary.Stories
	lots := s.lotsOf(t)
	var told, others []float64
	lead := s.rows(t, "SELECT p.id FROM products AS p JOIN families AS f ON f.id = p.family_id WHERE f.name = 'Lead packs'")[0][0]
	for _, c := range changes(where(s.values(t, "ocv_lowest"), func(v value) bool { return v.product == lead })) {
		if slices.Contains(lots[c.item], truth.BlockLot) {
			told = append(told, c.fall)
		} else {
			others = append(others, c.fall)
		}
	}
	if len(told) < 8 || len(others) < 8 {
		t.Fatalf("%d rechecks of the lot and %d of others", len(told), len(others))
	}
	if x := welch(told, others); x < beyond || mean(told) < 0.7*truth.BlockFall || mean(told) > 1.5*truth.BlockFall || mean(others) > 0.3*truth.BlockFall {
		t.Errorf("the lot falls by %.1f mV a day, others by %.1f, t = %.1f; %.1f was planted", 1000*mean(told), 1000*mean(others), x, 1000*truth.BlockFall)
	}
}

func TestOneBuilderImproves(t *testing.T) {
	s, truth := full(t, Story), full(t, Story).summary.Stories
	lateral := where(apartFromProduct(s.values(t, "lateral_tir")), at(stand1)) // the other one's roller wears
	third := testDay.AddDate(0, -6, 0)
	for builder, improves := range map[string]bool{truth.Improver: true, "Bram Odell": false, "Ilse Corvin": false, "Tomos Hale": false} {
		own := where(lateral, func(v value) bool {
			return v.person == builder && (v.at.Before(third) || v.at.After(third.AddDate(0, 3, 0)))
		})
		early, late := split(own, func(v value) bool { return v.at.Before(third) })
		if x := welch(early, late); improves != (x >= beyond) {
			t.Errorf("%s: first sets of the first three months against the last: t = %.1f, improves: %v", builder, x, improves)
		}
	}
	// At the same stand: a worn roller of the other one sends good wheels back again and again.
	rounds := func(order string) (n float64) {
		rows := s.rows(t, `SELECT max(i.round) FROM inspections AS i JOIN people AS p ON p.id = i.person_id
WHERE p.name = ? AND i.place = ? AND i.stage = 'after_relief' GROUP BY i.item_id ORDER BY min(i.measured_at) `+order+" LIMIT 120", truth.Improver, stand1)
		for _, row := range rows {
			n += float64(row[0][0]-'0') / float64(len(rows))
		}
		return n
	}
	if first, last := rounds("ASC"), rounds("DESC"); first < last+0.1 {
		t.Errorf("rounds a wheel: %.2f at first, %.2f at last", first, last)
	}
}
