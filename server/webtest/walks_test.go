package webtest

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/server/servertest"
)

// signIn signs in by keyboard as the operator.
func (p *Person) signIn() {
	p.Helper()
	p.signInAs("operator")
}

// signInAs signs in by keyboard.
func (p *Person) signInAs(login string) {
	p.Helper()
	p.open("/signin")
	if !ask[bool](p, `document.activeElement.name === "login"`) {
		p.tabTo("Login")
	}
	p.presses(login)
	p.tabTo("Password")
	p.types(servertest.Password)
	p.sees("nav", "Today")
	p.picture("signed-in")
}

// goodWheel is what is typed for a wheel within the default grade: lateral and
// radial extremes each with its spoke, dish from both shoulders, three spot
// tensions a side.
var goodWheel = []string{"0,13", "9", "-0.09", "28", ".12", "17", "-0.14", "3", "67.40", "67.80", "1085", "1120", "1062", "1011", "1038", "1004"}

// toStand comes to the stand by keyboard and types the end of a serial.
func (p *Person) toStand(serial string) {
	p.Helper()
	p.tabTo("Record a wheel")
	p.presses(kb.Enter)
	p.sees("#hint", "its last 5")
	p.types(strings.ToLower(serial[len(serial)-5:]))
	p.sees("#ask", "highest")
}

// release goes by keyboard from the verdict to an issued certificate, and
// reads its paper.
func (p *Person) release() {
	p.Helper()
	p.tabTo("Item and certificate")
	p.presses(kb.Enter)
	p.sees("h1", "not certified yet") // the page of the item, and no longer that of the stand
	p.picture("item")
	p.tabTo("certificate")
	p.presses(kb.Enter)
	p.sees("h1", "ertificate")
	// The password was given a moment ago and is not asked for again.
	p.tabTo("Issue certificate")
	p.presses(kb.Enter)
	p.sees("body", "certificate is issued")
	p.picture("certificate")
	href := ask[string](p, `document.querySelector('a[href^="/certificates/"]')?.href ?? ""`)
	if href == "" {
		p.Fatalf("no link to the certificate; the page says %s", p.text("main"))
	}
	paper := p.fetch(href)
	if !bytes.HasPrefix(paper, []byte("%PDF-")) || !bytes.Contains(paper[max(0, len(paper)-64):], []byte("%%EOF")) {
		p.Errorf("the certificate is no whole PDF: %d bytes, %.40q", len(paper), paper)
	}
}

// fetch gets an address as the browser would, with its cookies.
func (p *Person) fetch(address string) []byte {
	p.Helper()
	r, err := http.NewRequestWithContext(p.Context(), http.MethodGet, address, nil)
	p.Shop.Must(err)
	cookies, err := chromedp.Run(p.ctx, func(ctx context.Context, t *chromedp.Target) (network.GetCookiesResult, error) {
		return cdp.Call(ctx, t, network.GetCookies, network.GetCookiesParams{URLs: []string{address}})
	})
	p.Shop.Must(err)
	for _, c := range cookies.Cookies {
		r.AddCookie(&http.Cookie{Name: c.Name, Value: c.Value})
	}
	answer, err := http.DefaultClient.Do(r)
	p.Shop.Must(err)
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	p.Shop.Must(err)
	if answer.StatusCode != http.StatusOK {
		p.Fatalf("%s answers %d: %.200s", address, answer.StatusCode, body)
	}
	return body
}

// A quick wheel: 12 entries and one press, then its verdict and certificate.
func TestWheelByExtremes(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	serial := p.Shop.Serial[models.KindWheel]
	p.toStand(serial)
	p.types(goodWheel...)
	p.sees("#ask", "Ticked list")
	p.picture("list")
	p.presses("ya")
	p.sees("#last", "N.A.")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter)) // a habit of the hand: it answers no other point
	p.sees("#last", "answers no point")
	p.picture("list begun")
	p.do(chromedp.Sleep(bounce))
	p.touches("Yes to the rest")
	p.sees("#last", "Passes")
	if !ask[bool](p, `document.activeElement.id === "capture"`) {
		t.Error("the field does not wait for the next serial")
	}
	p.picture("verdict")
	stored, err := p.Shop.Store.InspectionsOf(t.Context(), p.Shop.Item[models.KindWheel].ID)
	p.Shop.Must(err)
	if len(stored) != 1 || stored[0].Verdict != models.VerdictPass {
		t.Fatalf("stored: %+v, want one inspection that passes", stored)
	}
	p.release()
}

