package shipping_test

import (
	"encoding/json"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/shipping"
)

// What somebody typed to hold an item is for the house: the list that goes to the
// customer says that it was on hold, whether it went by the word at the packing or at
// the door; the records and the page keep the text.
func TestTheListDoesNotPrintWhyItWasHeld(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		const typed = "Ada Brenn rang about the tick"
		wheel, loose := b.released(b.Item[models.KindWheel]), b.released(b.AnotherWheel())
		for _, item := range []models.Item{wheel, loose} {
			_, err := b.Store.AddHold(t.Context(), models.NewStamp(b.Owner, b.Now), models.Hold{ItemID: &item.ID, Code: "W24", Reason: typed})
			b.Must(err)
		}
		kit := b.boxed(wheel, "agreed")
		sent, err := b.s.Ship(t.Context(), b.Owner, shipping.NewShipment{Items: []string{*kit.Serial, *loose.Serial}, Reason: "agreed too"})
		b.Must(err)
		for _, kept := range [][]models.Remark{sent.Against, sent.Kits[0].Let[0].Against} {
			if kept[0].Values["reason"] != typed {
				t.Errorf("kept is %+v", kept)
			}
		}
		b.Must(b.Store.SetSetting(t.Context(), models.NewStamp(b.Owner, b.Now), models.SettingPaperLanguage, "de"))
		list, err := b.s.PackingList(t.Context(), b.Owner, sent.Number)
		b.Must(err)
		if list.Language != "de" {
			t.Errorf("the list is in %q, the certificates in German", list.Language)
		}
		if printed, err := json.Marshal(list); err != nil || strings.Contains(string(printed), typed) {
			t.Errorf("the list says %s, %v", printed, err)
		}
		if len(list.Concessions) != 2 {
			t.Fatalf("concessions %+v", list.Concessions)
		}
		for i, item := range []models.Item{loose, wheel} {
			if said := words.In("en").Remark(list.Concessions[i].Against[0]); said != words.Serial(*item.Serial)+" was on hold." {
				t.Errorf("said of %s: %q", *item.Serial, said)
			}
		}
	})
}

// What stood against an item at the packing is dated by it: at the door it may be
// certified, as the line above says.
func TestWhatStoodAgainstItAtThePackingIsDated(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		b.MustRecord(b.Extremes())
		wheel := b.Item[models.KindWheel]
		kit := b.boxed(wheel, "its paper follows")
		day := b.Now
		b.Now = b.Now.AddDate(0, 0, 2)
		b.certify(wheel)
		list, err := b.s.PackingList(t.Context(), b.Owner, b.goes("two days later", kit, ""))
		b.Must(err)
		if line := list.Boxes[0].Lines[0].Items[0]; line.Certificate == "" {
			t.Errorf("the line says %+v, want its certificate", line)
		}
		if c := list.Concessions; len(c) != 1 || c[0].PackedOn != day.Format("2006-01-02") {
			t.Errorf("the list says %+v", c)
		}
	})
}
