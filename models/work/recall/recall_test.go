package recall_test

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/recall"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// bay is a workshop whose spoke lot went into four wheels: one here, one
// shipped, one whose spokes were all replaced since, and one by a bin that the lot
// was mixed into.
type bay struct {
	*worktest.Shop
	s                             *recall.Service
	lot, bin                      models.Lot
	here, shipped, replaced, bins models.Item
}

func each(t *testing.T, f func(t *testing.T, b *bay)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, stamp := t.Context(), models.NewStamp(h.Owner, h.Now.Add(-time.Hour))
		b := &bay{Shop: h, s: recall.New(h.Store, h.Clock, worktest.Zone), lot: models.Lot{ID: models.NewID(), Code: "SP-1", Material: "spokes"}, bin: models.Lot{ID: models.NewID(), Code: "BIN-1", Material: "spokes"}}
		h.Must(h.Store.AddLot(ctx, stamp, b.lot))
		h.Must(h.Store.AddLot(ctx, stamp, b.bin))
		h.Must(h.Store.AddLotMixes(ctx, stamp, nil, []models.LotMix{{ID: models.NewID(), MixID: b.bin.ID, LotID: b.lot.ID, Quantity: 9}}))
		for item, lot := range map[*models.Item]string{&b.here: b.lot.ID, &b.shipped: b.lot.ID, &b.replaced: b.lot.ID, &b.bins: b.bin.ID} {
			*item = b.wheel(lot)
		}
		_, err := h.Store.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{b.shipped.ID}, Against: []models.Remark{models.NewRemark("not_released")}})
		h.Must(err)
		parts, err := h.Store.Parts(ctx, b.replaced.ID)
		h.Must(err)
		h.Must(h.Store.ChangeParts(ctx, stamp, b.replaced.ID, []models.PartRemoval{{FittedID: parts[0].ID, Quantity: 18, Code: "broken", Fate: models.FateScrap}}, nil))
		f(t, b)
	})
}

func (b *bay) wheel(lot string) models.Item {
	b.Helper()
	w := b.Item[models.KindWheel]
	item, err := b.Store.AddItemWithSerial(b.Context(), models.NewStamp(b.Owner, b.Now.Add(-2*time.Hour)), models.Item{Kind: models.KindWheel, FamilyID: w.FamilyID, ProductID: w.ProductID, Origin: "made"}, "W", 31,
		[]models.FittedPart{{Role: "spokes_a", LotID: &lot, Quantity: 18}})
	b.Must(err)
	return item
}

func (b *bay) state(item models.Item) string {
	b.Helper()
	now, err := b.Store.Item(b.Context(), item.ID)
	b.Must(err)
	return now.State
}

