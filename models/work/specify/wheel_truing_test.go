package specify_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/models/work/worktest"
)

func goodTruing() *models.WheelTruing {
	return &models.WheelTruing{Section: "26_double", GaugeOutset: "6", ThreadPitch: "0,454"}
}

// Each row changes one thing of what a turn list needs and names what must be
// said of it.
func TestWhatATurnListNeedsIsChecked(t *testing.T) {
	p := "form.wheel.truing."
	rows := []struct {
		name   string
		change func(*models.WheelTruing)
		want   []string
	}{
		{"as it is", func(*models.WheelTruing) {}, nil},
		{"nothing but a pitch", func(x *models.WheelTruing) { *x = models.WheelTruing{ThreadPitch: "0.454"} }, []string{p + "section: missing", p + "gauge_outset: missing"}},
		{"a section nobody knows", func(x *models.WheelTruing) { x.Section = "30_wide" },
			[]string{p + "section: unknown_choice", p + "ea: missing", p + "ei_in_plane: missing", p + "ei_lateral: missing", p + "gj: missing"}},
		{"own figures with a gap", func(x *models.WheelTruing) { x.Section, x.EA, x.InPlaneEI, x.GJ = "own", "10", "150", "100" }, []string{p + "ei_lateral: missing"}},
		{"own figures", func(x *models.WheelTruing) {
			x.Section, x.EA, x.InPlaneEI, x.LateralEI, x.GJ = "own", "10", "150", "400", "100"
		}, nil},
		{"a rim of nothing", func(x *models.WheelTruing) { x.GJ = "0" }, []string{p + "gj: zero_not_possible"}},
		{"a rim in newtons instead of meganewtons", func(x *models.WheelTruing) { x.EA = "11000000" }, []string{p + "ea: too_big"}},
		{"a thread in turns for an inch", func(x *models.WheelTruing) { x.ThreadPitch = "56" }, []string{p + "thread_pitch: too_big"}},
		{"no thread", func(x *models.WheelTruing) { x.ThreadPitch = "" }, []string{p + "thread_pitch: missing"}},
		{"a gauge inward of the centroid", func(x *models.WheelTruing) { x.GaugeOutset = "-8" }, nil},
		{"a gauge far inward", func(x *models.WheelTruing) { x.GaugeOutset = "-61" }, []string{p + "gauge_outset: too_small"}},
		{"a gauge at the tyre", func(x *models.WheelTruing) { x.GaugeOutset = "61" }, []string{p + "gauge_outset: too_big"}},
		{"a sixteenth", func(x *models.WheelTruing) { x.SmallestTurn = "0,0625" }, nil},
		{"a quarter written out", func(x *models.WheelTruing) { x.SmallestTurn = "0.250" }, nil},
		{"a tenth of a turn", func(x *models.WheelTruing) { x.SmallestTurn = "0.1" }, []string{p + "smallest_turn: unknown_choice"}},
		{"a butted spoke", func(x *models.WheelTruing) { x.EndsLength, x.MiddleDiameter = "60", "2.0" }, nil},
		{"ends without a middle", func(x *models.WheelTruing) { x.EndsLength = "60" }, []string{p + "middle_diameter: missing"}},
		{"a middle without ends", func(x *models.WheelTruing) { x.MiddleDiameter = "2.0" }, []string{p + "ends_length: missing"}},
		// From the seat at 265.5 mm to the flange at 104 are 161.5.
		{"ends as long as the spoke", func(x *models.WheelTruing) { x.EndsLength, x.MiddleDiameter = "162", "2.0" }, []string{p + "ends_length: too_big"}},
		{"a gauge that knows nothing", func(x *models.WheelTruing) { x.TensionUncertainty = "1200" }, []string{p + "tension_uncertainty: too_big"}},
		{"a gauge that knows less than nothing", func(x *models.WheelTruing) { x.TensionUncertainty = "-1" }, []string{p + "tension_uncertainty: negative_not_possible"}},
	}
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	family := *h.Item[models.KindWheel].FamilyID
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			form := goodWheel()
			form.Truing = goodTruing()
			row.change(form.Truing)
			_, err := s.AddProduct(t.Context(), h.Owner, specify.NewProduct{FamilyID: family, Name: row.name, Form: models.ProductForm{Wheel: form}})
			worktest.WantProblems(t, err, row.want...)
		})
	}
}

// A row of the table fills in its figures, which then stand with the product;
// one of them changed makes the section the shop's own.
func TestASectionFillsInItsFigures(t *testing.T) {
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	family := *h.Item[models.KindWheel].FamilyID
	add := func(name string, x *models.WheelTruing) models.WheelTruing {
		form := goodWheel()
		form.Truing = x
		v, err := s.AddProduct(t.Context(), h.Owner, specify.NewProduct{FamilyID: family, Name: name, Form: models.ProductForm{Wheel: form}})
		h.Must(err)
		return *v.Form.Form.Wheel.Truing
	}
	// The row of assumed figures for a 26 inch double wall rim.
	want := models.WheelTruing{Section: "26_double", EA: "11", InPlaneEI: "160", LateralEI: "550", GJ: "120", GaugeOutset: "6", ThreadPitch: "0.454", SmallestTurn: "0.125"}
	if got := add("filled in", goodTruing()); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	measured := goodTruing()
	measured.InPlaneEI = "172"
	want.Section, want.InPlaneEI = "own", "172"
	if got := add("one measured", measured); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}
