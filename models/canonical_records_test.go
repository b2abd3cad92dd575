package models

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models/trail"
)

// The records of encodingsOfThings and encodingsOfForms belong to
// TestCanonicalEncodingsVersion1 and are written by hand like those there. at
// is 12:03:02.007 UTC on 12 May 2031.

func encodingsOfThings(at time.Time) []encoding {
	return []encoding{
		{Device{ID: "d1", Name: "tablet", Place: "stand 1", KeyHash: "secret", EnrolledBy: "p1", EnrolledAt: at},
			`{"enrolled_at":"2031-05-12T12:03:02.007Z","enrolled_by":"p1","id":"d1","name":"tablet","place":"stand 1"}`},
		{Device{ID: "d1", Name: "tablet", Place: "stand 1", KeyHash: "secret", EnrolledBy: "p1", EnrolledAt: at, RevokedAt: ptr(at.Add(time.Hour)), RevokedBy: ptr("p2")},
			`{"enrolled_at":"2031-05-12T12:03:02.007Z","enrolled_by":"p1","id":"d1","name":"tablet","place":"stand 1","revoked_at":"2031-05-12T13:03:02.007Z","revoked_by":"p2"}`},
		{Lot{ID: "l1", Code: "SP-1", Material: "spokes", Description: "2.0 plain", Supplier: "Aare", SupplierCode: "x9", DateCode: "3104", Quantity: 0, ReceivedAt: at, ReceivedBy: "p1"},
			`{"code":"SP-1","date_code":"3104","description":"2.0 plain","id":"l1","material":"spokes","quantity":0,"received_at":"2031-05-12T12:03:02.007Z","received_by":"p1",` +
				`"supplier":"Aare","supplier_code":"x9"}`},
		{Instrument{ID: "g1", Code: "L-14", Kind: "dial", Name: "dial", State: InstrumentInUse, Unit: "mm", CreatedAt: at, CreatedBy: "p1"},
			`{"code":"L-14","created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","id":"g1","kind":"dial","name":"dial","state":"in_use","unit":"mm"}`},
		{Instrument{ID: "g1", Code: "L-14", Kind: "dial", Name: "dial", Place: "stand 1", Unit: "mm", RangeLow: "-5", RangeHigh: "5", Resolution: "0.010", Uncertainty: "0.02",
			CalibratedOn: "2030-01-02", DueOn: "2031-01-02", CertificateNumber: "K1", State: InstrumentOut, CreatedAt: at, CreatedBy: "p1"},
			`{"calibrated_on":"2030-01-02","certificate_number":"K1","code":"L-14","created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","due_on":"2031-01-02","id":"g1","kind":"dial",` +
				`"name":"dial","place":"stand 1","range_high":"5","range_low":"-5","resolution":"0.010","state":"out","uncertainty":"0.02","unit":"mm"}`},
		{GaugeTable{InstrumentID: "g1", SpokeType: "2.3 mm plain", N: 2, Points: []GaugePoint{{"12", "420"}, {"20.5", "1000"}}, Reason: "hung weights", EnteredAt: at, EnteredBy: "p1"},
			`{"entered_at":"2031-05-12T12:03:02.007Z","entered_by":"p1","instrument":"g1","n":2,"points":[{"reading":"12","tension":"420"},{"reading":"20.5","tension":"1000"}],` +
				`"reason":"hung weights","spoke_type":"2.3 mm plain"}`},
		{Item{ID: "i2", Kind: KindMotor, Supplier: "Aare", Model: "H1", MakerNumber: ptr("0007"), FamilyID: ptr("f1"), ProductID: ptr("x1"), State: StateInProcess, Origin: "received", CreatedAt: at, CreatedBy: "p1"},
			`{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","family":"f1","id":"i2","kind":"motor","maker_number":"0007","model":"H1","origin":"received","product":"x1","supplier":"Aare"}`},
		{FittedPart{ID: "t1", ItemID: "i1", Role: "spokes_a", Place: "A", LotID: ptr("l1"), Quantity: 18, FittedAt: at, FittedBy: "p1"},
			`{"fitted_at":"2031-05-12T12:03:02.007Z","fitted_by":"p1","id":"t1","item":"i1","lot":"l1","place":"A","quantity":18,"role":"spokes_a"}`},
		{FittedPart{ID: "t1", ItemID: "i1", Role: "nipples", LotID: ptr("l1"), Quantity: 36, Reason: "the bin was counted short", FittedAt: at, FittedBy: "p1", TakenOut: 4},
			`{"fitted_at":"2031-05-12T12:03:02.007Z","fitted_by":"p1","id":"t1","item":"i1","lot":"l1","quantity":36,"reason":"the bin was counted short","role":"nipples"}`},
		{PartRemoval{ID: "r1", FittedID: "t1", ItemID: "i1", Quantity: 4, Code: "broken", Reason: "at the elbow", Fate: FateScrap, RemovedAt: at, RemovedBy: "p1"},
			`{"code":"broken","fate":"scrap","fitted":"t1","id":"r1","item":"i1","quantity":4,"reason":"at the elbow","removed_at":"2031-05-12T12:03:02.007Z","removed_by":"p1"}`},
		{FittedPart{ID: "t2", ItemID: "i1", Role: "motor", PartID: ptr("i2"), Quantity: 1, FittedAt: at, FittedBy: "p1"},
			`{"fitted_at":"2031-05-12T12:03:02.007Z","fitted_by":"p1","id":"t2","item":"i1","part":"i2","quantity":1,"role":"motor"}`},
		{SerialRoll{ID: "r1", Letter: "W", Year: 31, First: 101, Last: 200, ProductID: ptr("x1"), PrintedAt: at, PrintedBy: "p1"},
			`{"first":101,"id":"r1","last":200,"letter":"W","printed_at":"2031-05-12T12:03:02.007Z","printed_by":"p1","product":"x1","year":31}`},
		{Hold{ID: "h2", LotID: ptr("l1"), Code: "other", Reason: "breaks", RaisedBy: "p1", RaisedAt: at},
			`{"code":"other","id":"h2","lot":"l1","raised_at":"2031-05-12T12:03:02.007Z","raised_by":"p1","reason":"breaks"}`},
		{HoldLift{HoldID: "h2", Code: "corrected", Reason: "laced anew", LiftedBy: "p2", LiftedAt: at},
			`{"code":"corrected","hold":"h2","lifted_at":"2031-05-12T12:03:02.007Z","lifted_by":"p2","reason":"laced anew"}`},
		{Certificate{ID: "c1", Number: "C31-00007", Revision: 1, ItemID: "i1", InspectionID: "n1", Content: "{}", ContentHash: "ab", IssuedBy: "p2", IssuedAt: at},
			`{"content":"ab","id":"c1","inspection":"n1","issued_at":"2031-05-12T12:03:02.007Z","issued_by":"p2","item":"i1","number":"C31-00007","revision":1}`},
		{Certificate{ID: "c2", Number: "C31-00007", Revision: 2, ItemID: "i1", InspectionID: "n2", Content: "{}", ContentHash: "cd", Replaces: ptr("c1"), Reason: "trued again", IssuedBy: "p2", IssuedAt: at},
			`{"content":"cd","id":"c2","inspection":"n2","issued_at":"2031-05-12T12:03:02.007Z","issued_by":"p2","item":"i1","number":"C31-00007","reason":"trued again","replaces":"c1","revision":2}`},
		{Unplaced{ID: "u1", Content: Submission{Serial: "x"}, SentHash: "ef", Cause: NewRemark("unknown_serial", "serial", "x"), PersonID: "p1", DeviceID: ptr("d1"), OffsetMS: -7, ReceivedAt: at},
			`{"cause":"unknown_serial","device":"d1","id":"u1","offset_ms":-7,"person":"p1","received_at":"2031-05-12T12:03:02.007Z","sent":"ef"}`},
		{UnplacedSettlement{UnplacedID: "u1", Reason: "twice", SettledBy: "p2", SettledAt: at},
			`{"reason":"twice","settled_at":"2031-05-12T12:03:02.007Z","settled_by":"p2","unplaced":"u1"}`},
		{UnplacedSettlement{UnplacedID: "u1", InspectionID: ptr("n1"), Reason: "label misread", SettledBy: "p2", SettledAt: at},
			`{"inspection":"n1","reason":"label misread","settled_at":"2031-05-12T12:03:02.007Z","settled_by":"p2","unplaced":"u1"}`},
		{RecordedInspection{
			Inspection: Inspection{ID: "n3", ItemID: "i1", FamilyID: "f1", SpecificationID: "s1", Stage: AfterRelief, PersonID: "p1", StartedAt: at, MeasuredAt: at, ReceivedAt: at, Verdict: VerdictPass, SentHash: "cc"},
			Sets: []ReadingSet{{InspectionID: "n3", Code: "radial_runout", Method: EveryHole, PersonID: "p1", Unit: "mm", Values: []string{"0.1"}, Index: []Position{Spoke(0)},
				Masks: []Mask{{Index: Spoke(18), Reason: MaskWeld}, {Index: Spoke(20), Reason: MaskOther, Note: "sticker"}}}},
		}, `{"conditions":{},"family":"f1","id":"n3","item":"i1","measured_at":"2031-05-12T12:03:02.007Z","offset_ms":0,"person":"p1","received_at":"2031-05-12T12:03:02.007Z","recheck":false,` +
			`"remarks":[],"results":[],"sent":"cc","sets":[{"code":"radial_runout","index":["0"],"masks":[{"index":18,"reason":"weld"},{"index":20,"note":"sticker","reason":"other"}],` +
			`"method":"every_hole","moments":[],"person":"p1","remarks":[],"unit":"mm","values":["0.1"]}],"specification":"s1","stage":"after_relief","started_at":"2031-05-12T12:03:02.007Z","verdict":"pass"}`},
		{RecordedInspection{
			Inspection: Inspection{ID: "n2", ItemID: "i1", FamilyID: "f1", ProductID: ptr("x1"), ProductRevision: ptr(4), SpecificationID: "s1", Stage: Final, PersonID: "p1", DeviceID: ptr("d1"), Place: "bench 2",
				StartedAt: at, MeasuredAt: at, ReceivedAt: at, Conditions: Conditions{TemperatureC: "21.50", RestHours: "26", OnCharger: true, LoadA: "5", Tyre: "off", Note: "n"},
				Verdict: VerdictFail, Supersedes: ptr("n1"), Reason: "wrong pack", SentHash: "bb", Recheck: true},
			Sets: []ReadingSet{{InspectionID: "n2", Code: "block_resistance", Method: EveryBlock, PersonID: "p1", Unit: "mohm", Manner: ResistanceAC, Values: []string{"14.1"},
				Remarks: []Remark{{Code: "finer_than_gauge"}}}},
			Results: []Result{{InspectionID: "n2", Code: "block_r25", Position: "1.3", Value: "14.10", ValueF: ptr(14.1), Unit: "mohm", Low: "1", High: "14", AcceptLow: "1.2", AcceptHigh: "13.8", U: "0.2",
				Verdict: VerdictFail, Reason: "above", Method: EveryBlock, Readings: 1}},
		}, `{"conditions":{"load_a":"5","note":"n","on_charger":true,"rest_hours":"26","temperature_c":"21.50","tyre":"off"},"device":"d1","family":"f1","id":"n2","item":"i1",` +
			`"measured_at":"2031-05-12T12:03:02.007Z","offset_ms":0,"person":"p1","place":"bench 2","product":"x1","product_revision":4,"reason":"wrong pack",` +
			`"received_at":"2031-05-12T12:03:02.007Z","recheck":true,"remarks":[],` +
			`"results":[{"accept_high":"13.8","accept_low":"1.2","code":"block_r25","high":"14","low":"1","method":"every_block","position":"1.3","readings":1,"reason":"above","u":"0.2","unit":"mohm",` +
			`"value":"14.10","verdict":"fail"}],` +
			`"sent":"bb","sets":[{"code":"block_resistance","index":[],"manner":"ac_1khz","method":"every_block","moments":[],"person":"p1","remarks":[{"code":"finer_than_gauge"}],"unit":"mohm","values":["14.1"]}],` +
			`"specification":"s1","stage":"final","started_at":"2031-05-12T12:03:02.007Z","supersedes":"n1","verdict":"fail"}`},
	}
}

