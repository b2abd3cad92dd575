package webtest

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/models/work/receive"
)

// Two tablets at once: each measures a wheel of its own, then the second takes
// the first one's next wheel over. Nothing of either is lost or mixed up.
func TestTwoTablets(t *testing.T) {
	one := sitDown(t, 1024, 768)
	two := one.beside(1024, 768)
	one.signIn()
	two.signInAs("inspector")
	first := one.Shop.Serial[models.KindWheel]
	made, err := one.Shop.App.Services.Receive.MakeItem(t.Context(), one.Shop.Owner, receive.NewItem{ProductID: *one.Shop.Item[models.KindWheel].ProductID})
	one.Shop.Must(err)
	second := *made.Serial

	one.open("/stand?serial=" + first)
	two.open("/stand?serial=" + second)
	one.sees("#ask", "highest")
	two.sees("#ask", "highest")
	for _, line := range goodWheel { // entry by entry, in turn
		one.types(line)
		two.types(line)
	}
	for _, p := range []*Person{one, two} {
		p.sees("#ask", "Ticked list")
		p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
		p.sees("#last", "Passes")
	}
	people := map[string]string{one.Shop.Item[models.KindWheel].ID: "operator", made.ID: "inspector"}
	for id, who := range people {
		stored, err := one.Shop.Store.InspectionsOf(t.Context(), id)
		one.Shop.Must(err)
		if len(stored) != 1 || stored[0].PersonID != one.Shop.People[who].ID {
			t.Errorf("%d inspections of %s's wheel, want one by the %s: %+v", len(stored), who, who, stored)
		}
	}

	// Both come to one wheel, later by the shop's clock.
	one.Shop.Now = time.Now().UTC()
	one.types(second[len(second)-5:])
	one.sees("#ask", "highest")
	one.types("0.13", "9")
	one.sees("#line", "saved")
	two.types(second[len(second)-5:])
	two.sees("#list", "The operator has this wheel open")
	two.picture("open-elsewhere")
	two.types("1")
	two.sees("#ask", "lowest")
	two.types("-0.09", "28")
	two.sees("#line", "saved")
	one.types("-0.05")
	one.sees("#list", "Taken over by The inspector")
	one.picture("taken-over")
	one.types("2") // leave it
	one.sees("#hint", "its last 5")
	two.types(goodWheel[4:]...)
	two.sees("#ask", "Ticked list")
	two.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	two.sees("#last", "Passes")
	stored, err := one.Shop.Store.InspectionsOf(t.Context(), made.ID)
	one.Shop.Must(err)
	if len(stored) != 2 {
		t.Fatalf("%d inspections of the second wheel, want its first and the recheck", len(stored))
	}
	view, err := one.Shop.Store.InspectionView(t.Context(), stored[0].ID)
	one.Shop.Must(err)
	for _, set := range view.Sets {
		if set.Code == "lateral_runout" && (len(set.Values) != 2 || set.Values[0] != "0.13" || set.Values[1] != "-0.09") {
			t.Errorf("lateral %v, want the first tablet's highest and the second's lowest", set.Values)
		}
	}
}

// The server goes away in the middle of a pack: it is read to its end, kept,
// and sent once when the server is back.
func TestBenchWhileTheServerIsAway(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	p.comesToTheReadings()
	p.types("0", "23.5", "12.88")
	p.sees("#line", "saved")
	p.workerTakesOver()

	p.away.Store(true)
	p.types("12.86")
	p.sees("#line", "kept on this tablet")
	p.do(chromedp.Reload())
	p.sees("#ask", "3")
	p.types("12.91", "14.1")
	p.sees("#list", "How is resistance measured")
	p.types("1", "14.6", "13.9", "38.650")
	p.sees("#ask", "Ticked list")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#last", "Judged when the office answers")
	p.sees("#line", "1 waiting")
	p.picture("waiting")
	if n := p.Shop.Count(p.Shop.Item[models.KindPack].ID); n != 0 {
		t.Fatalf("%d inspections while the server is away", n)
	}
	p.away.Store(false)
	p.misses("#line", "waiting")
	stored, err := p.Shop.Store.InspectionsOf(t.Context(), p.Shop.Item[models.KindPack].ID)
	p.Shop.Must(err)
	if len(stored) != 1 || stored[0].Verdict != models.VerdictPass {
		t.Fatalf("stored: %+v, want one inspection that passes", stored)
	}
}
