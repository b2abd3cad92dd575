package webtest

import (
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/server/servertest"
)

// patience is how long one walk may take, with the browser's start.
const patience = 120 * time.Second

// bounce is within which a second press of Take is ignored; a person is slower.
const bounce = 160 * time.Millisecond

// Person is somebody at a browser, with a shop of their own behind it.
type Person struct {
	*testing.T
	Shop    *servertest.Shop
	address string
	ctx     context.Context
	shots   int
	away    atomic.Bool // the server drops every connection
}

// chromium finds the browser; a missing one is a failure only where nothing
// may be left out.
func chromium(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	const missing = "no Chromium on this machine: the walks through the pages are left out"
	if os.Getenv("TRACEWRIGHT_TEST_ALL") == "1" {
		t.Fatal(missing)
	}
	t.Skip(missing)
	return ""
}

// sitDown opens a browser of this size before a fresh shop whose clock is this
// machine's. Errors in a page's script fail the test.
func sitDown(t *testing.T, width, height int64, more ...chromedp.ExecAllocatorOption) *Person {
	t.Helper()
	path := chromium(t)
	shop := servertest.On(t, storetest.New(t))
	shop.Now = time.Now().UTC()         // the browser's clock
	for kind, item := range shop.Item { // made by the shop's own, which is years ahead: nothing could be done with them yet
		made, err := shop.Store.AddItemWithSerial(t.Context(), models.NewStamp(shop.Owner, shop.Now.AddDate(0, -1, 0)), models.Item{ID: models.NewID(), Kind: kind, FamilyID: item.FamilyID, ProductID: item.ProductID, Origin: "made"},
			strings.ToUpper(kind[:1]), 31, nil)
		shop.Must(err)
		shop.Item[kind], shop.Serial[kind] = made, *made.Serial
	}
	p := &Person{T: t, Shop: shop}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if p.away.Load() {
			panic(http.ErrAbortHandler)
		}
		shop.App.Handler.ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)

	p.address = server.URL
	p.browser(path, width, height, more...)
	return p
}

// beside opens a second browser before the same shop, with cookies and a store
// of its own.
func (p *Person) beside(width, height int64) *Person {
	p.Helper()
	other := &Person{T: p.T, Shop: p.Shop, address: p.address}
	other.browser(chromium(p.T), width, height)
	return other
}

func (p *Person) browser(path string, width, height int64, more ...chromedp.ExecAllocatorOption) {
	p.Helper()
	running := context.Background()
	var as []chromedp.ContextOption
	if len(more) > 0 {
		allocator, cancel := chromedp.NewExecAllocator(running, append(flags(path, p.TempDir()), more...)...)
		p.Cleanup(cancel)
		running = allocator
	} else {
		shared, err := oneBrowser.open(path)
		p.Shop.Must(err)
		running, as = shared, append(as, chromedp.WithNewBrowserContext()) // cookies and a store of one's own
	}
	ctx, cancel := context.WithTimeout(running, patience)
	p.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx, as...)
	p.Cleanup(cancel)
	p.ctx = ctx
	p.do(chromedp.EmulateViewport(width, height))
	p.Shop.Must(chromedp.Listen(ctx, func(event any) {
		if thrown, ok := event.(*runtime.EventExceptionThrown); ok {
			p.Errorf("a script failed: %+v", thrown.ExceptionDetails)
		}
	}))
}

// do acts one after the other. An action whose element went with the page it was
// found on, before anything was done to it, looks for it again.
func (p *Person) do(actions ...chromedp.Action[chromedp.Void]) {
	p.Helper()
	until := time.Now().Add(20 * time.Second)
	for _, action := range actions {
		err := chromedp.Do(p.ctx, action)
		for ; nodeGone(err) && time.Now().Before(until); err = chromedp.Do(p.ctx, action) {
			time.Sleep(25 * time.Millisecond)
		}
		if err != nil {
			p.picture("failed")
			p.Fatalf("%v; the page says: %s", err, p.text("body"))
		}
	}
}

// nodeGone reports the browser's answer to a node of a page that is no more.
func nodeGone(err error) bool {
	return err != nil && (strings.Contains(err.Error(), "Could not find node with given id") ||
		strings.Contains(err.Error(), "No node with given id found"))
}

