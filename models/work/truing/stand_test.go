package truing_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/wheel"
	"tracewright/models/work/capture"
	"tracewright/models/work/release"
	"tracewright/models/work/truing"
	"tracewright/models/work/worktest"
)

// stand is a wheel on a truing stand that is not quite the one the shop
// believes in: its rim is stiffer or softer, its spokes seat, the hands err and
// the gauges scatter. It is turned by its own influence, never by the service's.
type stand struct {
	*worktest.Shop
	truing  *truing.Service
	random  *rand.Rand
	product models.Product
	item    models.Item

	holes                    int
	truth                    wheel.Influence
	lateral, radial, tension []float64 // true
	noise                    float64   // 1 is the gauges of a workshop, 0 perfect ones
}

// form is a 26 inch wheel of invented figures, 2.6 mm spokes on offsets of 17
// and 26 mm, with an assumed rim.
func form(holes int) models.ProductForm {
	return models.ProductForm{Wheel: &models.WheelForm{
		Rim: "Fen 26", SpokeType: "2.6 plain", Holes: holes, Crossing: 1, DishTarget: "0", DishReference: models.DishShoulders, RimMaxTension: "1350",
		Geometry: &models.WheelGeometry{RimRadius: "273.5", NippleInset: "8", FlangeRadiusA: "104", FlangeRadiusB: "104", FlangeOffsetA: "17", FlangeOffsetB: "26", SpokeDiameter: "2.6"},
		Truing: &models.WheelTruing{Section: "26_double", EA: "11", InPlaneEI: "160", LateralEI: "550", GJ: "120", GaugeOutset: "6", ThreadPitch: "0.4536", SmallestTurn: "0.125",
			TensionUncertainty: "50"},
	}}
}

// trueBuild is the wheel as it is: the rim's figures by a factor, and a seat
// that gives (mm/N).
func trueBuild(holes int, factor, seat float64) wheel.Build {
	return wheel.Build{
		Geometry: wheel.Geometry{Spokes: holes, RimRadius: 273.5, NippleInset: 8, FlangeRadiusA: 104, FlangeRadiusB: 104, FlangeOffsetA: 17, FlangeOffsetB: 26, CrossA: 1, CrossB: 1,
			SpokeE: 200_000, Profile: []wheel.Segment{{Diameter: 2.6}}, SeatCompliance: seat},
		EA: 1.1e7 * factor, InPlaneEI: 1.6e8 * factor, OutOfPlaneEI: 5.5e8 * factor, GJ: 1.2e8 * factor, TensionA: 1050, GaugeOutset: 6, PitchMM: 0.4536, Waves: holes + 6,
	}
}

// at puts a wheel of a product on the stand of a shop: round and evenly tensioned.
func at(h *worktest.Shop, seed uint64, form models.ProductForm) *stand {
	h.Helper()
	s := &stand{Shop: h, truing: truing.New(h.Store, h.Clock), random: rand.New(rand.NewPCG(seed, 9)), holes: form.Wheel.Holes, noise: 1}
	a, b := 1050.0, 700.0 // Of a wheel with more spokes than a model takes, which nobody turns.
	if s.holes <= wheel.MostSpokes {
		model, err := wheel.NewModel(trueBuild(s.holes, 1.25, 4e-5))
		h.Must(err)
		s.truth = model.Influence()
		a, b = model.StartTensions()
	}
	s.lateral, s.radial, s.tension = make([]float64, s.holes), make([]float64, s.holes), make([]float64, s.holes)
	for j := range s.tension {
		s.tension[j] = []float64{a, b}[j%2]
	}
	family := *h.Item[models.KindWheel].FamilyID
	stamp := models.NewStamp(models.Actor{}, h.Now.AddDate(0, -1, 0))
	s.product = models.Product{ID: models.NewID(), FamilyID: family, Name: fmt.Sprintf("Quillet 26 rear %d %d", seed, s.holes), Revision: 1}
	h.Must(h.Store.AddProduct(h.Context(), stamp, s.product, models.ProductRevision{Form: form}))
	var err error
	s.item, err = h.Store.AddItemWithSerial(h.Context(), stamp, models.Item{ID: models.NewID(), Kind: models.KindWheel, FamilyID: &family, ProductID: &s.product.ID, Origin: "made"}, "W", 31, nil)
	h.Must(err)
	return s
}

