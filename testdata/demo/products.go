package demo

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// product is what items are made of, with what the simulation knows of it.
type product struct {
	models.Product
	family models.Family
	form   models.ProductForm
	spec   models.Specification
	share  float64 // of the orders for its kind
	motor  string
	size   string   // of the rim
	tight  float64  // mean tension of the tighter side aimed at, N
	ratio  float64  // tension A over B
	sample [2][]int // spokes that a sample reads, by side
}

func (p product) rimKey() string   { return fmt.Sprintf("rim %s %d", p.size, p.form.Wheel.Holes) }
func (p product) spokeKey() string { return "spokes " + p.form.Wheel.SpokeType }
func (p product) motorKey() string { return "motors " + p.motor }
func (p product) blockKey() string { return "blocks " + p.form.Pack.BlockModel }

type wheelLine struct {
	name, size, motor, power string
	holes, crossing          int
	offsetA, offsetB         float64
	rimRadius, flange        float64
	spoke                    string
	tight, share             float64
}

// wheelLines are the shop's wheels: names and values of its own.
var wheelLines = map[string][]wheelLine{
	"Small-rim hub wheels": {
		{"Teal 16 front", "16", "Olvane H2", "270 W", 28, 0, 22, 22, 152, 58, "2.3 mm plain", 960, 1.0},
		{"Teal 20 front", "20", "Olvane H2", "270 W", 28, 1, 22, 22, 197, 58, "2.3 mm plain", 980, 1.6},
		{"Otter 20 cargo", "20", "Kestrow K6", "610 W", 36, 1, 24, 27, 197, 96, "2.6 mm plain", 1040, 1.3},
		{"Plover 16 folding", "16", "Olvane H2", "270 W", 28, 0, 21, 23, 152, 58, "2.3 mm plain", 950, 0.5},
	},
	"Large-rim hub wheels": {
		{"Heron 24 rear", "24", "Olvane H5", "430 W", 36, 1, 18, 27, 252, 74, "2.3/2.0 mm butted", 1020, 1.4},
		{"Heron 26 rear", "26", "Olvane H5", "430 W", 36, 1, 18, 27, 278, 74, "2.3/2.0 mm butted", 1040, 2.2},
		{"Heron 26 heavy", "26", "Kestrow K6", "610 W", 36, 1, 19, 27, 278, 96, "2.6 mm plain", 1080, 0.9},
		{"Curlew 28 tour", "28", "Olvane H5", "430 W", 32, 1, 18, 26, 309, 74, "2.3/2.0 mm butted", 1000, 1.8},
		{"Curlew 28 front", "28", "Olvane H2", "270 W", 32, 1, 22, 22, 309, 58, "2.3/2.0 mm butted", 980, 1.0},
		{"Marten 26 tandem", "26", "Kestrow K6", "610 W", 36, 1, 20, 26, 278, 96, "2.6 mm plain", 1100, 0.4},
	},
}

var familyOrder = []string{"Small-rim hub wheels", "Large-rim hub wheels"}

func (m *maker) makeProducts() error {
	for _, name := range familyOrder {
		family, spec, err := m.family(models.KindWheel, name, models.ProductForm{Wheel: &models.WheelForm{Holes: 36, RimMaxTension: rimMaxTension}})
		if err != nil {
			return err
		}
		for _, w := range wheelLines[name] {
			p, err := m.wheel(family, spec, w)
			if err != nil {
				return err
			}
			if w.motor == strongMotor {
				if err := m.strongSpokes(&p, w.tight-strongBelow); err != nil {
					return err
				}
			}
			m.wheels = append(m.wheels, p)
		}
	}
	if err := m.makePackProducts(); err != nil {
		return err
	}
	shares(m.wheels)
	shares(m.packs)
	return nil
}

// shares makes a list's shares add up to one.
func shares(list []product) {
	total := 0.0
	for _, p := range list {
		total += p.share
	}
	for i := range list {
		list[i].share /= total
	}
}

