package webtest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// worksOff ticks the whole list by pedal and opens the wheel for its next round.
func (p *Person) worksOff(list sheet) {
	p.Helper()
	n := len(list.Short.Turns)
	for k := 1; k < n; k++ {
		p.turnsOne(kb.F8, fmt.Sprintf("Step %d of %d", k+1, n))
	}
	p.turnsOne(kb.F8, "Every step is made")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
}

// turned is a wheel out of true whose list was worked off, at its next round.
func (p *Person) turned(mm float64) *aWheel {
	p.Helper()
	w := p.outOfTrue(mm)
	list := p.toTurnsOf(w)
	p.worksOff(list)
	w.turn(p, list.made(0))
	return w
}

// The gauge stood on the other flank: every lateral reading is taken again,
// as a correction, and nothing else.
func TestOneSetIsReadAgainAfterAStop(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	w := p.turned(0.6)
	flank := *w
	flank.lateral = make([]float64, len(w.lateral))
	for j, v := range w.lateral {
		flank.lateral[j] = -v
	}
	p.reads(&flank)
	p.sees("#turns h1", "Stop.")
	if at := ask[string](p, `document.activeElement.dataset.name`); at != "other_flank" {
		t.Errorf("the focus stands on %q, want other_flank: that is what was done", at)
	}
	second := p.sheet().Inspection
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#ask", "lateral at spoke")
	p.sees("#sets", "36 of 36") // of the tensions: they are kept
	p.picture("lateral again")
	for _, v := range append(append([]float64{}, w.lateral...), w.lateral[0]) {
		p.types(fmt.Sprintf("%.2f", v))
	}
	p.sees("#last", "Passes")
	view, err := p.Shop.Store.InspectionView(t.Context(), second)
	p.Shop.Must(err)
	if view.Inspection.SupersededBy == nil {
		t.Error("the readings of the other flank are not corrected")
	}
}

// The sides were read the other way round: the page turns them over and sends
// the correction.
func TestSidesAreTurnedOverAfterAStop(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	w := p.turned(0.6)
	over := *w
	over.lateral, over.tension = make([]float64, len(w.lateral)), make([]float64, len(w.tension))
	for j := range w.lateral {
		over.lateral[j], over.tension[j] = -w.lateral[j], w.tension[j^1]
	}
	p.reads(&over)
	p.sees("#turns h1", "Stop.")
	second := p.sheet().Inspection
	p.picture("stop")
	for range 6 {
		if ask[string](p, `document.activeElement.dataset.name`) == "sides_swapped" {
			break
		}
		p.presses(kb.ArrowDown)
	}
	if at := ask[string](p, `document.activeElement.dataset.name`); at != "sides_swapped" {
		t.Fatalf("the arrow keys never come to sides_swapped; they stand on %q", at)
	}
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#last", "Passes")
	p.picture("turned over")
	view, err := p.Shop.Store.InspectionView(t.Context(), second)
	p.Shop.Must(err)
	if view.Inspection.SupersededBy == nil {
		t.Fatal("the swapped readings are not corrected")
	}
	view, err = p.Shop.Store.InspectionView(t.Context(), *view.Inspection.SupersededBy)
	p.Shop.Must(err)
	for _, set := range view.Sets {
		if want := fmt.Sprintf("%.0f", w.tension[0]); set.Code == "tension_a" && set.Values[0] != want {
			t.Errorf("spoke 1 has %s N after the correction, want %s as it truly is", set.Values[0], want)
		}
	}
}

// Readings that contradict the turns: the page stops, shows no verdict, lets
// nothing through by foot, and goes on as the person says.
func TestAStopIsAnswered(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	w := p.outOfTrue(1)
	list := p.toTurnsOf(w)
	p.worksOff(list)
	w.turn(p, list.made(1)) // each on the spoke beside it, which is of the other side
	p.reads(w)
	p.sees("#turns h1", "Stop.")
	p.sees("#turns", "No verdict yet")
	p.picture("stop")
	p.accessible("stop")
	p.forGloves("stop")
	for _, word := range []string{"Passes", "Fails"} {
		if strings.Contains(ask[string](p, `document.querySelector('main').innerText`), word) {
			t.Errorf("%q is shown before anything was chosen", word)
		}
	}
	if at := ask[string](p, `document.activeElement.dataset.name`); at != "wrong_side" {
		t.Errorf("the focus stands on %q, want wrong_side: that is what was done", at)
	}
	p.do(chromedp.KeyEvent(kb.F8), chromedp.Sleep(2*bounce))
	if got := p.sheet(); got.State != "stop" || got.Answered != nil {
		t.Errorf("after the pedal the stop is %s, answered %+v; a foot chooses nothing", got.State, got.Answered)
	}
	p.do(chromedp.Reload())
	p.sees("#turns h1", "Stop.")
	p.do(chromedp.EmulateViewport(390, 844), chromedp.Sleep(bounce))
	p.picture("stop-phone")
	p.accessible("stop on a phone")
	p.forGloves("stop on a phone")
	if ask[bool](p, `document.documentElement.scrollWidth > document.documentElement.clientWidth`) {
		t.Error("at 390 px the stop scrolls sideways")
	}
	p.do(chromedp.EmulateViewport(1024, 768), chromedp.Sleep(bounce))
	p.tabTo("Another wheel")
	p.presses(kb.Enter)
	p.sees("#last", "No verdict")
	p.sees("#ask", "right wheel")
	p.picture("another wheel")
	p.accessible("another wheel")
	p.forGloves("another wheel")
	p.presses(kb.Escape)
	p.sees("#take", "Back to the stop")
	p.presses(kb.Enter)
	p.sees(".turning #turns h1", "Stop.")
	if got := p.sheet(); got.State != "stop" || got.Answered != nil {
		t.Errorf("another wheel was asked about and left: the stop is %s, answered %+v", got.State, got.Answered)
	}
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.misses("#turns", "Stop.")
	p.sees("#turns h1", "Turn ")
	if got := p.sheet(); got.State != "ready" || got.Answered == nil || got.Answered.Cause != "wrong_side" {
		t.Errorf("after the answer: %s, answered %+v", got.State, got.Answered)
	}
	p.picture("new-list")
}
