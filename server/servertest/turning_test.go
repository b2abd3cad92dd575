package servertest

import (
	"fmt"
	"math"
	"net/http"
	"time"

	"tracewright/models"
	"tracewright/models/trade/wheel"
)

// turning is a wheel at the stand of the shop, of a product with all that a
// turn list needs. It does what its own influence says, a quarter less than the
// shop's model; gauges are perfect, so that a row is the same each time.
type turning struct {
	*Shop
	serial                   string
	product                  models.Product
	holes                    int
	truth                    wheel.Influence
	lateral, radial, tension []float64
}

// turningForm is a 26 inch wheel of invented figures.
func turningForm(holes int) models.ProductForm {
	return models.ProductForm{Wheel: &models.WheelForm{Rim: "Fen 26", SpokeType: "2.6 plain", Holes: holes, Crossing: 1, DishTarget: "0", DishReference: models.DishShoulders, RimMaxTension: "1350",
		Geometry: &models.WheelGeometry{RimRadius: "273.5", NippleInset: "8", FlangeRadiusA: "104", FlangeRadiusB: "104", FlangeOffsetA: "17", FlangeOffsetB: "26", SpokeDiameter: "2.6"},
		Truing:   &models.WheelTruing{Section: "26_double", EA: "11", InPlaneEI: "160", LateralEI: "550", GJ: "120", GaugeOutset: "6", ThreadPitch: "0.4536", SmallestTurn: "0.125"}}}
}

// atTheStand makes the product and one wheel of it, out of true as wanted.
func (s *Shop) atTheStand(form models.ProductForm, out func(w *turning)) *turning {
	s.Helper()
	w := &turning{Shop: s, holes: form.Wheel.Holes}
	model, err := wheel.NewModel(wheel.Build{
		Geometry: wheel.Geometry{Spokes: w.holes, RimRadius: 273.5, NippleInset: 8, FlangeRadiusA: 104, FlangeRadiusB: 104, FlangeOffsetA: 17, FlangeOffsetB: 26, CrossA: 1, CrossB: 1,
			SpokeE: 200_000, Profile: []wheel.Segment{{Diameter: 2.6}}},
		EA: 1.1e7, InPlaneEI: 1.6e8, OutOfPlaneEI: 5.5e8, GJ: 1.2e8, TensionA: 1050, GaugeOutset: 6, PitchMM: 0.4536 * 0.75, Waves: w.holes})
	s.Must(err)
	w.truth = model.Influence()
	a, b := model.StartTensions()
	w.lateral, w.radial, w.tension = make([]float64, w.holes), make([]float64, w.holes), make([]float64, w.holes)
	for j := range w.tension {
		w.tension[j] = []float64{a, b}[j%2]
	}
	if out != nil {
		out(w)
	}
	family := *s.Item[models.KindWheel].FamilyID
	stamp := models.NewStamp(models.Actor{}, s.Now.AddDate(0, -1, 0))
	w.product = models.Product{ID: models.NewID(), FamilyID: family, Name: fmt.Sprintf("Quillet 26 rear %s", models.NewID()[24:]), Revision: 1}
	s.Must(s.Store.AddProduct(s.Context(), stamp, w.product, models.ProductRevision{Form: form}))
	item, err := s.Store.AddItemWithSerial(s.Context(), stamp, models.Item{ID: models.NewID(), Kind: models.KindWheel, FamilyID: &family, ProductID: &w.product.ID, Origin: "made"}, "W", 31, nil)
	s.Must(err)
	w.serial = *item.Serial
	return w
}

// wobbly is out of true to the side, by so many eighths of a turn round its
// second wave.
func wobbly(eighths float64) func(*turning) {
	return func(w *turning) {
		turns := make([]float64, w.holes)
		for j := range turns {
			turns[j] = []float64{1, -1}[j%2] * eighths / 8 * math.Cos(4*math.Pi*float64(j)/float64(w.holes)-0.7)
		}
		turns[5] += 0.2
		w.turn(turns)
	}
}

func (w *turning) turn(turns []float64) {
	change, err := w.truth.Of(turns)
	w.Must(err)
	for j := range turns {
		w.lateral[j] += change.Lateral[j]
		w.radial[j] += change.Radial[j]
		w.tension[j] += change.Tension[j]
	}
}

