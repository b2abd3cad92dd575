package web

import (
	"tracewright/models"
	"tracewright/models/work/monitor"
	"tracewright/models/work/trace"
)

// sampleUses is a spoke lot in two wheels, of which one is in a kit, with a loop
// in the records.
func sampleUses() trace.Uses {
	wheel := models.Item{ID: "i1", Kind: models.KindWheel, Serial: text("W27000CF6"), State: models.StateReleased}
	other := models.Item{ID: "i2", Kind: models.KindWheel, Serial: text("W27000BRM"), State: models.StateInProcess}
	kit := models.Item{ID: "i3", Kind: "kit", Serial: text("K270001AZ"), State: models.StateInProcess}
	return trace.Uses{Lot: &models.Lot{ID: "l1", Code: "SP-0214", Material: "spokes", Description: "2.3 mm plain, 186 mm", Supplier: "Orlo", SupplierCode: "77-A", Quantity: 60, ReceivedAt: sampleNow},
		Pieces: 72, Rows: []trace.Use{{Item: kit, FittedAt: sampleNow}, {Item: wheel, Product: "Quillet 26 rear", Pieces: 36, Within: []models.Item{kit}, FittedAt: sampleNow, FittedBy: "p2"},
			{Item: other, Product: "Quillet 26 rear", Pieces: 36, FittedAt: sampleNow, FittedBy: "p2"}},
		Loops: [][]models.Item{{wheel, kit}}, People: map[string]string{"p2": "Inge Okarra"}}
}

// sampleRebuilt is a wheel with a motor swapped and four spokes replaced.
func sampleRebuilt() trace.ItemView {
	v, out := sampleWheel(), sampleNow
	motor := models.Item{ID: "m1", Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: text("N9-2204")}
	spokes := models.Lot{ID: "l1", Code: "SP-0931", Material: "spokes"}
	v.Parts = append(v.Parts, trace.PartView{Part: models.FittedPart{ID: "t1", Role: "motor", PartID: text("m1"), Quantity: 1, TakenOut: 1, OutAt: &out}, Item: &motor, Out: []models.PartRemoval{{Quantity: 1, Code: "worn", Reason: "bearing rough", Fate: models.FateScrap, RemovedAt: out, RemovedBy: "p2"}}},
		trace.PartView{Part: models.FittedPart{ID: "t2", Role: "spokes_a", LotID: text("l1"), Quantity: 18, TakenOut: 4}, Lot: &spokes, Out: []models.PartRemoval{{Quantity: 4, Code: "broken", Fate: models.FateScrap, RemovedAt: out, RemovedBy: "p2"}}})
	return v
}

// sampleSources is a pack of two blocks, one of which stands twice.
func sampleSources() trace.Sources {
	part := func(role, place, lot, number string, n int) models.PartView {
		return models.PartView{FittedPart: models.FittedPart{Role: role, Place: place, Quantity: n, FittedAt: sampleNow, FittedBy: "p2"}, LotCode: lot, Number: number, Description: "PB17, 17 Ah"}
	}
	block := models.Item{ID: "b1", Kind: models.KindBlock, Supplier: "Pallas", Model: "PB17", MakerNumber: text("77120"), State: models.StateConforming}
	return trace.Sources{Item: models.Item{ID: "i9", Kind: models.KindPack, Serial: text("P270009QV")}, Lots: 1, Items: 1, People: map[string]string{"p2": "Inge Okarra"},
		Parts: []trace.Source{{Part: part("block", "1.1", "", "77120", 1), Item: &block, Parts: []trace.Source{{Part: part("block", "", "BL-7", "", 20)}}}, {Part: part("block", "1.2", "", "77120", 1), Item: &block, Again: true}}}
}

// sampleInWork is a wheel that waits for long, and packs at several steps.
func sampleInWork() []monitor.Line {
	at := func(n, days int) monitor.Standing {
		return monitor.Standing{Count: n, Oldest: models.InWork{ItemID: "i1", Serial: "W27000CF6"}, Since: sampleNow.AddDate(0, 0, -days)}
	}
	return []monitor.Line{{Product: "Quillet 26 rear", Kind: models.KindWheel, Steps: map[string]monitor.Standing{models.StepLaced: at(3, 9), models.StepReady: at(12, 20)}},
		{Product: "Tamsin 48", Kind: models.KindPack, Steps: map[string]monitor.Standing{models.StepCharging: at(1, 0), models.StepHeld: at(1, 2)}}}
}