func encodingsOfTurns(at time.Time) []encoding {
	return []encoding{
		{TurnList{ID: "l1", InspectionID: "n1", ItemID: "i1", N: 2, RimType: "r26 | 2.0 plain", Short: 12, Content: "{}", ContentHash: "ab", MadeBy: "p1", MadeAt: at},
			`{"content":"ab","id":"l1","inspection":"n1","item":"i1","made_at":"2031-05-12T12:03:02.007Z","made_by":"p1","n":2,"rim_type":"r26 | 2.0 plain","short":12}`},
		{TurnDone{ID: "d1", TurnListID: "l1", List: TurnsShort, N: 3, Turned: true, DoneBy: "p1", DoneAt: at},
			`{"done_at":"2031-05-12T12:03:02.007Z","done_by":"p1","id":"d1","list":"short","n":3,"turn_list":"l1","turned":true}`},
		{TurnRound{InspectionID: "n2", TurnListID: "l1", ItemID: "i1", RimType: "r26 | 2.0 plain", TensionScale: ptr(0.9), LateralScale: ptr(1.1), Teaches: true, Content: "{}", ContentHash: "cd",
			ComparedBy: "p1", ComparedAt: at},
			`{"compared_at":"2031-05-12T12:03:02.007Z","compared_by":"p1","content":"cd","inspection":"n2","item":"i1","rim_type":"r26 | 2.0 plain","stop":false,"teaches":true,"turn_list":"l1"}`},
		{TurnRound{InspectionID: "n2", TurnListID: "l1", ItemID: "i1", Stop: true, Cause: "wrong_side", Content: "{}", ContentHash: "cd", ComparedBy: "p1", ComparedAt: at},
			`{"cause":"wrong_side","compared_at":"2031-05-12T12:03:02.007Z","compared_by":"p1","content":"cd","inspection":"n2","item":"i1","stop":true,"teaches":false,"turn_list":"l1"}`},
		{TurnAnswer{ID: "a1", InspectionID: "n2", Cause: "wrong_side", Settles: true, AnsweredBy: "p1", AnsweredAt: at},
			`{"answered_at":"2031-05-12T12:03:02.007Z","answered_by":"p1","cause":"wrong_side","id":"a1","inspection":"n2","settles":true}`},
	}
}

