package specify_test

import (
	"reflect"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/models/work/worktest"
)

func goodBlock() *models.BlockForm {
	return &models.BlockForm{Supplier: "Halden", Model: "12-12", Chemistry: "agm", Cells: 6, Capacity: "12,0", Rate: "C20", ResistanceMethod: models.ResistanceAC, DateCode: models.DateYearWeek}
}

// Each row changes one thing of a good form and names what must be said of it.
func TestBlockFormIsChecked(t *testing.T) {
	table := func(rows ...string) []models.ChargePoint {
		var out []models.ChargePoint
		for _, r := range rows {
			volts, percent, _ := strings.Cut(r, " ")
			out = append(out, models.ChargePoint{Volts: volts, Percent: percent})
		}
		return out
	}
	rows := []struct {
		name   string
		change func(*models.BlockForm)
		want   []string
	}{
		{"as it is", func(*models.BlockForm) {}, nil},
		{"nobody makes it", func(b *models.BlockForm) { b.Supplier, b.Model = " ", "" }, []string{"form.block.supplier: missing", "form.block.model: missing"}},
		{"a chemistry nobody knows", func(b *models.BlockForm) { b.Chemistry = "zinc" }, []string{"form.block.chemistry: unknown_choice"}},
		{"no cells", func(b *models.BlockForm) { b.Cells = 0 }, []string{"form.block.cells: too_small"}},
		{"no capacity", func(b *models.BlockForm) { b.Capacity = "" }, nil},
		{"a capacity of zero", func(b *models.BlockForm) { b.Capacity = "0" }, []string{"form.block.capacity_ah: zero_not_possible"}},
		{"a table of its own", func(b *models.BlockForm) { b.VoltageTable = table("11,80 0", "12.90 100") }, nil},
		{"a table of one row", func(b *models.BlockForm) { b.VoltageTable = table("12.90 100") }, []string{"form.block.voltage_table: too_small"}},
		{"a table that falls", func(b *models.BlockForm) { b.VoltageTable = table("12.9 0", "11.8 100") }, []string{"form.block.voltage_table[1]: table_not_rising"}},
		{"a table over full", func(b *models.BlockForm) { b.VoltageTable = table("11.8 0", "12.9 101") }, []string{"form.block.voltage_table[1].percent: too_big"}},
		{"a table with a gap", func(b *models.BlockForm) { b.VoltageTable = table("11.8", "x 100") },
			[]string{"form.block.voltage_table[0].percent: missing", "form.block.voltage_table[1].volts: not_a_number"}},
		{"a window upside down", func(b *models.BlockForm) { b.ResistanceLow, b.ResistanceHigh = "20", "8" }, []string{"form.block.resistance_low: low_above_high"}},
		{"a way nobody measures by", func(b *models.BlockForm) { b.ResistanceMethod = "by_eye" }, []string{"form.block.resistance_method: unknown_choice"}},
		{"a date code nobody writes", func(b *models.BlockForm) { b.DateCode = "roman" }, []string{"form.block.date_code: unknown_choice"}},
		{"a limit nobody knows", func(b *models.BlockForm) { b.Limits = map[string]string{"colour": "1"} }, []string{"form.block.limits.colour: unknown_code"}},
		{"a charge above full", func(b *models.BlockForm) { b.Limits = map[string]string{"stored_soc_min_pct": "150"} }, []string{"form.block.limits.stored_soc_min_pct: limit_out_of_bounds"}},
		{"no month between charges", func(b *models.BlockForm) { b.Limits = map[string]string{"shelf_base_months": "0"} }, []string{"form.block.limits.shelf_base_months: limit_out_of_bounds"}},
		{"no self-discharge", func(b *models.BlockForm) { b.Limits = map[string]string{"self_discharge_pct_month": "0"} }, []string{"form.block.limits.self_discharge_pct_month: limit_out_of_bounds"}},
		{"more than there is in a month", func(b *models.BlockForm) { b.Limits = map[string]string{"self_discharge_pct_month": "1000"} }, []string{"form.block.limits.self_discharge_pct_month: limit_out_of_bounds"}},
		// Six cells of 2.45 V are 14.70 V.
		{"a voltage in millivolts", func(b *models.BlockForm) { b.Limits = map[string]string{"incoming_ocv_min_v": "12600"} }, []string{"form.block.limits.incoming_ocv_min_v: limit_out_of_bounds"}},
		{"a voltage just above that of its charge", func(b *models.BlockForm) { b.Limits = map[string]string{"spread_ocv_b_v": "14.71"} }, []string{"form.block.limits.spread_ocv_b_v: limit_out_of_bounds"}},
		{"one at it", func(b *models.BlockForm) { b.Limits = map[string]string{"spread_ocv_b_v": "14.70"} }, nil},
		{"lead with antimony", func(b *models.BlockForm) { b.Limits = map[string]string{"self_discharge_pct_month": "12"} }, nil},
		{"no limit of it", func(b *models.BlockForm) { b.Limits = map[string]string{"stored_soc_min_pct": ""} }, nil},
		{"a limit in words", func(b *models.BlockForm) { b.Limits = map[string]string{"rest_min_h": "a day"} }, []string{"form.block.limits.rest_min_h: not_a_number"}},
		{"grade B above grade A", func(b *models.BlockForm) { b.Limits = map[string]string{"ship_ocv_min_b_v": "12.95"} }, []string{"form.block.limits.ship_ocv_min_b_v: low_above_high"}},
		{"watch above reject", func(b *models.BlockForm) { b.Limits = map[string]string{"k_watch_mv_day": "6"} }, []string{"form.block.limits.k_watch_mv_day: low_above_high"}},
		{"no reject at all", func(b *models.BlockForm) {
			b.Limits = map[string]string{"k_watch_mv_day": "6", "k_reject_mv_day": ""}
		}, nil},
	}
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	family, err := s.AddFamily(t.Context(), h.Owner, specify.NewFamily{Kind: models.KindBlock, Name: "Blocks"})
	h.Must(err)
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			form := goodBlock()
			row.change(form)
			_, err := s.AddProduct(t.Context(), h.Owner, specify.NewProduct{FamilyID: family.Family.ID, Name: row.name, Form: models.ProductForm{Block: form}})
			worktest.WantProblems(t, err, row.want...)
		})
	}
	_, err = s.AddProduct(t.Context(), h.Owner, specify.NewProduct{FamilyID: family.Family.ID, Name: "a pack", Form: models.ProductForm{Pack: goodPack()}})
	worktest.WantProblems(t, err, "form.block: missing", "form.pack: other_kind")
}

