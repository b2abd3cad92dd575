package webtest

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/specify"
)

// kits adds a product of kits: a wheel and two torque arms.
func (p *Person) kits() {
	p.Helper()
	ctx, services := p.Context(), p.Shop.App.Services
	family, err := services.Specify.AddFamily(ctx, p.Shop.Shop.Owner, specify.NewFamily{Kind: models.KindKit, Name: "Kits"})
	p.Shop.Must(err)
	form := models.ProductForm{Kit: &models.KitForm{Lines: []models.KitLine{{Product: *p.Shop.Item[models.KindWheel].ProductID, Quantity: 1}, {Part: "torque arm", Quantity: 2}}}}
	_, err = services.Specify.AddProduct(ctx, p.Shop.Shop.Owner, specify.NewProduct{FamilyID: family.Family.ID, Name: "Kit 26", Form: form})
	p.Shop.Must(err)
}

// From the delivery of spokes to the box at the door without a mouse: what has a
// label is scanned where scan is set, typed where it is not.
func TestFromGoodsInToTheShippedKit(t *testing.T) {
	for name, prefix := range map[string]string{"by scanner": "]C0", "by keyboard": ""} {
		t.Run(name, func(t *testing.T) {
			p := sitDown(t, 1024, 768)
			p.kits()
			p.signInAs("owner")
			goTo := func(entry, title string) {
				t.Helper()
				p.tabTo("T. owner")
				p.presses(kb.Enter)
				p.tabTo(entry)
				p.presses(kb.Enter)
				p.sees("h1", title)
			}
			goTo("Lots", "No lot yet")
			p.tabTo("Receive a lot")
			p.presses(kb.Enter)
			p.awaits("code")
			p.types(prefix + "SP-0931")
			p.presses("Spo" + kb.Tab)
			p.types("500", "", "", "", "", "")
			p.presses(kb.Enter)
			p.sees("h1", "Nothing of this lot is built in")

			goTo("Lace wheels", "Which wheel?")
			p.tabTo("wheel one")
			p.presses(kb.Enter)
			p.sees("h1", "No wheel laced today")
			p.awaits("motor")
			p.types(prefix + "SP-0931")
			p.sees(".told", "Spokes from lot SP-0931 from now on.")
			p.awaits("motor")
			p.types(prefix + "N9-220431")
			p.sees(".form", "say its supplier and model")
			p.accessible("a motor that is not known")
			p.tabTo("Its supplier")
			p.presses("Norvik" + kb.Tab)
			p.types("R9")
			p.sees(".told", "is made")
			p.picture("laced")
			p.accessible("laced")
			p.forGloves("laced")
			found, err := p.Shop.Store.ItemsByMakerNumber(t.Context(), "N9-220431", 2)
			p.Shop.Must(err)
			into, err := p.Shop.Store.FittedInto(t.Context(), found[0].ID)
			p.Shop.Must(err)
			wheel, err := p.Shop.Store.Item(t.Context(), into[0].ItemID)
			p.Shop.Must(err)

			p.toStand(*wheel.Serial)
			p.types(goodWheel...)
			p.sees("#ask", "Ticked list")
			p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.Enter))
			p.sees("#last", "Passes")
			p.release()

			goTo("Kits", "No kit is being packed")
			p.tabTo("Begin a kit")
			p.presses(kb.Enter)
			p.sees("h1", "0 of 2 lines are in")
			p.awaits("item")
			p.types(prefix + strings.ToLower(*wheel.Serial))
			p.sees("[role=status]", "is in.")
			p.tabTo("In torque arm")
			p.presses(kb.Enter)
			p.sees("h1", "Everything is in")
			p.picture("packed")
			p.accessible("a kit")
			p.tabTo("Ship it")
			p.presses(kb.Enter)
			p.sees("h1", "Ship K")
			p.awaits("order")
			p.types("4471")
			p.sees("h1", "Shipped on")
			p.picture("shipped")
			p.accessible("a shipment")
			if now, err := p.Shop.Store.Item(t.Context(), wheel.ID); err != nil || now.State != models.StateShipped {
				t.Errorf("the wheel is %s, %v", now.State, err)
			}

			goTo("Lots", "lot")
			p.tabTo("SP-0931")
			p.presses(kb.Enter)
			p.sees("h1", "One item holds it")
			p.callsBack(words.Serial(*wheel.Serial))
		})
	}
}

// callsBack goes by keyboard from a lot's page to what came of a shipped item
// of it.
func (p *Person) callsBack(serial string) {
	p.Helper()
	p.tabTo("Call back")
	p.presses(kb.Enter)
	p.sees("h1", "shipped")
	p.sees("table", serial)
	p.picture("recall-asked")
	p.accessible("what a lot reaches")
	p.awaits("reason")
	p.presses("The elbows crack" + kb.Tab)
	p.tabTo("Call them back")
	p.presses(kb.Enter)
	p.sees("[role=status]", "They are called back")
	p.sees("h1", "Answered: 0 of 1 shipped")
	p.picture("recalled")
	p.accessible("a recall")
	p.tabTo("What came of " + serial)
	p.presses("cam")
	p.tabTo("Keep all answers")
	p.presses(kb.Enter)
	p.sees("table", "came back, ")
	p.picture("recall-answered")
}
