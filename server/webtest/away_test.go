package webtest

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// The server goes away in the middle of a wheel: the page is reloaded from the
// tablet, the wheel is finished, and it is sent once when the server is back.
func TestStandWhileTheServerIsAway(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	serial := p.Shop.Serial[models.KindWheel]
	p.open("/stand?serial=" + serial)
	p.sees("#ask", "highest")
	p.types(goodWheel[:3]...)
	p.sees("#line", "saved")
	p.sees("#ask", "lowest")
	p.workerTakesOver()

	p.away.Store(true)
	p.types(goodWheel[3:6]...)
	p.sees("#line", "kept on this tablet")
	p.do(chromedp.Reload())
	p.sees("#ask", "lowest") // of the radial run-out: what was typed while away is there
	p.sees("#ask", "Radial")
	p.picture("reloaded")
	p.types(goodWheel[6:]...)
	p.sees("#ask", "Ticked list")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#last", "Judged when the office answers")
	p.sees("#line", "1 waiting")
	p.picture("waiting")
	p.do(chromedp.EmulateViewport(390, 844), chromedp.Sleep(bounce))
	p.picture("waiting-phone")
	if ask[bool](p, `document.documentElement.scrollWidth > document.documentElement.clientWidth`) {
		t.Error("at 390 px the page scrolls sideways")
	}
	p.do(chromedp.EmulateViewport(1024, 768))

	// The next wheel is as free: a serial that this tablet has not seen.
	p.types("W31000066")
	p.sees("body", "is not known here")
	p.picture("unknown")
	p.presses(kb.Escape)
	p.do(chromedp.Reload())
	p.sees("#line", "1 waiting")
	if n := p.Shop.Count(p.Shop.Item[models.KindWheel].ID); n != 0 {
		t.Fatalf("%d inspections while the server is away", n)
	}

	p.away.Store(false)
	p.misses("#line", "waiting")
	stored, err := p.Shop.Store.InspectionsOf(t.Context(), p.Shop.Item[models.KindWheel].ID)
	p.Shop.Must(err)
	if len(stored) != 1 || stored[0].Verdict != models.VerdictPass {
		t.Fatalf("stored: %+v, want one inspection that passes", stored)
	}
	view, err := p.Shop.Store.InspectionView(t.Context(), stored[0].ID)
	p.Shop.Must(err)
	for _, set := range view.Sets {
		if want := map[string]int{"lateral_runout": 2, "radial_runout": 2, "dish": 2, "tension_a": 3, "tension_b": 3}[set.Code]; want != 0 && len(set.Values) != want {
			t.Errorf("%s: %d values, want %d", set.Code, len(set.Values), want)
		}
	}
}

// workerTakesOver waits until a reload would be answered from the tablet.
func (p *Person) workerTakesOver() {
	p.Helper()
	until := time.Now().Add(8 * time.Second)
	for !ask[bool](p, `Boolean(navigator.serviceWorker.controller)`) {
		if time.Now().After(until) {
			p.Fatal("no worker took the page over")
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// A wheel is left half read, with the office and without: what was read waits, is
// found again and is set aside only where the office says so.
func TestAHalfReadWheelIsLeft(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	serial := p.Shop.Serial[models.KindWheel]
	tail := serial[len(serial)-5:]
	p.open("/stand?serial=" + serial)
	p.sees("#ask", "highest")
	p.touches("Next wheel")
	p.sees("#ask", "Scan a")
	p.sees("#list", "No inspection is begun") // nothing was read: nothing is asked, and nothing waits

	p.types(tail)
	p.sees("#ask", "highest")
	p.types(goodWheel[:4]...)
	p.sees("#line", "saved")
	p.workerTakesOver()
	p.away.Store(true)
	p.types(goodWheel[4:6]...) // of the radial run-out
	p.sees("#line", "kept on this tablet")
	p.touches("Next wheel")
	p.sees("body", "is half read. What becomes of it?")
	p.picture("asked")
	p.types("2")
	p.sees("#last", "Not set aside")
	p.sees("#last", "The office does not answer. "+ident.Print(serial)+" waits")
	p.sees("#list", "Go on")
	p.picture("not-set-aside")

	p.away.Store(false)
	p.open("/stand")
	p.sees("#list", "Go on")
	p.types(tail)
	p.sees("#ask", "Radial")
	p.sees("#ask", "lowest")
	p.sees("#line", "saved")
	p.touches("Next wheel")
	p.types("1")
	p.sees("#list", "Go on")
	p.touches("Go on")
	p.sees("#ask", "lowest")
	p.touches(ident.Print(serial) + ", leave it") // in the head, where the keys have no room for it too
	p.types("2")
	p.sees("#list", "No inspection is begun")

	// Begun while the office is away, it knows nothing of it: it is listed, and found by its serial.
	p.away.Store(true)
	p.types(tail)
	p.sees("#ask", "highest")
	p.types(goodWheel[:4]...)
	p.sees("#line", "kept on this tablet")
	p.touches("Next wheel")
	p.types("1")
	p.sees("#list", "Go on")
	p.away.Store(false)
	p.open("/stand")
	p.sees("#list", "on this tablet alone")
	p.picture("on-this-tablet")
	p.types(tail)
	p.sees("#ask", "Radial")
	p.sees("#line", "saved")
	drafts, err := p.Shop.Store.OpenDrafts(t.Context())
	p.Shop.Must(err)
	if len(drafts) != 1 {
		t.Errorf("the office has %d drafts open, want the one begun while it was away", len(drafts))
	}
}
