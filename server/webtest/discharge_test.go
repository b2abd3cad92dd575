package webtest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// A discharge is drawn, read along by the keys, and fits a phone; the blocks
// that follow from it stand below.
func TestADischargeIsReadAlong(t *testing.T) {
	for _, size := range [][2]int64{{1024, 768}, {390, 844}} {
		t.Run(fmt.Sprint(size[0]), func(t *testing.T) {
			p := sitDown(t, size[0], size[1])
			pack := p.Shop.Item[models.KindPack]
			form := object{"pack": object{"block_model": "B12", "chemistry": "agm", "cells": 6, "capacity_ah": "12", "rate": "C20", "strings": 1, "blocks": 3, "nominal_v": "36", "resistance_method": "ac_1khz", "min_rest_hours": "24"}}
			p.made("/products/"+*pack.ProductID+"/revisions", object{"from": 1, "form": form, "reason": "its capacity is known"})
			log := "t (h);I (A);U1;U2;U3\n0;0,6;12,80;12,81;12,82\n10;0,6;12,10;12,11;12,12\n20;0,6;10,50;10,60;10,70\n20,1;0,6;10,40;10,50;10,60"
			test := p.made("/items/"+*pack.Serial+"/capacity-tests", object{"started_at": time.Now().AddDate(0, 0, -2), "temperature_c": "25", "csv": log})
			p.signInAs("owner")
			p.open(fmt.Sprintf("/items/%s/capacity/%s", *pack.Serial, test["id"]))
			p.sees("h1", "100.0")
			p.sees("#plot", "cut-off 10.50 V")
			p.accessible("discharge")
			if wide := ask[float64](p, "document.documentElement.scrollWidth"); wide > float64(size[0]) {
				t.Errorf("the page is %v px wide", wide)
			}
			if lines := ask[float64](p, `[...document.querySelectorAll('#plot path')].filter((x) => x.getAttribute('stroke-width') === '1.6' || x.getAttribute('stroke-width') === '2.6').length`); lines != 3 {
				t.Errorf("%v lines, want 3", lines)
			}
			ask[bool](p, "document.getElementById('plot').focus() ?? true")
			for _, row := range []struct{ key, says string }{
				{kb.End, "20.10 h Block 1: 10.40 V, Block 2: 10.50 V, Block 3: 10.60 V"},
				{kb.ArrowLeft, "20.00 h Block 1: 10.50 V"},
				{kb.Home, "0.00 h Block 1: 12.80 V"},
			} {
				p.presses(row.key)
				if got := strings.Join(strings.Fields(p.text("#readout")), " "); !strings.HasPrefix(got, row.says) {
					t.Errorf("%q: %q, want %q", row.key, got, row.says)
				}
			}
		})
	}
}
