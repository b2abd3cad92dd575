package specify_test

import (
	"errors"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/models/work/worktest"
)

func goodWheel() *models.WheelForm {
	return &models.WheelForm{Rim: "R26 double wall", Motor: "Norvik R9", Holes: 36, Crossing: 1, SideA: "cable side", SideB: "disc side",
		DishTarget: "-1,5", DishReference: models.DishShoulders, RimMaxTension: "1200", ExpectedRatio: "1.25",
		Geometry: &models.WheelGeometry{RimRadius: "273.5", NippleInset: "8", FlangeRadiusA: "104", FlangeRadiusB: "104", FlangeOffsetA: "17", FlangeOffsetB: "26", SpokeDiameter: "2.6"}}
}

func goodPack() *models.PackForm {
	return &models.PackForm{BlockModel: "Halden 12-20", Chemistry: "agm", Cells: 6, CapacityAh: "20", Rate: "C20", Strings: 1, Blocks: 4, NominalV: "48",
		ResistanceMethod: models.ResistanceAC, ResistanceLow: "8", ResistanceHigh: "20", MinRestHours: "24"}
}

// Each row changes one thing of a good form and names what must be said of it.
func TestWheelFormIsChecked(t *testing.T) {
	rows := []struct {
		name   string
		change func(*models.WheelForm)
		want   []string
	}{
		{"as it is", func(*models.WheelForm) {}, nil},
		{"eleven holes", func(w *models.WheelForm) { w.Holes, w.Crossing = 11, 0 }, []string{"form.wheel.holes: too_small", "form.wheel.holes: must_be_even"}},
		{"twelve holes", func(w *models.WheelForm) { w.Holes = 12 }, nil},
		{"thirty-five holes", func(w *models.WheelForm) { w.Holes = 35 }, []string{"form.wheel.holes: must_be_even"}},
		{"seventy-two holes", func(w *models.WheelForm) { w.Holes = 72 }, nil},
		{"seventy-four holes", func(w *models.WheelForm) { w.Holes = 74 }, []string{"form.wheel.holes: too_big"}},
		// psi = 4 pi X/N passes a right angle beyond X = N/8 (geometry): 4.5 for
		// 36 holes, 4 exactly for 32.
		{"four crosses of 36", func(w *models.WheelForm) { w.Crossing = 4 }, nil},
		{"five crosses of 36", func(w *models.WheelForm) { w.Crossing = 5 }, []string{"form.wheel.crossing: too_big"}},
		{"four crosses of 32", func(w *models.WheelForm) { w.Holes, w.Crossing = 32, 4 }, nil},
		{"four crosses of 28", func(w *models.WheelForm) { w.Holes, w.Crossing = 28, 4 }, []string{"form.wheel.crossing: too_big"}},
		{"radial", func(w *models.WheelForm) { w.Crossing = 0 }, nil},
		{"minus one cross", func(w *models.WheelForm) { w.Crossing = -1 }, []string{"form.wheel.crossing: too_small"}},
		{"a face without its distance", func(w *models.WheelForm) { w.DishReference = models.DishFace }, []string{"form.wheel.dish_nominal: missing"}},
		{"a face with its distance", func(w *models.WheelForm) { w.DishReference, w.DishNominal = models.DishFace, "42.5" }, nil},
		{"a reference nobody knows", func(w *models.WheelForm) { w.DishReference = "eye" }, []string{"form.wheel.dish_reference: unknown_choice"}},
		{"no reference: the shoulders", func(w *models.WheelForm) { w.DishReference = "" }, nil},
		{"a tension of zero", func(w *models.WheelForm) { w.RimMaxTension = "0" }, []string{"form.wheel.rim_max_tension: zero_not_possible"}},
		{"a tension below zero", func(w *models.WheelForm) { w.RimMaxTension = "-1200" }, []string{"form.wheel.rim_max_tension: negative_not_possible"}},
		{"a tension in words", func(w *models.WheelForm) { w.RimMaxTension = "1200 N" }, []string{"form.wheel.rim_max_tension: not_a_number"}},
		{"a ratio of zero", func(w *models.WheelForm) { w.ExpectedRatio = "0.0" }, []string{"form.wheel.expected_ratio: zero_not_possible"}},
		{"a target with too many digits", func(w *models.WheelForm) { w.DishTarget = "0." + strings.Repeat("1", 30) }, []string{"form.wheel.dish_target: too_many_digits"}},
		{"a rim of a page", func(w *models.WheelForm) { w.Rim = strings.Repeat("r", 81) }, []string{"form.wheel.rim: too_long"}},
		{"a geometry with a gap", func(w *models.WheelForm) { w.Geometry.FlangeOffsetB = "" }, []string{"form.wheel.geometry.flange_offset_b: missing"}},
		{"a flange as large as the nipple seats", func(w *models.WheelForm) { w.Geometry.FlangeRadiusA = "265.5" }, []string{"form.wheel.geometry.flange_radius_a: flange_too_large"}},
		{"no geometry", func(w *models.WheelForm) { w.Geometry = nil }, nil},
		{"several at once", func(w *models.WheelForm) { w.Holes, w.RimMaxTension, w.DishTarget = 37, "x", "1.2.3" },
			[]string{"form.wheel.holes: must_be_even", "form.wheel.rim_max_tension: not_a_number", "form.wheel.dish_target: not_a_number"}},
	}
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	family := *h.Item[models.KindWheel].FamilyID
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			form := goodWheel()
			row.change(form)
			_, err := s.AddProduct(t.Context(), h.Owner, specify.NewProduct{FamilyID: family, Name: row.name, Form: models.ProductForm{Wheel: form}})
			worktest.WantProblems(t, err, row.want...)
		})
	}
}

