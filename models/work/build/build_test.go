package build_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/build"
	"tracewright/models/work/worktest"
)

func step(s build.Sheet, code string) build.Step {
	for _, x := range s.Steps {
		if x.Code == code {
			return x
		}
	}
	return build.Step{}
}

func must[T any](t *testing.T) func(T, error) T {
	return func(x T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
}

// Steps are ticked in any order; what is taken back stays as history.
func TestStepsOfAPack(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx, pack := build.New(h.Store, h.Clock), t.Context(), h.Serial[models.KindPack]
		sheet := must[build.Sheet](t)(s.Sheet(ctx, pack))
		if len(sheet.Steps) != 6 || sheet.List != 0 || sheet.Rest.Charge != nil {
			t.Fatalf("%+v", sheet)
		}
		must[build.Sheet](t)(s.Tick(ctx, h.Operator, pack, build.NewTick{Step: "wrapped", Done: true}))
		must[build.Sheet](t)(s.Tick(ctx, h.Operator, pack, build.NewTick{Step: "joined", Done: true}))
		must[build.Sheet](t)(s.Tick(ctx, h.Operator, pack, build.NewTick{Step: "joined", Done: true})) // The same again.
		h.Now = h.Now.Add(time.Minute)
		sheet = must[build.Sheet](t)(s.Tick(ctx, h.Owner, pack, build.NewTick{Step: "wrapped"}))
		if x := step(sheet, "joined"); !x.Done || x.Person != h.Operator.Name {
			t.Errorf("joined: %+v", x)
		}
		if step(sheet, "wrapped").Done || len(sheet.History) != 3 || sheet.History[2].Person != h.Owner.Name || sheet.History[2].Done {
			t.Errorf("taken back: %+v", sheet.History)
		}
		if _, err := s.Tick(ctx, h.Operator, pack, build.NewTick{Step: "polished", Done: true}); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a step of no list: %v", err)
		}
		_, err := s.Tick(ctx, h.Operator, pack, build.NewTick{Step: "soldered", Done: true, At: h.Now.AddDate(-1, 0, 0)})
		worktest.WantProblems(t, err, "at: before_item")
		_, err = s.Tick(ctx, h.Operator, pack, build.NewTick{Step: "soldered", Done: true, At: h.Now.Add(time.Hour)})
		worktest.WantProblems(t, err, "at: ahead_of_clock")
		var invalid *models.InvalidError
		if _, err := s.Sheet(ctx, h.Serial[models.KindWheel]); !errors.As(err, &invalid) {
			t.Errorf("a wheel is built so: %v", err)
		}

		family := *h.Item[models.KindPack].FamilyID
		list := must[models.BuildList](t)(s.Revise(ctx, h.Owner, family, 0, []string{"Blocks joined in their order", " Heat-shrunk  twice ", ""}, "as we build"))
		if list.N != 1 || list.Steps[0].Code != "joined" || list.Steps[1] != (models.BuildStep{Code: "heat_shrunk_twice", Words: "Heat-shrunk twice"}) {
			t.Errorf("%+v", list)
		}
		sheet = must[build.Sheet](t)(s.Sheet(ctx, pack))
		if len(sheet.Steps) != 2 || !step(sheet, "joined").Done || len(sheet.History) != 3 {
			t.Errorf("after the list was changed: %+v", sheet)
		}
		for _, reason := range []string{"r", ""} {
			if _, err := s.Revise(ctx, h.Owner, family, 0, []string{"a"}, reason); !errors.Is(err, models.ErrStale) {
				t.Errorf("over a list that nobody saw, for %q: %v", reason, err)
			}
		}
		for name, words := range map[string][]string{"no step": {" "}, "a step twice": {"Labelled", "labelled"}, "a page": {strings.Repeat("x", 81)}} {
			if _, err := s.Revise(ctx, h.Owner, family, 1, words, "r"); !errors.As(err, &invalid) {
				t.Errorf("%s: %v", name, err)
			}
		}
		if _, err := s.Revise(ctx, h.Owner, *h.Item[models.KindWheel].FamilyID, 0, []string{"a"}, "r"); !errors.As(err, &invalid) {
			t.Errorf("steps of wheels: %v", err)
		}
	})
}

// Rest counts from the end of the newest charge: provisional from 4 h, open
// after what the product asks for.
func TestRestAfterACharge(t *testing.T) {
	h := worktest.New(t)
	s, ctx, pack := build.New(h.Store, h.Clock), t.Context(), h.Item[models.KindPack]
	stamp := models.NewStamp(h.Operator, h.Now)
	charge, err := h.Store.AddCharge(ctx, stamp, models.Charge{ItemID: pack.ID, Kind: models.ChargeFirst})
	h.Must(err)
	if r := must[build.Sheet](t)(s.Sheet(ctx, pack.ID)).Rest; r.Charge == nil || !r.Opens.IsZero() {
		t.Errorf("on the charger: %+v", r)
	}
	h.Must(h.Store.EndCharge(ctx, stamp, models.ChargeEnd{ChargeID: charge.ID, EndedAt: h.Now.Add(time.Hour)}))
	r := must[build.Sheet](t)(s.Sheet(ctx, pack.ID)).Rest
	if !r.Provisional.Equal(h.Now.Add(5*time.Hour)) || !r.Opens.Equal(h.Now.Add(25*time.Hour)) || r.Hours != 24 {
		t.Errorf("at rest: %+v", r)
	}
}