func (m *maker) family(kindName, name string, form models.ProductForm) (models.Family, models.Specification, error) {
	kind, _ := kinds.Named(kindName)
	characteristics, err := kind.DefaultSpecification(kind.Grades[0], form)
	if err != nil {
		return models.Family{}, models.Specification{}, err
	}
	for i, c := range characteristics {
		for k, l := range c.Results {
			characteristics[i].Results[k].U = typedU[l.Result]
		}
	}
	family := models.Family{ID: m.newID(), Kind: kindName, Name: name}
	spec := models.Specification{ID: m.newID(), FamilyID: family.ID, Revision: 1, Grade: kind.Grades[0], Rule: "simple", Characteristics: characteristics, Reason: "first limits, common practice"}
	return family, spec, m.store.AddFamily(m.ctx, m.stamp(m.people.owner), family, spec)
}

// typedU are the expanded uncertainties that the owner typed in (k = 2).
var typedU = map[string]string{"dish_abs": "0.10", "tension_mean_tight": "30", "tension_lowest": "30", "ocv_lowest": "0.004", "ocv_spread": "0.002"}

func (m *maker) wheel(family models.Family, spec models.Specification, w wheelLine) (product, error) {
	// Side ratio from the bracing angles: T_A / T_B = sin g_B / sin g_A.
	ratio := bracing(w, w.offsetB) / bracing(w, w.offsetA)
	form := models.ProductForm{Wheel: &models.WheelForm{
		Rim: "Fenlow " + w.size, Motor: w.motor + ", " + w.power, Holes: w.holes, Crossing: w.crossing, SpokeType: w.spoke, SideA: "cable side", SideB: "disc side",
		DishTarget: "0", DishReference: models.DishShoulders, RimMaxTension: rimMaxTension,
		Geometry: &models.WheelGeometry{RimRadius: whole(w.rimRadius), NippleInset: "7", FlangeRadiusA: whole(w.flange), FlangeRadiusB: whole(w.flange),
			FlangeOffsetA: whole(w.offsetA), FlangeOffsetB: whole(w.offsetB), SpokeDiameter: w.spoke[:3]},
	}}
	form.Wheel.Truing = forTurnList(w)
	if math.Abs(ratio-1) > 0.02 {
		form.Wheel.ExpectedRatio = strconv.FormatFloat(ratio, 'f', 2, 64)
	}
	p := product{Product: models.Product{ID: m.newID(), FamilyID: family.ID, Name: w.name, Revision: 1}, family: family, form: form, spec: spec, share: w.share,
		motor: w.motor, size: w.size, tight: w.tight, ratio: ratio}
	kind, _ := kinds.Named(models.KindWheel)
	for _, c := range kind.Fit(form, spec.Characteristics) {
		switch c.Code {
		case kinds.TensionA:
			p.sample[0] = c.Sample
		case kinds.TensionB:
			p.sample[1] = c.Sample
		}
	}
	return p, m.store.AddProduct(m.ctx, m.stamp(m.people.owner), p.Product, models.ProductRevision{Form: form, Reason: "first form"})
}

// The strongest motor slackens its spokes most: its wheels have a least tension of
// their own, close below what is aimed at.
const (
	strongMotor = "Kestrow K6"
	strongBelow = 80 // N
)

func (m *maker) strongSpokes(p *product, least float64) error {
	spec := p.spec
	spec.ID, spec.ProductID, spec.Reason = m.newID(), &p.ID, "the strong motor slackens spokes that are not tight enough"
	spec.Characteristics = withLimit(spec.Characteristics, tightMean, func(l *models.Limit) { l.Low = whole(least) })
	p.spec = spec
	return m.store.AddSpecification(m.ctx, m.stamp(m.people.owner), spec)
}

// tightMean is the result that says how tight the tighter side is.
const tightMean = "tension_mean_tight"

// withLimit changes one limit of a list that others may share.
func withLimit(list []models.Characteristic, result string, change func(*models.Limit)) []models.Characteristic {
	out := slices.Clone(list)
	for i := range out {
		out[i].Results = slices.Clone(out[i].Results)
		for k := range out[i].Results {
			if out[i].Results[k].Result == result {
				change(&out[i].Results[k])
			}
		}
	}
	return out
}

