package store_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// crowded are the tables that grow with the shop's work: no look-up may read
// one of them from end to end.
var crowded = []string{"items", "inspections", "reading_sets", "results", "fitted_parts", "holds", "hold_lifts", "certificates", "certificate_changes", "trail_entries", "unplaced", "drafts",
	"turn_lists", "turn_dones", "turn_rounds", "turn_answers", "charges", "charge_ends", "shelf_places", "shelf_temperatures", "wanted_dates", "build_ticks", "capacity_tests",
	"block_receipts", "dispositions", "match_placements", "label_prints", "lot_checks"}

// multiply makes a shop of some years out of one wheel with one of everything:
// 4,000 wheels in 40 families, each with an inspection of its own, past the
// program. What may be copied is copied as it stands.
var multiply = []string{
	`CREATE TEMP TABLE n AS SELECT i, gen_random_uuid() AS family, gen_random_uuid() AS item, gen_random_uuid() AS inspection, gen_random_uuid() AS hold, gen_random_uuid() AS certificate,
		gen_random_uuid() AS extra FROM generate_series(1, 4000) AS i`,
	`UPDATE n SET family = f.family FROM n AS f WHERE f.i = (n.i - 1) % 40 + 1`,
	`INSERT INTO families SELECT n.family, x.kind, 'family ' || n.i, x.created_at, x.created_by FROM n, (SELECT * FROM families WHERE kind = 'wheel') AS x WHERE n.i <= 40`,
	`INSERT INTO specifications SELECT n.extra, n.family, NULL, 1, x.grade, x.rule, x.guard_factor, x.applies_to_stock, x.characteristics, x.reason, x.created_at, x.created_by
		FROM n, (SELECT specifications.* FROM specifications JOIN families ON families.id = family_id WHERE kind = 'wheel' AND families.name NOT LIKE 'family %') AS x WHERE n.i <= 40`,
	`INSERT INTO items (id, kind, serial, serial_tail, supplier, model, maker_number, family_id, product_id, state, origin, created_at, created_by)
		SELECT n.item, x.kind, 'W30' || lpad(n.i::text, 6, '0'), lpad(n.i::text, 5, '0'), 'Aare', 'H1', 'M' || n.i, n.family, x.product_id, x.state, x.origin, x.created_at, x.created_by
		FROM n, (SELECT * FROM items WHERE id = $1) AS x`,
	`INSERT INTO inspections SELECT n.inspection, n.item, n.family, x.product_id, x.product_revision, x.specification_id, x.stage, x.person_id, x.device_id, x.place, x.started_at,
		x.measured_at + n.i * interval '1 hour', x.offset_ms, x.received_at + n.i * interval '1 hour', x.conditions, x.verdict, x.remarks, NULL, '', 'h', x.recheck, 1, true, NULL
		FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO results SELECT n.inspection, x.code, x.position, x.value, x.value_f, x.unit, x.low, x.high, x.accept_low, x.accept_high, x.u, x.verdict, x.reason, x.method, x.readings, x.detail
		FROM n, (SELECT results.* FROM results JOIN inspections ON inspections.id = inspection_id WHERE item_id = $1) AS x`,
	`INSERT INTO reading_sets SELECT n.inspection, x.code, x.method, x.instrument_id, x.person_id, x.unit, x.manner, x.readings, x.positions, x.moments, x.remarks, '[]', '[]', x.taken_at + n.i * interval '1 hour'
		FROM n, (SELECT reading_sets.* FROM reading_sets JOIN inspections ON inspections.id = inspection_id WHERE item_id = $1) AS x`,
	`INSERT INTO fitted_parts SELECT n.extra, n.item, x.role, x.place, x.lot_id, x.part_id, x.quantity, x.fitted_at, x.fitted_by FROM n, (SELECT * FROM fitted_parts WHERE item_id = $1) AS x`,
	`INSERT INTO fitted_parts SELECT gen_random_uuid(), n.item, 'block', k::text, NULL, part.item, 1, now(), x.fitted_by
		FROM n CROSS JOIN generate_series(1, 4) AS k JOIN n AS part ON part.i = 800 + 4 * (n.i - 1) + k, (SELECT * FROM fitted_parts WHERE item_id = $1 LIMIT 1) AS x WHERE n.i <= 800`,
	`INSERT INTO holds SELECT n.hold, n.item, NULL, x.code, x.reason, x.state_before, x.raised_by, x.raised_at + n.i * interval '1 hour' FROM n, (SELECT * FROM holds WHERE item_id = $1) AS x`,
	`INSERT INTO hold_lifts SELECT n.hold, 'corrected', 'r', x.raised_by, x.raised_at FROM n, (SELECT * FROM holds WHERE item_id = $1) AS x`,
	`UPDATE holds SET lifted = true WHERE id IN (SELECT hold_id FROM hold_lifts)`,
	`INSERT INTO certificates SELECT n.certificate, 'C30-' || lpad(n.i::text, 5, '0'), 1, n.item, n.inspection, x.content, x.content_hash, NULL, '', x.issued_by, x.issued_at, encode(sha256(n.certificate::text::bytea), 'hex')
		FROM n, (SELECT * FROM certificates WHERE item_id = $1) AS x`,
	`INSERT INTO certificate_changes SELECT n.certificate, 'void', 'r', x.issued_by, x.issued_at FROM n, (SELECT * FROM certificates WHERE item_id = $1) AS x`,
	`INSERT INTO trail_entries SELECT gen_random_uuid(), x.at, x.actor, x.kind, n.inspection::text, x.encoding, x.digest, '', n.i, x.digest, x.digest, x.at
		FROM n, (SELECT * FROM trail_entries WHERE kind = 'inspection' LIMIT 1) AS x`,
	`INSERT INTO unplaced SELECT n.extra, x.content, 's', '{"code":"unknown_serial"}', x.person_id, NULL, 0, x.created_at + n.i * interval '1 hour' FROM n, (SELECT * FROM drafts) AS x`,
	`INSERT INTO unplaced_settlements SELECT n.extra, NULL, 'r', x.person_id, x.created_at FROM n, (SELECT * FROM drafts) AS x`,
	`INSERT INTO drafts SELECT n.inspection, 1, x.serial, x.kind, x.stage, x.person_id, NULL, x.content, x.created_at, x.updated_at + n.i * interval '1 hour', x.updated_at FROM n, (SELECT * FROM drafts) AS x`,
	`INSERT INTO turn_lists SELECT n.extra, n.inspection, n.item, 1, 'rim ' || n.i % 200, 12, '{}', 'h', x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO turn_dones SELECT gen_random_uuid(), n.extra, 'short', k, true, x.person_id, x.measured_at FROM n, generate_series(1, 3) AS k, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO turn_rounds SELECT n.inspection, n.extra, n.item, 'rim ' || n.i % 200, 1, 1, 1, n.i % 20 > 0, n.i % 20 = 0, '', '{}', 'h', x.person_id, x.measured_at + n.i * interval '1 hour'
		FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO turn_answers SELECT n.extra, n.inspection, 'not_sure', false, x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO charges SELECT n.extra, n.item, 'refresh', 'CH', x.measured_at + n.i * interval '1 hour', x.person_id, x.measured_at + n.i * interval '1 hour' FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO charge_ends SELECT n.extra, x.measured_at + n.i * interval '1 hour', '', x.person_id, x.measured_at + n.i * interval '1 hour' FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO shelf_places SELECT n.extra, n.item, 'rack', x.measured_at, x.person_id, x.measured_at + n.i * interval '1 hour' FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO shelf_temperatures SELECT n.extra, 'rack', '20', x.measured_at, 'system', NULL, x.measured_at + n.i * interval '1 hour' FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO wanted_dates SELECT n.extra, n.item, '', x.person_id, x.measured_at + n.i * interval '1 hour' FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO build_ticks SELECT n.extra, n.item, 'joined', true, '[]', x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO capacity_tests SELECT n.extra, n.item, x.measured_at, '20', '12', '10.5', '0', '25', 1, '95', '{}', 'h', x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO block_receipts SELECT n.item, n.extra, 1, NULL, '', '', 'h', x.measured_at, x.person_id FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO dispositions SELECT n.extra, n.item, 'release', 'other', 'r', x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO matches SELECT n.extra, x.product_id, x.product_id, '{}', 'h', x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO match_ends SELECT n.extra, true, '[]', '', x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO match_placements SELECT gen_random_uuid(), n.extra, 1, 1, n.item, '', x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO label_prints SELECT n.extra, 'item', n.item, 'sheet_5x13', 1, 1, '', '', x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`INSERT INTO lot_checks SELECT n.extra, (SELECT id FROM lots LIMIT 1), '{}', 100, 8, 0, 8, '[]', 'accepted', '', x.person_id, x.measured_at FROM n, (SELECT * FROM inspections WHERE item_id = $1) AS x`,
	`ANALYZE`,
}

// PostgreSQL answers each look-up through an index: none reads a table that
// grows from end to end. What a connection has read is told to the server's
// statistics before it is gone, so each look-up has a connection of its own.
func TestLookUpsReadNoTableFromEndToEnd(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		if strings.HasPrefix(dsn, "sqlite:") {
			return // It keeps no such statistics; BenchmarkItem in package server times it among 100,000.
		}
		if !t.Run("years of work", func(t *testing.T) { fill(t, dsn) }) {
			return
		}
		lookUps(t, dsn)
	})
}

func lookUps(t *testing.T, dsn string) {
	var (
		item       models.Item
		inspection models.Inspection
	)
	t.Run("one of them", func(t *testing.T) {
		s := storetest.Open(t, dsn)
		item = must(s.ItemBySerial(t.Context(), "W30002000"))
		inspection = must(s.InspectionsOf(t.Context(), item.ID))[0]
	})
	hour := inspection.MeasuredAt
	for _, c := range []struct {
		name string
		ask  func(ctx context.Context, s *store.Store) error
	}{
		{"an item by its serial", func(ctx context.Context, s *store.Store) error { return second(s.ItemBySerial(ctx, *item.Serial)) }},
		{"an item placed", func(ctx context.Context, s *store.Store) error { return second(s.Place(ctx, *item.Serial, nil)) }},
		{"items by the end of a serial", func(ctx context.Context, s *store.Store) error { return second(s.ItemsByTail(ctx, "02000", 50)) }},
		{"items by a maker's number", func(ctx context.Context, s *store.Store) error { return second(s.ItemsByMakerNumber(ctx, "M77", 50)) }},
		{"items by many numbers", func(ctx context.Context, s *store.Store) error {
			return second(s.ItemsByMakerNumbers(ctx, []string{"m77", "M78"}))
		}},
		{"what is searched of its family", func(ctx context.Context, s *store.Store) error {
			return second(s.Searched(ctx, models.SearchQuery{FamilyID: *item.FamilyID, From: hour.AddDate(-1, 0, 0), Results: []string{"lateral_tir"}, Limit: 10}))
		}},
		{"the lots in it", func(ctx context.Context, s *store.Store) error { return second(s.LotsInto(ctx, []string{item.ID})) }},
		{"what is new for a search", func(ctx context.Context, s *store.Store) error { return second(s.SearchState(ctx)) }},
		{"its parts", func(ctx context.Context, s *store.Store) error { return second(s.Parts(ctx, item.ID)) }},
		{"where it went", func(ctx context.Context, s *store.Store) error { return second(s.FittedInto(ctx, item.ID)) }},
		{"its inspections", func(ctx context.Context, s *store.Store) error { return second(s.ViewsOf(ctx, item.ID)) }},
		{"its inspections at a glance", func(ctx context.Context, s *store.Store) error { return second(s.GlanceOf(ctx, item.ID, "")) }},
		{"its holds", func(ctx context.Context, s *store.Store) error { return second(s.HoldsOf(ctx, item.ID)) }},
		{"what it rests on", func(ctx context.Context, s *store.Store) error { return second(s.Grounds(ctx, []string{item.ID})) }},
		{"its open holds", func(ctx context.Context, s *store.Store) error { return second(s.OpenHolds(ctx, item.ID)) }},
		{"holds that wait", func(ctx context.Context, s *store.Store) error { return second(s.HoldsWaiting(ctx)) }},
		{"what waits for a certificate", func(ctx context.Context, s *store.Store) error { return second(s.Uncertified(ctx, 20)) }},
		{"its certificates", func(ctx context.Context, s *store.Store) error { return second(s.CertificatesOf(ctx, item.ID)) }},
		{"its certificate by number", func(ctx context.Context, s *store.Store) error {
			return second(s.CertificateByNumber(ctx, "C30-02000", 1))
		}},
		{"a certificate by its token", func(ctx context.Context, s *store.Store) error {
			return second(s.CertificateByToken(ctx, *must(s.CertificatesOf(ctx, item.ID))[0].TokenHash))
		}},
		{"public certificates", func(ctx context.Context, s *store.Store) error { return second(s.PublicCertificates(ctx, "8", 50)) }},
		{"its prints", func(ctx context.Context, s *store.Store) error {
			return second(s.LabelPrintsOf(ctx, []string{item.ID, inspection.ID}))
		}},
		{"where a sheet goes on", func(ctx context.Context, s *store.Store) error { return second(s.LastOnSheet(ctx, "sheet_5x13")) }},
		{"items by serial", func(ctx context.Context, s *store.Store) error {
			return second(s.ItemsBySerial(ctx, []string{*item.Serial, "W30000001"}))
		}},
		{"items made in an hour", func(ctx context.Context, s *store.Store) error {
			return second(s.ItemsMade(ctx, item.CreatedAt.AddDate(1, 0, 0), item.CreatedAt.AddDate(1, 0, 1), 10))
		}},
		{"its trail", func(ctx context.Context, s *store.Store) error {
			return second(s.TrailCount(ctx, []string{item.ID, inspection.ID}))
		}},
		{"changes", func(ctx context.Context, s *store.Store) error {
			return second(s.Changes(ctx, models.ChangeQuery{Limit: 50}))
		}},
		{"changes of a person, from a page on", func(ctx context.Context, s *store.Store) error {
			return second(s.Changes(ctx, models.ChangeQuery{Actor: inspection.PersonID, Before: models.ChangeKey{At: hour, ID: inspection.ID}, Limit: 50}))
		}},
		{"changes of a kind in a day", func(ctx context.Context, s *store.Store) error {
			return second(s.Changes(ctx, models.ChangeQuery{Kind: "hold", From: hour, To: hour.AddDate(0, 0, 1), Limit: 50}))
		}},
		{"changes about an item", func(ctx context.Context, s *store.Store) error {
			return second(s.Changes(ctx, models.ChangeQuery{Subjects: []string{item.ID, inspection.ID}, Limit: 50}))
		}},
		{"whether something waits to be sealed", func(ctx context.Context, s *store.Store) error { return second(s.Unsealed(ctx)) }},
		{"the sealed log from a number on", func(ctx context.Context, s *store.Store) error { return second(s.SealedEntries(ctx, 3000, 50)) }},
		{"what waits to be sealed", func(ctx context.Context, s *store.Store) error { return second(s.UnsealedCount(ctx)) }},
		{"the newest first sets of a family", func(ctx context.Context, s *store.Store) error {
			return second(s.Series(ctx, models.SeriesQuery{FamilyID: *item.FamilyID, Result: "lateral_tir", FirstSets: true, Limit: 20}))
		}},
		{"those at a place", func(ctx context.Context, s *store.Store) error {
			return second(s.Series(ctx, models.SeriesQuery{FamilyID: *item.FamilyID, Result: "lateral_tir", Place: "stand 1", FirstSets: true, Limit: 20}))
		}},
		{"those of a product", func(ctx context.Context, s *store.Store) error {
			return second(s.Series(ctx, models.SeriesQuery{FamilyID: *item.FamilyID, ProductID: *item.ProductID, Result: "lateral_tir", FirstSets: true, Limit: 20}))
		}},
		{"the oldest of a product at a place", func(ctx context.Context, s *store.Store) error {
			return second(s.Series(ctx, models.SeriesQuery{FamilyID: *item.FamilyID, ProductID: *item.ProductID, Result: "lateral_tir", Place: "stand 1", FirstSets: true, Oldest: true, Limit: 20}))
		}},
		{"the first sets of a kind without relief", func(ctx context.Context, s *store.Store) error {
			return second(s.Series(ctx, models.SeriesQuery{FamilyID: *item.FamilyID, Result: "ocv_lowest", FirstRounds: true, Limit: 20}))
		}},
		{"how much is charted", func(ctx context.Context, s *store.Store) error {
			return second(s.ChartVolumes(ctx, hour.AddDate(1, 0, 0)))
		}},
		{"all sets of a family in some days", func(ctx context.Context, s *store.Store) error {
			return second(s.Series(ctx, models.SeriesQuery{FamilyID: *item.FamilyID, Result: "lateral_tir", From: hour.AddDate(0, 0, -2), To: hour.AddDate(0, 0, 2)}))
		}},
		{"first values of late with what they were judged by", func(ctx context.Context, s *store.Store) error {
			return second(s.MeasuredFirst(ctx, models.MeasuredQuery{FamilyID: *item.FamilyID, Kind: models.KindWheel, Result: "lateral_tir", From: hour.AddDate(0, 0, -2), Limit: 50}))
		}},
		{"certified values of some days", func(ctx context.Context, s *store.Store) error {
			return second(s.MeasuredLast(ctx, models.MeasuredQuery{FamilyID: *item.FamilyID, Kind: models.KindWheel, Result: "lateral_tir", From: hour.AddDate(0, 0, -2), To: hour.AddDate(0, 0, 2), Limit: 50}))
		}},
		{"every result of a family of late", func(ctx context.Context, s *store.Store) error {
			return second(s.ResultShares(ctx, models.MeasuredQuery{FamilyID: *item.FamilyID, Kind: models.KindWheel, From: hour.AddDate(0, 0, -2), Limit: 20}))
		}},
		{"rounds of a family of late", func(ctx context.Context, s *store.Store) error {
			return second(s.Rounds(ctx, models.MeasuredQuery{FamilyID: *item.FamilyID, Kind: models.KindWheel, From: hour.AddDate(0, 0, -2), Limit: 20}))
		}},
		{"what failed a tick of late", func(ctx context.Context, s *store.Store) error {
			return second(s.FailedFirst(ctx, models.MeasuredQuery{FamilyID: *item.FamilyID, Kind: models.KindWheel, Result: "cable_sound", From: hour.AddDate(0, 0, -2), Limit: 50}, 20))
		}},
		{"what left of a family, and came back", func(ctx context.Context, s *store.Store) error { return second(s.ServiceLives(ctx, *item.FamilyID)) }},
		{"what some hours brought and settled", func(ctx context.Context, s *store.Store) error {
			return second(s.WorkCounts(ctx, hour, hour.Add(6*time.Hour)))
		}},
		{"falls of blocks of late", func(ctx context.Context, s *store.Store) error {
			return second(s.BlockFalls(ctx, models.MeasuredQuery{FamilyID: *item.FamilyID, Kind: models.KindBlock, From: hour.AddDate(0, 0, -2), Limit: 20}))
		}},
		{"what left with a lot", func(ctx context.Context, s *store.Store) error {
			return second(s.ShippedItems(ctx, models.ShippedQuery{FamilyID: *item.FamilyID, LotID: inspection.ID, From: hour, To: hour.AddDate(0, 0, 1), Limit: 20}))
		}},
		{"what a gauge measured in some hours", func(ctx context.Context, s *store.Store) error {
			gauge := must(s.InstrumentsByCode(ctx, []string{"D-1"}))[0]
			return second(s.SetsTakenWith(ctx, gauge.ID, hour, hour.Add(6*time.Hour)))
		}},
		{"the same as items", func(ctx context.Context, s *store.Store) error {
			gauge := must(s.InstrumentsByCode(ctx, []string{"D-1"}))[0]
			return second(s.ItemsMeasuredWith(ctx, gauge.ID, hour, hour.Add(6*time.Hour)))
		}},
		{"the charts that an inspection touches", func(ctx context.Context, s *store.Store) error {
			return second(s.ChartsTouched(ctx, []string{inspection.ID}))
		}},
		{"recent inspections", func(ctx context.Context, s *store.Store) error { return second(s.RecentInspections(ctx, 10)) }},
		{"the counts of some hours", func(ctx context.Context, s *store.Store) error {
			return second(s.DayCounts(ctx, hour, hour.Add(6*time.Hour)))
		}},
		{"the turn list of an inspection", func(ctx context.Context, s *store.Store) error { return second(s.TurnList(ctx, inspection.ID)) }},
		{"a turn list with what is done of it", func(ctx context.Context, s *store.Store) error {
			list, err := s.TurnList(ctx, inspection.ID)
			if err != nil {
				return err
			}
			return second(s.TurnsDone(ctx, list.ID))
		}},
		{"a stop with its answer", func(ctx context.Context, s *store.Store) error { return second(s.TurnStop(ctx, inspection.ID)) }},
		{"the stop of an item", func(ctx context.Context, s *store.Store) error { return second(s.TurnStopOf(ctx, item.ID)) }},
		{"what a rim taught", func(ctx context.Context, s *store.Store) error {
			return second(s.TurnRoundsThatTeach(ctx, "rim 7", 20))
		}},
		{"its charges", func(ctx context.Context, s *store.Store) error { return second(s.ChargesOf(ctx, item.ID)) }},
		{"the charges that reach it", func(ctx context.Context, s *store.Store) error { return second(s.ChargesReaching(ctx, item.ID)) }},
		{"what the shelf knows of it", func(ctx context.Context, s *store.Store) error { return second(s.ShelfFacts(ctx, []string{item.ID})) }},
		{"what changed on the shelf", func(ctx context.Context, s *store.Store) error {
			return second(s.ShelfTouched(ctx, inspection.MeasuredAt.AddDate(1, 0, 0)))
		}},
		{"temperatures of late", func(ctx context.Context, s *store.Store) error {
			return second(s.ShelfTemperatures(ctx, inspection.MeasuredAt.AddDate(1, 0, 0)))
		}},
		{"its build steps", func(ctx context.Context, s *store.Store) error { return second(s.BuildTicks(ctx, item.ID)) }},
		{"its discharges", func(ctx context.Context, s *store.Store) error { return second(s.CapacityTestsOf(ctx, item.ID)) }},
		{"a block with its readings", func(ctx context.Context, s *store.Store) error { return second(s.StockBlock(ctx, item.ID)) }},
		{"the stock of a model", func(ctx context.Context, s *store.Store) error { return second(s.StockOf(ctx, item.ID)) }},
		{"a block placed by its key", func(ctx context.Context, s *store.Store) error { return second(s.PlaceItem(ctx, item.ID, nil)) }},
		{"what was decided about it", func(ctx context.Context, s *store.Store) error { return second(s.Dispositions(ctx, item.ID)) }},
		{"lots in it that are set aside", func(ctx context.Context, s *store.Store) error { return second(s.LotsSetAside(ctx, item.ID)) }},
		{"what stops the lot of a block", func(ctx context.Context, s *store.Store) error { return second(s.BlockLotStops(ctx, item.ID)) }},
		{"where a lot went", func(ctx context.Context, s *store.Store) error { return second(s.OutputsOfLot(ctx, inspection.ID)) }},
		{"lots that were looked at", func(ctx context.Context, s *store.Store) error {
			return second(s.LotsLookedAt(ctx, []string{inspection.ID}))
		}},
		{"what a lot adds up to", func(ctx context.Context, s *store.Store) error {
			return second(s.LotTotals(ctx, []string{inspection.ID}))
		}},
		{"first sets of two days that failed so", func(ctx context.Context, s *store.Store) error {
			_, _, err := s.FirstSets(ctx, models.FirstSetQuery{Families: []string{*item.FamilyID}, From: hour.AddDate(0, 0, -1), To: hour.AddDate(0, 0, 1), Code: "W01", Limit: 10})
			return err
		}},
		{"days summed up", func(ctx context.Context, s *store.Store) error { return second(s.FoldTallies(ctx, time.UTC, 40)) }},
		{"tallies of a family", func(ctx context.Context, s *store.Store) error {
			return second(s.Tallies(ctx, models.TallyQuery{Families: []string{*item.FamilyID}, From: "2031-01-01", To: "2031-12-31"}))
		}},
		{"open drafts", func(ctx context.Context, s *store.Store) error { return second(s.OpenDrafts(ctx)) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			before := scans(t, dsn)
			s, err := store.Open(t.Context(), dsn, store.Options{Readers: 1})
			if err != nil {
				t.Fatal(err)
			}
			err = c.ask(t.Context(), s)
			s.Close()
			if err != nil {
				t.Fatal(err)
			}
			after := scans(t, dsn)
			if after[throughIndexes] == before[throughIndexes] {
				t.Error("the statistics saw nothing of it")
			}
			for _, table := range crowded {
				if after[table] > before[table] {
					t.Errorf("%s is read from end to end", table)
				}
			}
		})
	}
}

// throughIndexes is the name under which scans counts the use of indexes.
const throughIndexes = "(indexes)"

// scans is how often each table was read from end to end, once every other
// connection is gone.
func scans(t *testing.T, dsn string) map[string]int {
	t.Helper()
	ctx := t.Context()
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	for others := 1; others > 0; time.Sleep(time.Millisecond) {
		const busy = "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND backend_type = 'client backend' AND pid <> pg_backend_pid()"
		if err := conn.QueryRow(ctx, busy).Scan(&others); err != nil {
			t.Fatal(err)
		}
	}
	rows, err := conn.Query(ctx, "SELECT relname, seq_scan FROM pg_stat_user_tables UNION ALL SELECT $1, sum(idx_scan) FROM pg_stat_user_indexes", throughIndexes)
	if err != nil {
		t.Fatal(err)
	}
	counts := map[string]int{}
	for rows.Next() {
		var table string
		var n int
		if err := rows.Scan(&table, &n); err != nil {
			t.Fatal(err)
		}
		counts[table] = n
	}
	if err := rows.Err(); err != nil || len(counts) <= len(crowded) {
		t.Fatalf("%d tables, %v", len(counts), err)
	}
	return counts
}

// fill makes a workshop whose wheel has one of everything, and years of work
// out of it.
func fill(t *testing.T, dsn string) {
	h := worktest.On(t, storetest.Open(t, dsn))
	ctx, stamp, w := t.Context(), models.NewStamp(h.Owner, moment), h.Item[models.KindWheel]
	spokes := models.Lot{ID: models.NewID(), Code: "SP-1", Material: "spokes", Quantity: 100}
	h.Must(h.Store.AddLot(ctx, stamp, spokes))
	made := must(h.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindWheel, FamilyID: w.FamilyID, ProductID: w.ProductID, Origin: "made"}, "W", 31,
		[]models.FittedPart{{Role: "spokes_a", Place: "A", LotID: &spokes.ID, Quantity: 18}}))
	h.Must(h.Store.AddLotDecision(ctx, stamp, models.LotDecision{ID: models.NewID(), LotID: spokes.ID, Decision: models.LotQuarantine, Reason: "r"}))
	sub := h.Extremes()
	sub.Serial = *made.Serial
	certify(h, t, stamp, h.MustRecord(sub).Inspection)
	must(h.Store.AddHold(ctx, stamp, models.Hold{ID: models.NewID(), ItemID: &made.ID, Code: "W01", Reason: "r", RaisedBy: h.Operator.PersonID, RaisedAt: moment}))
	must(h.Store.SaveDraft(ctx, models.Draft{ID: models.NewID(), Version: 1, Serial: *made.Serial, Kind: models.KindWheel, Stage: models.AfterRelief, PersonID: h.Operator.PersonID, Content: sub,
		CreatedAt: moment, UpdatedAt: moment}, 0))
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	for _, statement := range multiply {
		if _, err := conn.Exec(ctx, strings.ReplaceAll(statement, "$1", "'"+made.ID+"'")); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
}

func second(_ any, err error) error { return err }