// A lot called back: what holds it is found, split and stopped in one step; asked
// again it stops what is new and nothing twice.
func TestALotIsCalledBack(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		found, err := b.s.Preview(ctx, recall.Ask{Lot: "SP-1"})
		b.Must(err)
		if found.Here != 2 || found.Shipped != 1 || len(found.Items) != 3 || b.state(b.here) != models.StateInProcess {
			t.Errorf("found %+v, and looking stops nothing: %s", found, b.state(b.here))
		}
		for _, x := range found.Items {
			if x.Possibly != (x.Item == b.bins.ID) || x.Item == b.replaced.ID {
				t.Errorf("reached: %+v", x)
			}
		}
		r, err := b.s.Make(ctx, b.Owner, recall.NewRecall{Ask: recall.Ask{Lot: "SP-1"}, Reason: "elbows crack", Wanted: "stop riding"})
		b.Must(err)
		for item, want := range map[*models.Item]string{&b.here: models.StateHeld, &b.bins: models.StateHeld, &b.shipped: models.StateRecalled, &b.replaced: models.StateInProcess} {
			if got := b.state(*item); got != want {
				t.Errorf("%s is %s, want %s", item.Name(), got, want)
			}
		}
		// What is left of the lot is fitted nowhere until somebody decides.
		decided := func() []models.LotDecision {
			records, err := b.Store.LotRecords(ctx, b.lot.ID)
			b.Must(err)
			return records.Decisions
		}
		if d := decided(); len(d) != 1 || d[0].Decision != models.LotQuarantine || d[0].Reason != r.Number || d[0].DecidedBy != b.Owner.PersonID {
			t.Errorf("the lot: %+v", d)
		}
		b.Must(b.Store.AddLotDecision(ctx, models.NewStamp(b.Owner, b.Now.Add(time.Second)), models.LotDecision{ID: models.NewID(), LotID: b.lot.ID, Decision: models.LotConcession, Reason: "for samples"}))
		b.Must(b.s.Again(ctx, b.Owner, r.Number, ""))
		if d := decided(); len(d) != 2 {
			t.Errorf("a second run undid what was decided about the lot: %+v", d)
		}
		if holds, err := b.Store.OpenHolds(ctx, b.here.ID); err != nil || len(holds) != 1 || holds[0].Code != models.HoldRecall || holds[0].Reason != r.Number {
			t.Errorf("holds after a second run: %+v, %v", holds, err)
		}
		late := b.wheel(b.lot.ID)
		b.Must(b.s.Again(ctx, b.Owner, r.Number, ""))
		v, err := b.s.Recall(ctx, r.Number)
		b.Must(err)
		if r.Number != "R31-00001" || v.About != "SP-1" || len(v.Runs) != 3 || len(v.New) != 1 || v.New[0].ID != late.ID || len(v.Gone) != 0 || v.Shipped != 1 || v.Here != 3 || v.Rows[0].Of.ID != b.shipped.ID || v.Rows[0].Shipment == nil {
			t.Errorf("the third answer: %+v", v)
		}
		if b.state(late) != models.StateHeld {
			t.Errorf("the late one is %s", b.state(late))
		}

		for _, response := range []string{"notified", "returned"} {
			b.Must(b.s.Respond(ctx, b.Owner, r.Number, recall.Response{Item: b.shipped.ID, Response: response}))
			v, err = b.s.Recall(ctx, r.Number)
			b.Must(err)
			if v.Notified != 1 || v.Answered != map[string]int{"notified": 0, "returned": 1}[response] {
				t.Errorf("after %s: %d notified, %d answered", response, v.Notified, v.Answered)
			}
		}
		worktest.WantProblems(t, b.s.Respond(ctx, b.Owner, r.Number, recall.Response{Item: b.replaced.ID, Response: "notified"}), "item: not_in_recall")
		worktest.WantProblems(t, b.s.Respond(ctx, b.Owner, r.Number, recall.Response{Item: b.shipped.ID, Response: "shouted"}), "response: unknown_choice")
		worktest.WantProblems(t, b.s.End(ctx, b.Owner, r.Number, " "), "reason: reason_needed")
		b.Must(b.s.End(ctx, b.Owner, r.Number, "all of them are back"))
		var refused *models.RefusedError
		for _, err := range []error{b.s.End(ctx, b.Owner, r.Number, "again"), b.s.Again(ctx, b.Owner, r.Number, ""), b.s.Respond(ctx, b.Owner, r.Number, recall.Response{Item: b.shipped.ID, Response: "notified"})} {
			if !errors.As(err, &refused) {
				t.Errorf("after its end: %v", err)
			}
		}
	})
}

