package webtest

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// The rules of WCAG 2.2, A and AA, as axe-core checks them by machine
// (testdata/axe-core, from npm, with its licence).
//
//go:embed testdata/axe-core/axe.min.js
var axe string

// axeRun asks for what the page breaks, with the count of rules that found
// something to look at: none would mean that nothing was checked.
const axeRun = `axe.run(document, {runOnly: {type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']}})
	.then((r) => JSON.stringify({passes: r.passes.length, violations: r.violations}))`

// accessible holds what is shown now against the rules.
func (p *Person) accessible(state string) {
	p.Helper()
	if !ask[bool](p, `"axe" in globalThis`) {
		p.do(chromedp.Evaluate[chromedp.Void](axe)) // by the debugger: the page's own policy stays as it is
	}
	text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](axeRun, chromedp.EvalAwaitPromise))
	p.Shop.Must(err)
	var answer struct {
		Passes     int `json:"passes"`
		Violations []struct {
			ID    string `json:"id"`
			Help  string `json:"help"`
			Nodes []struct {
				HTML    string `json:"html"`
				Summary string `json:"failureSummary"`
			} `json:"nodes"`
		} `json:"violations"`
	}
	p.Shop.Must(json.Unmarshal([]byte(text), &answer))
	if answer.Passes < 10 {
		p.Errorf("%s: only %d rules found anything to look at", state, answer.Passes)
	}
	for _, v := range answer.Violations {
		for _, n := range v.Nodes {
			p.Errorf("%s breaks %s (%s): %.200s\n%s", state, v.ID, v.Help, n.HTML, n.Summary)
		}
	}
}

// smallTargets lists what can be pressed in the hands' part of a floor page and
// is under 56 px in either direction.
const smallTargets = `[...document.querySelectorAll('main button, main a, main input, main select')]
	.filter((e) => e.checkVisibility() && !e.disabled)
	.map((e) => [e, (e.closest('label') ?? e.closest('.field') ?? e).getBoundingClientRect()])
	.filter(([, r]) => r.width > 0 && (r.width < 55.5 || r.height < 55.5))
	.map(([e, r]) => (e.getAttribute('aria-label') ?? e.textContent ?? e.id).trim() + ' ' + Math.round(r.width) + 'x' + Math.round(r.height))`

// forGloves holds what can be pressed against 56 px.
func (p *Person) forGloves(state string) {
	p.Helper()
	if all := ask[int](p, `[...document.querySelectorAll('main button')].filter((e) => e.checkVisibility()).length`); all == 0 {
		p.Errorf("%s: nothing to press", state)
	}
	for _, small := range ask[[]string](p, smallTargets) {
		p.Errorf("%s: too small for a glove: %s", state, small)
	}
}

// Every state of the stand and the bench, as a tablet and a phone show it.
func TestFloorPagesForEverybody(t *testing.T) {
	for _, size := range []struct {
		name          string
		width, height int64
	}{{"tablet", 1024, 768}, {"phone", 390, 844}} {
		t.Run(size.name, func(t *testing.T) {
			p := sitDown(t, size.width, size.height)
			p.signIn()
			seen := func(state string) {
				p.Helper()
				p.picture(state)
				p.accessible(state)
				p.forGloves(state)
			}
			p.open("/stand")
			p.sees("#hint", "its last 5")
			seen("stand empty")
			p.open("/stand?serial=" + p.Shop.Serial[models.KindWheel])
			p.sees("#ask", "highest")
			seen("stand quick")
			p.types("1.2.3")
			p.sees("#last", "Refused")
			seen("stand refused")
			p.types(goodWheel...)
			p.sees("#ask", "Ticked list")
			seen("stand ticked list")
			p.presses("ya")
			p.touches("Yes to the rest")
			p.sees("#last", "Passes")
			seen("stand verdict")
			p.open("/stand?serial=" + p.Shop.Serial[models.KindWheel])
			p.sees("#ask", "highest")
			p.tabTo("every hole")
			p.presses(kb.Enter)
			p.sees("#ask", "lateral at spoke")
			p.types("0.12", "0.14", "0.9")
			seen("stand every hole")
			p.open("/bench?serial=" + p.Shop.Serial[models.KindPack])
			p.sees("#what", "blocks")
			seen("bench")
			p.enters(4)
			p.sees("#ask", "Blocks joined")
			p.enters(1)
			p.sees("#last", "Done")
			seen("bench building")
			p.ticksOff("Soldered")
			seen("bench no charge")
			p.types("CH-2")
			p.sees("#ask", "Off the")
			seen("bench charging")
			p.offAtOnce("0.2")
			p.sees("#ask", "Rests")
			seen("bench resting")
			p.enters(1)
			p.sees("#ask", "how long")
			seen("bench rest")
			p.open("/setup")
			p.accessible("set-up")
		})
	}
}

// The pages of desk and owner.
func TestOfficePagesForEverybody(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.open("/signin")
	p.accessible("sign in")
	p.signInAs("owner")
	wheel, product := p.Shop.Serial[models.KindWheel], p.Shop.Item[models.KindWheel].ProductID
	pack := p.Shop.Item[models.KindPack]
	for _, page := range []string{"/", "/items/" + wheel, "/items/" + *pack.Serial, "/items/" + *pack.Serial + "/place", "/items/" + *pack.Serial + "/capacity/new", "/families/" + *pack.FamilyID + "/steps", "/items/" + wheel + "/hold", "/find?q=zzzzz", "/holds", "/shelf", "/shelf/temperature", "/unplaced", "/charts", "/families", "/families/new",
		"/products/" + *product, "/products/" + *product + "/revise", "/specifications", "/products/" + *product + "/specification", "/instruments", "/instruments/new", "/studies", "/studies/new", "/studies/new?design=linearity", "/budgets", "/budgets/new?about=" + *pack.FamilyID + "/ocv_lowest", "/families/" + *p.Shop.Item[models.KindWheel].FamilyID + "/rule?result=dish_abs",
		"/lots", "/lots/new", "/materials", "/materials/spokes", "/parts/new", "/rolls", "/shop", "/changes", "/changes?about=zzz", "/people", "/people/new", "/devices", "/own", "/trust"} {
		p.open(page)
		if p.text("h1") == "" {
			p.Errorf("%s has no title", page)
		}
		p.accessible(fmt.Sprintf("page %s", page))
	}
}