// open goes to an address by typing it.
func (p *Person) open(path string) {
	p.Helper()
	p.do(chromedp.Navigate(p.address + path))
}

// types types a text and Enter.
func (p *Person) types(lines ...string) {
	p.Helper()
	for _, line := range lines {
		p.do(chromedp.KeyEvent(line), chromedp.KeyEvent(kb.Enter))
	}
}

// presses presses keys without Enter.
func (p *Person) presses(keys string) {
	p.Helper()
	p.do(chromedp.KeyEvent(keys))
}

// tabTo presses Tab until the focus stands on something with this text or
// label, and says how it is found.
func (p *Person) tabTo(words string) {
	p.Helper()
	for range 60 {
		p.presses(kb.Tab)
		at := ask[string](p, `((e) => e === document.body ? '' : [e.getAttribute('aria-label'), e.labels?.[0]?.textContent, e.matches('[role=region]') ? '' : e.textContent].filter(Boolean).join(' '))(document.activeElement)`)
		if strings.Contains(at, words) {
			return
		}
	}
	p.picture("failed")
	p.Fatalf("Tab never came to %q", words)
}

// sees waits until a region of a page that is whole shows a text: what is done to a
// page whose scripts are still on their way, nobody hears.
func (p *Person) sees(selector, want string) {
	p.Helper()
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until); time.Sleep(25 * time.Millisecond) {
		if shown, whole := p.shows(selector); whole && strings.Contains(shown, want) {
			return
		}
	}
	p.picture("failed")
	p.Fatalf("%s never showed %q; it shows %q", selector, want, p.text(selector))
}

// misses waits until a region shows a text no more.
func (p *Person) misses(selector, gone string) {
	p.Helper()
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until); time.Sleep(25 * time.Millisecond) {
		if shown, whole := p.shows(selector); whole && !strings.Contains(shown, gone) {
			return
		}
	}
	p.picture("failed")
	p.Fatalf("%s still shows %q: %q", selector, gone, p.text(selector))
}

// text is what a region shows now, "" while there is none.
func (p *Person) text(selector string) string {
	shown, _ := p.shows(selector)
	return shown
}

// shows is what a region shows, and whether its page has loaded and run all it names:
// both at one moment, or the answers come from two pages.
func (p *Person) shows(selector string) (shown string, whole bool) {
	now, err := chromedp.Run(p.ctx, chromedp.Evaluate[struct {
		Shown string `json:"shown"`
		Whole bool   `json:"whole"`
	}](`({shown: document.querySelector(`+strconv.Quote(selector)+`)?.innerText ?? '', whole: document.readyState === 'complete'})`))
	if err != nil {
		return "", false // between two pages there is none
	}
	return now.Shown, now.Whole
}

// ask asks the page's script something.
func ask[T any](p *Person, expression string) T {
	p.Helper()
	answer, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.Fatalf("%s: %v", expression, err)
	}
	return answer
}

// picture keeps what is seen, where pictures are asked for.
func (p *Person) picture(name string) {
	folder := os.Getenv("TRACEWRIGHT_TEST_PICTURES")
	if folder == "" {
		return
	}
	p.shots++
	png, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.Logf("no picture %s: %v", name, err)
		return
	}
	file := filepath.Join(folder, strings.ReplaceAll(p.Name(), "/", "_")+"-"+string(rune('a'+p.shots-1))+"-"+name+".png")
	if err := os.WriteFile(file, png, 0o600); err != nil {
		p.Logf("keep picture %s: %v", name, err)
	}
}

// onlyView is the one inspection that the shop's item of a kind has.
func (p *Person) onlyView(kind string) models.InspectionView {
	p.Helper()
	stored, err := p.Shop.Store.InspectionsOf(p.Context(), p.Shop.Item[kind].ID)
	p.Shop.Must(err)
	if len(stored) != 1 {
		p.Fatalf("%d inspections, want 1", len(stored))
	}
	view, err := p.Shop.Store.InspectionView(p.Context(), stored[0].ID)
	p.Shop.Must(err)
	return view
}