// A shipment that never went: what was called back of it is in the house, and
// stays there.
func TestCalledBackAndNeverGone(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, stamp := t.Context(), models.NewStamp(b.Owner, b.Now)
		r, err := b.s.Make(ctx, b.Owner, recall.NewRecall{Ask: recall.Ask{Lot: "SP-1"}, Reason: "elbows crack"})
		b.Must(err)
		went, err := b.Store.ShipmentsOf(ctx, b.shipped.ID)
		b.Must(err)
		b.Must(b.Store.VoidShipment(ctx, stamp, models.ShipmentVoid{ShipmentID: went[0].ID, Reason: "it lay in the yard"}))
		holds, err := b.Store.OpenHolds(ctx, b.shipped.ID)
		b.Must(err)
		if got := b.state(b.shipped); got != models.StateHeld || len(holds) != 1 || holds[0].Reason != r.Number || holds[0].StateBefore != models.StateInProcess {
			t.Errorf("it is %s, held by %+v", got, holds)
		}
		b.Must(b.s.Again(ctx, b.Owner, r.Number, ""))
		if v, err := b.s.Recall(ctx, r.Number); err != nil || v.Shipped != 0 || v.Here != 3 {
			t.Errorf("searched again: %d shipped, %d here, %v", v.Shipped, v.Here, err)
		}
	})
}

// What was called back and comes in with a claim that is accepted is not worked on
// past the recall: it is held for that, however early it was accepted.
func TestAnAcceptedClaimSettlesNoRecall(t *testing.T) {
	came := models.ClaimEvent{What: models.ClaimCameIn, CameOn: "2031-05-12"}
	accepted := models.ClaimEvent{What: models.ClaimAnswered, Decision: models.ClaimAccept, Reason: "it ticks"}
	for name, order := range map[string][]models.ClaimEvent{"accepted here": {came, accepted}, "accepted before it came": {accepted, came}, "under another hold": {came, accepted}} {
		t.Run(name, func(t *testing.T) {
			each(t, func(t *testing.T, b *bay) {
				ctx, stamp := t.Context(), models.NewStamp(b.Owner, b.Now)
				r, err := b.s.Make(ctx, b.Owner, recall.NewRecall{Ask: recall.Ask{Lot: "SP-1"}, Reason: "elbows crack"})
				b.Must(err)
				var others []models.Hold
				if name == "under another hold" {
					h, err := b.Store.AddHold(ctx, stamp, models.Hold{ItemID: &b.shipped.ID, Code: "W09", Reason: "a spoke is cracked"})
					b.Must(err)
					others = append(others, h)
				}
				_, err = b.Store.AddClaim(ctx, stamp, 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{}, append([]models.ClaimEvent{{What: models.ClaimLinked, ItemID: &b.shipped.ID}}, order...))
				b.Must(err)
				for _, h := range others {
					b.Must(b.Store.LiftHold(ctx, stamp, models.HoldLift{HoldID: h.ID, Code: "other", Reason: "it is whole"}))
				}
				holds, err := b.Store.OpenHolds(ctx, b.shipped.ID)
				b.Must(err)
				if got := b.state(b.shipped); got != models.StateHeld || len(holds) != 1 || holds[0].Code != models.HoldRecall || holds[0].Reason != r.Number {
					t.Fatalf("it is %s, held by %+v", got, holds)
				}
				b.Must(b.Store.LiftHold(ctx, stamp, models.HoldLift{HoldID: holds[0].ID, Code: "other", Reason: "its spokes were replaced"}))
				if got := b.state(b.shipped); got != models.StateInProcess {
					t.Errorf("after the end of that hold it is %s", got)
				}
			})
		})
	}
}

// How well a recall works is counted of all that were shipped when it was made or
// searched again: what came back since was told and answered all the same, and
// whom nobody reached was not told.
func TestWhatCameBackStillCounts(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, second := t.Context(), b.wheel(b.lot.ID)
		stamp := models.NewStamp(b.Owner, b.Now)
		_, err := b.Store.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{second.ID}, Against: []models.Remark{models.NewRemark("not_released")}})
		b.Must(err)
		r, err := b.s.Make(ctx, b.Owner, recall.NewRecall{Ask: recall.Ask{Lot: "SP-1"}, Reason: "elbows crack"})
		b.Must(err)
		b.Must(b.s.Respond(ctx, b.Owner, r.Number, recall.Response{Item: b.shipped.ID, Response: "returned"}))
		b.Must(b.s.Respond(ctx, b.Owner, r.Number, recall.Response{Item: second.ID, Response: "not_reached"}))
		_, err = b.Store.AddClaim(ctx, stamp, 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{}, []models.ClaimEvent{{What: models.ClaimLinked, ItemID: &b.shipped.ID}, {What: models.ClaimCameIn, CameOn: "2031-05-12"}})
		b.Must(err)
		b.Must(b.s.Again(ctx, b.Owner, r.Number, ""))
		v, err := b.s.Recall(ctx, r.Number)
		b.Must(err)
		if v.Shipped != 1 || v.Here != 3 || v.Called != 2 || v.Notified != 1 || v.Answered != 1 {
			t.Errorf("%d shipped and %d here now; of %d called back %d were told and %d answered", v.Shipped, v.Here, v.Called, v.Notified, v.Answered)
		}
	})
}

