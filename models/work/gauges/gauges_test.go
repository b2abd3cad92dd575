package gauges_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/gauges"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

func dial() models.Instrument {
	return models.Instrument{Code: "L-14", Kind: "dial", Name: "Dial indicator", Place: "stand 1", Unit: "mm", RangeLow: "-5", RangeHigh: "5,0",
		Resolution: ".01", Uncertainty: "0.02", CalibratedOn: "2031-03-02", DueOn: "2032-03-02", CertificateNumber: "K-118"}
}

func TestInstrumentIsChecked(t *testing.T) {
	h := worktest.New(t)
	s := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
	for _, row := range []struct {
		name   string
		change func(*models.Instrument)
		want   []string
	}{
		{"as it is", func(*models.Instrument) {}, nil},
		{"nothing said", func(i *models.Instrument) { *i = models.Instrument{} }, []string{"code: missing", "kind: missing", "name: missing", "unit: missing"}},
		{"only what is needed", func(i *models.Instrument) {
			*i = models.Instrument{Code: "V-9", Kind: "voltmeter", Name: "Bench meter", Unit: "mV"}
		}, nil},
		{"a code with a space", func(i *models.Instrument) { i.Code = "L 14" }, []string{"code: code_form"}},
		{"a code that is taken", func(i *models.Instrument) { i.Code = "D-1" }, []string{"code: taken"}},
		{"a kind nobody uses", func(i *models.Instrument) { i.Kind = "ear" }, []string{"kind: unknown_choice"}},
		{"a unit of something else", func(i *models.Instrument) { i.Unit = "N" }, []string{"unit: unit_not_accepted"}},
		{"inches", func(i *models.Instrument) { i.Code, i.Unit = "L-15", "in" }, nil},
		{"a unit nobody knows", func(i *models.Instrument) { i.Unit = "furlong" }, []string{"unit: unknown_unit"}},
		{"a range turned round", func(i *models.Instrument) { i.RangeLow, i.RangeHigh = "5", "-5" }, []string{"range_low: low_above_high"}},
		{"a resolution of zero", func(i *models.Instrument) { i.Resolution = "0.00" }, []string{"resolution: zero_not_possible"}},
		{"an uncertainty below zero", func(i *models.Instrument) { i.Uncertainty = "-0.02" }, []string{"uncertainty: negative_not_possible"}},
		{"a code that differs from another's only in capitals", func(i *models.Instrument) { i.Code = "t-1" }, []string{"code: taken"}},
		{"calibrated in the year 0", func(i *models.Instrument) { i.CalibratedOn = "0000-01-01" }, []string{"calibrated_on: day_too_early"}},
		{"due before anything was recorded", func(i *models.Instrument) { i.CalibratedOn, i.DueOn = "", "1969-12-31" }, []string{"due_on: day_too_early"}},
		{"a day that is none", func(i *models.Instrument) { i.DueOn = "2031-02-30" }, []string{"due_on: bad_date"}},
		{"due before it was calibrated", func(i *models.Instrument) { i.DueOn = "2031-03-01" }, []string{"due_on: end_before_start"}},
		{"calibrated today", func(i *models.Instrument) { i.Code, i.CalibratedOn = "L-16", "2031-05-12" }, nil},
		{"calibrated tomorrow", func(i *models.Instrument) { i.Code, i.CalibratedOn = "L-17", "2031-05-13" }, []string{"calibrated_on: calibration_in_future"}},
		{"a state nobody knows", func(i *models.Instrument) { i.State = "lost" }, []string{"state: unknown_choice"}},
		{"a name of a page", func(i *models.Instrument) { i.Name = strings.Repeat("n", 81) }, []string{"name: too_long"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			in := dial()
			row.change(&in)
			_, err := s.Add(t.Context(), h.Owner, in)
			worktest.WantProblems(t, err, row.want...)
		})
	}
}

