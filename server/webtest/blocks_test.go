package webtest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/server/servertest"
)

// blockModel adds a model of block, a lot of it and a pack of four such blocks;
// it gives the keys of model and pack.
func (p *Person) blockModel() (model, pack string) {
	p.Helper()
	id := func(answer object, of string) string { return answer[of].(object)["id"].(string) }
	family := p.made("/families", object{"kind": "block", "name": "Blocks"})
	model = id(p.made("/products", object{"family": id(family, "family"), "name": "Halden 12-12", "form": object{"block": object{"supplier": "Halden", "model": "12-12", "chemistry": "agm", "cells": 6, "capacity_ah": "12", "rate": "C20", "resistance_method": "ac_1khz"}}}), "product")
	p.made("/lots", object{"code": "BL-1", "material": "blocks", "quantity": 24})
	form := object{"pack": object{"block_product": model, "strings": 1, "blocks": 4, "nominal_v": "48"}}
	pack = id(p.made("/products", object{"family": *p.Shop.Item[models.KindPack].FamilyID, "name": "Halden 48", "form": form}), "product")
	return model, pack
}

// cameIn takes blocks in by the interface: H12-1, H12-2 and so on, each a little
// other than the one before.
func (p *Person) cameIn(model string, n int) {
	p.Helper()
	var rows []any
	for i := range n {
		rows = append(rows, object{"id": models.NewID(), "number": fmt.Sprintf("H12-%d", i+1), "voltage": fmt.Sprintf("12.%d", 880+3*i), "resistance": fmt.Sprintf("14.%d", 10+7*i)})
	}
	p.made("/blocks/readings", object{"model": model, "lot": "BL-1", "stage": "incoming", "measured_at": p.Shop.Now.Format("2006-01-02T15:04:05Z"), "rest_hours": "72", "temperature_c": "25", "method": "ac_1khz",
		"gauges": object{"voltage": "V-1", "resistance": "R-1", "temperature": "H-1"}, "rows": rows})
}

// Blocks come in: one by the scanner, the others typed; a milliohm that may be an
// ohm is asked about and never converted, a reversed block keeps its minus, and
// what is read while the office is away is sent when it is back.
func TestBlocksComeInByScannerAndByKeyboard(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.blockModel()
	p.signIn()
	p.tabTo("Blocks")
	p.presses(kb.Enter)
	p.sees("h1", "No loose block")
	p.tabTo("Take blocks in")
	p.presses(kb.Enter)
	p.sees("dialog[open]", "What holds for all of them")
	p.accessible("what holds for all blocks")
	p.presses("72")
	p.tabTo("Temperature")
	p.types("77 F")
	p.sees("dialog[open]", "F is not a unit")
	ask[string](p, `document.querySelector('#in-temperature').value = ""`)
	p.types("23")
	p.sees("#ask", "number")
	p.picture("empty")

	p.types("]C0H12-1", "12.880", "14.2")
	p.sees("#rim", "H12-1")
	p.sees("#rim", "Passes")
	p.types("H12-1")
	p.sees("#last", "taken a moment ago")
	// What fits no unit goes to the office, which refuses it; read again it stands.
	p.types("H12-5", "12.861", "2.5")
	p.sees("#rim", "Not taken in")
	p.sees("#rim", "outside the window")
	p.picture("refused")
	p.do(chromedp.Click(".came-keys .key"))
	p.sees("#rim", "Fails")
	p.types("H12-2", "12,87", "0.0140")
	p.sees("#list", "Ω? It would be 14")
	p.picture("which unit")
	p.types("1")
	p.sees("#third", "3 taken")
	p.types("H12-3", "-12.88", "0.0141")
	p.sees("#rim", "reversed or dead")
	p.away.Store(true)
	p.types("H12-4", "12.861")
	p.types("]C0H12-9")
	p.sees("#last", "That is a scan")
	p.types("0.0143")
	p.sees("#line", "1 waiting")
	p.away.Store(false)
	p.sees("#line", "all sent")
	p.sees("#third", "5 taken")
	p.tabTo("No number")
	p.presses(kb.Enter)
	p.types("12.870", "0.0145")
	p.sees("#third", "6 taken")
	p.tabTo("Only count")
	p.presses(kb.Enter)
	p.sees("#ask", "How many")
	p.types("3")
	p.sees("#third", "9 taken")
	p.sees("#rim", " to B")
	p.picture("taken")
	p.accessible("blocks in")
	p.forGloves("blocks in")

	items, err := p.Shop.Store.BlocksNumbered(t.Context(), "Halden", "12-12", []string{"H12-1", "H12-2", "H12-3", "H12-4"})
	p.Shop.Must(err)
	if len(items) != 4 {
		t.Fatalf("%d blocks came in, want 4", len(items))
	}
	want := map[string][3]string{"H12-1": {"12.880", "14.2", "mohm"}, "H12-2": {"12,87", "0.0140", "ohm"}, "H12-3": {"-12.88", "0.0141", "ohm"}, "H12-4": {"12.861", "0.0143", "ohm"}}
	for _, item := range items {
		list, err := p.Shop.Store.InspectionsOf(t.Context(), item.ID)
		p.Shop.Must(err)
		if len(list) != 1 {
			t.Errorf("%s has %d inspections", *item.MakerNumber, len(list))
			continue
		}
		v, err := p.Shop.Store.InspectionView(t.Context(), list[0].ID)
		p.Shop.Must(err)
		var got [3]string
		for _, set := range v.Sets {
			switch set.Code {
			case "block_voltage":
				got[0] = set.Values[0]
			case "block_resistance":
				got[1], got[2] = set.Values[0], set.Unit
			}
		}
		if got != want[*item.MakerNumber] {
			t.Errorf("%s was read as %v, want %v", *item.MakerNumber, got, want[*item.MakerNumber])
		}
	}
}