// The last shipment is the one that stands, alone or by the kit that the item
// lies in.
func TestARecallNamesTheLastShipment(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, at := t.Context(), b.Now
		stamp := func() models.Stamp { at = at.Add(time.Minute); return models.NewStamp(b.Owner, at) }
		send := func(id string) models.Shipment {
			sh, err := b.Store.AddShipment(ctx, stamp(), 31, models.Shipment{Items: []string{id}, Against: []models.Remark{models.NewRemark("not_released")}})
			b.Must(err)
			return sh
		}
		kit, err := b.Store.AddItemWithSerial(ctx, stamp(), models.Item{Kind: models.KindKit, Origin: "made"}, "K", 31, nil)
		b.Must(err)
		b.Must(b.Store.PackKit(ctx, stamp(), models.KitPacking{KitID: kit.ID, ItemID: &b.here.ID, Quantity: 1, Added: true}))
		inKit := send(kit.ID)
		void := send(b.bins.ID)
		b.Must(b.Store.VoidShipment(ctx, stamp(), models.ShipmentVoid{ShipmentID: void.ID, Reason: "r"}))
		again := send(b.bins.ID)
		got, err := b.Store.LastShipments(ctx, []string{b.here.ID, b.bins.ID, b.replaced.ID, b.shipped.ID})
		b.Must(err)
		if len(got) != 3 || got[b.here.ID].Number != inKit.Number || got[b.bins.ID].Number != again.Number {
			t.Errorf("%+v", got)
		}
	})
}

// A recall says what it is about, whichever kind of thing that is.
func TestARecallSaysWhatItIsAbout(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		sub := b.Extremes()
		sub.Place = "stand 3"
		at := b.MustRecord(sub).Inspection.MeasuredAt
		for want, ask := range map[string]recall.Ask{"SP-1": {Lot: "SP-1"}, "D-1": {Instrument: "D-1", To: at}, "stand 3": {Place: "stand 3", From: at, To: at.Add(time.Hour)}} {
			r, err := b.s.Make(t.Context(), b.Owner, recall.NewRecall{Ask: ask, Reason: "r"})
			b.Must(err)
			v, err := b.s.Recall(t.Context(), r.Number)
			b.Must(err)
			if v.About != want {
				t.Errorf("%s is about %q, want %q", r.Number, v.About, want)
			}
		}
		list, err := b.s.Recalls(t.Context())
		b.Must(err)
		if len(list) != 3 || list[0].About == "" || list[1].About == "" || list[2].About == "" {
			t.Errorf("in the list: %+v", list)
		}
	})
}

