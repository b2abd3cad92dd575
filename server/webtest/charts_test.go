package webtest

import (
	"context"
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// measured records the first set of another wheel at stand 1, a minute after the
// one before.
func (p *Person) measured(hundredths int) {
	p.Helper()
	h := p.Shop
	item := h.Item[models.KindWheel]
	made, err := h.Store.AddItemWithSerial(p.Context(), models.NewStamp(h.Owner, h.Now), models.Item{ID: models.NewID(), Kind: models.KindWheel, FamilyID: item.FamilyID, ProductID: item.ProductID, Origin: "made"}, "W", 31, nil)
	h.Must(err)
	h.Now = h.Now.Add(time.Minute)
	sub := h.Extremes()
	sub.Serial, sub.Place = *made.Serial, "stand 1"
	sub.Sets[0].Values = []string{fmt.Sprintf("%d.%02d", hundredths/100, hundredths%100), "0.00"}
	h.MustRecord(sub)
}

// watched lets the shop's charts hear of what comes, until the test ends.
func (p *Person) watched() {
	p.Helper()
	ctx, stop := context.WithCancel(context.WithoutCancel(p.Context()))
	done := make(chan struct{})
	go func() { p.Shop.App.Watch(ctx); close(done) }()
	p.Cleanup(func() { stop(); <-done })
}

// charted is the shop with 60 wheels about 0.30 mm, one of them far off.
func (p *Person) charted() (path, api string) {
	p.Helper()
	p.Shop.Now = p.Shop.Now.Add(-3 * time.Hour)
	for i := range 60 {
		x := 30 + []int{0, 4, -3, 1, -5, 3, 2, -2, 5, -4}[i%10]
		if i == 55 {
			x = 190
		}
		p.measured(x)
	}
	query := "?" + url.Values{"family": {*p.Shop.Item[models.KindWheel].FamilyID}, "result": {"lateral_tir"}, "place": {"stand 1"}}.Encode()
	return "/charts" + query, "/api/v1/charts" + query
}

// The owner reads the chart without a mouse: the signal, its cause, a baseline; the
// page's numbers are those of the interface. A wheel that is measured meanwhile
// comes by itself, and a cause that is half typed stays.
func TestTheOwnerReadsAChart(t *testing.T) {
	p := sitDown(t, 1024, 768)
	path, api := p.charted()
	p.watched()
	p.signInAs("owner")
	p.open(path)
	p.sees("h1", "Stand 1 has 1 of the last 20 beyond a limit")
	p.becomes(`document.querySelector("#plot svg") !== null`)
	p.accessible("a chart")
	p.picture("chart")

	// To give a cause leads to the signal, with the field in focus.
	p.do(chromedp.Click("#said .ask"))
	p.becomes(`location.hash === "#code" && document.activeElement?.id === "code" && document.querySelector("#cause")?.getBoundingClientRect().top < innerHeight`)
	p.sees("#cause", "No cause given yet")
	p.becomes(`document.querySelector("#plot svg") !== null`)

	// The numbers: centre and limits under the title, to the digits shown.
	p.becomes(`(window.answer = window.answer ?? fetch(` + "`" + api + "`" + `).then((r) => r.json()).then((j) => window.told = j), window.told !== undefined)`)
	same := `(() => { const p = told.phases.at(-1), v = p.panels[0], t = document.querySelector(".sub").innerText; return [v.centre.at(-1), v.low.at(-1), v.high.at(-1)].every((x) => t.includes(x.toFixed(2))) })()`
	if !ask[bool](p, same) {
		t.Errorf("the page says %q, the interface %s", p.text(".sub"), ask[string](p, `JSON.stringify(told.phases.at(-1).panels[0].high.slice(-1))`))
	}
	if n := ask[int](p, `document.querySelectorAll("#points tbody tr").length - told.points.length`); n != 0 {
		t.Errorf("the table has %d rows more than the interface has points", n)
	}
	if words := ask[string](p, `told.finding.message`); words != p.text("h1") {
		t.Errorf("the title is %q, the interface says %q", p.text("h1"), words)
	}

	// Along the points by keys.
	p.do(chromedp.Focus("#plot"))
	p.presses(kb.End)
	p.sees("#readout", "0.26")
	p.presses(kb.PageUp)
	p.sees("#readout", "1.90")
	p.sees("#readout", "lies above the limit of the process")
	p.presses("+")
	p.presses(kb.ArrowLeft)
	p.sees("#readout", "0.25")
	p.presses("0")
	p.picture("read")

	// A wheel comes while a cause is half typed.
	p.tabTo("In words")
	p.presses("spoke key")
	p.measured(33)
	p.becomes(`document.querySelectorAll("#points tbody tr").length === 61`)
	if kept := ask[string](p, `document.querySelector("#cause-note").value + "|" + document.activeElement.id`); kept != "spoke key|cause-note" {
		t.Errorf("half typed: %q", kept)
	}
	p.do(chromedp.Focus("#code"))
	p.presses("a tool")
	p.tabTo("What was done")
	p.presses("key replaced")
	p.tabTo("Save the cause")
	p.presses(kb.Enter)
	p.sees(".done", "The cause is kept")
	p.sees("h1", "Stand 1 is in control")
	p.sees("#said", "A tool. Spoke key. Key replaced.")

	// A baseline by keys: begin at the first point, end at the fiftieth.
	p.do(chromedp.Focus("#plot"))
	p.presses(kb.Home)
	p.presses("b")
	for range 49 {
		p.presses(kb.ArrowRight)
	}
	p.presses("e")
	p.sees("#readout", "50 points")
	p.do(chromedp.Focus("#note"))
	p.presses("the new stand")
	p.picture("baseline")
	p.accessible("a baseline being chosen")
	p.tabTo("Freeze these limits")
	p.presses(kb.Enter)
	p.sees(".done", "The limits are frozen")
	p.sees("#said", "Baseline of 50 wheels, frozen on")
	baselines, err := p.Shop.Store.ChartBaselines(t.Context(), models.ChartKey{FamilyID: *p.Shop.Item[models.KindWheel].FamilyID, Place: "stand 1", Result: "lateral_tir"})
	p.Shop.Must(err)
	if len(baselines) != 1 || !strings.Contains(baselines[0].Limits, `"n":50`) && !strings.Contains(baselines[0].Limits, `"N":50`) {
		t.Errorf("baselines %+v", baselines)
	}
}

// On a phone, and by mouse: the stretch of a baseline is drawn across the picture.
func TestABaselineIsDrawnOnAPhone(t *testing.T) {
	p := sitDown(t, 390, 844)
	path, _ := p.charted()
	p.signInAs("owner")
	p.open(path)
	p.becomes(`document.querySelector("#plot svg") !== null`)
	p.accessible("a chart on a phone")
	p.picture("phone")
	if wide := ask[int](p, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("the page is %d px wide", wide)
	}
	p.do(chromedp.Click("#baseline summary"), chromedp.Click("#drag button"))
	p.becomes(`document.querySelector("#plot").classList.contains("drawing")`)
	ask[bool](p, `(() => { const plot = document.querySelector("#plot"), box = plot.getBoundingClientRect(); const at = (type, x) => plot.dispatchEvent(new PointerEvent(type, { clientX: box.left + x, clientY: box.top + 150, pointerId: 1, bubbles: true })); plot.setPointerCapture = () => {}; at("pointerdown", 60); at("pointermove", 200); at("pointermove", 260); at("pointerup", 260); return true })()`)
	p.becomes(`document.querySelector("#baseline-first").value !== "" && document.querySelector("#baseline-last").value !== ""`)
	p.picture("drawn")
	p.do(chromedp.Click("#baseline form button"))
	p.sees(".done", "The limits are frozen")

	// What cannot be said comes back in words, with what was typed.
	p.do(chromedp.Click("#happening summary"), chromedp.SetValue("#day", "2099-01-01"), chromedp.SetValue("#words", "roller"))
	p.do(chromedp.Click("#happening form button"))
	p.sees("#happening", "its moment lies ahead")
	if typed := ask[string](p, `document.querySelector("#words").value`); typed != "roller" {
		t.Errorf("typed words came back as %q", typed)
	}
	p.accessible("a refused event")
	p.picture("refused")
}