// The office goes away while blocks come in, on a phone: the page is opened again
// from the tablet, knows how the sitting was set up and what waits, and each
// block is sent once.
func TestBlocksWhileTheServerIsAway(t *testing.T) {
	p := sitDown(t, 390, 844)
	model, _ := p.blockModel()
	p.signIn()
	p.open("/blocks/in?model=" + model)
	p.sees("dialog[open]", "What holds for all of them")
	p.forGloves("what holds for all blocks")
	p.presses("72")
	p.tabTo("Temperature")
	p.types("23")
	p.sees("#ask", "number")
	p.workerTakesOver()
	p.away.Store(true)
	p.types("H12-1", "12.880", "14.2")
	p.sees("#line", "1 waiting")
	p.do(chromedp.Reload())
	p.sees("#line", "1 waiting")
	p.sees("#rim", "Waits")
	p.sees("#ask", "number")
	p.do(chromedp.Focus("#capture"))
	p.types("H12-2", "12.870", "14.1")
	p.sees("#line", "2 waiting")
	p.picture("waiting")
	p.accessible("blocks waiting")
	p.forGloves("blocks waiting")
	if ask[bool](p, `document.documentElement.scrollWidth > document.documentElement.clientWidth`) {
		t.Error("the page scrolls sideways")
	}
	p.away.Store(false)
	p.sees("#line", "all sent")
	p.sees("#rim", "Passes")
	items, err := p.Shop.Store.BlocksNumbered(t.Context(), "Halden", "12-12", []string{"H12-1", "H12-2"})
	p.Shop.Must(err)
	if len(items) != 2 {
		t.Fatalf("%d blocks came in, want 2", len(items))
	}
	for _, item := range items {
		if n := p.Shop.Count(item.ID); n != 1 {
			t.Errorf("%s has %d inspections", *item.MakerNumber, n)
		}
	}
}