// read is the wheel at every hole as it stands now.
func (w *turning) read() models.Submission {
	w.Now = w.Now.Add(5 * time.Minute) // Sessions end when nobody asks for long.
	sub := w.EveryHole()
	sub.Serial = w.serial
	dish := 0.0
	var lateral, radial, a, b []string
	for j := range w.holes {
		dish += w.lateral[j] / float64(w.holes)
		lateral, radial = append(lateral, fmt.Sprintf("%.2f", w.lateral[j])), append(radial, fmt.Sprintf("%.2f", w.radial[j]))
		side := &a
		if j%2 == 1 {
			side = &b
		}
		*side = append(*side, fmt.Sprintf("%.0f", w.tension[j]))
	}
	sub.Sets[0].Values, sub.Sets[1].Values, sub.Sets[3].Values, sub.Sets[4].Values = lateral, radial, a, b
	sub.Sets[2].Values = []string{fmt.Sprintf("%.2f", 67.5-dish), fmt.Sprintf("%.2f", 67.5+dish)}
	return sub
}

// turns is what a turn list's answer says, as far as a row needs it.
type turns struct {
	State string
	Begun string
	Short struct {
		Turns []struct {
			Spoke  int
			Turns  float64
			Turned bool
		}
	}
	Stop *struct{ Ways []struct{ Cause string } }
}

// sum adds a list up, every turn by so many spokes further on.
func (t turns) sum(holes, further int) []float64 {
	out := make([]float64, holes)
	for _, x := range t.Short.Turns {
		out[(x.Spoke+further)%holes] += x.Turns
	}
	return out
}

// turnLists walks through everything that a turn list answers with.
func (w *walk) turnLists() {
	w.T.Helper()
	const makeList, look, tickOne, cause = "POST /inspections/{id}/turns", "GET /inspections/{id}/turns", "PUT /inspections/{id}/turns/{list}/{n}", "POST /inspections/{id}/turns/cause"
	wheel := w.atTheStand(turningForm(36), wobbly(1.6))
	first := wheel.read()
	path := "/inspections/" + first.ID + "/turns"
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", first, http.StatusCreated)
	w.ask(OperatorAtStand, makeList, path, object{"short": 8}, http.StatusCreated)
	w.ask(OperatorAtStand, makeList, path, object{}, http.StatusOK)
	list := Decode[turns](w.T, w.answers(w.T, w.Shop, look, Row{Who: Desk, Path: path, Status: http.StatusOK}))
	for n := range list.Short.Turns {
		w.ask(OperatorAtStand, tickOne, fmt.Sprintf("%s/short/%d", path, n+1), object{"turned": true}, http.StatusOK)
	}
	w.ask(OperatorAtStand, tickOne, path+"/all/1", object{"turned": true}, http.StatusConflict)
	wheel.turn(list.sum(36, 1))
	second := wheel.read()
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", second, http.StatusCreated)
	path = "/inspections/" + second.ID + "/turns"
	w.ask(OperatorAtStand, makeList, path, object{}, http.StatusOK)
	w.ask(OperatorAtStand, cause, path+"/cause", object{"cause": "not_sure"}, http.StatusOK)
	w.ask(OperatorAtStand, cause, path+"/cause", object{"cause": "wrong_side"}, http.StatusOK)
	w.ask(Desk, "GET /items/{item}", "/items/"+wheel.serial, nil, http.StatusOK)
	slack := w.atTheStand(turningForm(36), func(x *turning) { x.tension[3] = 40 })
	loose := slack.read()
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", loose, http.StatusCreated)
	w.ask(OperatorAtStand, makeList, "/inspections/"+loose.ID+"/turns", object{}, http.StatusOK)
	bare := turningForm(36)
	bare.Wheel.Truing = nil
	without := w.atTheStand(bare, nil)
	unfit := without.read()
	w.ask(OperatorAtStand, "POST /inspections", "/inspections", unfit, http.StatusCreated)
	w.ask(OperatorAtStand, makeList, "/inspections/"+unfit.ID+"/turns", object{}, http.StatusOK)
}