// A form with what the turn list needs is version 2: all of version 1, and
// that.
func TestCanonicalEncodingVersion2OfAForm(t *testing.T) {
	at := time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC)
	r := ProductRevision{ProductID: "x1", Revision: 3, Reason: "turn list", CreatedAt: at, CreatedBy: "p1", Form: ProductForm{Wheel: &WheelForm{Rim: "R26", Holes: 36, Crossing: 1,
		Truing: &WheelTruing{Section: "own", EA: "11", InPlaneEI: "160", LateralEI: "550.5", GJ: "120", GaugeOutset: "-2", ThreadPitch: "0.454", SmallestTurn: "0.125", EndsLength: "60", MiddleDiameter: "1.8",
			TensionUncertainty: "40"}}}}
	want := `{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","product":"x1","reason":"turn list","revision":3,"wheel":{"crossing":1,"holes":36,"rim":"R26","truing":{"ea":"11",` +
		`"ei_in_plane":"160","ei_lateral":"550.5","ends_length":"60","gauge_outset":"-2","gj":"120","middle_diameter":"1.8","section":"own","smallest_turn":"0.125","tension_uncertainty":"40","thread_pitch":"0.454"}}}`
	got, err := trail.Canonical(r.Canonical())
	if err != nil {
		t.Fatal(err)
	}
	if _, _, version := r.TrailName(); string(got) != want || version != 2 {
		t.Errorf("version %d is\n%s\nwant version 2\n%s", version, got, want)
	}
}

