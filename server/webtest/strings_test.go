package webtest

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// Two strings of three blocks of 12 V are not joined while they lie 0.3 V apart,
// and the page says why; 0.1 V apart they are, and it is seen at what voltages.
func TestStringsThatDifferAreNotJoined(t *testing.T) {
	p := sitDown(t, 1024, 768)
	serial := *p.Shop.Item["pack"].Serial
	form := object{"pack": object{"block_model": "B12", "chemistry": "agm", "cells": 6, "capacity_ah": "12", "rate": "C20", "strings": 2, "blocks": 3, "nominal_v": "36", "resistance_method": "ac_1khz", "min_rest_hours": "24"}}
	p.made("/products/"+*p.Shop.Item["pack"].ProductID+"/revisions", object{"from": 1, "form": form, "reason": "two strings"})
	p.signInAs("owner")
	p.open("/items/" + serial)
	join := func(one, two string) {
		p.Helper()
		p.do(chromedp.SetValue("[name=string_volts_1]", one), chromedp.SetValue("[name=string_volts_2]", two),
			chromedp.Click(`form:has([name=string_volts_1]) button`))
	}
	join("38.60", "38.90")
	p.sees("#build", "The strings differ by 0.30 V, more than the 0.15 V allowed")
	if one := ask[string](p, "document.querySelector('[name=string_volts_1]').value"); one != "38.60" {
		t.Errorf("what was typed is gone: %q", one)
	}
	p.accessible("strings refused")
	join("0", "0")
	p.sees("#build", "String 1 reads 0 V, below the 35.4 V of a rested string of this pack")
	join("38.60", "38,70")
	p.sees("#build", "at 38.60 and 38,70")
}
