package models

import (
	"testing"
	"time"

	"tracewright/models/trail"
)

func encodingsOfShipping(at time.Time) []encoding {
	against := []Remark{NewRemark("on_hold", "code", "W14")}
	return []encoding{
		{KitPacking{ID: "k1", KitID: "i9", ItemID: ptr("i1"), Quantity: 1, Added: true, Reason: "agreed", Against: against, PackedAt: at, PackedBy: "p1"},
			`{"added":true,"against":[{"code":"on_hold","values":{"code":"W14"}}],"id":"k1","item":"i1","kit":"i9","packed_at":"2031-05-12T12:03:02.007Z","packed_by":"p1","quantity":1,"reason":"agreed"}`},
		{KitPacking{ID: "k2", KitID: "i9", Part: "torque arm", Quantity: 2, PackedAt: at, PackedBy: "p1"},
			`{"added":false,"id":"k2","kit":"i9","packed_at":"2031-05-12T12:03:02.007Z","packed_by":"p1","part":"torque arm","quantity":2}`},
		{Order{ID: "o1", Ref: "4471", Customer: "c1", DueOn: "2031-05-20", Lines: []OrderLine{{"x1", 2}}, EnteredAt: at, EnteredBy: "p1"},
			`{"customer":"c1","due_on":"2031-05-20","entered_at":"2031-05-12T12:03:02.007Z","entered_by":"p1","id":"o1","lines":[{"product":"x1","quantity":2}],"ref":"4471"}`},
		{OrderEnd{OrderID: "o1", Reason: "all sent", EndedAt: at, EndedBy: "p1"}, `{"ended_at":"2031-05-12T12:03:02.007Z","ended_by":"p1","order":"o1","reason":"all sent"}`},
		{Shipment{ID: "s1", Number: "S31-00001", OrderRef: "4471", Carrier: "Foxline", Tracking: "FX9", Customer: "c1", Items: []string{"i9"}, ShippedAt: at, ShippedBy: "p1", Reason: "agreed", Against: against},
			`{"against":[{"code":"on_hold","values":{"code":"W14"}}],"carrier":"Foxline","customer":"c1","id":"s1","items":["i9"],"number":"S31-00001","order":"4471","reason":"agreed","shipped_at":"2031-05-12T12:03:02.007Z","shipped_by":"p1","tracking":"FX9"}`},
		{ShipmentVoid{ShipmentID: "s1", Reason: "r", VoidedAt: at, VoidedBy: "p1"}, `{"reason":"r","shipment":"s1","voided_at":"2031-05-12T12:03:02.007Z","voided_by":"p1"}`},
		{Customer{ID: "c1", Name: "Ada Brenn", Address: "a", Email: "e", Phone: "p", Note: "n", EnteredAt: at, EnteredBy: "p1"}, `{"id":"c1"}`},
		{CustomerLook{ID: "l1", Customer: "c1", PersonID: "p1", Reason: "asked for an address", LookedAt: at}, `{"customer":"c1","id":"l1","looked_at":"2031-05-12T12:03:02.007Z","person":"p1","reason":"asked for an address"}`},
	}
}

// Version 6 of a form is a kit.
func TestTheFormOfAKitIsVersion6(t *testing.T) {
	r := ProductRevision{ProductID: "x1", Revision: 1, Form: ProductForm{Kit: &KitForm{Lines: []KitLine{{Product: "x2", Quantity: 1}, {Part: "torque arm", Quantity: 2}}}},
		CreatedAt: time.Date(2031, 5, 12, 12, 3, 2, 7_000_000, time.UTC), CreatedBy: "p1"}
	const want = `{"created_at":"2031-05-12T12:03:02.007Z","created_by":"p1","kit":{"lines":[{"product":"x2","quantity":1},{"part":"torque arm","quantity":2}]},"product":"x1","reason":"","revision":1}`
	got, err := trail.Canonical(r.Canonical())
	if err != nil {
		t.Fatal(err)
	}
	if _, _, version := r.TrailName(); string(got) != want || version != 6 {
		t.Errorf("version %d is\n%s\nwant version 6\n%s", version, got, want)
	}
}
