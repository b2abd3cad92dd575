package webtest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// How the gauge in hand stands is read whole beside the state of the wheel, though
// its name is long and two lines say what is open.
func TestTheGaugeInHandIsReadWhole(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.made("/instruments", object{"code": "L-21", "kind": "dial", "name": "Dial indicator, stand 1", "unit": "mm", "range_low": "-5", "range_high": "5", "resolution": "0.01", "uncertainty": "0.02", "calibrated_on": "2026-01-10", "due_on": "2031-12-01"})
	p.signIn()
	p.toStand(p.Shop.Serial["wheel"])
	p.types("0.13", "9", "-0.09", "28")
	p.do(chromedp.Click(".pick"))
	p.sees("#list", "L-21")
	ask[bool](p, `([...document.querySelectorAll('#list button')].find((e) => e.textContent.includes('L-21')).click(), true)`)
	p.sees("#third", "L-21")
	p.sees("#third", "in date to")
	p.picture("gauge")
	cut := `(() => { const at = (e) => e.getBoundingClientRect(); return [...document.querySelectorAll('#third .v-line, #third .change')].filter((e) => at(e).bottom > at(document.querySelector('.top')).bottom).map((e) => e.textContent); })()`
	if out := ask[[]string](p, cut); len(out) > 0 {
		t.Errorf("cut off: %v", out)
	}
	// The line through what was taken back goes through nothing else.
	p.tool("undo")
	p.sees("#last", "Undone")
	p.picture("undone")
	if how := ask[string](p, `getComputedStyle(document.querySelector('#last .unit')).display`); how != "inline-block" {
		t.Errorf("the unit of what was taken back is %s: its line is drawn through the words below it", how)
	}
}
