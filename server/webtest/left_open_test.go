package webtest

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/server/servertest"
)

// A page of customers lies open when its session is ended elsewhere: it is covered as
// soon as somebody looks at it again, and what was typed is there for who typed it.
func TestAnOfficePageThatWasLeftOpen(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signInAs("desk")
	p.open("/customers/new")
	p.tabTo("Name")
	p.do(chromedp.KeyEvent("Ada Brenn"))
	desk := p.Shop.People[servertest.Desk]
	p.Shop.Must(p.Shop.App.Services.Access.EndSessionsOf(t.Context(), p.Shop.Shop.Owner, desk.ID, ""))
	looks := func() { ask[bool](p, `document.dispatchEvent(new Event('visibilitychange'))`) }
	looks()
	p.sees("dialog.lock[open] h2", "Signed out")
	p.picture("covered")
	p.accessible("a covered page")
	p.do(chromedp.EmulateViewport(390, 844))
	p.picture("covered-phone")
	goesOn := func() { ask[bool](p, `(document.querySelector('dialog.lock button').click(), true)`) }
	goesOn()
	p.sees("dialog.lock .wrong", "Nobody is signed in here")
	in := func(login string) {
		ask[bool](p, `(fetch('/signin', {method: 'POST', body: new URLSearchParams({login: '`+login+`', password: '`+servertest.Password+`'})}).then(() => { globalThis.came = '`+login+`'; }), true)`)
		p.becomes(`globalThis.came === '` + login + `'`)
	}
	in("inspector") // in the same browser, beside it
	goesOn()
	p.sees("dialog.lock .wrong", "somebody else")
	in("desk")
	goesOn()
	p.becomes(`!document.querySelector('dialog.lock').open`)
	if got := ask[string](p, `document.querySelector('[name=name]').value`); got != "Ada Brenn" {
		t.Errorf("what was typed is %q", got)
	}
	looks()
	p.do(chromedp.Sleep(bounce))
	if ask[bool](p, `document.querySelector('dialog.lock').open`) {
		t.Error("it is covered again while its person is signed in")
	}
}

// A wheel is half read when the stand locks, a value is half typed, and the server ended
// the session: a tap on the name goes on in the same set, and what is stored is whole.
func TestAStandLocksOverAHalfReadWheel(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signInAs("owner")
	p.standsAt("stand 7")
	p.Shop.Must(p.Shop.App.Services.Access.EndSessionsOf(t.Context(), p.Shop.Shop.Owner, p.Shop.People[servertest.Operator].ID, ""))
	ask[bool](p, `document.dispatchEvent(new Event('visibilitychange'))`)
	p.sees("dialog.lock[open] .first", "Go on as The operator")
	ask[bool](p, `(document.querySelector('dialog.lock .first').click(), true)`)
	p.becomes(`!document.querySelector('dialog.lock').open`)
	p.open("/stand?serial=" + p.Shop.Serial[models.KindWheel])
	p.sees("#ask", "highest")
	p.types(goodWheel[:8]...)
	p.sees("#line", "saved")
	p.presses(goodWheel[8][:3])
	before := p.text("#sets") + p.text("#ask") + p.text("#capture")
	ask[bool](p, `(globalThis.real = Date.now, Date.now = () => real() + 31 * 60000, document.dispatchEvent(new Event('visibilitychange')))`)
	p.sees("dialog.lock[open] h2", "Locked")
	p.sees("dialog.lock .go", "Go on as The operator")
	p.picture("locked")
	p.presses("12") // whoever types at a locked page types nowhere
	p.becomes(`fetch('/own/here', {redirect: 'manual'}).then((r) => { globalThis.here = r.status; }) && globalThis.here === 0`)
	ask[bool](p, `(document.querySelector('dialog.lock .go').click(), true)`)
	p.becomes(`!document.querySelector('dialog.lock').open`)
	ask[bool](p, `(Date.now = globalThis.real, true)`)
	if after := p.text("#sets") + p.text("#ask") + p.text("#capture"); after != before {
		t.Errorf("before the lock stood %q, after it %q", before, after)
	}
	p.types(goodWheel[8][3:])
	p.types(goodWheel[9:]...)
	p.sees("#ask", "Ticked list")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#last", "Passes")
	var values []string
	for _, set := range p.onlyView(models.KindWheel).Sets {
		values = append(values, set.Values...)
	}
	got := strings.Join(values, " ")
	for _, want := range []string{"67.40 67.80", "0,13 -0.09", ".12 -0.14", "1085 1120 1062", "1011 1038 1004"} {
		if !strings.Contains(got, want) {
			t.Errorf("stored are %s, without %s", got, want)
		}
	}
}