// A gauge's window is open at its start and closed at its end, a place's the
// other way (ISO/IEC 19987 leaves it to the asker; so do the cases of traces).
func TestWindowsOfTime(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		sub := b.Extremes()
		sub.Place = "stand 3"
		read := b.MustRecord(sub).Inspection
		at := read.MeasuredAt
		for name, c := range map[string]struct {
			ask  recall.Ask
			want bool
		}{
			"a gauge, from its very moment":   {recall.Ask{Instrument: "D-1", From: at, To: at.Add(time.Hour)}, false},
			"a gauge, up to its very moment":  {recall.Ask{Instrument: "D-1", From: at.Add(-time.Hour), To: at}, true},
			"a gauge that was not used":       {recall.Ask{Instrument: "D-2", From: at.Add(-time.Hour), To: at}, false},
			"a gauge, from the beginning":     {recall.Ask{Instrument: "D-1", To: at}, true},
			"a place, from its very moment":   {recall.Ask{Place: "stand 3", From: at, To: at.Add(time.Hour)}, true},
			"a place, before its very moment": {recall.Ask{Place: "stand 3", From: at.Add(-time.Hour), To: at}, false},
			"a place, in other capitals":      {recall.Ask{Place: " Stand 3", From: at, To: at.Add(time.Hour)}, true},
			"a person at a place":             {recall.Ask{Place: "stand 3", Person: b.Operator.PersonID, From: at, To: at.Add(time.Hour)}, true},
			"another person":                  {recall.Ask{Person: b.Owner.PersonID, From: at, To: at.Add(time.Hour)}, false},
		} {
			found, err := b.s.Preview(t.Context(), c.ask)
			b.Must(err)
			if got := slices.ContainsFunc(found.Items, func(x models.RecallItem) bool { return x.Item == read.ItemID }); got != c.want {
				t.Errorf("%s: found %v, want %v", name, got, c.want)
			}
		}
		serial := *b.here.Serial
		found, err := b.s.Preview(t.Context(), recall.Ask{Part: serial[4:]})
		b.Must(err)
		if len(found.Items) != 1 || found.Items[0].Item != b.here.ID {
			t.Errorf("the last five of %s found %+v", serial, found.Items)
		}
		misread := serial[:8] + "0"
		if misread == serial {
			misread = serial[:8] + "1"
		}
		for name, c := range map[string]struct {
			ask  recall.Ask
			want string
		}{
			"nothing":            {recall.Ask{}, "lot: one_scope"},
			"two things":         {recall.Ask{Lot: "SP-1", Instrument: "D-1"}, "lot: one_scope"},
			"a lot nobody knows": {recall.Ask{Lot: "SP-9"}, "lot: unknown_lot"},
			"no such gauge":      {recall.Ask{Instrument: "D-9", To: at}, "instrument: unknown_instrument"},
			"an end nobody has":  {recall.Ask{Part: "ZZZZZ"}, "part: serial_tail_unknown"},
			"a misread serial":   {recall.Ask{Part: misread}, "part: serial_check"},
			"no such place":      {recall.Ask{Place: "stand 4", From: at, To: at.Add(time.Hour)}, "place: unknown_place"},
			"no end":             {recall.Ask{Instrument: "D-1", From: at}, "to: missing"},
			"an end first":       {recall.Ask{Place: "stand 3", From: at, To: at.Add(-time.Hour)}, "to: end_before_start"},
		} {
			_, err := b.s.Preview(t.Context(), c.ask)
			t.Run(name, func(t *testing.T) { worktest.WantProblems(t, err, c.want) })
		}
		_, err = b.s.Make(t.Context(), b.Owner, recall.NewRecall{Ask: recall.Ask{Instrument: "D-2", To: at}})
		worktest.WantProblems(t, err, "lot: reaches_nothing", "reason: reason_needed")
	})
}

