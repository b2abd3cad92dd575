package webtest

import (
	"testing"

	"tracewright/models"
	"tracewright/models/work/receive"
)

// A scanner alone gets on after each refusal: what it reads next takes the place of
// what was wrong. The lot that was stopped meanwhile is in use on the page still.
func TestLacingGoesOnAfterARefusalByScannerAlone(t *testing.T) {
	p := sitDown(t, 1024, 768)
	goods, owner := p.Shop.App.Services.Receive, p.Shop.Shop.Owner
	for _, code := range []string{"SP-1", "SP-2"} {
		_, err := goods.AddLot(t.Context(), owner, models.Lot{Code: code, Material: "spokes"})
		p.Shop.Must(err)
	}
	for _, number := range []string{"N9-1", "N9-2"} {
		_, err := goods.AddPart(t.Context(), owner, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: number})
		p.Shop.Must(err)
	}
	p.signIn()
	p.open("/lace?product=" + *p.Shop.Item[models.KindWheel].ProductID)
	p.awaits("motor")
	p.types("]C0SP-1")
	p.sees(".told", "Spokes from lot SP-1 from now on.")
	_, err := goods.Decide(t.Context(), owner, receive.Decided{Lot: "SP-1", Decision: models.LotQuarantine, Reason: "bent"})
	p.Shop.Must(err)
	p.awaits("motor")
	p.types("]C0N9-1")
	p.sees("h1 ~ form", "Lot SP-1 is set aside")
	p.picture("refused")
	for _, side := range []string{"spokes-a", "spokes-b"} {
		p.awaits(side)
		p.types("]C0SP-2")
	}
	p.sees("h1", "One wheel laced today")
	p.awaits("motor")
	p.types("]C0N9-1")
	p.sees("h1 ~ form", "N9-1 is in W")
	p.awaits("motor")
	p.types("]C0N9-2")
	p.sees("h1", "Two wheels laced today")
}