// spoil turns nipples at random in low waves, so that the wheel starts out of
// true by about so many mm to the side.
func (s *stand) spoil(mm float64) *stand {
	turns := make([]float64, s.holes)
	for k := range 3 {
		size, phase := s.random.Float64(), 2*math.Pi*s.random.Float64()
		for j := range turns {
			turns[j] += []float64{1, -1}[j%2] * size * math.Cos(float64(k)*2*math.Pi*float64(j)/float64(s.holes)-phase)
		}
	}
	for j := range turns {
		turns[j] += 0.12 * s.random.NormFloat64()
	}
	low, high := math.Inf(1), math.Inf(-1)
	change, err := s.truth.Of(turns)
	s.Must(err)
	for _, v := range change.Lateral {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	for j := range turns {
		turns[j] *= mm / (high - low)
	}
	s.turn(turns, 0)
	return s
}

// turn turns nipples with hands that err.
func (s *stand) turn(turns []float64, erring float64) {
	done := slices.Clone(turns)
	for j := range done {
		done[j] *= 1 + erring*s.random.NormFloat64()
	}
	change, err := s.truth.Of(done)
	s.Must(err)
	for j := range done {
		s.lateral[j] += change.Lateral[j]
		s.radial[j] += change.Radial[j]
		s.tension[j] += change.Tension[j]
	}
}

// submission is the wheel as it is read now, at every hole.
func (s *stand) submission() models.Submission {
	s.Now = s.Now.Add(20 * time.Minute)
	sub := s.EveryHole()
	sub.Serial = *s.item.Serial
	zero := 0.07 // of the indicator: arbitrary
	dish := 0.0
	lateral, radial, a, b := make([]string, s.holes), make([]string, s.holes), []string{}, []string{}
	for j := range s.holes {
		dish += s.lateral[j] / float64(s.holes)
		lateral[j] = fmt.Sprintf("%.2f", s.lateral[j]+zero+0.01*s.noise*s.random.NormFloat64())
		radial[j] = fmt.Sprintf("%.2f", s.radial[j]+0.01*s.noise*s.random.NormFloat64())
		t := fmt.Sprintf("%.0f", math.Max(0, s.tension[j]+25*s.noise*s.random.NormFloat64()))
		if j%2 == 0 {
			a = append(a, t)
		} else {
			b = append(b, t)
		}
	}
	sub.Sets[0].Values, sub.Sets[1].Values, sub.Sets[3].Values, sub.Sets[4].Values = lateral, radial, a, b
	sub.Sets[2].Values = []string{fmt.Sprintf("%.2f", 67.5-dish), fmt.Sprintf("%.2f", 67.5+dish)} // (B - A)/2 is the offset toward A
	return sub
}

// read records the wheel and compares, as the interface does.
func (s *stand) read() capture.Outcome {
	s.Helper()
	return s.send(s.submission())
}

func (s *stand) send(sub models.Submission) capture.Outcome {
	s.Helper()
	out := s.MustRecord(sub)
	if out.Item.TurnsOpen != nil || out.Inspection.Supersedes != nil {
		s.Must(s.truing.Compare(s.Context(), s.Operator, out.Inspection.ID))
	}
	return out
}

// list makes the turn list of an inspection.
func (s *stand) list(inspection string) truing.Sheet {
	s.Helper()
	sheet, _, err := s.truing.Make(s.Context(), s.Operator, inspection, 0)
	s.Must(err)
	return sheet
}

// tick ticks off every turn of a list and gives what it adds up to.
func (s *stand) tick(sheet truing.Sheet, which string) []float64 {
	s.Helper()
	list := sheet.Plan.All
	if which == models.TurnsShort {
		list = sheet.Plan.Short
	}
	turns := make([]float64, s.holes)
	for i, t := range list.Turns {
		_, err := s.truing.Tick(s.Context(), s.Operator, sheet.Inspection.ID, which, i+1, true, truing.Sent{})
		s.Must(err)
		turns[t.Spoke] += t.Turns
	}
	return turns
}

// tickSome ticks off the first turns of the short list.
func (s *stand) tickSome(sheet truing.Sheet, count int) []float64 {
	s.Helper()
	turns := make([]float64, s.holes)
	for i, t := range sheet.Plan.Short.Turns[:count] {
		_, err := s.truing.Tick(s.Context(), s.Operator, sheet.Inspection.ID, models.TurnsShort, i+1, true, truing.Sent{})
		s.Must(err)
		turns[t.Spoke] += t.Turns
	}
	return turns
}

// spread is the true full reading.
func spread(values []float64) float64 { return slices.Max(values) - slices.Min(values) }

func shop(t *testing.T) *worktest.Shop { return worktest.New(t) }

// gate is what releases.
func (s *stand) gate() *release.Service {
	r := release.New(s.Store, s.Clock, worktest.Zone, func(release.Drawing) ([]byte, error) { return nil, nil })
	r.SealBy(worktest.NewSigner())
	return r
}
