package webtest

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models/work/truing"
)

// recorded puts every reading of a wheel as it stands on record, as if it had
// been typed at another stand, and gives the inspection. What was turned before
// is held against it.
func (p *Person) recorded(w *aWheel) string {
	p.Helper()
	p.Shop.Now = p.Shop.Now.Add(time.Second)
	sub := p.Shop.EveryHole()
	sub.Serial, sub.StartedAt, sub.FinishedAt = w.serial, p.Shop.Now.Add(-time.Minute), p.Shop.Now
	dish := 0.0
	for i := range w.lateral {
		dish += w.lateral[i] / float64(len(w.lateral))
		sub.Sets[0].Values[i], sub.Sets[1].Values[i] = fmt.Sprintf("%.2f", w.lateral[i]), fmt.Sprintf("%.2f", w.radial[i])
		sub.Sets[3+i%2].Values[i/2] = fmt.Sprintf("%.0f", w.tension[i])
	}
	sub.Sets[2].Values = []string{fmt.Sprintf("%.2f", 67.5-dish), fmt.Sprintf("%.2f", 67.5+dish)}
	out, err := p.Shop.Capture.Record(p.Context(), p.Shop.Operator, sub, sub.FinishedAt)
	p.Shop.Must(err)
	p.Shop.Must(truing.New(p.Shop.Store, p.Shop.Clock).Compare(p.Context(), p.Shop.Operator, out.Inspection.ID))
	return out.Inspection.ID
}

// runs runs a script in the page.
func (p *Person) runs(script string) {
	p.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](script))
}

// Two tablets before one list: each hears what the other turned, a step turned
// twice is said, and Back asks before it takes another's step back.
func TestTwoTabletsOnOneList(t *testing.T) {
	one := sitDown(t, 1024, 768)
	one.signIn()
	list := one.toTurnsOf(one.outOfTrue(0.6))
	step := func(k int) string { return fmt.Sprintf("Step %d of %d", k, len(list.Short.Turns)) }
	two := one.beside(390, 844)
	two.signInAs("inspector")
	two.open("/stand?turns=" + list.Inspection)
	two.sees("#turns .t-now", step(1))
	one.turnsOne(kb.F8, step(2))
	two.sees("#turns .t-now", step(2))
	two.sees("#turns .t-said", "Step 1 made by ")
	two.picture("heard")
	two.accessible("heard from another tablet")

	// Both turn step 2 before the second hears of the first.
	two.runs(`(() => { const f = window.fetch; window.fetch = (u, o) => (String(u).endsWith('/turns') ? new Promise(() => {}) : f(u, o)); })()`)
	one.turnsOne(kb.F8, step(3))
	one.sees("#line", "all sent")
	two.turnsOne(kb.F8, step(3))
	two.sees("#turns .t-said", "Step 2 was made already by ")
	two.sees("#turns .t-said", "turn it back by as much")
	two.picture("made already")
	two.forGloves("made already")

	two.do(chromedp.Sleep(bounce))
	two.tabTo("Back")
	two.presses(kb.Enter)
	two.sees("#turns .t-said", "Press Back again")
	two.picture("not yours")
	if got := one.sheet().turned(); got != 2 {
		t.Errorf("the office has %d turns after the question, want 2: nothing is taken back by one press", got)
	}
	two.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	two.sees("#turns .t-said", "Taken back")
	one.sees("#turns .t-said", "Step 2 taken back")
	one.sees("#turns .t-now", step(2))
	one.picture("taken back elsewhere")
}

// A list whose wheel was read again elsewhere is closed: it says so, is not
// offered as begun any more, and leads to the newest list.
func TestAListClosedElsewhere(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	w := p.outOfTrue(1)
	list := p.toTurnsOf(w)
	for k := range 3 {
		p.turnsOne(kb.F8, fmt.Sprintf("Step %d of %d", k+2, len(list.Short.Turns)))
	}
	p.sees("#line", "all sent")
	made := make([]float64, list.Holes)
	for _, turn := range list.Short.Turns[:3] {
		made[turn.Spoke] += turn.Turns
	}
	w.turn(p, made)
	second := p.recorded(w)
	p.Shop.Now = p.Shop.Now.Add(time.Minute) // what is pressed now comes after those readings
	p.presses(kb.F8)
	p.sees("#turns h1", "This list is closed")
	p.sees("#turns", "3 of its")
	p.picture("closed")
	p.accessible("closed")
	p.forGloves("closed")
	p.do(chromedp.EmulateViewport(390, 844), chromedp.Sleep(bounce))
	p.picture("closed-phone")
	p.do(chromedp.EmulateViewport(1024, 768), chromedp.Sleep(bounce))
	if at := ask[string](p, `document.activeElement.dataset.name`); at != "newest" {
		t.Errorf("the focus stands on %q, want newest", at)
	}
	p.presses(kb.Enter)
	p.sees("#turns h1", "Turn ")
	if got := p.sheet(); got.Inspection != second || got.State != "ready" {
		t.Errorf("the newest list is %s of %s, want ready of %s", got.State, got.Inspection, second)
	}
	p.open("/stand")
	p.sees("#list", "No inspection is begun")
	p.types(w.serial)
	p.sees("#ask", "highest")
}

// The office answers 503 to the ticks and takes readings: the readings wait for
// the ticks before them, and the comparison is of what was turned.
func TestReadingsWaitForTicksOfABusyOffice(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	w := p.outOfTrue(0.6)
	list := p.toTurnsOf(w)
	p.runs(`(() => { const f = window.fetch; window.busy = true; window.fetch = (u, o) => (window.busy && o?.method === 'PUT' && String(u).includes('/turns/') ? Promise.resolve(new Response('{}', {status: 503})) : f(u, o)); })()`)
	p.worksOff(list)
	w.turn(p, list.made(0))
	p.reads(w)
	p.sees("#last", "Judged when the office answers")
	p.sees("#line", "waiting")
	p.runs(`window.busy = false; dispatchEvent(new Event('online'))`)
	p.sees("#last", "Passes")
	l, err := p.Shop.Store.TurnList(t.Context(), list.Inspection)
	p.Shop.Must(err)
	done, err := p.Shop.Store.TurnsDone(t.Context(), l.ID)
	p.Shop.Must(err)
	if len(done) != len(list.Short.Turns) {
		t.Errorf("%d turns are on record, want all %d before the readings", len(done), len(list.Short.Turns))
	}
}
