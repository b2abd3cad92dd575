package webtest

import (
	"encoding/json"
	"fmt"
	"math"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/models/trade/wheel"
)

// painted is within what a page shows what became of a tension.
const painted = 40 * time.Millisecond

// aWheel lies at the stand and does what the influence of its nipples says;
// its gauges are perfect. All figures are invented.
type aWheel struct {
	serial                   string
	truth                    wheel.Influence
	lateral, radial, tension []float64
}

// outOfTrue puts a wheel of a product with all that a turn list needs into the
// shop, bent to the side by so many eighths of a turn round its second wave.
func (p *Person) outOfTrue(eighths float64) *aWheel {
	p.Helper()
	const holes = 36
	form := models.ProductForm{Wheel: &models.WheelForm{Rim: "Fen 26", SpokeType: "2.6 plain", Holes: holes, Crossing: 1, SideA: "cable side", SideB: "disc side", DishTarget: "0", DishReference: models.DishShoulders, RimMaxTension: "1350",
		Geometry: &models.WheelGeometry{RimRadius: "273.5", NippleInset: "8", FlangeRadiusA: "104", FlangeRadiusB: "104", FlangeOffsetA: "17", FlangeOffsetB: "26", SpokeDiameter: "2.6"},
		Truing:   &models.WheelTruing{Section: "26_double", EA: "11", InPlaneEI: "160", LateralEI: "550", GJ: "120", GaugeOutset: "6", ThreadPitch: "0.4536", SmallestTurn: "0.125"}}}
	model, err := wheel.NewModel(wheel.Build{
		Geometry: wheel.Geometry{Spokes: holes, RimRadius: 273.5, NippleInset: 8, FlangeRadiusA: 104, FlangeRadiusB: 104, FlangeOffsetA: 17, FlangeOffsetB: 26, CrossA: 1, CrossB: 1,
			SpokeE: 200_000, Profile: []wheel.Segment{{Diameter: 2.6}}},
		EA: 1.1e7, InPlaneEI: 1.6e8, OutOfPlaneEI: 5.5e8, GJ: 1.2e8, TensionA: 1050, GaugeOutset: 6, PitchMM: 0.4536 * 0.9, Waves: holes})
	p.Shop.Must(err)
	w := &aWheel{truth: model.Influence(), lateral: make([]float64, holes), radial: make([]float64, holes), tension: make([]float64, holes)}
	a, b := model.StartTensions()
	turns := make([]float64, holes)
	for j := range turns {
		w.tension[j] = []float64{a, b}[j%2]
		turns[j] = []float64{1, -1}[j%2] * eighths / 8 * math.Cos(4*math.Pi*float64(j)/holes-0.7)
	}
	w.turn(p, turns)

	family := *p.Shop.Item[models.KindWheel].FamilyID
	stamp := models.NewStamp(models.Actor{}, p.Shop.Now.AddDate(0, -1, 0))
	product := models.Product{ID: models.NewID(), FamilyID: family, Name: "Quillet 26 rear", Revision: 1}
	p.Shop.Must(p.Shop.Store.AddProduct(p.Context(), stamp, product, models.ProductRevision{Form: form}))
	item, err := p.Shop.Store.AddItemWithSerial(p.Context(), stamp, models.Item{ID: models.NewID(), Kind: models.KindWheel, FamilyID: &family, ProductID: &product.ID, Origin: "made"}, "W", 31, nil)
	p.Shop.Must(err)
	w.serial = *item.Serial
	return w
}

func (w *aWheel) turn(p *Person, turns []float64) {
	p.Helper()
	change, err := w.truth.Of(turns)
	p.Shop.Must(err)
	for j := range turns {
		w.lateral[j] += change.Lateral[j]
		w.radial[j] += change.Radial[j]
		w.tension[j] += change.Tension[j]
	}
}

// reads types every reading of the wheel as it stands, and the ticked list. A
// doubtful one is typed again, as the page asks.
func (p *Person) reads(w *aWheel) {
	p.Helper()
	p.sees("#ask", "lateral at spoke")
	p.Shop.Now = time.Now().UTC() // Rounds follow one another by the server's clock.
	dish := 0.0
	var lines []string
	for j := range w.lateral {
		dish += w.lateral[j] / float64(len(w.lateral))
		lines = append(lines, fmt.Sprintf("%.2f", w.lateral[j]))
	}
	lines = append(lines, lines[0])
	for _, v := range w.radial {
		lines = append(lines, fmt.Sprintf("%.2f", v))
	}
	lines = append(lines, lines[37], fmt.Sprintf("%.2f", 67.5-dish), fmt.Sprintf("%.2f", 67.5+dish))
	for _, v := range w.tension {
		lines = append(lines, fmt.Sprintf("%.0f", v))
	}
	for i, line := range lines {
		p.types(line)
		if i >= 2*37+2 {
			p.do(chromedp.Sleep(painted))
		}
		if strings.Contains(p.text("#last"), "Read again") {
			p.types(line)
		}
	}
	p.sees("#ask", "Ticked list")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
}

// sheet is what the office says of the turn list that the page shows.
type sheet struct {
	Inspection, State, Begun string
	Holes                    int
	Short                    struct {
		Turns []struct {
			Spoke  int
			Turns  float64
			Turned bool
		}
	}
	Stop     *struct{ Ways []struct{ Cause string } }
	Answered *struct{ Cause string }
}