// Version 3 is block models, and packs that name theirs.
func TestCanonicalEncodingVersion3OfAForm(t *testing.T) {
	at := time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC)
	for _, c := range []struct {
		form ProductForm
		want string
	}{
		{ProductForm{Block: &BlockForm{Supplier: "Halden", Model: "12-12", Chemistry: "agm", Cells: 6, Capacity: "12", Rate: "C20", VoltageTable: []ChargePoint{{"11.8", "0"}, {"12.90", "100"}},
			ResistanceMethod: ResistanceAC, ResistanceLow: "6", ResistanceHigh: "30", DateCode: DateYearWeek, Limits: map[string]string{"rest_min_h": "24", "maker_ocv_min_v": ""}}},
			`{"block":{"capacity_ah":"12","cells":6,"chemistry":"agm","date_code":"yyww","limits":{"maker_ocv_min_v":"","rest_min_h":"24"},"model":"12-12","rate":"C20","resistance_high":"30",` +
				`"resistance_low":"6","resistance_method":"ac_1khz","supplier":"Halden","voltage_table":[{"percent":"0","volts":"11.8"},{"percent":"100","volts":"12.90"}]},` +
				`"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","product":"x1","reason":"first","revision":3}`},
		{ProductForm{Pack: &PackForm{BlockModel: "Halden 12-12", Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 4, BlockProduct: "b1", BlockRevision: 2}},
			`{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","pack":{"block_model":"Halden 12-12","block_product":"b1","block_revision":2,"blocks":4,"cells":6,"chemistry":"agm","strings":1},` +
				`"product":"x1","reason":"first","revision":3}`},
	} {
		r := ProductRevision{ProductID: "x1", Revision: 3, Reason: "first", CreatedAt: at, CreatedBy: "p1", Form: c.form}
		got, err := trail.Canonical(r.Canonical())
		if err != nil {
			t.Fatal(err)
		}
		if _, _, version := r.TrailName(); string(got) != c.want || version != 3 {
			t.Errorf("version %d is\n%s\nwant version 3\n%s", version, got, c.want)
		}
	}
}