// A proposal, confirmed block by block: a wrong block and one that is set aside
// are refused and the place still waits; kept, its pack and blocks are known at
// the bench.
func TestAProposalIsConfirmedBlockByBlock(t *testing.T) {
	p := sitDown(t, 1024, 768)
	model, _ := p.blockModel()
	p.cameIn(model, 6)
	p.signIn()
	p.open("/blocks")
	p.sees("h1", "6 of 6 blocks")
	p.accessible("the stock")
	p.open("/blocks/lots/BL-1")
	p.sees("main", "two readings")
	p.accessible("a lot of blocks")
	p.open("/blocks")
	p.tabTo("Match into packs")
	p.presses(kb.Enter)
	p.sees("h1", "Which packs")
	p.tabTo("Propose packs")
	p.presses(kb.Enter)
	p.sees(".ans", "One pack of four, two left")
	p.sees("h1", "Scan for pack 1, position 1")
	p.accessible("a proposal")
	p.forGloves("a proposal")

	// One of those left over is set aside by somebody else meanwhile.
	left := ask[string](p, `document.querySelector('.mfoot p').textContent.match(/H12-\d/)[0]`)
	p.Shop.Do(t, servertest.Row{Who: servertest.Inspector, Path: "/api/v1/blocks/set-aside", Body: object{"blocks": []any{left}, "code": "damaged"}})
	p.types(left)
	p.sees("#last", "Set aside: damaged")
	p.picture("refused")
	p.tabTo("Other block: say why")
	p.presses(kb.Enter)
	p.tabTo("The block that is taken")
	p.presses(left)
	p.tabTo("Why it is taken instead")
	p.types("the other one fell")
	for range 80 { // the answer gives the focus back to the field
		if ask[bool](p, `document.activeElement.id === 'block'`) {
			break
		}
		p.do(chromedp.Sleep(bounce / 4))
	}
	p.sees("#last", "cannot go in")

	for n := range 4 {
		p.sees("h1", fmt.Sprintf("position %d", n+1))
		expected := p.text(".now-n b")
		p.do(chromedp.Focus("#block"))
		if n == 2 {
			expected = "]C0" + expected
		}
		p.types(expected)
		p.sees("#last", fmt.Sprintf("%d of 4 scanned", n+1))
	}
	p.sees("h1", "All scanned")
	p.picture("all scanned")
	p.accessible("all scanned")
	last := p.text(".last .got")
	p.types(last) // a scan ends with Enter: it makes no pack
	p.sees("#last", last+" lies in its place already")
	p.sees("h1", "All scanned")
	p.picture("scanned twice")
	p.open(ask[string](p, `location.pathname`)) // as where the page is opened so
	p.sees("h1", "All scanned")
	p.types(last)
	p.sees("#last", last+" lies in its place already")
	p.tabTo("Keep the pack")
	p.presses(kb.Enter)
	p.sees(".scan", "To the bench")
	p.picture("kept")
	p.tabTo("To the bench")
	p.presses(kb.Enter)
	p.sees("#ask", "Blocks joined") // no block is asked for: all four are known
	if drawn := ask[string](p, `document.querySelector('#rim').textContent`); !strings.Contains(drawn, "H12-1") || !strings.Contains(drawn, "H12-4") {
		t.Errorf("the bench does not know the blocks: %s", drawn)
	}
	p.picture("at the bench")
}

// Blocks picked by hand: the spread is said as they are picked, and one that is
// set aside is refused.
func TestBlocksPickedByHand(t *testing.T) {
	p := sitDown(t, 390, 844)
	model, pack := p.blockModel()
	p.cameIn(model, 6)
	p.signIn()
	p.open("/blocks/set-aside?block=" + p.block("H12-6"))
	p.sees("h1", "Set aside")
	p.do(chromedp.SetValue("#code", "damaged"), chromedp.Click("form[method=post] .first"))
	p.sees("body", "into no pack until released")
	p.open("/match/pick?product=" + pack)
	p.sees("h1", "0 of 4 picked")
	p.awaits("block")
	p.types("H12-6")
	p.sees("main", "H12-6 cannot go in")
	p.picture("refused")
	p.do(chromedp.Focus("#block"))
	p.types("h12-1")
	p.sees("h1", "1 of 4 picked")
	p.do(chromedp.Focus("#block"))
	p.types("]C0H12-5")
	p.sees("h1", "2 of 4 picked")
	p.sees("main", "12\u00a0mV") // 12.880 and 12.892 V
	p.accessible("picking by hand")
	p.do(chromedp.Focus("#block"))
	p.types("H12-2")
	p.sees("h1", "3 of 4 picked")
	p.do(chromedp.Focus("#block"))
	p.types("H12-3")
	p.sees("h1", "4 of 4 picked")
	p.picture("picked")
	p.do(chromedp.Click("[name=placed][value=yes]"))
	p.sees("h1", "All scanned")
	p.do(chromedp.Focus(".keep"))
	p.presses(kb.Enter)
	p.sees(".scan", "To the bench")
	p.picture("kept")
	p.forGloves("kept")
	if ask[bool](p, `document.documentElement.scrollWidth > document.documentElement.clientWidth`) {
		t.Error("the page scrolls sideways")
	}
}

// block is the key of a block by its maker's number.
func (p *Person) block(number string) string {
	p.Helper()
	items, err := p.Shop.Store.ItemsByMakerNumber(p.Context(), number, 2)
	p.Shop.Must(err)
	if len(items) != 1 {
		p.Fatalf("%d blocks have the number %s", len(items), number)
	}
	return items[0].ID
}
