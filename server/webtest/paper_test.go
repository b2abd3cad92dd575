package webtest

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"tracewright/models"
	"tracewright/models/work/corrective"
	"tracewright/models/work/nonconforming"
	"tracewright/models/work/recall"
	"tracewright/models/work/release"
)

// asPrinted shows the page as paper does, or on the screen again.
func (p *Person) asPrinted(media string) {
	p.Helper()
	p.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: media})
		return chromedp.Void{}, err
	})
}

// cut says how much of an element lies outside the sheet, in pixels.
func (p *Person) cut(selector string) float64 {
	p.Helper()
	return ask[float64](p, `((e) => e.getBoundingClientRect().right - document.querySelector('.sheet').getBoundingClientRect().right)(document.querySelector('`+selector+`'))`)
}

// On A4 with the browser's own margins (718 px) the whole rim is drawn, a list says
// since when, and no button is printed; so does a narrow tablet, with its buttons.
func TestOfficePagesOnPaper(t *testing.T) {
	p := sitDown(t, 718, 1000)
	_, err := p.Shop.App.Services.Capture.Record(t.Context(), p.Shop.Shop.Operator, p.Shop.EveryHole(), p.Shop.Now)
	p.Shop.Must(err)
	_, err = p.Shop.App.Services.Release.RaiseHold(t.Context(), p.Shop.Shop.Owner, release.HoldRequest{Item: p.Shop.Serial[models.KindWheel], Code: "W14", Reason: "a noise"})
	p.Shop.Must(err)
	p.signInAs("inspector")
	p.open("/items/" + p.Shop.Serial[models.KindWheel])
	p.asPrinted("print")
	if over := p.cut(".rim svg"); over > 0 {
		t.Errorf("%.0f px of the rim are cut off", over)
	}
	p.open("/holds")
	under := `((d, t) => d.checkVisibility() && d.innerText !== '' && d.getBoundingClientRect().top >= t.getBoundingClientRect().bottom - 1 && Math.abs(d.getBoundingClientRect().left - t.getBoundingClientRect().left) < 1)(document.querySelector('.list .since'), document.querySelector('.list .t'))`
	if !ask[bool](p, under) {
		t.Error("the paper does not say since when, under the title")
	}
	if ask[bool](p, `[...document.querySelectorAll('.act')].some((e) => e.checkVisibility())`) {
		t.Error("a button is printed")
	}
	p.picture("printed")
	p.asPrinted("screen")
	if !ask[bool](p, under) || !ask[bool](p, `document.querySelector('.list .act').checkVisibility()`) {
		t.Error("a narrow tablet does not say since when, or has no button")
	}
	p.picture("narrow")
	_, err = p.Shop.App.Services.Capture.Record(t.Context(), p.Shop.Shop.Operator, p.Shop.Pack(), p.Shop.Now)
	p.Shop.Must(err)
	p.Shop.Must(p.Shop.App.Services.Shelf.Place(t.Context(), p.Shop.Shop.Operator, p.Shop.Serial[models.KindPack], "rack C 1", time.Time{}))
	p.open("/shelf")
	if got := ask[[]any](p, `((e) => [e.innerText.trim(), e.getBoundingClientRect().width > 40])(document.querySelector('.shelf .out b'))`); got[0] != "Goes out as number 1" || got[1] != true {
		t.Errorf("the number of a pack is headed by nothing: %v", got)
	}
	p.picture("shelf")
}

// What a form offers is no record: on paper the choice that stands ready in it would read
// as if it had been made.
func TestRecordsArePrintedWithoutTheirForms(t *testing.T) {
	p := sitDown(t, 718, 1000)
	ctx, owner, services := t.Context(), p.Shop.Shop.Owner, p.Shop.App.Services
	called, err := services.Recall.Make(ctx, owner, recall.NewRecall{Ask: recall.Ask{Part: p.Shop.Serial[models.KindWheel]}, Reason: "a cracked rim"})
	p.Shop.Must(err)
	open, err := services.Nonconforming.Add(ctx, owner, nonconforming.Opening{Item: p.Shop.Serial[models.KindWheel], Code: "W15", Note: "at the joint"})
	p.Shop.Must(err)
	action, err := services.Corrective.Add(ctx, owner, corrective.Plan{Problem: "rims crack", Owner: owner.PersonID, DueOn: "2031-06-01"})
	p.Shop.Must(err)
	p.signInAs("owner")
	const shown = `[...document.querySelectorAll('main :is(select, input, textarea)')].filter((e) => e.type !== 'hidden' && e.checkVisibility()).map((e) => e.name)`
	for _, path := range []string{"/recalls/" + called.Number, "/nonconformities/" + open.Number + "?as=rework", "/corrective-actions/" + action.Number, "/items/" + p.Shop.Serial[models.KindPack], "/instruments/D-1"} {
		p.open(path)
		ask[bool](p, `[...document.querySelectorAll('main details')].map((d) => d.open = true).length >= 0`)
		if len(ask[[]string](p, shown)) == 0 {
			t.Errorf("%s has no form on the screen: the test says nothing", path)
		}
		p.asPrinted("print")
		if fields := ask[[]string](p, shown); len(fields) > 0 {
			t.Errorf("%s is printed with %q", path, fields)
		}
		p.picture(strings.ReplaceAll(path[1:5], "/", ""))
		p.asPrinted("screen")
	}
}

// What is tapped at a tablet has 44 px, as at a phone (WCAG 2.2, 2.5.5).
func TestOfficePagesAtATablet(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true})
		return chromedp.Void{}, err
	})
	p.signInAs("owner")
	if !ask[bool](p, `matchMedia('(pointer:coarse)').matches`) {
		t.Fatal("this browser does not take touch for a coarse pointer: what is tapped cannot be measured")
	}
	for _, path := range []string{"/check-lists", "/defects", "/rolls", "/lists", "/devices", "/items/" + p.Shop.Serial[models.KindWheel]} {
		p.open(path)
		if small := ask[[]string](p, `[...document.querySelectorAll('a.reach, button.reach, main summary')].filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 44).map((e) => e.innerText)`); len(small) > 0 {
			t.Errorf("%s: too low for a finger: %q", path, small)
		}
		p.picture(path[1:5])
	}
}