// What a program sends twice is done once; something else under the same id is
// refused.
func TestWhatIsSentTwiceIsDoneOnce(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		in := recall.NewRecall{ID: models.NewID(), Ask: recall.Ask{Lot: "SP-1"}, Reason: "elbows crack", Wanted: "stop riding"}
		r, err := b.s.Make(ctx, b.Owner, in)
		b.Must(err)
		run, response := models.NewID(), recall.Response{ID: models.NewID(), Item: *b.shipped.Serial, Response: "notified"}
		for range 2 {
			again, err := b.s.Make(ctx, b.Owner, in)
			b.Must(err)
			if again.Number != r.Number {
				t.Errorf("made %s, sent again %s", r.Number, again.Number)
			}
			b.Must(b.s.Again(ctx, b.Owner, r.Number, run))
			b.Must(b.s.Respond(ctx, b.Owner, r.Number, response))
		}
		v, err := b.s.Recall(ctx, r.Number)
		b.Must(err)
		if len(v.Runs) != 2 || len(v.Responses) != 1 || v.Responses[0].ItemID != b.shipped.ID {
			t.Errorf("%d runs and responses %+v, want 2 and one of the shipped wheel", len(v.Runs), v.Responses)
		}
		b.Must(b.s.End(ctx, b.Owner, r.Number, "put right"))
		b.Must(b.s.Again(ctx, b.Owner, r.Number, run)) // The end came between.
		response.Response = "answered"
		other := in
		other.Wanted = "ride on"
		_, err = b.s.Make(ctx, b.Owner, other)
		elsewhere := in
		elsewhere.Ask = recall.Ask{Lot: b.bin.Code}
		_, err2 := b.s.Make(ctx, b.Owner, elsewhere)
		for name, err := range map[string]error{"another recall": err, "a recall of something else": err2, "another response": b.s.Respond(ctx, b.Owner, r.Number, response)} {
			if !errors.Is(err, models.ErrConflict) {
				t.Errorf("%s under the same id: %v", name, err)
			}
		}
		_, err = b.s.Make(ctx, b.Owner, recall.NewRecall{ID: "7", Ask: recall.Ask{Instrument: "D-1", FromDay: "May", ToDay: "31.5."}})
		worktest.WantProblems(t, err, "id: bad_id", "reason: reason_needed", "from: bad_date", "to: bad_date")
	})
}

// What was said last holds, whatever key a program with a wrong clock gave it.
func TestTheLastResponseHolds(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		r, err := b.s.Make(ctx, b.Owner, recall.NewRecall{Ask: recall.Ask{Lot: "SP-1"}, Reason: "elbows crack"})
		b.Must(err)
		b.Must(b.s.Respond(ctx, b.Owner, r.Number, recall.Response{ID: "ffffffff-ffff-7fff-8fff-ffffffffffff", Item: b.shipped.ID, Response: "not_reached"}))
		b.Now = b.Now.Add(time.Hour)
		b.Must(b.s.Respond(ctx, b.Owner, r.Number, recall.Response{Item: b.shipped.ID, Response: "returned"}))
		v, err := b.s.Recall(ctx, r.Number)
		b.Must(err)
		if got := v.Rows[0].Response; got == nil || got.Response != "returned" || v.Answered != 1 {
			t.Errorf("the newest is %+v, %d answered", got, v.Answered)
		}
	})
}

// A text is as long as its characters are many, whichever they are.
func TestATextIsCountedInCharacters(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		in := recall.NewRecall{Ask: recall.Ask{Lot: "SP-1"}, Reason: strings.Repeat("ü", 401)}
		_, err := b.s.Make(t.Context(), b.Owner, in)
		worktest.WantProblems(t, err, "reason: too_long")
		in.Reason = in.Reason[2:]
		r, err := b.s.Make(t.Context(), b.Owner, in)
		b.Must(err)
		worktest.WantProblems(t, b.s.End(t.Context(), b.Owner, r.Number, strings.Repeat("ü", 401)), "reason: too_long")
		b.Must(b.s.End(t.Context(), b.Owner, r.Number, strings.Repeat("ü", 400)))
	})
}

