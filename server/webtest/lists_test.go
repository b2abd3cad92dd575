package webtest

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// A shop comes from its spreadsheets: a list with faults is pasted, each is seen by
// its row, the list is put right where it stands and taken in; then a file of
// another encoding. All of it by keyboard.
func TestAListIsPutRightAndTakenIn(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signInAs("owner")
	p.open("/lists")
	p.accessible("lists")
	p.tabTo("Lots")
	p.presses(kb.Enter)
	p.sees("h1", "Take in lots")
	p.accessible("a list")
	p.tabTo("Or paste it here")
	p.presses("code;material;quantity;received on\nSP-1;spokes;1.000;05.03.2026\nSP-2;spokes;500;03/05/2026")
	p.tabTo("Look at it")
	p.presses(kb.Enter)
	p.sees("h1", "Two rows need a look")
	p.sees(".problems tbody tr:nth-child(1)", "quantity")
	p.sees(".problems tbody tr:nth-child(2)", "received on")
	p.picture("faults")
	p.accessible("a list with faults")

	p.do(chromedp.SetValue("#pasted", "code;material;quantity;received on\nSP-1;spokes;1000;05.03.2026\nSP-2;spokes;500;2026-05-03"))
	p.tabTo("Look at it again")
	p.presses(kb.Enter)
	p.sees("h1", "Two rows can be taken in")
	p.picture("ready")
	p.accessible("a list that can be taken in")
	if lots, err := p.Shop.Store.LotsByCode(t.Context(), []string{"SP-1", "SP-2"}); err != nil || len(lots) > 0 {
		t.Errorf("before it is confirmed there are %v, %v", lots, err)
	}
	p.tabTo("Take in 2 rows")
	p.presses(kb.Enter)
	p.sees(".done", "The list is taken in.")

	file := filepath.Join(t.TempDir(), "customers.csv")
	if err := os.WriteFile(file, []byte("name,address\nM\xfcller GmbH,\"Gasse 1\nKiel\"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	p.open("/lists/in/customers")
	p.do(chromedp.SetUploadFiles("#file", []string{file}))
	p.tabTo("Look at it")
	p.presses(kb.Enter)
	p.sees("main", "read as Windows-1252")
	p.sees(".first", "Müller GmbH")
	p.tabTo("Take in 1 row")
	p.presses(kb.Enter)
	p.sees(".done", "The list is taken in.")

	lots, err := p.Shop.Store.LotsByCode(t.Context(), []string{"SP-1", "SP-2"})
	p.Shop.Must(err)
	if len(lots) != 2 || lots[0].Quantity != 1000 {
		t.Errorf("lots are %+v", lots)
	}
	found, err := p.Shop.Store.CustomersAlike(t.Context(), []string{"Müller GmbH"})
	p.Shop.Must(err)
	if len(found) != 1 || found[0].Address != "Gasse 1\nKiel" || found[0].EnteredBy != p.Shop.People["owner"].ID {
		t.Errorf("customers are %+v", found)
	}
}

// A wheel that is older than the log says so on its page, found by the number that
// it carries.
func TestAnOlderWheelOnAPhone(t *testing.T) {
	p := sitDown(t, 390, 844)
	p.signInAs("operator")
	p.open("/lists/in/items")
	p.do(chromedp.SetValue("#pasted", "kind,product,number,built on\nwheel,wheel one,R-118,2024-03-05"))
	p.do(chromedp.Click("form .act.first"))
	p.sees("main", "1 gets a number of the shop")
	p.accessible("a list on a phone")
	p.do(chromedp.Click("form .act.first"))
	p.sees(".done", "The list is taken in.")
	p.open("/find?q=R-118")
	p.sees("main", "built 5 Mar 2024, before this log")
	p.sees("main", "Not inspected yet")
	p.sees("main", "The number on it was R-118.")
	p.picture("older")
	if p.Shop.Item[models.KindWheel].OlderThanLog() {
		t.Error("a wheel that was made here counts as older")
	}
}
