package store_test

import (
	"io/fs"
	"strings"
	"testing"
	"time"

	"tracewright/migrations"
	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// The migration says of the wheels that are there already what the program
// says of every new one.
func TestOldWheelsGetTheirRoundsAndMinutes(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		h := worktest.On(t, s)
		record := func(item models.Item, from, minutes time.Duration, lateral string) models.Submission {
			t.Helper()
			sub := h.Extremes()
			sub.Serial = *item.Serial
			sub.StartedAt = h.Now.Add((from - 400) * time.Minute)
			sub.FinishedAt = sub.StartedAt.Add(minutes*time.Minute + 30*time.Second) // A half minute counts as a whole one.
			sub.Sets[0].Values = []string{lateral, "-0.05"}
			h.MustRecord(sub)
			return sub
		}
		at := h.AnotherWheel()
		record(at, 0, 6, "0.12")
		two := h.AnotherWheel()
		record(two, 0, 6, "0.60")
		record(two, 20, 8, "0.10")
		record(two, 40, 8, "0.09")
		long := h.AnotherWheel()
		record(long, 0, 6, "0.60")
		record(long, 30, 5, "0.50")
		record(long, 200, 4, "0.10")
		never := h.AnotherWheel()
		record(never, 0, 6, "0.60")
		open := h.AnotherWheel()
		record(open, 0, 300, "0.60") // The form lay there for five hours.
		record(open, 330, 5, "0.10")
		replaced := h.AnotherWheel()
		wrong := record(replaced, 0, 6, "0.12")
		wrong.Corrects, wrong.Reason, wrong.ID = wrong.ID, "misread", models.NewID()
		h.MustRecord(wrong)

		derived := func() map[string][2]int {
			t.Helper()
			found := map[string][2]int{}
			for _, item := range []models.Item{at, two, long, never, open, replaced} {
				list, err := s.InspectionsOf(t.Context(), item.ID)
				h.Must(err)
				for _, i := range list {
					if i.PassRounds != 0 || i.PassMinutes != 0 {
						found[i.ID] = [2]int{i.PassRounds, i.PassMinutes}
					}
				}
			}
			return found
		}
		want := derived()
		if len(want) != 5 {
			t.Fatalf("%d wheels passed, want 5: %v", len(want), want)
		}
		h.Must(exec(t, dsn, "UPDATE inspections SET pass_rounds = 0, pass_minutes = 0"))
		if left := derived(); len(left) != 0 {
			t.Fatalf("still there: %v", left)
		}
		h.Must(exec(t, dsn, backfill(t, dsn)))
		same(t, "rounds and minutes", derived(), want)
	})
}

// The register of suppliers begins with those that lots name, each once, from the
// day of its first lot.
func TestOldSuppliersAreInTheRegister(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		stamp := models.NewStamp(models.Actor{}, moment)
		for i, name := range []string{"Orlo", "Drahtwerk Anselm", "Orlo", ""} {
			if err := s.AddLot(t.Context(), stamp, models.Lot{ID: models.NewID(), Code: string(rune('A' + i)), Material: "spokes", Supplier: name, ReceivedAt: moment.AddDate(0, 0, -i)}); err != nil {
				t.Fatal(err)
			}
		}
		must(0, exec(t, dsn, "DELETE FROM suppliers"))
		must(0, exec(t, dsn, statement(t, dsn, "0015_goods_in.sql", "INSERT INTO suppliers", ";")))
		same(t, "suppliers", must(s.Suppliers(t.Context())), []models.Supplier{{Name: "Drahtwerk Anselm", AddedAt: moment.AddDate(0, 0, -1), AddedBy: "system"}, {Name: "Orlo", AddedAt: moment.AddDate(0, 0, -2), AddedBy: "system"}})
	})
}

// Of a gauge that is there already its present state is known, from the last change of
// its entry on; whatever else was said since is not about it.
func TestOldInstrumentsStandAsTheyDo(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		by, changed := models.Actor{PersonID: models.NewID()}, moment.Add(time.Hour)
		touched := models.Instrument{ID: models.NewID(), Code: "A", Kind: "dial", Name: "a", Unit: "mm", State: models.InstrumentInUse}
		untouched := models.Instrument{ID: models.NewID(), Code: "B", Kind: "dial", Name: "b", Unit: "mm", State: models.InstrumentRetired, CreatedAt: moment, CreatedBy: by.PersonID}
		for _, i := range []models.Instrument{touched, untouched} {
			must(0, s.AddInstrument(t.Context(), models.NewStamp(by, moment), i))
		}
		must(s.ChangeInstrument(t.Context(), models.NewStamp(by, changed), touched.ID, func(i *models.Instrument) error {
			i.State, i.OutNote = models.InstrumentOut, "to sort"
			return nil
		}))
		must(0, s.SetSetting(t.Context(), models.NewStamp(by, changed.Add(time.Hour)), models.SettingBlockOverdue, "yes"))
		must(0, exec(t, dsn, "DELETE FROM instrument_states"))
		must(0, exec(t, dsn, "DELETE FROM trail_entries WHERE subject = '"+untouched.ID+"'"))
		must(0, exec(t, dsn, statement(t, dsn, "0054_instrument_states.sql", "INSERT INTO instrument_states", ";")))
		same(t, "states", must(s.HowGaugesStood(t.Context(), []string{touched.ID, untouched.ID}, moment)).States, []models.InstrumentState{
			{InstrumentID: touched.ID, N: 1, State: models.InstrumentOut, OutNote: "to sort", Since: changed, EnteredAt: changed, EnteredBy: by.PersonID},
			{InstrumentID: untouched.ID, N: 1, State: models.InstrumentRetired, Since: moment, EnteredAt: moment, EnteredBy: by.PersonID}})
	})
}