// What went back to its supplier is not here any more, and reaches nobody; and a recall
// of one item, as of a pack, reaches that item itself.
func TestWhatWentBackAndTheItemItself(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx, stamp := t.Context(), func() models.Stamp { return models.NewStamp(b.Owner, b.Now) }
		before, err := b.s.Preview(ctx, recall.Ask{Lot: b.lot.Code})
		b.Must(err)
		v, err := b.Store.AddNonconformity(ctx, stamp(), 31, models.Nonconformity{ItemID: b.here.ID, Code: "W01", Severity: models.Major, Note: "r"}, models.Hold{Code: "W01", Reason: "r"})
		b.Must(err)
		for _, what := range []string{"dispose_return_supplier", "confirm_return"} {
			b.Must(b.Store.AddNonconformityStep(ctx, stamp(), v.ID, models.NonconformityStep{What: what, Supplier: "Corran", Note: "r"}))
		}
		found, err := b.s.Preview(ctx, recall.Ask{Lot: b.lot.Code})
		b.Must(err)
		if found.Here != before.Here-1 || found.Scrapped != before.Scrapped+1 || found.Shipped != before.Shipped || len(found.Items) != len(before.Items) {
			t.Errorf("of %d here, %d gone, %d shipped it became %d, %d, %d", before.Here, before.Scrapped, before.Shipped, found.Here, found.Scrapped, found.Shipped)
		}
		found, err = b.s.Preview(ctx, recall.Ask{Part: *b.shipped.Serial})
		b.Must(err)
		if len(found.Items) != 1 || found.Items[0].Item != b.shipped.ID || found.Shipped != 1 {
			t.Errorf("a recall of one wheel reaches %+v", found.Items)
		}
		// Of the first run nothing is new, since there is none before it.
		r, err := b.s.Make(ctx, b.Owner, recall.NewRecall{Ask: recall.Ask{Part: *b.shipped.Serial}, Reason: "cracks"})
		b.Must(err)
		if v, err := b.s.Recall(ctx, r.Number); err != nil || len(v.New) != 0 || len(v.Gone) != 0 || len(v.Rows) != 1 {
			t.Errorf("new are %+v, gone %+v of %d, %v", v.New, v.Gone, len(v.Rows), err)
		}
	})
}

// The recall of a gauge's trace reaches what no longer passes and was out when it was
// traced, or is now: not what stays good, nor what lay here all along.
func TestARecallByAGaugesTrace(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		ctx := t.Context()
		gauges, err := b.Store.InstrumentsByCode(ctx, []string{"D-1"})
		b.Must(err)
		set := func(item models.Item, effect, where string) models.TraceSet {
			return models.TraceSet{Item: item.ID, Code: "lateral_runout", Effect: effect, Where: where}
		}
		content, err := json.Marshal(models.TraceContent{Instrument: "D-1", Sets: []models.TraceSet{
			set(b.here, models.SetNoLonger, models.RecallHere), set(b.shipped, models.SetNoLonger, models.RecallHere), // It left since.
			set(b.replaced, models.SetStaysGood, models.RecallShipped), set(b.bins, models.SetNoLonger, models.RecallShipped)}}) // It came back since.
		b.Must(err)
		trace, err := b.Store.AddGaugeTrace(ctx, models.NewStamp(b.Owner, b.Now), models.GaugeTrace{InstrumentID: gauges[0].ID, Cause: models.CauseCalibration, CauseID: models.NewID(), Content: string(content), ContentHash: "h"})
		b.Must(err)
		found, err := b.s.Preview(ctx, recall.Ask{Trace: trace.ID})
		b.Must(err)
		var got []string
		for _, x := range found.Items {
			got = append(got, x.Item)
		}
		want := []string{b.shipped.ID, b.bins.ID}
		slices.Sort(want)
		if !slices.Equal(got, want) || found.About != "D-1" {
			t.Errorf("of %s it reaches %v, want the one that left since and the one that was out: %v", found.About, got, want)
		}
	})
}

// A day that is named as the last counts whole.
func TestTheLastDayCounts(t *testing.T) {
	h := worktest.New(t)
	sub := h.Extremes()
	sub.Place = "stand 1"
	h.MustRecord(sub)
	found, err := recall.New(h.Store, h.Clock, worktest.Zone).Preview(t.Context(), recall.Ask{Place: "stand 1", FromDay: "2031-05-12", ToDay: "2031-05-12"})
	h.Must(err)
	if len(found.Items) != 1 || found.Items[0].Item != h.Item[models.KindWheel].ID {
		t.Errorf("of the one day it reaches %+v", found.Items)
	}
}
