package webtest

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// A weld under the tip at spoke 3 and a sticker at spoke 5 are masked with their
// reasons, one is taken back; what is sent has no value for the other, and the
// verdict says that it was not judged.
func TestAStationIsMasked(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	p.open("/stand?serial=" + p.Shop.Serial[models.KindWheel])
	p.sees("#ask", "highest")
	p.tabTo("every hole")
	p.presses(kb.Enter)
	p.sees("#ask", "lateral at spoke")
	p.do(chromedp.Sleep(bounce))
	p.types("0.10", "0.11")
	p.sees("#last", "spoke 2")
	p.tool("mask")
	p.sees(".field", "Spoke to mask")
	p.do(chromedp.Sleep(bounce))
	p.presses(kb.Enter) // the one in hand
	p.sees("#list", "Paint or decal")
	p.picture("reasons")
	p.types("1")
	p.sees("#last", "Masked")
	p.sees("#rim", "3 weld")
	p.tool("mask")
	p.types("5", "5")
	p.sees(".field", "What lies there")
	p.types("0.12") // a reading is no reason
	p.sees(".field", "What lies there")
	p.types("sticker of the maker")
	p.sees("#rim", "5 sticker of the maker")
	p.picture("masked")
	p.tool("undo")
	p.sees("#last", "Undone")
	if rim := p.text("#rim"); !strings.Contains(rim, "3 weld") || strings.Contains(rim, "sticker") {
		t.Errorf("the rim still says %q after undo", rim)
	}
	p.tool("mask") // again, to have one of each
	p.types("5", "5", "sticker")
	p.sees("#rim", "5 sticker")
	for i := range 36 {
		if i > 1 && i != 2 && i != 4 {
			p.types(fmt.Sprintf("0.%02d", 10+i%5))
		}
	}
	p.types("0.10")
	p.sees("#ask", "radial at spoke")
	p.sees("#line", "saved")
	drafts, err := p.Shop.Capture.Drafts(t.Context())
	p.Shop.Must(err)
	sets := drafts[0].Content.Sets
	lateral := sets[slices.IndexFunc(sets, func(s models.SentSet) bool { return s.Characteristic == "lateral_runout" })]
	want := []models.Mask{{Index: models.Spoke(2), Reason: models.MaskWeld}, {Index: models.Spoke(4), Reason: models.MaskOther, Note: "sticker"}}
	if !slices.Equal(lateral.Masks, want) || len(lateral.Values) != 35 || slices.Contains(lateral.Index, models.Spoke(2)) {
		t.Errorf("masks %v, %d values at %v; want %v and 35 values", lateral.Masks, len(lateral.Values), lateral.Index, want)
	}
	// A reload goes on with what was masked.
	p.do(chromedp.Reload())
	p.sees("#rim", "5 sticker")
	p.do(chromedp.EmulateViewport(390, 844))
	p.sees("#rim", "3 weld")
	p.picture("phone")
	if wide := ask[int](p, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("on a phone the page is %d px wide", wide)
	}
}

// tool presses one of the keys beside the keypad.
func (p *Person) tool(does string) {
	p.Helper()
	words := map[string]string{"mask": "Mask", "undo": "Undo", "wrong": "Wrong wheel", "readings": "Readings", "taps": "Read taps", "off": "Off charger"}[does]
	p.sees("body", words)
	ask[bool](p, fmt.Sprintf(`([...document.querySelectorAll('.hands button, #under button')].find((e) => e.offsetParent && e.textContent.startsWith(%q)).click(), true)`, words))
}

// Readings of the wrong wheel go to the right one: as the same inspection while
// they wait, as a correction once the office has them.
func TestTheWrongWheel(t *testing.T) {
	for name, away := range map[string]bool{"with the office": false, "while they wait": true} {
		t.Run(name, func(t *testing.T) {
			p := sitDown(t, 1024, 768)
			right := p.Shop.AnotherWheel()
			p.signIn()
			p.open("/stand?serial=" + p.Shop.Serial[models.KindWheel])
			p.sees("#ask", "highest")
			p.away.Store(away)
			p.types("0.13", "9", "-0.09", "28", ".21", "3", "-0.05", "17", "67.4", "67.8", "1085", "1120", "1062", "1011", "1038", "1004")
			p.sees("#ask", "spokes seated")
			p.do(chromedp.Sleep(bounce))
			p.presses(kb.Enter)
			want := map[bool]string{false: "Passes", true: "Saved"}[away]
			p.sees("#last", want)
			if away { // taken back while it waits, it is the draft it was
				p.tool("undo")
				p.sees("#ask", "Ticked list")
				p.do(chromedp.Sleep(bounce))
				p.presses(kb.Enter)
				p.sees("#last", want)
			}
			p.tool("wrong")
			p.sees(".field", "The right serial")
			p.picture("moving")
			p.types(*right.Serial)
			p.sees("#line", map[bool]string{false: "all sent", true: "1 waiting"}[away])
			p.sees(".head", (*right.Serial)[3:8])
			p.picture("moved")
			p.away.Store(false)
			ask[bool](p, `dispatchEvent(new Event('online'))`)
			p.sees("#last", "Passes")
			found, err := p.Shop.Store.InspectionsOf(t.Context(), right.ID)
			p.Shop.Must(err)
			if len(found) != 1 || (found[0].Supersedes != nil) == away {
				t.Errorf("inspections of the right wheel: %+v, want one, a correction: %v", found, !away)
			}
			if item, err := p.Shop.Store.Item(t.Context(), p.Shop.Item[models.KindWheel].ID); err != nil || item.State != models.StateInProcess {
				t.Errorf("the wrong wheel is %s (%v), want in process", item.State, err)
			}
		})
	}
}

// From the item's page the readings move too, with a reason.
func TestReadingsMoveFromTheItemPage(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signInAs("inspector") // of another's readings; everyone moves their own
	sub := p.Shop.Extremes()
	_, err := p.Shop.Record(sub)
	p.Shop.Must(err)
	right := *p.Shop.AnotherWheel().Serial
	p.open("/items/" + sub.Serial)
	ask[bool](p, `([...document.querySelectorAll('a')].find((e) => e.textContent.startsWith('Measured on another one')).click(), true)`)
	p.sees("h1", "another wheel")
	p.picture("move")
	for until := time.Now().Add(8 * time.Second); !ask[bool](p, `document.activeElement?.name === "serial"`); time.Sleep(25 * time.Millisecond) {
		if time.Now().After(until) {
			t.Fatal("the field for the serial has no focus")
		}
	}
	p.types(right) // without a reason
	p.sees("main", "Say why")
	ask[bool](p, `((e) => { e.value = 'two wheels on the rack'; e.form.requestSubmit(); return true; })(document.querySelector('[name=reason]'))`)
	p.sees("body", "moved here and judged")
	p.sees("body", "two wheels on the rack")
	p.picture("moved")
}
