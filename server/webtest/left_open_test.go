package webtest

import (
	"testing"

	"github.com/chromedp/chromedp"

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