// A calibration that is there already was entered with what it found, or noted.
func TestOldCalibrationsAreKnownByTheirReports(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s, stamp := storetest.Open(t, dsn), models.NewStamp(models.Actor{}, moment)
		gauge := models.Instrument{ID: models.NewID(), Code: "A", Kind: "dial", Name: "a", Unit: "mm", State: models.InstrumentInUse, CalibratedOn: "2031-01-02"}
		must(0, s.AddInstrument(t.Context(), stamp, gauge))
		must(s.AddCalibrationReport(t.Context(), stamp, models.Calibration{CalibratedOn: "2031-02-02"}, models.CalibrationReport{InstrumentID: gauge.ID, MadeAt: moment}, func(*models.Instrument, time.Time) {}))
		must(0, exec(t, dsn, "UPDATE calibrations SET reported = FALSE"))
		must(0, exec(t, dsn, statement(t, dsn, "0055_calibrations_reported.sql", "UPDATE calibrations", ";")))
		var reported []bool
		for _, c := range must(s.CalibrationsOf(t.Context(), []string{gauge.ID})) {
			reported = append(reported, c.Reported)
		}
		same(t, "reported", reported, []bool{false, true})
	})
}

// Nobody guesses which of the devices that are there already read gauges: after a
// restore a tablet has been seen and no browser has taken a turn of it.
func TestOldDevicesStayTablets(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s, stamp := storetest.Open(t, dsn), models.NewStamp(models.Actor{}, moment)
		ids := map[string]string{}
		add := func(name string, at time.Time) {
			ids[name] = models.NewID()
			must(0, s.AddDevice(t.Context(), stamp, models.Device{ID: ids[name], Name: name, Place: "stand 1", KeyHash: name, EnrolledBy: "p", EnrolledAt: at}))
		}
		add("with a turn", moment)
		must(0, s.TurnDevice(t.Context(), ids["with a turn"], func(u *models.DeviceUse) bool { u.TurnHash, u.TurnedAt = "x", moment.Add(time.Hour); return true }))
		add("seen", moment)
		must(s.SeeDevice(t.Context(), models.DeviceSighting{DeviceID: ids["seen"], Agent: "x", Address: "192.0.2.7", SeenAt: moment.Add(time.Hour)}, moment))
		add("younger than turns", moment.Add(2*time.Hour))
		must(0, exec(t, dsn, "ALTER TABLE devices DROP COLUMN program"))
		must(0, exec(t, dsn, statement(t, dsn, "0058_device_programs.sql", "ALTER TABLE devices", "\x00")))
		tablets := 0
		for _, d := range must(s.Devices(t.Context())) {
			if tablets++; d.Program {
				t.Errorf("%s became a gauge's program", d.Name)
			}
		}
		same(t, "tablets", tablets, 3)
	})
}

// backfill is the last statement of the migration.
func backfill(t *testing.T, dsn string) string {
	t.Helper()
	return statement(t, dsn, "0009_turns.sql", "WITH rounds AS", "\x00")
}

// statement is what a migration does about what is there already, from its first
// words to its end.
func statement(t *testing.T, dsn, migration, first, end string) string {
	t.Helper()
	folder := "postgres"
	if strings.HasPrefix(dsn, "sqlite:") {
		folder = "sqlite"
	}
	text, err := fs.ReadFile(migrations.Files, folder+"/"+migration)
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(text), first)
	if !found {
		t.Fatal("the migration has no statement for what is there already")
	}
	rest, _, _ = strings.Cut(rest, end)
	return first + rest
}

// The verdicts that a rule with a guard band gives are let in without touching a
// result that is there: the statements run again leave every one as it was.
func TestOldResultsKeepTheirVerdicts(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		h := worktest.On(t, s)
		out := h.MustRecord(h.EveryHole())
		before := must(s.InspectionView(t.Context(), out.Inspection.ID))
		first := "ALTER TABLE results DROP"
		if strings.HasPrefix(dsn, "sqlite:") {
			first = "CREATE TABLE results_anew"
		}
		h.Must(exec(t, dsn, statement(t, dsn, "0030_gauge_studies.sql", first, "\x00")))
		after := must(s.InspectionView(t.Context(), out.Inspection.ID))
		same(t, "results", after.Results, before.Results)
		h.Must(exec(t, dsn, "UPDATE results SET verdict = 'not_verified' WHERE code = 'dish_abs'"))
		if err := exec(t, dsn, "UPDATE results SET verdict = 'perhaps' WHERE code = 'dish_abs'"); err == nil {
			t.Error("a verdict that nothing gives is let in")
		}
	})
}
