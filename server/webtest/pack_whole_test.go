package webtest

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// A pack of four from its blocks as they arrive to its certificate, once with
// scanner and the bursts of meters and once with a keyboard alone: taken in,
// matched, confirmed into place, built, charged, rested overnight, read, released.
// The fifth block, far from the others, is left.
func TestAPackFromArrivalToCertificate(t *testing.T) {
	for name, hand := range map[string]struct{ scan, volts, ohms, amps string }{
		"by scanner and meter": {"]C0", " V", " mOhm", " A"},
		"by keyboard":          {},
	} {
		t.Run(name, func(t *testing.T) {
			p := sitDown(t, 1024, 768)
			now := p.earlier(aDay)
			p.blockModel()
			p.signIn()
			p.tabTo("Blocks")
			p.presses(kb.Enter)
			p.sees("h1", "No loose block")
			p.tabTo("Take blocks in")
			p.presses(kb.Enter)
			p.sees("dialog[open]", "What holds for all of them")
			p.do(chromedp.Focus("#in-lot"))
			p.types(hand.scan + "BL-1")
			p.sees("dialog[open]", "how long they rested")
			p.presses("72")
			p.tabTo("Temperature")
			p.types("23")
			for i, volts := range []string{"12.871", "12.958", "12.866", "12.884", "12.878"} {
				p.sees("#ask", "number")
				p.types(fmt.Sprint(hand.scan, "H12-", i+1), volts+hand.volts, fmt.Sprint("14.1", i)+hand.ohms)
				p.sees("#third", fmt.Sprint(i+1, " taken"))
			}
			p.sees("#line", "all sent")

			p.open("/blocks")
			p.sees("h1", "5 of 5 blocks")
			p.tabTo("Match into packs")
			p.presses(kb.Enter)
			p.tabTo("Propose packs")
			p.presses(kb.Enter)
			p.sees(".ans", "One pack of four, one left")
			p.sees(".mfoot", "H12-2")
			for n := range 4 {
				p.sees("h1", fmt.Sprint("position ", n+1))
				expected := p.text(".now-n b")
				p.do(chromedp.Focus("#block"))
				p.types(hand.scan + expected)
			}
			p.sees("h1", "All scanned")
			p.tabTo("Keep the pack")
			p.presses(kb.Enter)
			p.sees(".scan", "To the bench")
			p.tabTo("To the bench")
			p.presses(kb.Enter)

			p.sees("#ask", "Blocks joined")
			p.enters(6)
			p.sees("#third", "No charge recorded")
			p.types("CH-2")
			p.sees("#ask", "Off the")
			p.offAtOnce("0.19" + hand.amps)
			p.sees("#ask", "Rests")
			p.sees("#line", "saved")

			now() // The next day.
			into, err := p.Shop.Store.FittedInto(t.Context(), p.block("H12-1"))
			p.Shop.Must(err)
			pack, err := p.Shop.Store.Item(t.Context(), into[0].ItemID)
			p.Shop.Must(err)
			p.signIn()
			p.open("/bench?serial=" + *pack.Serial)
			p.sees("#ask", "how long")
			p.enters(1) // by the record
			p.sees("#ask", "charger")
			p.presses("n")
			p.types("0", "23.4")
			for _, volts := range []string{"12.901", "12.898", "12.904", "12.907"} {
				p.types(volts + hand.volts)
			}
			for _, ohms := range []string{"14.05", "14.12", "14.16", "14.09"} {
				p.types(ohms + hand.ohms)
			}
			p.types("51.611" + hand.volts)
			p.sees("#ask", "Ticked list")
			p.enters(1)
			p.sees("#last", "Passes")
			p.release()

			parts, err := p.Shop.Store.Parts(t.Context(), pack.ID)
			p.Shop.Must(err)
			blocks, of := 0, 0
			for _, f := range models.Present(parts) {
				if f.PartID != nil {
					blocks++
				} else if f.LotID != nil {
					of += f.Quantity
				}
			}
			if blocks != 4 || of != 4 {
				t.Errorf("%d blocks and %d of their lot in the pack, want 4 and 4", blocks, of)
			}
		})
	}
}
