package webtest

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/models/work/build"
)

// earlier puts the clocks of browser and server back, until now is called.
func (p *Person) earlier(by time.Duration) (now func()) {
	p.Helper()
	p.Shop.Now = p.Shop.Now.Add(-by)
	source := fmt.Sprintf(`{ const real = Date, back = %d; globalThis.Date = class extends real { constructor(...a) { a.length ? super(...a) : super(real.now() - back); } static now() { return real.now() - back; } }; }`, by.Milliseconds())
	added, err := chromedp.Run(p.ctx, func(ctx context.Context, t *chromedp.Target) (page.AddScriptToEvaluateOnNewDocumentResult, error) {
		return cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: source})
	})
	p.Shop.Must(err)
	return func() {
		p.Shop.Now = time.Now().UTC()
		p.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, t, page.RemoveScriptToEvaluateOnNewDocument, page.RemoveScriptToEvaluateOnNewDocumentParams(added))
			return chromedp.Void{}, err
		})
	}
}

// enters presses Enter alone, as a person does: not within the bounce.
func (p *Person) enters(times int) {
	p.Helper()
	for range times {
		p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	}
}

// comesToTheReadings opens the shop's pack, whose blocks are not known by number,
// and says that it rested 26 hours off the charger.
func (p *Person) comesToTheReadings() {
	p.Helper()
	p.open("/bench?serial=" + p.Shop.Serial[models.KindPack])
	p.sees("#ask", "block")
	p.enters(4) // three blocks, and their lot
	p.tool("readings")
	p.sees("#ask", "Rested")
	p.types("26")
	p.presses("n")
}

// ticksOff presses Enter at each building step from one on, and waits until it
// is the charge's turn.
func (p *Person) ticksOff(from string) {
	p.Helper()
	steps := []string{"Blocks joined", "Soldered", "Polarity", "Insulated", "Wrapped", "Labelled", "Onto the"}
	for i := slices.Index(steps, from); i+1 < len(steps); i++ {
		p.sees("#ask", steps[i])
		p.enters(1)
	}
	p.sees("#ask", steps[len(steps)-1])
}

// offAtOnce ends a charge that was begun within the minute, which is asked about.
func (p *Person) offAtOnce(current string) {
	p.Helper()
	p.types(current)
	p.sees("#list", "Is it off again?")
	p.types("1")
}

// built is how the office knows a pack to be built, once a step of it is done there.
func (p *Person) built(serial, step string) build.Sheet {
	p.Helper()
	item, err := p.Shop.Store.ItemBySerial(p.Context(), serial)
	for until := time.Now().Add(8 * time.Second); ; time.Sleep(50 * time.Millisecond) {
		var sheet build.Sheet
		if err == nil {
			sheet, err = p.Shop.App.Services.Build.Sheet(p.Context(), item.ID)
			p.Shop.Must(err)
		} else {
			item, err = p.Shop.Store.ItemBySerial(p.Context(), serial)
		}
		if slices.ContainsFunc(sheet.Steps, func(s build.Step) bool { return s.Code == step && s.Done }) {
			return sheet
		}
		if time.Now().After(until) {
			p.Fatalf("step %s never came to the office: %+v, %v", step, sheet.Steps, err)
		}
	}
}

// blocksOf takes blocks in with these numbers.
func (p *Person) blocksOf(numbers ...string) {
	p.Helper()
	for _, n := range numbers {
		p.made("/parts", object{"kind": "block", "supplier": "Pallas", "model": "PB22", "maker_number": n})
	}
}

// packOf makes a pack of so many blocks in each string.
func (p *Person) packOf(strings, blocks int) (serial string) {
	p.Helper()
	serial, _ = p.made("/items", object{"product": p.packProduct(strings, blocks)})["serial"].(string)
	return serial
}

// packProduct makes the product of such packs.
func (p *Person) packProduct(strings, blocks int) (id any) {
	p.Helper()
	form := object{"pack": object{"block_model": "PB22", "chemistry": "agm", "cells": 6, "capacity_ah": "22", "rate": "C20", "strings": strings, "blocks": blocks, "nominal_v": fmt.Sprint(12 * blocks),
		"resistance_method": "ac_1khz", "resistance_low": "4", "resistance_high": "20", "min_rest_hours": "24"}}
	product, _ := p.made("/products", object{"family": *p.Shop.Item[models.KindPack].FamilyID, "name": fmt.Sprintf("Corbel %dx%d", strings, blocks), "form": form})["product"].(object)
	return product["id"]
}

// fits puts a numbered block into a pack by recording it.
func (p *Person) fits(serial, number string) {
	p.Helper()
	sub := p.Shop.Pack()
	sub.Serial = serial
	for i := range sub.Sets {
		sub.Sets[i].Values = sub.Sets[i].Values[:1]
		if len(sub.Sets[i].Index) > 0 {
			sub.Sets[i].Index = sub.Sets[i].Index[:1]
		}
		if sub.Sets[i].Moments != nil {
			sub.Sets[i].Moments = sub.Sets[i].Moments[:1]
		}
	}
	sub.Parts = []models.SentPart{{Role: "block", Place: "1.1", Number: number}}
	p.Shop.MustRecord(sub)
}
