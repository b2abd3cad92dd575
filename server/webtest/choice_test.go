package webtest

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/server/servertest"
)

type object = map[string]any

// made posts as the owner and gives the answer.
func (p *Person) made(path string, body object) object {
	p.Helper()
	status, _, answer := p.Shop.Do(p.T, servertest.Row{Who: servertest.Owner, Method: http.MethodPost, Path: "/api/v1" + path, Body: body})
	if status != http.StatusCreated {
		p.Fatalf("%s: status %d: %.300s", path, status, answer)
	}
	return servertest.Decode[object](p.T, answer)
}

// A fresh label of a shop with more products than fit on the page: every one
// has its number, and a reading on its way is not taken for one of them.
func TestAFreshLabelAsksForItsProduct(t *testing.T) {
	p := sitDown(t, 1024, 768)
	wheel := p.Shop.Item[models.KindWheel]
	form := object{"wheel": object{"rim": "R26", "motor": "Norvik R9", "holes": 36, "crossing": 1, "dish_reference": "shoulders", "dish_target": "0"}}
	for i := range 12 { // with "wheel one" of the shop: 13
		p.made("/products", object{"family": *wheel.FamilyID, "name": fmt.Sprintf("Quillet %02d", i+1), "form": form})
	}
	serial, _ := p.made("/rolls", object{"kind": "wheel", "count": 3})["serials"].([]any)[0].(string)
	p.signIn()
	p.open("/stand?serial=" + serial)
	p.sees("#list", "Which product is it?")
	p.sees("#list", "More: 10 to 13")
	p.sees("#list", "of 13")
	p.picture("products")
	if hidden := ask[bool](p, `[...document.querySelectorAll('#list button')].some((b) => b.getBoundingClientRect().bottom > innerHeight)`); hidden {
		t.Error("a key stands below the page's end")
	}
	for _, reading := range []string{"0.13", "-0,09", "1085"} {
		p.types(reading)
		p.sees("#hint", reading+" is not an answer")
		p.sees("#list", "Which product is it?")
	}
	p.presses("1") // not yet: 10, 11, 12 and 13 begin with it
	p.sees("#take", "Quillet 01")
	p.presses("2")
	p.sees("#take", "Quillet 12")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#what", "Quillet 12")
	p.sees("#ask", "highest")
	// What was scanned by mistake is left again.
	p.open("/stand?serial=" + serial)
	p.sees("#list", "Which product is it?")
	p.types("0")
	p.sees("#list", "Quillet 11")
	p.presses(kb.Escape)
	p.misses("#list", "Which product is it?")
	p.sees("#ask", "Scan a")
}

// A pack of two strings on a phone: at every step the entry and its key are in
// reach, and nothing moves.
func TestTwoStringsOnAPhone(t *testing.T) {
	p := sitDown(t, 390, 844)
	pack := p.Shop.Item[models.KindPack]
	form := object{"pack": object{"chemistry": "agm", "cells": 6, "strings": 2, "blocks": 2, "min_rest_hours": "24"}}
	product, _ := p.made("/products", object{"family": *pack.FamilyID, "name": "Gorse double", "form": form})["product"].(object)
	serial, _ := p.made("/items", object{"product": product["id"]})["serial"].(string)
	p.signIn()
	p.open("/bench?serial=" + serial)
	p.sees("#ask", "block")
	const places = `['ask', 'pad', 'capture', 'take'].map((id) => { const b = document.getElementById(id).getBoundingClientRect(); return id + Math.round(b.top) + '-' + Math.round(b.bottom); }).join(' ')`
	first := ask[string](p, places)
	for _, step := range []struct{ typed, then string }{
		{"", "block"}, {"", "block"}, {"", "block"}, {"", "lot"}, {"readings", "how long"}, {"26", "charger"},
	} {
		p.do(chromedp.Sleep(bounce))
		if step.typed == "readings" { // past the building steps
			p.types("")
			p.sees("#ask", "Blocks joined")
			p.tool(step.typed)
		} else {
			p.types(step.typed)
		}
		p.sees("#ask", step.then)
		if bottom := ask[float64](p, `document.getElementById('take').getBoundingClientRect().bottom`); bottom > 844 {
			t.Errorf("before %s, Take ends at %v px of 844", step.then, bottom)
		}
		if out := ask[bool](p, `document.getElementById('ask').scrollHeight > document.getElementById('ask').clientHeight + 2 || document.getElementById('ask').scrollWidth > document.getElementById('ask').clientWidth`); out {
			t.Errorf("%q does not fit its place", p.text("#ask"))
		}
		if now := ask[string](p, places); step.then != "charger" && now != first {
			t.Errorf("before %s things moved: %s, were %s", step.then, now, first)
		}
	}
	p.picture("two-strings")
	// Both answers are within reach of a hand that has no keyboard.
	p.do(chromedp.Click(`#tools button:nth-child(2)`))
	p.sees("#ask", "Load")
	p.sees("#third", "On the charger: no reading")
}
