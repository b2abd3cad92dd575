package webtest

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// awaits waits until a page is whole and the focus stands in a field.
func (p *Person) awaits(field string) {
	p.Helper()
	p.becomes(`document.readyState === "complete" && document.activeElement?.id === "` + field + `"`)
}

// becomes waits until the page's script says yes.
func (p *Person) becomes(expression string) {
	p.Helper()
	for until := time.Now().Add(8 * time.Second); time.Now().Before(until); time.Sleep(25 * time.Millisecond) {
		if ask[bool](p, expression) {
			return
		}
	}
	p.picture("failed")
	p.Fatalf("never true: %s", expression)
}

// A delivery comes in without a mouse: its lot scanned, the rest typed, looked at
// and accepted; and a photo of it is shown where it was kept.
func TestGoodsInByScannerAndByKeyboard(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	p.tabTo("T. operator")
	p.presses(kb.Enter)
	p.tabTo("Lots")
	p.presses(kb.Enter)
	p.sees("h1", "No lot yet")
	p.tabTo("Receive a lot")
	p.presses(kb.Enter)
	p.sees("h1", "Receive a lot")
	p.awaits("code")
	p.types("]C0SP-0931") // A scanner ends with Enter, which sends nothing yet.
	p.presses("Spo" + kb.Tab)
	p.types("500", "]C1A77", "2611", "Drahtwerk Anselm", "2.34 mm plain, 186 mm", "")
	p.sees("h1", "Receive a lot")
	p.picture("typed")
	p.presses(kb.Enter)
	p.sees("h1", "Nothing of this lot is built in")
	lots, err := p.Shop.Store.LotsByCode(t.Context(), []string{"SP-0931"})
	p.Shop.Must(err)
	if len(lots) != 1 {
		t.Fatal("the lot is not there under the code that was scanned")
	}
	want := models.Lot{Code: "SP-0931", Material: "spokes", Quantity: 500, SupplierCode: "A77", DateCode: "2611", Supplier: "Drahtwerk Anselm", Description: "2.34 mm plain, 186 mm"}
	got := lots[0]
	want.ID, want.ReceivedAt, want.ReceivedBy = got.ID, got.ReceivedAt, got.ReceivedBy
	if got != want {
		t.Errorf("came in as %+v, want %+v", got, want)
	}
	p.accessible("a lot")

	p.tabTo("Inspect")
	p.presses(kb.Enter)
	p.sees("h1", "Look at 11 of 500 pieces")
	p.accessible("an incoming inspection")
	p.awaits("looked")
	p.types("11")
	p.tabTo("Keep it")
	p.presses(kb.Enter)
	p.sees("#decide", "11 looked at, none bad: a lot with 20")
	p.tabTo("Accept")
	p.presses(kb.Enter)
	p.sees("h1", "Accept the lot")
	p.tabTo("Accept it")
	p.presses(kb.Enter)
	p.sees(".figures", "Accepted")
	p.picture("accepted")

	p.tabTo("Add a photo")
	p.presses(kb.Enter)
	p.sees("h1", "Add a photo or paper")
	p.accessible("a photo")
	p.do(chromedp.SetUploadFiles("#file", []string{photo(t, "label.jpg")}))
	p.tabTo("Keep it")
	p.presses(kb.Enter)
	p.sees(".papers", "label.jpg")
	p.do(chromedp.ScrollIntoView(".papers img"))
	p.becomes(`document.querySelector(".papers img").naturalWidth === 32`)
	p.picture("photo")
}

// A supplier's GS1 code fills in what it says while the form is open, wherever it
// is scanned; one that cannot be read says which part of it.
func TestASuppliersCodeIsReadAtGoodsIn(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	p.tabTo("T. operator")
	p.presses(kb.Enter)
	p.tabTo("Lots")
	p.presses(kb.Enter)
	p.tabTo("Receive a lot")
	p.presses(kb.Enter)
	p.sees("h1", "Receive a lot")
	field := func(name, want string) {
		p.Helper()
		p.becomes(`document.querySelector("#` + name + `").value === "` + want + `"`)
	}
	p.awaits("code")
	p.types("(01)09521234500018(11)310402(10)A-17(30)500") // Into the shop's own code, which it is not.
	field("code", "")
	field("supplier-code", "A-17")
	field("date-code", "2031-04-02")
	field("quantity", "500")
	field("description", "article 09521234500018")
	p.awaits("code")
	p.types("(01)09521234500019(10)A-17")
	p.becomes(`document.querySelector("#code").validationMessage.includes("check digit of article 09521234500019 does not fit")`)
	p.picture("label-read")
}

// What is too large is said before it is sent.
func TestAFileThatIsTooLargeIsNotSent(t *testing.T) {
	p := sitDown(t, 390, 844)
	p.signIn()
	p.made("/lots", object{"code": "SP-1", "material": "spokes"})
	file := filepath.Join(t.TempDir(), "large.jpg")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(file, 40<<20); err != nil {
		t.Fatal(err)
	}
	p.open("/lots/SP-1/papers")
	p.do(chromedp.SetUploadFiles("#file", []string{file}))
	if says := ask[string](p, `document.querySelector("#file").validationMessage`); says != "large.jpg has 40 MB, 20 MB are kept at most. Take it at a lower resolution." {
		t.Errorf("it says %q", says)
	}
}