func TestPackFormIsChecked(t *testing.T) {
	rows := []struct {
		name   string
		change func(*models.PackForm)
		want   []string
	}{
		{"as it is", func(*models.PackForm) {}, nil},
		{"no chemistry", func(p *models.PackForm) { p.Chemistry = "" }, []string{"form.pack.chemistry: missing"}},
		{"a chemistry nobody knows", func(p *models.PackForm) { p.Chemistry = "lemon" }, []string{"form.pack.chemistry: unknown_choice"}},
		{"no cells", func(p *models.PackForm) { p.Cells = 0 }, []string{"form.pack.cells: too_small"}},
		{"no strings", func(p *models.PackForm) { p.Strings = 0 }, []string{"form.pack.strings: too_small"}},
		{"eight strings", func(p *models.PackForm) { p.Strings = 8 }, nil},
		{"nine strings", func(p *models.PackForm) { p.Strings = 9 }, []string{"form.pack.strings: too_big"}},
		{"forty blocks", func(p *models.PackForm) { p.Blocks = 40 }, nil},
		{"forty-one blocks", func(p *models.PackForm) { p.Blocks = 41 }, []string{"form.pack.blocks: too_big"}},
		{"a window turned round", func(p *models.PackForm) { p.ResistanceLow, p.ResistanceHigh = "20", "8" }, []string{"form.pack.resistance_low: low_above_high"}},
		{"a window of one value", func(p *models.PackForm) { p.ResistanceLow, p.ResistanceHigh = "8.0", "8" }, nil},
		{"a manner nobody knows", func(p *models.PackForm) { p.ResistanceMethod = "guess" }, []string{"form.pack.resistance_method: unknown_choice"}},
		{"no rest asked for", func(p *models.PackForm) { p.MinRestHours = "0" }, nil},
		{"a rest below zero", func(p *models.PackForm) { p.MinRestHours = "-1" }, []string{"form.pack.min_rest_hours: negative_not_possible"}},
	}
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	family := *h.Item[models.KindPack].FamilyID
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			form := goodPack()
			row.change(form)
			_, err := s.AddProduct(t.Context(), h.Owner, specify.NewProduct{FamilyID: family, Name: row.name, Form: models.ProductForm{Pack: form}})
			worktest.WantProblems(t, err, row.want...)
		})
	}
}

func TestProductsAreRevisedAndNeverEdited(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *specify.Service) {
		ctx, family := t.Context(), *h.Item[models.KindWheel].FamilyID
		made, err := s.AddProduct(ctx, h.Owner, specify.NewProduct{FamilyID: family, Name: " Rear 26 ", Form: models.ProductForm{Wheel: goodWheel()}})
		h.Must(err)
		if got := made.Form.Form.Wheel.DishTarget; got != "-1.5" {
			t.Errorf("the target typed as -1,5 is stored as %q, want the plain -1.5", got)
		}
		if made.Product.Name != "Rear 26" || made.Product.Revision != 1 {
			t.Errorf("made %+v", made.Product)
		}
		_, err = s.AddProduct(ctx, h.Owner, specify.NewProduct{FamilyID: family, Name: "Rear 26", Form: models.ProductForm{Wheel: goodWheel()}})
		worktest.WantProblems(t, err, "name: taken")
		_, err = s.AddProduct(ctx, h.Owner, specify.NewProduct{FamilyID: family, Name: "A pack", Form: models.ProductForm{Pack: goodPack()}})
		worktest.WantProblems(t, err, "form.wheel: missing", "form.pack: other_kind")

		next := goodWheel()
		next.RimMaxTension = "1250"
		_, err = s.ReviseProduct(ctx, h.Owner, made.Product.ID, 1, models.ProductForm{Wheel: next}, " ")
		worktest.WantProblems(t, err, "reason: reason_needed")
		revised, err := s.ReviseProduct(ctx, h.Owner, made.Product.ID, 1, models.ProductForm{Wheel: next}, "new figure")
		h.Must(err)
		if revised.Form.Revision != 2 || revised.Revisions[1].Form.Wheel.RimMaxTension != "1200" {
			t.Errorf("revision %d in force, the first says %q", revised.Form.Revision, revised.Revisions[1].Form.Wheel.RimMaxTension)
		}
		// Somebody who still looks at the first revision decides again.
		if _, err = s.ReviseProduct(ctx, h.Owner, made.Product.ID, 1, models.ProductForm{Wheel: goodWheel()}, "late"); !errors.Is(err, models.ErrStale) {
			t.Errorf("a change on revision 1 after 2: %v, want ErrStale", err)
		}
		if _, err := s.Product(ctx, "nothing of ours"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("an unknown product: %v, want ErrNotFound", err)
		}
	})
}