// Version 4 is packs that take over the table and the limits of their blocks.
func TestCanonicalEncodingVersion4OfAForm(t *testing.T) {
	at := time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC)
	r := ProductRevision{ProductID: "x1", Revision: 3, Reason: "first", CreatedAt: at, CreatedBy: "p1", Form: ProductForm{Pack: &PackForm{BlockModel: "Halden 12-12", Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 4,
		BlockProduct: "b1", BlockRevision: 2, VoltageTable: []ChargePoint{{"11.8", "0"}, {"12.90", "100"}}, Limits: map[string]string{"ship_ocv_min_b_v": "12.80", "maker_ocv_min_v": ""}}}}
	got, err := trail.Canonical(r.Canonical())
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","pack":{"block_model":"Halden 12-12","block_product":"b1","block_revision":2,"blocks":4,"cells":6,"chemistry":"agm",` +
		`"limits":{"maker_ocv_min_v":"","ship_ocv_min_b_v":"12.80"},"strings":1,"voltage_table":[{"percent":"0","volts":"11.8"},{"percent":"100","volts":"12.90"}]},"product":"x1","reason":"first","revision":3}`
	if _, _, version := r.TrailName(); string(got) != want || version != 4 {
		t.Errorf("version %d is\n%s\nwant version 4\n%s", version, got, want)
	}
}

