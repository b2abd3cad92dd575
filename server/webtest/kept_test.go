package webtest

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/server/servertest"
)

// everythingKept is what the page's browser keeps of this origin: both stores of texts,
// every base and every cached answer.
const everythingKept = `(async () => {
  const out = [JSON.stringify({ ...localStorage }), JSON.stringify({ ...sessionStorage })];
  const done = (r) => new Promise((ok, no) => { r.onsuccess = () => ok(r.result); r.onerror = () => no(r.error); });
  for (const { name } of await indexedDB.databases()) {
    const base = await done(indexedDB.open(name));
    for (const store of base.objectStoreNames) out.push(store + JSON.stringify(await done(base.transaction(store).objectStore(store).getAll())));
    base.close();
  }
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const answer = await cache.match(request);
      out.push(request.url + ' ' + (/html|json/.test(answer.headers.get('content-type')) ? await answer.text() : ''));
    }
  }
  return out.join('\n');
})()`

// What a browser keeps after its person looked at customers and was at a stand without
// the server are readings and serials: nothing of the customer, no secret. What waits
// there says whose it is, and is sent by another once its person has left.
func TestASVS_14_3_3_WhatABrowserKeeps(t *testing.T) {
	p := sitDown(t, 1024, 768)
	ctx, services := t.Context(), p.Shop.App.Services
	planted := []string{"Zuleyka Quorntal", "Wexmoor Ghat", "zq@quorntal.example", "0555-907-113"}
	c, err := services.Shipping.AddCustomer(ctx, p.Shop.Owner, models.Customer{Name: planted[0], Address: planted[1], Email: planted[2], Phone: planted[3]})
	p.Shop.Must(err)
	p.signInAs("owner")
	p.open("/customers/" + c.ID)
	p.sees("main", planted[0])
	p.open("/customers?find=Quorntal")
	p.sees("main", planted[0])
	p.standsAt("stand 1")

	serial := p.Shop.Serial[models.KindWheel]
	p.open("/stand?serial=" + serial)
	p.sees("#ask", "highest")
	p.workerTakesOver()
	p.away.Store(true)
	p.types(goodWheel...)
	p.sees("#ask", "Ticked list")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
	p.sees("#line", "1 waiting")
	kept, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](everythingKept, chromedp.EvalAwaitPromise))
	p.Shop.Must(err)
	for _, there := range []string{serial, `"67.40"`, "/stand", "lateral_runout"} {
		if !strings.Contains(kept, there) {
			t.Errorf("%q is not kept: what was read is looked for in the wrong place", there)
		}
	}
	for _, never := range append(slices.Clone(planted), "Quorntal", c.ID, servertest.Password, `"`+servertest.PIN+`"`) {
		if strings.Contains(kept, never) {
			t.Errorf("the browser keeps %q", never)
		}
	}

	// Its person leaves before the server is back; another is at the tablet.
	no := false
	gone, err := services.Access.UpdatePerson(ctx, p.Shop.Owner, p.Shop.People[servertest.Operator].ID, access.Change{Active: &no})
	p.Shop.Must(err)
	p.away.Store(false)
	p.open("/")
	p.tabTo(p.Shop.People[servertest.Inspector].Name)
	p.presses(kb.Enter)
	p.sees("nav", "Record a wheel")
	p.open("/stand")
	p.sees("#line", "1 waiting, of "+gone.Name)
	p.picture("of-another")
	p.do(chromedp.EmulateViewport(390, 844), chromedp.Sleep(bounce))
	p.picture("of-another-phone")
	if ask[bool](p, `document.documentElement.scrollWidth > document.documentElement.clientWidth`) {
		t.Error("at 390 px the page scrolls sideways")
	}
	p.tabTo("Send for them")
	p.presses(kb.Enter)
	p.misses("#line", "waiting")
	until := time.Now().Add(5 * time.Second)
	for list, _ := services.Capture.Unplaced(ctx); len(list) != 1 || list[0].Content.Person != gone.ID || list[0].Cause.Code != "person_left"; list, _ = services.Capture.Unplaced(ctx) {
		if time.Now().After(until) {
			t.Fatalf("the office has %+v", list)
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.open("/unplaced")
	p.sees("main", gone.Name+", sent by "+p.Shop.People[servertest.Inspector].Name)
	p.picture("unplaced-phone")
	p.do(chromedp.EmulateViewport(1024, 768), chromedp.Sleep(bounce))
	p.picture("unplaced")
}