// A tick that a tablet kept without the network comes late: it stands at its own
// moment, sent twice it is one, and what was done since is not undone by it.
func TestATickComesLate(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx, pack := build.New(h.Store, h.Clock), t.Context(), h.Serial[models.KindPack]
		at := h.Now.Add(-40 * time.Minute)
		late := build.NewTick{Step: "joined", Done: true, At: at}
		must[build.Sheet](t)(s.Tick(ctx, h.Operator, pack, late))
		sheet := must[build.Sheet](t)(s.Tick(ctx, h.Operator, pack, late))
		if x := step(sheet, "joined"); !x.Done || !x.At.Equal(models.Moment(at)) || len(sheet.History) != 1 {
			t.Errorf("%+v, history %+v", x, sheet.History)
		}
		must[build.Sheet](t)(s.Tick(ctx, h.Owner, pack, build.NewTick{Step: "joined"})) // Taken back now.
		must[build.Sheet](t)(s.Tick(ctx, h.Operator, pack, build.NewTick{Step: "joined", At: at.Add(time.Minute)}))
		sheet = must[build.Sheet](t)(s.Tick(ctx, h.Operator, pack, build.NewTick{Step: "joined", Done: true, At: at.Add(2 * time.Minute)}))
		if step(sheet, "joined").Done || len(sheet.History) != 4 {
			t.Errorf("what came late stands over what was done since: %+v", sheet.History)
		}
		var invalid *models.InvalidError
		if _, err := s.Tick(ctx, h.Operator, pack, build.NewTick{Step: "wrapped", Done: true, At: h.Now.Add(time.Hour)}); !errors.As(err, &invalid) {
			t.Errorf("an hour ahead: %v", err)
		}
	})
}

// Cautions stand at the work where they are needed; the maker's sheet comes
// last, in every pack.
func TestCautionsOfAPack(t *testing.T) {
	for _, row := range []struct {
		name string
		form models.PackForm
		at   map[string]string
		not  []string
	}{
		{"lead-acid, 48 V", models.PackForm{Chemistry: "agm", Strings: 1}, map[string]string{"short_circuit": build.AtJoining, "hydrogen": build.AtCharging, "acid": build.AllAlong}, []string{"lithium_fire", "strings_alike", "above_60_v"}},
		{"lithium, two strings", models.PackForm{Chemistry: "li_ion", Strings: 2}, map[string]string{"lithium_fire": build.AllAlong, "strings_alike": build.AtJoining, "right_charger": build.AtCharging}, []string{"hydrogen", "acid"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := map[string]string{}
			all := build.Sheet{Form: &row.form}.Cautions()
			for _, c := range all {
				got[c.Code] = c.At
			}
			for code, at := range row.at {
				if found, ok := got[code]; !ok || found != at {
					t.Errorf("%s at %q, there %v", code, found, ok)
				}
			}
			for _, code := range row.not {
				if _, ok := got[code]; ok {
					t.Errorf("%s is told", code)
				}
			}
			if all[len(all)-1].Code != "makers_data_first" {
				t.Errorf("last is %s", all[len(all)-1].Code)
			}
		})
	}
	if all := (build.Sheet{AboveShock: true}).Cautions(); all[len(all)-2].Code != "above_60_v" {
		t.Errorf("above 60 V: %+v", all)
	}
}

// A printed label that is no item yet shows the steps that its pack will have.
func TestTheSheetOfALabel(t *testing.T) {
	h := worktest.New(t)
	s, ctx := build.New(h.Store, h.Clock), t.Context()
	product, err := h.Store.Product(ctx, *h.Item[models.KindPack].ProductID)
	h.Must(err)
	sheet := must[build.Sheet](t)(s.SheetOfLabel(ctx, product))
	if len(sheet.Steps) != 6 || sheet.Rest.Hours != 24 || sheet.Rest.Charge != nil || sheet.Join != (build.Join{}) {
		t.Errorf("%+v", sheet)
	}
	twoStrings(t, h)
	if sheet = must[build.Sheet](t)(s.SheetOfLabel(ctx, product)); len(sheet.Steps) != 8 || sheet.Join.Apart != "0.15" {
		t.Errorf("two strings of 18 cells: %d steps, limit %q, want 8 and 0.15", len(sheet.Steps), sheet.Join.Apart)
	}
}