// bracing is the sine of the spoke's angle out of the wheel's plane: flange
// offset over spoke length, hub angle 4 pi X / N.
func bracing(w wheelLine, offset float64) float64 {
	seat, psi := w.rimRadius-7, 4*math.Pi*float64(w.crossing)/float64(w.holes)
	length := math.Sqrt(seat*seat + w.flange*w.flange + offset*offset - 2*seat*w.flange*math.Cos(psi))
	return offset / length
}

// rimMaxTension is what the maker of the rims allows, N.
const rimMaxTension = "1250"

func whole(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func (m *maker) makePackProducts() error {
	var blocks blockModels
	for _, x := range []struct {
		family, name string
		form         models.PackForm
		share        float64
	}{
		{"Lead packs", "Gorse 60", models.PackForm{BlockModel: "Pallas PB17", Chemistry: "agm", Cells: 6, CapacityAh: "17", Rate: "C20", Strings: 1, Blocks: 5, NominalV: "60",
			ResistanceMethod: models.ResistanceAC, ResistanceLow: "4", ResistanceHigh: "24", MinRestHours: "24"}, 0.55},
		{"Small lead packs", "Gorse 24 double", models.PackForm{BlockModel: "Pallas PB9", Chemistry: "agm_small", Cells: 6, CapacityAh: "9", Rate: "C20", Strings: 2, Blocks: 2, NominalV: "24",
			ResistanceMethod: models.ResistanceAC, ResistanceLow: "8", ResistanceHigh: "35", MinRestHours: "24"}, 0.30},
		{"Lithium packs", "Sedge 22", models.PackForm{BlockModel: "Corlis F32", Chemistry: "lifepo4", Cells: 1, CapacityAh: "32", Rate: "C5", Strings: 1, Blocks: 7, NominalV: "22.4",
			ResistanceMethod: models.ResistanceAC, ResistanceLow: "0.6", ResistanceHigh: "6", MinRestHours: "1", TestSummary: "SR-38-0417"}, 0.15},
	} {
		if err := m.blockModel(&blocks, &x.form); err != nil {
			return err
		}
		form := models.ProductForm{Pack: &x.form}
		family, spec, err := m.family(models.KindPack, x.family, form)
		if err != nil {
			return err
		}
		p := product{Product: models.Product{ID: m.newID(), FamilyID: family.ID, Name: x.name, Revision: 1}, family: family, form: form, spec: spec, share: x.share}
		if err := m.store.AddProduct(m.ctx, m.stamp(m.people.owner), p.Product, models.ProductRevision{Form: form, Reason: "first form"}); err != nil {
			return err
		}
		m.packs = append(m.packs, p)
	}
	return nil
}

// ordered draws a product by its share of the orders.
func (m *maker) ordered(list []product) product {
	x := m.random.Float64()
	for _, p := range list {
		if x -= p.share; x < 0 {
			return p
		}
	}
	return list[len(list)-1]
}

// reviseSpecification is the owner's one change of limits: the large wheels'
// dish becomes tighter. In the quiet scenario the limits stay, confirmed.
func (m *maker) reviseSpecification() error {
	family := familyOrder[1]
	at := slices.IndexFunc(m.wheels, func(p product) bool { return p.family.Name == family && p.spec.ProductID == nil })
	spec := m.wheels[at].spec
	spec.ID, spec.Revision, spec.Reason = m.newID(), spec.Revision+1, "limits looked at after half a year: they stay"
	if m.stories.Told {
		spec.Reason, spec.Characteristics = "dish tighter: brake discs rubbed on two frames", withLimit(spec.Characteristics, "dish_abs", func(l *models.Limit) { l.High = "0.80" })
	}
	if err := m.store.AddSpecification(m.ctx, m.stamp(m.people.owner), spec); err != nil {
		return fmt.Errorf("revise the limits of %s: %w", family, err)
	}
	m.store.forget()
	for i := range m.wheels {
		if m.wheels[i].family.Name == family && m.wheels[i].spec.ProductID == nil {
			m.wheels[i].spec = spec
		}
	}
	return nil
}
