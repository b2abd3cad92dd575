package webtest

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"tracewright/models"
)

// The lot of a pack's blocks is one that was received; what was answered stands
// after a reload; and a pack that was read before opens where it stands, also
// while the office does not answer.
func TestWhatTheBenchKnowsAgain(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.blocksOf("k-1")
	p.made("/lots", object{"code": "BL-31", "material": "blocks", "quantity": 8})
	p.made("/lots", object{"code": "SP-31", "material": "spokes", "quantity": 800})
	serial, read := p.packOf(1, 2), p.packOf(1, 1)
	p.fits(read, "k-1")
	p.signIn()

	p.open("/bench?serial=" + serial)
	p.sees("#ask", "block")
	p.enters(2) // no numbers
	p.sees("#ask", "lot")
	p.types("BL-99")
	p.sees("#last", "No lot has the code BL-99")
	p.sees("#ask", "lot")
	p.types("SP-31")
	p.sees("#last", "SP-31 is a lot of spokes")
	p.types("bl-31")
	p.sees("#rim", "BL-31")
	p.sees("#ask", "Blocks joined")

	p.tool("readings")
	p.sees("#ask", "how long")
	p.types("26")
	p.sees("#ask", "charger")
	p.presses("n")
	p.sees("#ask", "ampere")
	p.sees("#line", "saved")
	p.do(chromedp.Reload())
	p.sees("#last", "Taken up")
	p.sees("#ask", "ampere")

	p.open("/bench?serial=" + read)
	p.sees("#ask", "how long")
	p.workerTakesOver()
	p.away.Store(true)
	p.open("/bench?serial=" + read)
	p.sees("#ask", "how long")
	p.sees("#last", "judged it")
}

// A block that lies in its place of an open match is not taken without a word.
func TestABlockOfAnOpenMatchIsAskedAbout(t *testing.T) {
	p := sitDown(t, 1024, 768)
	model, pack := p.blockModel()
	p.cameIn(model, 5)
	p.made("/matches/picked", object{"product": pack, "packs": []any{[]any{"H12-1", "H12-2", "H12-3", "H12-4"}}, "in_place": true})
	serial, _ := p.made("/items", object{"product": pack})["serial"].(string)
	p.signIn()
	p.open("/bench?serial=" + serial)
	p.sees("#ask", "block")
	p.types("H12-2")
	p.sees("#list", "H12-2 lies in its place of a match that is not kept yet")
	p.picture("of a match")
	p.types("1")
	p.sees("#last", "It stays in its match")
	p.types("H12-5") // of none
	p.sees("#last", "Taken")
	p.types("h12-2")
	p.sees("#list", "Is it taken all the same?")
	p.types("2")
	p.sees("#rim", "H12-2")
}

// A block that the stock would not offer is asked about, and taken with a reason,
// which goes to the office with its number.
func TestABlockThatTheStockWouldNotOffer(t *testing.T) {
	for _, size := range [][2]int64{{1024, 768}, {390, 844}} {
		t.Run(fmt.Sprint(size[0]), func(t *testing.T) {
			p := sitDown(t, size[0], size[1])
			model, pack := p.blockModel()
			p.cameIn(model, 5)
			p.made("/blocks/readings", object{"model": model, "lot": "BL-1", "stage": "incoming", "measured_at": p.Shop.Now.Format("2006-01-02T15:04:05Z"), "rest_hours": "72", "temperature_c": "25", "method": "ac_1khz",
				"gauges": object{"voltage": "V-1", "resistance": "R-1", "temperature": "H-1"}, "rows": []any{object{"id": models.NewID(), "number": "H12-9", "voltage": "12.20", "resistance": "14.2"}}})
			serial, _ := p.made("/items", object{"product": pack})["serial"].(string)
			p.signIn()
			p.open("/bench?serial=" + serial)
			p.sees("#ask", "block")
			p.types("H12-9")
			p.sees("#list", "H12-9")
			p.picture("against")
			p.accessible("a block the stock would not offer")
			p.forGloves("a block the stock would not offer")
			p.types("1")
			p.sees("#last", "It stays out of this pack")
			p.types("H12-9")
			p.sees("#list", "Another block")
			p.types("2")
			p.sees("#last", "H12-9")
			var sent []models.SentPart
			for until := time.Now().Add(8 * time.Second); time.Now().Before(until); time.Sleep(25 * time.Millisecond) {
				drafts, err := p.Shop.Capture.Drafts(p.Context())
				p.Shop.Must(err)
				if len(drafts) == 1 {
					if sent = drafts[0].Content.Parts; len(sent) == 1 && sent[0].Reason != "" {
						break
					}
				}
			}
			if len(sent) != 1 || sent[0].Number != "H12-9" || sent[0].Reason != "measured again and sound" {
				t.Errorf("the office has %+v", sent)
			}
		})
	}
}
