package webtest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tracewright/models"
)

// A block model with a long name and packs of eight 6 V blocks: no page of theirs
// scrolls sideways, as a whole or in a part of it.
func TestLongNamesAndManyBlocks(t *testing.T) {
	for _, size := range []struct {
		name          string
		width, height int64
	}{{"tablet", 1024, 768}, {"phone", 390, 844}} {
		t.Run(size.name, func(t *testing.T) {
			p := sitDown(t, size.width, size.height)
			id := func(answer object, of string) string { return answer[of].(object)["id"].(string) }
			family := p.made("/families", object{"kind": "block", "name": "Six volt monoblocs for cargo trikes and wheelchairs"})
			name := "Ferrand Ostberg Traction Monobloc 6-225 Deep Cycle, low maintenance"
			model := id(p.made("/products", object{"family": id(family, "family"), "name": name, "form": object{"block": object{"supplier": "Ferrand Ostberg", "model": "Traction Monobloc 6-225 Deep Cycle", "chemistry": "agm", "cells": 3, "capacity_ah": "12", "rate": "C20", "resistance_method": "ac_1khz"}}}), "product")
			p.made("/lots", object{"code": "BL-2026-11-WAREHOUSE-0417", "material": "blocks", "quantity": 24})
			packs := p.made("/families", object{"kind": "pack", "name": "Packs of six volt blocks"})
			form := object{"pack": object{"block_product": model, "strings": 1, "blocks": 8, "nominal_v": "48"}}
			pack := id(p.made("/products", object{"family": id(packs, "family"), "name": "Ferrand Ostberg 48 V of eight for cargo trikes", "form": form}), "product")
			readings := func(stage string, lower int) {
				var rows []any
				for i := range 9 {
					rows = append(rows, object{"id": models.NewID(), "number": fmt.Sprintf("FO6225-2026-%06d", 104417+i), "voltage": fmt.Sprintf("6.%d", 450+i-lower), "resistance": fmt.Sprintf("6.%d", 70+i)})
				}
				p.made("/blocks/readings", object{"model": model, "lot": "BL-2026-11-WAREHOUSE-0417", "stage": stage, "measured_at": p.Shop.Now.Format("2006-01-02T15:04:05Z"), "rest_hours": "72", "temperature_c": "25", "method": "ac_1khz",
					"gauges": object{"voltage": "V-1", "resistance": "R-1", "temperature": "H-1"}, "rows": rows})
			}
			readings("incoming", 0)
			p.signIn()
			var numbers []any
			for i := range 8 {
				numbers = append(numbers, fmt.Sprintf("FO6225-2026-%06d", 104417+i))
			}
			match := p.made("/matches/picked", object{"product": pack, "packs": []any{numbers}, "in_place": true})
			fits := func(path string) {
				t.Helper()
				p.open(path)
				p.picture(strings.ReplaceAll(path, "/", " "))
				if wide := ask[[]string](p, sideways); len(wide) > 0 {
					t.Errorf("%s scrolls sideways: %v", path, wide)
				}
			}
			fits("/blocks")
			fits("/blocks/lots/BL-2026-11-WAREHOUSE-0417")
			fits("/match")
			fits("/match/pick?product=" + pack)
			fits("/match/" + match["id"].(string))
			p.do(chromedp.Click(".keep"))
			p.sees(".scan", "To the bench")
			serial := p.text(".made a")
			fits("/bench?serial=" + serial)
			p.tool("readings")
			p.sees("#ask", "how long")
			p.types("26")
			p.presses("n")
			p.types("0", "24.1", "6.451", "6.452")
			p.picture("reading")
			if rim := p.text("#rim"); strings.Contains(rim, "under") { // a block of 6 V ships from 6.35 V on, common practice
				t.Errorf("6.45 V a block is a fault: %s", rim)
			}
			if boxed := ask[[]string](p, spilling); len(boxed) > 0 {
				t.Errorf("wider than their blocks: %v", boxed)
			}
			fits("/items/" + serial)
			fits("/shelf")
			fits("/blocks/in?model=" + model)
		})
	}
}

// spilling names the values that are wider than the block they stand in.
const spilling = `(() => { const width = Math.min(...[...document.querySelectorAll('#rim rect[rx]')].map((r) => r.getBoundingClientRect().width));
	return [...document.querySelectorAll('#rim text')].filter((e) => /^[0-9]*[.][0-9]+$/.test(e.textContent) && e.getBoundingClientRect().width > width).map((e) => e.textContent); })()`

// sideways names what is wider than the place it has and scrolls.
const sideways = `[document.documentElement, ...document.querySelectorAll('main *')].filter((e) => e.scrollWidth > e.clientWidth + 1 && (e === document.documentElement || ['auto', 'scroll'].includes(getComputedStyle(e).overflowX)) && e.checkVisibility())
	.map((e) => e.tagName + '.' + e.className + '#' + e.id + ' ' + e.scrollWidth + ' of ' + e.clientWidth)`
