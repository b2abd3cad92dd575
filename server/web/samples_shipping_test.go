package web

import (
	"tracewright/models"
	"tracewright/models/work/privacy"
	"tracewright/models/work/shipping"
)

// sampleKit is a kit with a wheel in it by concession, its pack on hold and its
// small parts still to come.
func sampleKit(state string) shipping.Kit {
	wheel := models.Item{ID: "i1", Kind: models.KindWheel, Serial: text("W27000CF6"), State: models.StateReleased}
	pack := models.Item{ID: "i2", Kind: models.KindPack, Serial: text("P270009QV"), State: models.StateHeld}
	let := models.KitPacking{ItemID: &wheel.ID, Reason: "agreed by telephone.", Against: []models.Remark{models.NewRemark("past_ready", "serial", "W27000CF6", "date", "2027-05-01")}, PackedAt: sampleNow, PackedBy: "p2"}
	return shipping.Kit{Item: models.Item{ID: "i3", Kind: models.KindKit, Serial: text("K270001AZ"), State: state}, Product: models.Product{Name: "Quillet kit"}, People: map[string]string{"p2": "Inge Okarra"},
		Lines: []shipping.Line{{KitLine: models.KitLine{Product: "d1", Quantity: 1}, Name: "Quillet 26 rear", In: []models.Item{wheel}, Done: 1}, {KitLine: models.KitLine{Product: "d2", Quantity: 1}, Name: "Tamsin 48"}, {KitLine: models.KitLine{Part: "torque arm", Quantity: 2}, Name: "torque arm"}},
		Extra: []models.Item{pack}, Against: []models.Remark{models.NewRemark("held_back", "serial", "P26000012", "code", "P02", "reason", "block spread")}, Let: []models.KitPacking{let}}
}

// shippingPages are the pages of kits, orders, shipments and customers, empty
// and full.
func shippingPages(s *site, owner Frame, bare *form) map[string][]any {
	whole := sampleKit(models.StateInProcess)
	whole.Lines, whole.Extra, whole.Against, whole.Whole = whole.Lines[:1], nil, nil, true
	sent := sampleKit(models.StateShipped)
	sent.Shipment = &models.ShipmentView{Shipment: models.Shipment{Number: "S27-00012", ShippedAt: sampleNow}}
	refused := s.kitPage(owner, sampleKit(models.StateInProcess))
	refused.Refused, refused.Typed, refused.Concede, refused.Reason = []string{"W27-00001-8 is not released."}, "W27-00001-8", true, bare.field(Field{Name: "reason", Label: "Why"})
	shipment := shipping.Shipment{ShipmentView: models.ShipmentView{Shipment: models.Shipment{Number: "S27-00012", OrderRef: "4471", Carrier: "Foxline", Customer: "c1", ShippedAt: sampleNow, ShippedBy: "p2", Reason: "agreed", Against: []models.Remark{models.NewRemark("kit_lacks", "serial", "K270001AZ", "count", "2", "name", "torque arm")}}},
		Kits: []shipping.Kit{sent}, Loose: []models.Item{{ID: "i4", Kind: models.KindWheel, Serial: text("W270001AB")}}}
	void := shipment
	void.Void = &models.ShipmentVoid{Reason: "not fetched", VoidedAt: sampleNow, VoidedBy: "p2"}
	people := map[string]string{"p2": "Inge Okarra"}
	line := func(n, shipped, ready, short int) shipping.OrderLine {
		return shipping.OrderLine{OrderLine: models.OrderLine{Quantity: n}, Name: "Quillet kit", Shipped: shipped, Ready: ready, Short: short}
	}
	orders := []shipping.OrderView{{Order: models.Order{Ref: "4470", DueOn: "2027-05-01"}, Late: true, Short: true, Lines: []shipping.OrderLine{line(3, 1, 1, 1)}}, {Order: models.Order{Ref: "4471"}, Short: true, Lines: []shipping.OrderLine{line(1, 0, 0, 1)}},
		{Order: models.Order{Ref: "4472"}, Lines: []shipping.OrderLine{line(1, 0, 1, 0)}}, {Order: models.Order{Ref: "4473"}, Lines: []shipping.OrderLine{line(1, 1, 0, 0)}}}
	return map[string][]any{
		"kits":      {KitsPage{Frame: owner}, KitsPage{Frame: owner, Answer: "One kit is being packed", Products: []Choice{{"d3", "Quillet kit"}}, Fields: kitFields(filled(nil), []Choice{{"d3", "Quillet kit"}}), Rows: []KitRow{{Serial: "K27-0001A-Z", Mark: kitMark(whole)}, {Mark: kitMark(sampleKit(models.StateInProcess))}, {Mark: kitMark(sent)}}}},
		"kit":       {KitPage{Frame: owner}, refused, s.kitPage(owner, whole), s.kitPage(owner, sent)},
		"ship":      {ShipPage{Frame: owner, Title: "Ship"}, ShipPage{Frame: owner, Title: "Ship K27-0001A-Z", Items: []string{"K27-0001A-Z"}, Customer: &CustomerLine{ID: "c1", Name: "the customer chosen"}, Refused: []string{"no"}, Concede: true, Orders: []OpenOrderLine{openOrder(owner, orders[0], []string{"K27-0001A-Z"}, "c1"), openOrder(owner, orders[2], nil, "")}}, ShipPage{Frame: owner, Title: "Ship", Unsure: []string{"No open order has the number 9999."}, Sure: "9999"}},
		"shipments": {ShipmentsPage{Frame: owner}, ShipmentsPage{Frame: owner, Answer: "The last shipment went today", Rows: []ShipmentRow{{Number: "S27-00012", Items: 1}, {Number: "S27-00011", Void: true}}}},
		"shipment":  {s.shipmentPage(owner, shipment, people), s.shipmentPage(owner, void, people)},
		"orders":    {ordersPage(owner, nil), ordersPage(owner, orders)},
		"customers": {CustomersPage{Frame: owner}, CustomersPage{Frame: owner, Answer: "One customer is found", Rows: []CustomerRow{{"Ada Brenn", "/customers/c1", "555 0142"}}}},
		"customer":  {CustomerPage{Frame: owner, Ask: &Field{Name: "reason", Label: "Why you look"}}, CustomerPage{Frame: owner, Name: "Ada Brenn", ID: "c1", Fields: customerFields(bare), Looks: []string{"24 May 2027, 07:40, Inge Okarra"}, Dealt: s.dealtGroups(privacy.Data{Orders: []privacy.Order{{Ref: "4471", EnteredAt: sampleNow, Lines: []privacy.OrderLine{{Product: "Kit 26", Quantity: 2}}}}, Shipments: []privacy.Shipment{{Number: "S27-00012", ShippedAt: sampleNow, Items: []string{"W26000051", "Aare H1 7"}, Void: true}}, Claims: []privacy.Claim{{Number: "CL27-00154", OpenedAt: sampleNow, State: models.ClaimOpen, Item: "W26000051"}}})}},
	}
}