func (p *Person) sheet() sheet {
	p.Helper()
	address, err := url.Parse(ask[string](p, `location.href`))
	p.Shop.Must(err)
	id := address.Query().Get("turns")
	if id == "" {
		p.Fatalf("the address names no turn list: %s", address)
	}
	var out sheet
	p.Shop.Must(json.Unmarshal(p.fetch(p.address+"/api/v1/inspections/"+id+"/turns"), &out))
	return out
}

func (s sheet) turned() (n int) {
	for _, t := range s.Short.Turns {
		if t.Turned {
			n++
		}
	}
	return n
}

// made adds the turns of the short list up, each made so many spokes further on.
func (s sheet) made(further int) []float64 {
	out := make([]float64, s.Holes)
	for _, t := range s.Short.Turns {
		out[(t.Spoke+further)%s.Holes] += t.Turns
	}
	return out
}

// toTurns measures a wheel that is out of true and asks what to turn.
func (p *Person) toTurns(w *aWheel) sheet {
	p.Helper()
	p.open("/stand?serial=" + w.serial)
	p.sees("#ask", "highest")
	p.tabTo("every hole")
	p.presses(kb.Enter)
	p.reads(w)
	p.sees("#last", "Fails")
	p.sees("#take", "What to turn")
	p.picture("verdict")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#turns h1", "Turn ")
	return p.sheet()
}

// toTurnsOf comes to the turn list of a wheel that was read elsewhere: the
// typing of a round takes its time, and one walk shows it.
func (p *Person) toTurnsOf(w *aWheel) sheet {
	p.Helper()
	p.open("/stand?turns=" + p.recorded(w))
	p.sees("#turns h1", "Turn ")
	return p.sheet()
}

// turnsOne presses a key that means Turned and waits for the next step.
func (p *Person) turnsOne(key, then string) {
	p.Helper()
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(key))
	p.sees("#turns .t-now", then)
}

// A wheel that is not good: the list, worked off by keyboard and pedal through
// a reload and a broken line, then measured again and good.
func TestTurnsAreWorkedOff(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	w := p.outOfTrue(0.6)
	list := p.toTurns(w)
	n := len(list.Short.Turns)
	if list.State != "ready" || n < 6 {
		t.Fatalf("state %s with %d turns, want ready with six or more", list.State, n)
	}
	p.sees("#turns h1", fmt.Sprintf("Turn %d nipples, then measure again", n))
	step := func(k int) string { return fmt.Sprintf("Step %d of %d", k, n) }
	p.sees("#turns .t-now", step(1))
	p.picture("list")
	p.accessible("turns")
	p.forGloves("turns")
	for _, name := range []string{"All,", "Short,"} {
		p.tabTo(name)
		p.presses(kb.Enter)
		p.do(chromedp.Sleep(bounce))
		if at := ask[string](p, `document.activeElement.dataset.name`); at != "turned" {
			t.Errorf("after %s the focus stands on %q, want turned: the next Enter must not choose again", name, at)
		}
	}
	for k := range 3 {
		p.turnsOne(kb.Enter, step(k+2))
	}
	p.sees("#line", "all sent")
	if got := p.sheet(); got.turned() != 3 || got.Begun != "short" {
		t.Errorf("the office has %d turns of %q, want 3 of short", got.turned(), got.Begun)
	}
	p.do(chromedp.Reload())
	p.sees("#turns .t-now", step(4))
	p.picture("reloaded")

	// A scanner types and ends with Enter: that is no turn.
	p.types("12.5")
	p.sees("#turns .t-said", "is no serial")
	p.sees("#turns .t-now", step(4))
	p.presses(kb.ArrowRight)
	p.sees("#turns .t-now", step(5))
	p.presses(kb.ArrowLeft)
	p.sees("#turns .t-now", step(4))
	p.turnsOne(kb.F8, step(5))
	p.tabTo("Back")
	p.turnsOne(kb.Enter, step(4))

	p.away.Store(true)
	p.turnsOne(kb.F8, step(5))
	p.turnsOne(kb.F8, step(6))
	p.sees("#line", "ticks waiting")
	p.picture("away")
	p.away.Store(false)
	p.sees("#line", "all sent")
	if got := p.sheet().turned(); got != 5 {
		t.Errorf("the office has %d turns after the line came back, want 5", got)
	}

	// On another tablet the wheel's serial leads to the same step.
	other := p.beside(390, 844)
	other.signInAs("inspector")
	other.open("/stand?serial=" + w.serial)
	other.sees("#list", "begun on another tablet")
	other.types("1")
	other.sees("#turns .t-now", step(6))
	other.picture("other tablet")

	// The wheel's list is found again from the start of the stand.
	p.open("/stand")
	p.sees("#list", fmt.Sprintf("5 of %d made", n))
	p.picture("start")
	p.tabTo("Go on")
	p.presses(kb.Enter)
	p.sees("#turns .t-now", step(6))
	for k := 6; k < n; k++ {
		p.turnsOne(kb.F8, step(k+1))
	}
	p.turnsOne(kb.F8, "Every step is made")
	p.sees("#line", "all sent")
	p.picture("all-turned")
	p.accessible("all turned")
	p.forGloves("all turned")
	w.turn(p, list.made(0))
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.reads(w)
	p.sees("#last", "Passes")
	p.sees("#third", "ound 2")
	p.picture("second-round")

	// On request, for a wheel that is good: what the round before said.
	p.tabTo("What to turn")
	p.presses(kb.Enter)
	p.sees("#turns", "Last round:")
	p.sees("#turns h1", "Nothing worth turning")
	p.picture("second-list")
}
