package build_test

import (
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/build"
	"tracewright/models/work/worktest"
)

// twoStrings makes the shop's pack one of two strings of three 12 V blocks: 18
// cells in series may differ by 150 mV, 50 for each 12 V, and stand between 3 x
// 11.80 V of scrap and 3 x 13.08 V of surface charge (common practice).
func twoStrings(t *testing.T, h *worktest.Shop) {
	t.Helper()
	id := *h.Item[models.KindPack].ProductID
	form, err := h.Store.ProductForm(t.Context(), id)
	h.Must(err)
	p := *form.Form.Pack
	p.Strings, p.CapacityAh = 2, "12"
	h.Must(h.Store.AddProductRevision(t.Context(), models.NewStamp(h.Owner, h.Now), models.ProductRevision{ProductID: id, Revision: form.Revision + 1, Form: models.ProductForm{Pack: &p}, Reason: "two strings"}))
}

func TestStringsThatDifferAreNotJoined(t *testing.T) {
	h := worktest.New(t)
	twoStrings(t, h)
	s, ctx, pack := build.New(h.Store, h.Clock), t.Context(), h.Serial[models.KindPack]
	if sheet := must[build.Sheet](t)(s.Sheet(ctx, pack)); len(sheet.Steps) != 8 || sheet.AboveShock {
		t.Fatalf("%+v", sheet)
	}
	for _, row := range []struct {
		name, code string
		volts      []string
	}{
		{"0.3 V apart", "strings_differ", []string{"38.60", "38.90"}},
		{"one step over the limit", "strings_differ", []string{"38.600", "38.751"}},
		{"one reversed", "string_reversed", []string{"38.60", "-38.60"}},
		{"nothing there", "string_too_low", []string{"0", "0"}},
		{"alike, of one block", "string_too_low", []string{"12.87", "12.87"}},
		{"below scrap by a millivolt", "string_too_low", []string{"35.399", "35.45"}},
		{"alike, with a charge on their plates", "string_too_high", []string{"39.241", "39.20"}},
		{"alike, in another unit", "string_too_high", []string{"38600", "38600"}},
		{"one missing", "string_volts_count", []string{"38.60"}},
		{"a word", "not_a_number", []string{"38.60", "same"}},
	} {
		_, err := s.Tick(ctx, h.Operator, pack, build.NewTick{Step: build.StringsJoined, Done: true, Volts: row.volts})
		var refused *models.RefusedError
		var invalid *models.InvalidError
		switch {
		case errors.As(err, &refused) && refused.Reasons[0].Code == row.code:
			if refused.Reasons[0].Values["limit"] != "0.15 V" {
				t.Errorf("%s: %+v", row.name, refused.Reasons[0])
			}
		case errors.As(err, &invalid) && invalid.Problems[0].Code == row.code:
		default:
			t.Errorf("%s: %v", row.name, err)
		}
	}
	sheet := must[build.Sheet](t)(s.Tick(ctx, h.Operator, pack, build.NewTick{Step: build.StringsJoined, Done: true, Volts: []string{"38,60", "38.750"}}))
	if x := step(sheet, build.StringsJoined); !x.Done || len(x.Volts) != 2 || x.Volts[1] != "38.750" {
		t.Errorf("at the limit: %+v", x)
	}

	join := func(volts ...string) error {
		h.Now = h.Now.Add(time.Minute)
		_, err := s.Tick(ctx, h.Operator, pack, build.NewTick{Step: build.StringsJoined, Done: true, Volts: volts})
		return err
	}
	if err := join("38.6", "38.75"); err != nil {
		t.Errorf("the same again: %v", err)
	}
	wantRefused(t, "other voltages while joined", join("38.70", "38.71"), "strings_joined_already")
	must[build.Sheet](t)(s.Tick(ctx, h.Operator, pack, build.NewTick{Step: build.StringsJoined}))
	if err := join("38.70", "38.71"); err != nil {
		t.Errorf("taken back and measured again: %v", err)
	}
}

func wantRefused(t *testing.T, name string, err error, code string) {
	t.Helper()
	var refused *models.RefusedError
	if !errors.As(err, &refused) || refused.Reasons[0].Code != code {
		t.Errorf("%s: %v, want %s", name, err, code)
	}
}

// Strings are joined off the charger and after 24 h of rest; a tick that comes
// late is weighed by its own moment.
func TestStringsAreJoinedAtRest(t *testing.T) {
	h := worktest.New(t)
	twoStrings(t, h)
	s, ctx, pack := build.New(h.Store, h.Clock), t.Context(), h.Item[models.KindPack]
	join := func(at time.Time) error {
		_, err := s.Tick(ctx, h.Operator, pack.ID, build.NewTick{Step: build.StringsJoined, Done: true, Volts: []string{"38.60", "38.70"}, At: at})
		return err
	}
	stamp, began := models.NewStamp(h.Operator, h.Now), h.Now
	charge, err := h.Store.AddCharge(ctx, stamp, models.Charge{ItemID: pack.ID, Kind: models.ChargeFirst, StartedAt: began})
	h.Must(err)
	h.Now = began.Add(2 * time.Hour)
	wantRefused(t, "on the charger", join(time.Time{}), "joined_on_charger")
	h.Must(h.Store.EndCharge(ctx, stamp, models.ChargeEnd{ChargeID: charge.ID, EndedAt: began.Add(time.Hour)}))
	wantRefused(t, "an hour later", join(time.Time{}), "joined_before_rest")
	h.Now = began.Add(25*time.Hour - time.Second)
	wantRefused(t, "a second short of 24 h", join(time.Time{}), "joined_before_rest")
	wantRefused(t, "kept on a tablet while it was charged", join(began.Add(time.Minute)), "joined_on_charger")
	h.Now = began.Add(25 * time.Hour)
	if err := join(time.Time{}); err != nil {
		t.Errorf("after 24 h: %v", err)
	}
}