// The same wheel at every hole: 37 readings of each run-out (spoke 1 once
// more), 36 tensions from side to side.
func TestWheelByEveryHole(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	serial := p.Shop.Serial[models.KindWheel]
	p.toStand(serial)
	p.tabTo("every hole")
	p.presses(kb.Enter)
	p.sees("#ask", "lateral at spoke")
	for range 2 {
		for i := range 37 {
			p.types(fmt.Sprintf("0.%02d", 10+(i%36)/6))
		}
	}
	p.sees("#ask", "Dish")
	p.types("67.4", "67,8")
	for i := range 18 {
		p.types(fmt.Sprint(1000+5*(i%4)), fmt.Sprint(950+5*(i%4)))
	}
	p.sees("#ask", "Ticked list")
	p.picture("read")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#last", "Passes")
	p.picture("verdict")
	view := p.onlyView(models.KindWheel)
	counts := map[string]int{}
	for _, set := range view.Sets {
		counts[set.Code+" "+set.Method] = len(set.Values)
	}
	for set, want := range map[string]int{"lateral_runout every_hole": 37, "radial_runout every_hole": 37, "tension_a every_hole": 18, "tension_b every_hole": 18, "dish whole": 2} {
		if counts[set] != want {
			t.Errorf("%s: %d values, want %d", set, counts[set], want)
		}
	}
	p.release()
}

// A draft outlives a reload, and a fault is said before the verdict.
func TestReloadInTheMiddle(t *testing.T) {
	p := sitDown(t, 390, 844)
	p.signIn()
	serial := p.Shop.Serial[models.KindWheel]
	p.open("/stand?serial=" + serial)
	p.sees("#ask", "highest")
	p.types("0.20", "9", "-0.11")
	p.sees("#ask", "lowest")
	p.types("28")
	p.sees("#third", "A fault")
	p.sees("#line", "saved")
	p.do(chromedp.Reload())
	p.sees("#ask", "Radial")
	p.sees("#third", "A fault")
	p.picture("resumed")
	p.types("1.2.3")
	p.sees("#last", "Refused")
	p.sees("#last", "1.2.3 is not a number")
	// Twice the text size is half the width: nothing may be cut off sideways.
	p.do(chromedp.EmulateViewport(320, 640))
	if ask[bool](p, `document.documentElement.scrollWidth > document.documentElement.clientWidth`) {
		t.Error("at 320 px the page scrolls sideways")
	}
	p.picture("narrow")
}

// A pack by keyboard, with the gate open.
func TestPack(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	p.comesToTheReadings()
	p.types("0", "23.5", "12.88", "12.86", "12.91", "14.1")
	p.sees("#list", "How is resistance measured")
	p.types("13.8") // a reading on its way is no answer
	p.sees("#hint", "13.8 is not an answer")
	p.types("1")
	p.types("14.6", "13.9", "38.650")
	p.sees("#third", "may be judged")
	p.sees("#ask", "Ticked list")
	p.picture("read")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#last", "Passes")
	p.picture("verdict")
	if n := p.Shop.Count(p.Shop.Item[models.KindPack].ID); n != 1 {
		t.Errorf("%d inspections, want 1", n)
	}
}

// Another tablet takes the draft over: this one is told by whom and overwrites
// nothing.
func TestTakenOver(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	p.open("/stand?serial=" + p.Shop.Serial[models.KindWheel])
	p.sees("#ask", "highest")
	p.types("0.13", "9")
	p.sees("#line", "saved")
	drafts, err := p.Shop.Capture.Drafts(t.Context())
	p.Shop.Must(err)
	if len(drafts) != 1 {
		t.Fatalf("%d drafts, want 1", len(drafts))
	}
	inspector := p.Shop.People[servertest.Inspector]
	_, err = p.Shop.Capture.TakeOver(t.Context(), models.Actor{PersonID: inspector.ID, Name: inspector.Name, Role: inspector.Role}, drafts[0].ID)
	p.Shop.Must(err)
	p.types("-0.09")
	p.sees("#list", "Taken over by "+inspector.Name)
	p.picture("taken-over")
	after, err := p.Shop.Capture.Draft(t.Context(), drafts[0].ID)
	p.Shop.Must(err)
	if after.PersonID != inspector.ID || len(after.Content.Sets[0].Values) != 1 {
		t.Errorf("the draft is %s's with %v, want the inspector's with what was saved", after.PersonID, after.Content.Sets[0].Values)
	}
	p.types("1")
	p.misses("#list", "Taken over")
	p.sees("#ask", "lowest")
	p.types("28")
	p.sees("#ask", "Radial") // what was typed and not saved was kept
}