// A block model keeps what common practice was when it was stored; its blocks
// are judged by what it says, revision by revision; a pack that names it takes
// its figures from the revision in force and notes which.
func TestABlockModelAndAPackOfIt(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *specify.Service) {
		ctx := t.Context()
		blocks, err := s.AddFamily(ctx, h.Owner, specify.NewFamily{Kind: models.KindBlock, Name: "Blocks"})
		h.Must(err)
		model, err := s.AddProduct(ctx, h.Owner, specify.NewProduct{FamilyID: blocks.Family.ID, Name: "Halden 12-12", Form: models.ProductForm{Block: goodBlock()}})
		h.Must(err)
		b := model.Form.Form.Block
		if b.Capacity != "12.0" || b.Limits["incoming_ocv_min_v"] != "12.60" || b.Limits["ship_ocv_min_a_v"] != "12.90" || b.ResistanceLow != "6" || b.ResistanceHigh != "30" {
			t.Errorf("stored %+v", b)
		}
		limit := func(v specify.ProductView, result string) models.Limit {
			l, _, ok := v.InForce.Limit(result)
			if !ok {
				t.Fatalf("no limit of %s", result)
			}
			return l
		}
		if l := limit(model, "block_r25"); !model.Own || l.Low != "6" || l.High != "30" {
			t.Errorf("own %v, window %s to %s", model.Own, l.Low, l.High)
		}
		next := *b
		next.Limits = map[string]string{}
		for code, text := range b.Limits {
			next.Limits[code] = text
		}
		next.Limits["incoming_ocv_min_v"], next.ResistanceHigh = "12.72", "22"
		next.Limits["ship_ocv_min_b_v"], next.VoltageTable = "12.88", []models.ChargePoint{{Volts: "12.40", Percent: "0"}, {Volts: "13.20", Percent: "100"}}
		model, err = s.ReviseProduct(ctx, h.Owner, model.Product.ID, 1, models.ProductForm{Block: &next}, "the maker's new sheet")
		h.Must(err)
		if low, high := limit(model, "block_ocv25").Low, limit(model, "block_r25").High; low != "12.72" || high != "22" {
			t.Errorf("after the revision blocks are judged by %s V and %s milliohm", low, high)
		}

		packs, err := s.AddFamily(ctx, h.Owner, specify.NewFamily{Kind: models.KindPack, Name: "Packs of blocks"})
		h.Must(err)
		sent := &models.PackForm{BlockProduct: model.Product.ID, Chemistry: "li_ion", Cells: 1, Strings: 1, Blocks: 4, NominalV: "48"}
		pack, err := s.AddProduct(ctx, h.Owner, specify.NewProduct{FamilyID: packs.Family.ID, Name: "48 V", Form: models.ProductForm{Pack: sent}})
		h.Must(err)
		want := models.PackForm{BlockModel: "Halden 12-12", Chemistry: "agm", Cells: 6, CapacityAh: "12.0", Rate: "C20", Strings: 1, Blocks: 4, NominalV: "48", ResistanceMethod: models.ResistanceAC,
			ResistanceLow: "6", ResistanceHigh: "22", MinRestHours: "24", BlockProduct: model.Product.ID, BlockRevision: 2,
			VoltageTable: next.VoltageTable, Limits: next.Limits}
		if got := *pack.Form.Form.Pack; !reflect.DeepEqual(got, want) {
			t.Errorf("the pack is\n%+v, want\n%+v", got, want)
		}
		if low := limit(pack, "ocv_lowest").Low; !pack.Own || low != "12.88" {
			t.Errorf("the pack is judged by %s V, own limits %v", low, pack.Own)
		}
		alone := *sent
		alone.BlockProduct, alone.Chemistry, alone.Cells = "", "agm", 6
		if alone.Limits["ship_ocv_min_b_v"] != "12.88" {
			t.Fatal("nothing to send back")
		}
		pack, err = s.ReviseProduct(ctx, h.Owner, pack.Product.ID, 1, models.ProductForm{Pack: &alone}, "of other blocks")
		h.Must(err)
		if f := pack.Form.Form.Pack; f.Limits != nil || f.VoltageTable != nil || limit(pack, "ocv_lowest").Low != "12.70" {
			t.Errorf("without a block model: %+v", f)
		}
		for name, id := range map[string]string{"no such product": models.NewID(), "a wheel": *h.Item[models.KindWheel].ProductID} {
			_, err := s.AddProduct(ctx, h.Owner, specify.NewProduct{FamilyID: packs.Family.ID, Name: name, Form: models.ProductForm{Pack: &models.PackForm{BlockProduct: id, Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 4}}})
			code := map[string]string{"no such product": "unknown_product", "a wheel": "no_block_model"}[name]
			worktest.WantProblems(t, err, "form.pack.block_product: "+code)
		}
	})
}
