package store_test

import (
	"reflect"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

var moment = time.Date(2031, 3, 4, 5, 6, 7, 890_000_000, time.UTC)

func same(t *testing.T, what string, got, want any) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%s read back as\n%+v, written as\n%+v", what, got, want)
	}
}

func pointer[T any](x T) *T { return &x }

// Every record type is written and read back on both databases. What is empty
// stays empty, a text stays as typed, a moment keeps its milliseconds.
func TestEveryRecordReadsBack(t *testing.T) {
	storetest.Each(t, func(t *testing.T, s *store.Store) {
		h := worktest.On(t, s)
		ctx := t.Context()
		stamp := models.NewStamp(h.Owner, moment)

		person := models.Person{ID: models.NewID(), Name: "Ωmega Żółć", Login: pointer("omega"), Role: models.Inspector, PasswordHash: "$argon2id$x", PINHash: "$argon2id$y", Active: true, CreatedAt: moment}
		h.Must(s.AddPerson(ctx, stamp, person))
		got := must(s.PersonByLogin(ctx, "omega"))
		same(t, "person", got, person)
		h.Must(s.SetSecrets(ctx, stamp, person.ID, "", "$argon2id$z", "pin_set"))
		person.Active, person.Login, person.PasswordHash, person.PINHash = false, nil, "", "$argon2id$z" // The password goes with the login.
		must(s.ChangePerson(ctx, stamp, person.ID, func(p *models.Person, _ []models.Person) error {
			p.Active, p.Login = false, nil
			return nil
		}))
		same(t, "changed person", must(s.Person(ctx, person.ID)), person)

		device := models.Device{ID: models.NewID(), Name: "tablet", Place: "stand 1", KeyHash: "abc", Program: true, EnrolledBy: h.Owner.PersonID, EnrolledAt: moment}
		h.Must(s.AddDevice(ctx, stamp, device))
		same(t, "device", must(s.DeviceByKeyHash(ctx, "abc")), device)
		h.Must(s.RevokeDevice(ctx, stamp, device.ID))
		device.RevokedAt, device.RevokedBy = pointer(moment), pointer(h.Owner.PersonID)
		same(t, "revoked device", must(s.Device(ctx, device.ID)), device)

		link := models.OneTimeLink{TokenHash: "t", Purpose: "set_password", PersonID: &person.ID, Expires: moment.Add(time.Hour)}
		h.Must(s.AddLink(ctx, link))
		same(t, "link", must(s.Link(ctx, "t")), link)

		h.Must(s.SetSetting(ctx, stamp, models.SettingShopName, "A & B <works>"))
		h.Must(s.SetSetting(ctx, stamp, models.SettingShopName, "C works"))
		same(t, "setting", must(s.Setting(ctx, models.SettingShopName)), "C works")

		form := models.ProductForm{Wheel: &models.WheelForm{Rim: "r", Motor: "m", Holes: 28, Crossing: 1, SpokeType: "2.0", SideA: "cable side", SideB: "disc side", DishTarget: "-0.50",
			DishReference: models.DishFace, DishNominal: "58.0", RimMaxTension: "1150", ExpectedRatio: "1.52", Geometry: &models.WheelGeometry{RimRadius: "278", FlangeRadiusA: "74.5"}}}
		wheel := h.Item[models.KindWheel]
		product := models.Product{ID: models.NewID(), FamilyID: *wheel.FamilyID, Name: "second", Revision: 1, CreatedAt: moment, CreatedBy: h.Owner.PersonID}
		revision := models.ProductRevision{ProductID: product.ID, Revision: 1, Form: form, Reason: "first", CreatedAt: moment, CreatedBy: h.Owner.PersonID}
		h.Must(s.AddProduct(ctx, stamp, product, revision))
		same(t, "product", must(s.Product(ctx, product.ID)), product)
		same(t, "product revision", must(s.ProductForm(ctx, product.ID)), revision)
		family := must(s.Family(ctx, *wheel.FamilyID))
		same(t, "family's kind", family.Kind, models.KindWheel)

		first := must(s.SpecificationInForce(ctx, family.ID, nil))
		spec := models.Specification{ID: models.NewID(), FamilyID: family.ID, ProductID: &product.ID, Revision: 1, Grade: "own", Rule: "guarded", GuardFactor: "0.83", AppliesToStock: true,
			Characteristics: first.Characteristics, Reason: "tighter", CreatedAt: moment, CreatedBy: h.Owner.PersonID}
		h.Must(s.AddSpecification(ctx, stamp, spec))
		same(t, "specification", must(s.SpecificationInForce(ctx, family.ID, &product.ID)), spec)

		lot := models.Lot{ID: models.NewID(), Code: "SP-1", Material: "spokes", Description: "2.0", Supplier: "s", SupplierCode: "x1", DateCode: "3101", Quantity: 500, ReceivedAt: moment, ReceivedBy: h.Owner.PersonID}
		h.Must(s.AddLot(ctx, stamp, lot))
		same(t, "lot", must(s.LotsByCode(ctx, []string{"SP-1", "none"})), []models.Lot{lot})
		same(t, "one lot", must(s.LotByCode(ctx, "SP-1")), lot)

		gauge := models.Instrument{ID: models.NewID(), Code: "L-9", Kind: "dial", Name: "n", Place: "p", Unit: "mm", RangeLow: "-5", RangeHigh: "5", Resolution: "0.010", Uncertainty: "0.02",
			CalibratedOn: "2030-01-02", DueOn: "2031-01-02", CertificateNumber: "K1", State: models.InstrumentInUse, CreatedAt: moment, CreatedBy: h.Owner.PersonID, ChangedAt: models.Moment(stamp.At)}
		h.Must(s.AddInstrument(ctx, stamp, gauge))
		gauge.State, gauge.DueOn = models.InstrumentOut, "2032-01-02"
		become := func(i *models.Instrument) error { *i = gauge; return nil }
		same(t, "instrument as changed", must(s.ChangeInstrument(ctx, stamp, gauge.ID, become)), gauge)
		same(t, "instrument", must(s.InstrumentsByCode(ctx, []string{"L-9"})), []models.Instrument{gauge})
		gauge.Place = "q" // A move is no calibration.
		same(t, "instrument as moved", must(s.ChangeInstrument(ctx, stamp, gauge.ID, become)), gauge)
		calibrated := models.Calibration{InstrumentID: gauge.ID, N: 1, CalibratedOn: "2030-01-02", DueOn: "2031-01-02", CertificateNumber: "K1", EnteredAt: moment, EnteredBy: h.Owner.PersonID}
		later := calibrated
		later.N, later.DueOn = 2, "2032-01-02"
		same(t, "calibrations", must(s.CalibrationsOf(ctx, []string{gauge.ID})), []models.Calibration{calibrated, later})
		gauge.OutNote = "only to Ω"
		must(s.ChangeInstrument(ctx, models.NewStamp(h.Owner, moment.Add(time.Hour)), gauge.ID, become))
		inUse := models.InstrumentState{InstrumentID: gauge.ID, N: 1, State: models.InstrumentInUse, Since: moment, EnteredAt: moment, EnteredBy: h.Owner.PersonID}
		out, allowed := inUse, inUse
		out.N, out.State = 2, models.InstrumentOut
		allowed.N, allowed.State, allowed.OutNote, allowed.Since, allowed.EnteredAt = 3, models.InstrumentOut, "only to Ω", moment.Add(time.Hour), moment.Add(time.Hour)
		same(t, "its states", must(s.HowGaugesStood(ctx, []string{gauge.ID}, moment)).States, []models.InstrumentState{inUse, out, allowed})
		same(t, "how it stood", must(s.HowGaugesStood(ctx, []string{gauge.ID, models.NewID()}, moment)), models.GaugesStood{Calibrations: []models.Calibration{calibrated, later}, States: []models.InstrumentState{inUse, out, allowed}})
		table := models.GaugeTable{InstrumentID: gauge.ID, SpokeType: "2.3 mm plain, Ω", Points: []models.GaugePoint{{Reading: "12", Tension: "420"}, {Reading: "20.50", Tension: "1000"}}, Reason: "hung weights"}
		one, two := must(s.AddGaugeTable(ctx, stamp, table)), must(s.AddGaugeTable(ctx, stamp, table))
		other := table
		other.SpokeType = "1.8 mm"
		third := must(s.AddGaugeTable(ctx, stamp, other))
		table.EnteredAt, table.EnteredBy, table.N = moment, h.Owner.PersonID, 1
		same(t, "gauge table", one, table)
		same(t, "gauge tables", must(s.GaugeTables(ctx, []string{gauge.ID})), []models.GaugeTable{third, two, one})

		motor := models.Item{ID: models.NewID(), Kind: models.KindMotor, Supplier: "o", Model: "h", MakerNumber: pointer("H-1"), State: models.StateInProcess, Origin: "received", CreatedAt: moment, CreatedBy: h.Owner.PersonID}
		must(s.AddItem(ctx, stamp, motor, nil))
		same(t, "motor", must(s.ItemsByMakerNumber(ctx, "H-1", 5)), []models.Item{motor})
		built := must(s.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindWheel, FamilyID: &family.ID, ProductID: &product.ID, Origin: "made"}, "W", 31,
			[]models.FittedPart{{Role: "motor", PartID: &motor.ID, Quantity: 1}, {Role: "spokes_a", Place: "A", LotID: &lot.ID, Quantity: 14}}))
		same(t, "item", must(s.ItemBySerial(ctx, *built.Serial)), built)
		parts := must(s.Parts(ctx, built.ID))
		if len(parts) != 2 || parts[0].Number != "H-1" || parts[1].LotCode != "SP-1" || parts[1].Quantity != 14 {
			t.Errorf("parts read back as %+v", parts)
		}
		same(t, "where the motor went", must(s.FittedInto(ctx, motor.ID))[0].ItemID, built.ID)

		gone := models.PartRemoval{ID: models.NewID(), FittedID: parts[1].ID, ItemID: built.ID, Quantity: 4, Code: "broken", Reason: "at the elbow", Fate: models.FateScrap, RemovedAt: moment, RemovedBy: h.Owner.PersonID}
		swap := models.PartRemoval{ID: models.NewID(), FittedID: parts[0].ID, ItemID: built.ID, Quantity: 1, Code: "upgrade", Fate: models.FateSupplier, RemovedAt: moment.Add(time.Second), RemovedBy: h.Owner.PersonID}
		h.Must(s.ChangeParts(ctx, stamp, built.ID, []models.PartRemoval{gone, swap}, []models.FittedPart{{Role: "spokes_a", Place: "A", LotID: &lot.ID, Quantity: 4, Reason: "from the drawer"}}))
		same(t, "removals", must(s.RemovalsOf(ctx, built.ID)), []models.PartRemoval{gone, swap})
		parts = must(s.Parts(ctx, built.ID))
		if len(parts) != 3 || parts[0].OutAt == nil || !parts[0].OutAt.Equal(swap.RemovedAt) || parts[1].Left() != 10 || parts[1].OutAt != nil || parts[2].Reason != "from the drawer" || parts[2].Left() != 4 {
			t.Errorf("parts after the change: %+v", parts)
		}
		same(t, "state of a motor sent back", must(s.Item(ctx, motor.ID)).State, models.StateReturned)
		same(t, "used of the lot", must(s.LotTotals(ctx, []string{lot.ID}))[lot.ID].BuiltIn, 18)

		older := models.Item{ID: models.NewID(), Kind: models.KindWheel, MakerNumber: pointer("R-118"), FamilyID: &family.ID, ProductID: &product.ID, State: models.StateInProcess, Origin: "made", BuiltOn: "2024-03-05", CreatedAt: moment, CreatedBy: h.Owner.PersonID}
		h.Must(s.AddListedItems(ctx, stamp, 31, []models.Item{older}))
		kept := must(s.Item(ctx, older.ID))
		older.Serial, older.SerialTail = kept.Serial, kept.SerialTail
		same(t, "item that is older than the log", kept, older)
		same(t, "the same by the end of its serial", must(s.ItemsByTail(ctx, *kept.SerialTail, 9)), []models.Item{older})
		same(t, "the same placed", must(s.Place(ctx, *kept.Serial, nil)).Item, older)
		same(t, "the same traced", must(s.SourcesOf(ctx, older.ID)).Items, []models.Item{older})
		if *kept.SerialTail != (*kept.Serial)[4:] {
			t.Errorf("serial %s is found by %s", *kept.Serial, *kept.SerialTail)
		}

		roll := must(s.AddRoll(ctx, stamp, models.SerialRoll{Letter: "W", Year: 31, First: 1, Last: 20, ProductID: &product.ID}))
		same(t, "roll", must(s.RollFor(ctx, "W", 31, roll.First+19)), roll)
		if _, err := s.RollFor(ctx, "W", 31, roll.Last+1); err == nil {
			t.Error("a counter behind the roll was found on it")
		}
		readBackStudies(t, h, stamp)
		readBackReviews(t, h, stamp)
		readBackWork(t, h, stamp)
		readBackGauges(t, h, stamp)
		readBackBackups(t, h, stamp) // the last: counters move on
	})
}

func must[T any](x T, err error) T {
	if err != nil {
		panic(err)
	}
	return x
}