// The due day itself is still in date, and the day is the shop's: at 23:30 UTC
// it is tomorrow in Helsinki.
func TestStanding(t *testing.T) {
	helsinki, err := time.LoadLocation("Europe/Helsinki")
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2031, 5, 12, 23, 30, 0, 0, time.UTC)
	for _, row := range []struct {
		name, due, state string
		zone             *time.Location
		want             gauges.Standing
	}{
		{"long to go", "2031-12-01", models.InstrumentInUse, time.UTC, gauges.InDate},
		{"fifteen days to go", "2031-05-27", models.InstrumentInUse, time.UTC, gauges.InDate},
		{"fourteen days to go", "2031-05-26", models.InstrumentInUse, time.UTC, gauges.DueSoon},
		{"due today", "2031-05-12", models.InstrumentInUse, time.UTC, gauges.DueSoon},
		{"due today, and it is tomorrow here", "2031-05-12", models.InstrumentInUse, helsinki, gauges.Overdue},
		{"due yesterday", "2031-05-11", models.InstrumentInUse, time.UTC, gauges.Overdue},
		{"nobody said when", "", models.InstrumentInUse, time.UTC, gauges.NoDate},
		{"out of use is out, due or not", "2031-05-11", models.InstrumentOut, time.UTC, gauges.Out},
		{"retired", "2031-05-11", models.InstrumentRetired, time.UTC, gauges.Retired},
	} {
		t.Run(row.name, func(t *testing.T) {
			h := worktest.New(t)
			s := gauges.New(h.Store, h.Capture, func() time.Time { return now }, zoneOf(row.zone))
			in := dial()
			in.CalibratedOn, in.DueOn, in.State = "", row.due, row.state
			got, err := s.Add(t.Context(), h.Owner, in)
			if err != nil {
				t.Fatal(err)
			}
			if got.Standing != row.want {
				t.Errorf("due %q, %s, at %v: %s, want %s", row.due, row.state, now.In(row.zone), got.Standing, row.want)
			}
		})
	}
}

func TestUpdateKeepsCodeAndKind(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		ctx := t.Context()
		added, err := s.Add(ctx, h.Owner, dial())
		h.Must(err)
		if i := added.Instrument; i.Resolution != "0.01" || i.RangeHigh != "5.0" || i.State != models.InstrumentInUse {
			t.Errorf("stored %+v", i)
		}
		change := dial()
		change.Code, change.Kind, change.State = "", "", models.InstrumentOut
		opened, err := s.Instrument(ctx, "L-14")
		h.Must(err)
		from, err := models.Digest(opened.Instrument)
		h.Must(err)
		_, err = s.Update(ctx, h.Owner, "L-14", from, change)
		h.Must(err)
		read, err := s.Instrument(ctx, "L-14")
		h.Must(err)
		if read.Standing != gauges.Out || read.Instrument.ID != added.Instrument.ID || !read.Instrument.CreatedAt.Equal(added.Instrument.CreatedAt) {
			t.Errorf("read %+v", read)
		}
		change.Code, change.Kind = "L-15", "voltmeter"
		for _, older := range []string{from, ""} {
			if _, err := s.Update(ctx, h.Owner, "L-14", older, change); !errors.Is(err, models.ErrStale) {
				t.Errorf("made on %q: %v, want that it was changed meanwhile", older, err)
			}
		}
		from, err = models.Digest(read.Instrument)
		h.Must(err)
		_, err = s.Update(ctx, h.Owner, "L-14", from, change)
		worktest.WantProblems(t, err, "code: never_changes", "kind: never_changes", "unit: unit_not_accepted")
		if _, err := s.Update(ctx, h.Owner, "L-99", from, dial()); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("an unknown code: %v", err)
		}
		entries, err := h.Store.TrailOf(ctx, []string{added.Instrument.ID}, 10)
		h.Must(err)
		if len(entries) != 2 {
			t.Errorf("%d entries in the trail, want one for adding and one for the change", len(entries))
		}
	})
}

// A day of a calibration that lies ahead is not noted; one that stands there already keeps
// nobody from changing the rest.
func TestACalibrationIsNotNotedAhead(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		note := func(day, place string) error {
			v, err := s.Instrument(t.Context(), "D-1")
			h.Must(err)
			from, err := models.Digest(v.Instrument)
			h.Must(err)
			v.Instrument.CalibratedOn, v.Instrument.DueOn, v.Instrument.Place = day, "", place
			_, err = s.Update(t.Context(), h.Owner, "D-1", from, v.Instrument)
			return err
		}
		worktest.WantProblems(t, note("2031-05-13", "stand 1"), "calibrated_on: calibration_in_future")
		h.Now = h.Now.AddDate(0, 0, 1)
		h.Must(note("2031-05-13", "stand 1"))
		h.Now = h.Now.AddDate(0, 0, -1)
		h.Must(note("2031-05-13", "stand 2"))
	})
}

func zoneOf(zone *time.Location) func(context.Context) *time.Location {
	return func(context.Context) *time.Location { return zone }
}
