package webtest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/server/servertest"
)

// standsAt enrols the tablet by its owner at a stand, and signs the operator in there
// by one tap.
func (p *Person) standsAt(place string) {
	p.open("/devices")
	p.tabTo("Name of this tablet")
	p.presses("Tablet 7")
	p.tabTo("Place of work")
	p.types(place)
	p.sees("h1", "Who is here?")
	p.tabTo("The operator")
	p.presses(kb.Enter)
	p.sees("nav", "Record a wheel")
}

// The life of a tablet: enrolled on itself by the owner, a name tapped, a pack
// recorded and released with a PIN, and at last revoked in the middle of work.
func TestATabletFromItsEnrolmentToItsRevocation(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.open("/signin")
	p.sees("h1", "Sign in")
	if !ask[bool](p, `document.activeElement.name === "login"`) {
		p.tabTo("Login")
	}
	p.presses("owner")
	p.tabTo("Password")
	p.types(servertest.Password)
	p.sees("nav", "Record a wheel")
	p.open("/devices")
	p.tabTo("Name of this tablet")
	p.presses("Tablet 7")
	p.tabTo("Place of work")
	p.types("bench 1")
	p.sees("h1", "Who is here?")
	p.picture("names")
	p.tabTo("The operator")
	p.presses(kb.Enter)
	p.sees("nav", "Record a pack")

	serial := p.Shop.Serial[models.KindPack]
	p.open("/bench?serial=" + serial)
	p.sees("#ask", "block")
	p.enters(4)
	p.tool("readings")
	p.sees("#ask", "Rested")
	p.types("26")
	p.presses("n")
	p.types("0", "23.5", "12.88", "12.86", "12.91", "14.1")
	p.sees("#list", "How is resistance measured")
	p.types("1", "14.6", "13.9", "38.650")
	p.sees("#ask", "Ticked list")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#last", "Passes")

	p.tabTo("Item and certificate")
	p.presses(kb.Enter)
	p.sees(".sheet", serial[:3])
	p.tabTo("Issue certificate")
	p.presses(kb.Enter)
	p.sees("h1", "Issue its certificate")
	p.tabTo("Your PIN")
	p.types("000000")
	p.sees("main", "Tries left: 4")
	p.picture("wrong-pin")
	p.tabTo("Your PIN")
	p.types(servertest.PIN)
	p.sees("body", "certificate is issued")
	p.picture("released")

	// Revoked in the office while somebody measures: nothing more is taken, it is
	// said, and what was read stays in sight.
	p.open("/stand?serial=" + p.Shop.Serial[models.KindWheel])
	p.sees("#ask", "highest")
	p.types("0.13", "9")
	p.sees("#line", "saved")
	devices, err := p.Shop.App.Services.Access.Devices(t.Context())
	p.Shop.Must(err)
	for _, d := range devices {
		if d.Name == "Tablet 7" {
			p.Shop.Do(t, servertest.Row{Who: servertest.Owner, Method: http.MethodPost, Path: "/devices/" + d.ID + "/revoke", Body: "confirm.password=" + url.QueryEscape(servertest.Password), Header: map[string]string{"Content-Type": "application/x-www-form-urlencoded"}})
		}
	}
	p.types("-0.09", "28")
	p.sees("#line", "not saved: sign in again")
	p.picture("revoked")
	if at := p.text("#sets"); !strings.Contains(at, "0.22") {
		t.Errorf("what was read is no longer in sight: %s", at)
	}
	p.open("/stand")
	p.sees("h1", "Sign in")
	if page := p.text("main"); strings.Contains(page, "The operator") {
		t.Errorf("a revoked tablet still offers names: %s", page)
	}
}