// Version 5 is packs with a transport test summary.
func TestCanonicalEncodingVersion5OfAForm(t *testing.T) {
	at := time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC)
	r := ProductRevision{ProductID: "x1", Revision: 3, Reason: "first", CreatedAt: at, CreatedBy: "p1", Form: ProductForm{Pack: &PackForm{Chemistry: "li_ion", Cells: 1, Strings: 1, Blocks: 10, TestSummary: "TS-41"}}}
	got, err := trail.Canonical(r.Canonical())
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","pack":{"blocks":10,"cells":1,"chemistry":"li_ion","strings":1,"transport_test_summary":"TS-41"},"product":"x1","reason":"first","revision":3}`
	if _, _, version := r.TrailName(); string(got) != want || version != 5 {
		t.Errorf("version %d is\n%s\nwant version 5\n%s", version, got, want)
	}
}

func encodingsOfForms(at time.Time) []encoding {
	return []encoding{
		{Family{ID: "f1", Kind: KindWheel, Name: "26 inch", CreatedAt: at, CreatedBy: "system"},
			`{"created_at":"2031-05-12T12:03:02.007Z","created_by":"system","id":"f1","kind":"wheel","name":"26 inch"}`},
		{Product{ID: "x1", FamilyID: "f1", Name: "26 disc", Revision: 4, CreatedAt: at, CreatedBy: "p1"},
			`{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","family":"f1","id":"x1","name":"26 disc"}`},
		{ProductRevision{ProductID: "x1", Revision: 1, Form: ProductForm{Wheel: &WheelForm{Holes: 36}}, Reason: "first", CreatedAt: at, CreatedBy: "p1"},
			`{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","product":"x1","reason":"first","revision":1,"wheel":{"crossing":0,"holes":36}}`},
		{ProductRevision{ProductID: "x1", Revision: 2, Reason: "other rim", CreatedAt: at, CreatedBy: "p1", Form: ProductForm{Wheel: &WheelForm{
			Rim: "R26", Motor: "Aare H1", Holes: 36, Crossing: 1, SpokeType: "2.0 plain", SideA: "cable side", SideB: "disc side", DishTarget: "-0.50", DishReference: DishFace, DishNominal: "58.0",
			RimMaxTension: "1150", ExpectedRatio: "1.52",
			Geometry: &WheelGeometry{RimRadius: "278", NippleInset: "1.5", FlangeRadiusA: "74.5", FlangeRadiusB: "62", FlangeOffsetA: "22", FlangeOffsetB: "19.5", SpokeDiameter: "2.0"}}}},
			`{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","product":"x1","reason":"other rim","revision":2,"wheel":{"crossing":1,"dish_nominal":"58.0","dish_reference":"face",` +
				`"dish_target":"-0.50","expected_ratio":"1.52","geometry":{"flange_offset_a":"22","flange_offset_b":"19.5","flange_radius_a":"74.5","flange_radius_b":"62","nipple_inset":"1.5",` +
				`"rim_radius":"278","spoke_diameter":"2.0"},"holes":36,"motor":"Aare H1","rim":"R26","rim_max_tension":"1150","side_a":"cable side","side_b":"disc side","spoke_type":"2.0 plain"}}`},
		{ProductRevision{ProductID: "x2", Revision: 1, Reason: "first", CreatedAt: at, CreatedBy: "p1", Form: ProductForm{Pack: &PackForm{
			BlockModel: "B12", Chemistry: "agm", Cells: 6, CapacityAh: "12.0", Rate: "C20", Strings: 2, Blocks: 3, NominalV: "36", ResistanceMethod: ResistanceAC, ResistanceLow: "5", ResistanceHigh: "40",
			MinRestHours: "24"}}},
			`{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","pack":{"block_model":"B12","blocks":3,"capacity_ah":"12.0","cells":6,"chemistry":"agm","min_rest_hours":"24","nominal_v":"36",` +
				`"rate":"C20","resistance_high":"40","resistance_low":"5","resistance_method":"ac_1khz","strings":2},"product":"x2","reason":"first","revision":1}`},
		{Specification{ID: "s1", FamilyID: "f1", Revision: 1, Grade: "fine", Rule: "simple", CreatedAt: at, CreatedBy: "p1", Reason: "first",
			Characteristics: []Characteristic{{Code: "cable_sound", Form: Ticked, Results: []Limit{{Result: "cable_sound"}}}}},
			`{"applies_to_stock":false,"characteristics":[{"code":"cable_sound","form":"ticked","results":[{"decimals":0,"result":"cable_sound"}]}],"created_at":"2031-05-12T12:03:02.007Z",` +
				`"created_by":"p1","family":"f1","grade":"fine","id":"s1","reason":"first","revision":1,"rule":"simple"}`},
		{Specification{ID: "s2", FamilyID: "f1", ProductID: ptr("x1"), Revision: 3, Grade: "own", Rule: "guarded", GuardFactor: "0.83", AppliesToStock: true, Reason: "tighter", CreatedAt: at, CreatedBy: "p1",
			Characteristics: []Characteristic{{Code: "tension_a", Form: Measured, Unit: "N", Units: []string{"N", "kgf"}, Methods: []string{EveryHole, Sample}, Instrument: "tension_gauge", Hundredths: true,
				Sample: []int{0, 12, 24}, Choices: []string{"yes"},
				Results: []Limit{{Result: "tension_mean_tight", Unit: "N", Decimals: 3, Low: "900", High: "1200", Warn: "1150", U: "40", Required: []string{EveryHole}}}}}},
			`{"applies_to_stock":true,"characteristics":[{"choices":["yes"],"code":"tension_a","form":"measured","hundredths":true,"instrument":"tension_gauge","methods":["every_hole","sample"],` +
				`"results":[{"decimals":3,"high":"1200","low":"900","required":["every_hole"],"result":"tension_mean_tight","u":"40","unit":"N","warn":"1150"}],` +
				`"sample":[0,12,24],"unit":"N","units":["N","kgf"]}],"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","family":"f1","grade":"own","guard_factor":"0.83","id":"s2","product":"x1",` +
				`"reason":"tighter","revision":3,"rule":"guarded"}`},
	}
}

