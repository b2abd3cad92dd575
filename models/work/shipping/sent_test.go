package shipping_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/release"
	"tracewright/models/work/shipping"
	"tracewright/models/work/worktest"
)

// onList is what a packing list names, box by box, and what the shipment says that
// it held.
func (b *bay) onList(number string) (list, inside string) {
	b.Helper()
	l, err := b.s.PackingList(b.Context(), b.Owner, number)
	b.Must(err)
	var named []string
	for _, box := range l.Boxes {
		for _, line := range box.Lines {
			what := fmt.Sprintf("%d %s", line.Quantity, line.Name)
			for _, i := range line.Items {
				what += fmt.Sprintf(" %s %s-%d", i.Serial, i.Certificate, i.Revision)
			}
			named = append(named, what)
		}
	}
	sh, err := b.s.Shipment(b.Context(), number)
	b.Must(err)
	var held []string
	for _, i := range sh.Inside() {
		held = append(held, *i.Serial)
	}
	slices.Sort(held)
	return strings.Join(named, ", "), strings.Join(held, " ")
}

// A box came back and was packed anew, with another wheel, other small parts and by
// another list, and went again; certificates were revised and voided. The papers of
// both shipments say what was in the box, and which certificates, when it went.
func TestAPackingListSaysWhatWent(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, kit := t.Context(), b.newKit()
		first, second := b.released(b.Item[models.KindWheel]), b.released(b.AnotherWheel())
		later := func() { b.Now = b.Now.Add(time.Minute) }
		pack := func(item models.Item) {
			t.Helper()
			_, err := b.s.Pack(ctx, b.Owner, *kit.Serial, *item.Serial, "")
			b.Must(err)
			later()
		}
		tick := func(in bool) {
			t.Helper()
			_, err := b.s.Tick(ctx, b.Owner, *kit.Serial, "torque arm", in)
			b.Must(err)
			later()
		}
		ship := func() string {
			t.Helper()
			sent, err := b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*kit.Serial}, Reason: "the rest follows"})
			b.Must(err)
			later()
			return sent.Number
		}
		pack(first)
		tick(true)
		one := ship()
		want := func(step, number, list, inside string) {
			t.Helper()
			if gotList, gotInside := b.onList(number); gotList != list || gotInside != inside {
				t.Errorf("%s: the list of %s names %q, it held %q; want %q and %q", step, number, gotList, gotInside, list, inside)
			}
		}
		wheel, err := b.Store.Product(ctx, *first.ProductID)
		b.Must(err)
		asSent := fmt.Sprintf("1 %s %s C31-00001-1, 2 torque arm", wheel.Name, *first.Serial)
		want("sent", one, asSent, *first.Serial)

		for _, item := range []models.Item{kit, first} {
			_, err := b.Store.AddHold(ctx, models.NewStamp(b.Owner, b.Now), models.Hold{ItemID: &item.ID, Code: "W14", Reason: "came back, it ticks"})
			b.Must(err)
			later()
		}
		want("came back", one, asSent, *first.Serial)
		_, err = b.s.TakeOut(ctx, b.Owner, *kit.Serial, *first.Serial, "its spoke broke")
		b.Must(err)
		later()
		tick(false)
		want("taken out", one, asSent, *first.Serial)
		pack(second)
		form := models.ProductForm{Kit: &models.KitForm{Lines: []models.KitLine{{Product: wheel.ID, Quantity: 1}, {Part: "torque arms", Quantity: 1}}}}
		b.Must(b.Store.AddProductRevision(ctx, models.NewStamp(b.Owner, b.Now), models.ProductRevision{ProductID: b.kit.ID, Revision: 2, Form: form, Reason: "one is enough", CreatedAt: b.Now}))
		later()
		want("packed anew", one, asSent, *first.Serial)
		two := ship()
		want("sent again", one, asSent, *first.Serial)
		resent := fmt.Sprintf("1 %s %s C31-00002-1", wheel.Name, *second.Serial)
		want("sent again", two, resent, *second.Serial)

		r := release.New(b.Store, b.Clock, worktest.Zone, nil)
		r.SealBy(worktest.NewSigner())
		_, err = r.Issue(ctx, b.Owner, second.ID, "a name was wrong")
		b.Must(err)
		later()
		want("revised", two, resent, *second.Serial)
		for _, item := range []models.Item{first, second} {
			c, err := b.Store.CertificateInForce(ctx, item.ID)
			b.Must(err)
			b.Must(r.Void(ctx, b.Owner, c.ID, "the gauge was bad"))
			later()
		}
		want("void", one, asSent, *first.Serial)
		want("void", two, resent, *second.Serial)
		b.Must(b.s.Void(ctx, b.Owner, two, "not fetched"))
		later()
		want("not fetched", two, resent, *second.Serial)
	})
}

// What went without a certificate by the owner's word has none on its list, though it
// got one since.
func TestWhatWentWithoutACertificate(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, wheel := t.Context(), b.Item[models.KindWheel]
		b.MustRecord(b.Extremes())
		sent, err := b.s.Ship(ctx, b.Owner, shipping.NewShipment{Items: []string{*wheel.Serial}, Reason: "its paper follows"})
		b.Must(err)
		b.Now = b.Now.Add(time.Minute)
		r := release.New(b.Store, b.Clock, worktest.Zone, nil)
		r.SealBy(worktest.NewSigner())
		if _, err := r.Issue(ctx, b.Owner, wheel.ID, ""); err != nil {
			t.Fatal(err)
		}
		if list, _ := b.onList(sent.Number); !strings.HasSuffix(list, *wheel.Serial+" -0") {
			t.Errorf("the list names %q, want no certificate", list)
		}
	})
}