// A record that leaves a trail has its encoding written down here.
func TestEveryRecordedTypeHasItsEncodingWritten(t *testing.T) {
	written := map[string]bool{"Person": true, "Setting": true, "CertificateChange": true} // in TestCanonicalEncodingsVersion1
	for _, e := range slices.Concat(encodingsOfThings(time.Time{}), encodingsOfForms(time.Time{}), encodingsOfTurns(time.Time{}), encodingsOfShelf(time.Time{}), encodingsOfStock(time.Time{}), encodingsOfShipping(time.Time{}), encodingsOfGoods(time.Time{}), encodingsOfLabels(time.Time{}), encodingsOfRecalls(time.Time{}), encodingsOfClaims(time.Time{}), encodingsOfGauges(time.Time{}), encodingsOfStudies(time.Time{}), encodingsOfNonconformities(time.Time{}), encodingsOfCharts(time.Time{}), encodingsOfReviews(time.Time{}), encodingsOfBackups(time.Time{})) {
		written[reflect.TypeOf(e.record).Name()] = true
	}
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || f.Recv == nil || f.Name.Name != "TrailName" {
				continue
			}
			found++
			if kind := f.Recv.List[0].Type.(*ast.Ident).Name; !written[kind] {
				t.Errorf("the encoding of %s is not written by hand in a test", kind)
			}
		}
	}
	if found < 23 {
		t.Errorf("only %d recorded types were found", found)
	}
}
