package demo

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"

	"tracewright/models"
	"tracewright/models/work/documents"
	"tracewright/models/work/receive"
)

// keepMaterials says what is looked at when it comes, and what is short.
func (m *maker) keepMaterials() error {
	list, err := m.goods.Materials(m.ctx)
	if err != nil {
		return err
	}
	plans := map[string]models.LotPlan{"spokes": {Kind: models.PlanZero, Bad: "20", Risk: "10"}, "rim": {Kind: models.PlanZero, Bad: "30", Risk: "10"}, "nipples": {Kind: models.PlanSingle, Level: "S3", AQL: "1.0"}}
	least := map[string]int{"spokes": 1500, "nipples": 50000, "rim": 40}
	for _, x := range list {
		from, err := models.Digest(x)
		if err != nil {
			return err
		}
		x.Plan, x.Least = plans[x.Code], least[x.Code]
		if _, err := m.goods.PutMaterial(m.ctx, actor(m.people.owner), from, x); err != nil {
			return err
		}
	}
	return nil
}

// lookAt is the incoming inspection of a lot, as its material asks for it; none
// of what is used later was bad.
func (m *maker) lookAt(l *lot) error {
	material, err := m.store.Material(m.ctx, l.Material)
	if err != nil || material.Plan.Kind == models.PlanNone {
		return err
	}
	sample, err := receive.Work(material.Plan, l.Quantity)
	if err != nil {
		return err
	}
	_, err = m.goods.Inspect(m.ctx, actor(m.people.inspector), receive.Looked{Lot: l.Code, Plan: material.Plan, Looked: sample.Size})
	if err != nil {
		return err
	}
	_, err = m.goods.Decide(m.ctx, actor(m.people.inspector), receive.Decided{Lot: l.Code, Decision: models.LotAccept})
	return err
}

// leaveGoods is what lies open about lots on the last day: a delivery in
// quarantine that nobody has decided about, one that went back in part, one used
// under a concession, a count that differs, a bin of two lots, papers.
func (m *maker) leaveGoods() error {
	spokes, nipples := m.lots[m.wheels[0].spokeKey()], m.lots["nipples"]
	if len(spokes) < 3 || len(nipples) < 2 {
		return nil // A shop of a few wheels.
	}
	who := actor(m.people.inspector)
	short, err := m.delivered("spokes", "SP", "2.34 mm plain, 186 mm", 2000)
	if err != nil {
		return err
	}
	found := receive.Looked{Lot: short.Code, Plan: models.LotPlan{Kind: models.PlanZero, Bad: "20", Risk: "10"}, Looked: 11, Bad: []models.DefectCount{{Code: "W13", Count: 3}}, Note: "Three are 2.5 mm short, from two of the bundles."}
	if _, err := m.goods.Inspect(m.ctx, who, found); err != nil {
		return err
	}
	story, err := m.goods.Story(m.ctx, short.Code)
	if err != nil {
		return err
	}
	if err := m.paper(models.SubjectLotCheck, story.Check().ID, "short spoke.jpg", "the fourth, beside six of the last delivery"); err != nil {
		return err
	}
	rims, err := m.delivered("rim", "RL", "Fennick 559-32 rim, 36 holes", 60)
	if err != nil {
		return err
	}
	for _, d := range []receive.Decided{{Lot: rims.Code, Decision: models.LotQuarantine, Reason: "dents on the outer ones of a carton"}, {Lot: rims.Code, Decision: models.LotReturn, Quantity: 12, Reason: "the dented carton goes back"},
		{Lot: rims.Code, Decision: models.LotConcession, Reason: "scratches on the brake track, which none of our wheels uses"}} {
		if _, err := m.goods.Decide(m.ctx, who, d); err != nil {
			return err
		}
	}
	return m.leaveCounts(spokes[len(spokes)-1], nipples[len(nipples)-2:])
}

// leaveCounts throws some spokes away and counts them short, and puts the last
// nipples into one bin.
func (m *maker) leaveCounts(spokes *lot, nipples []*lot) error {
	who := actor(m.people.builders[0])
	if err := m.goods.Scrap(m.ctx, who, receive.Scrapped{Lot: spokes.Code, Quantity: 14, Code: "W09", Reason: "bent in the box"}); err != nil {
		return err
	}
	story, err := m.goods.Story(m.ctx, spokes.Code)
	if err != nil {
		return err
	}
	if left := story.Balance.Expected; left > 40 {
		if _, err := m.goods.Count(m.ctx, who, spokes.Code, left-36); err != nil {
			return err
		}
	}
	bin := receive.Mixed{Bin: "BIN-1", Description: "nipples at stand 1"}
	for i, most := range []int{200, 300} {
		if story, err = m.goods.Story(m.ctx, nipples[i].Code); err != nil {
			return err
		}
		if n := min(most, story.Balance.Expected); n > 0 {
			bin.Lots = append(bin.Lots, receive.Poured{Lot: nipples[i].Code, Quantity: n})
		}
	}
	if len(bin.Lots) == 0 {
		return nil
	}
	return m.goods.Mix(m.ctx, who, bin)
}

// delivered takes in a lot of the last day.
func (m *maker) delivered(material, prefix, description string, quantity int) (models.Lot, error) {
	m.lotNumber++
	supplier := map[string]string{"spokes": "Hartwell Wire", "rim": "Fenlow Rims"}[material]
	l := models.Lot{ID: m.newID(), Code: fmt.Sprintf("%s-%04d", prefix, 300+m.lotNumber), Material: material, Description: description, Supplier: supplier, SupplierCode: fmt.Sprintf("%s%04d", supplier[:1], 2000+m.random.IntN(7000)),
		DateCode: m.clock.Format("0601"), Quantity: quantity, ReceivedAt: models.Moment(m.clock), ReceivedBy: m.people.inspector.ID}
	return l, m.store.AddLot(m.ctx, m.stamp(m.people.inspector), l)
}

// paper hangs a drawn photo on a record: spokes on a bench, one of them short.
func (m *maker) paper(kind, subject, name, note string) error {
	const width, height = 640, 420
	picture := image.NewGray(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			shade := 196 + 18*math.Sin(float64(y)/37) + 10*math.Sin(float64(x+3*y)/61)
			if bar := x % 90; bar > 38 && bar < 46 && y > 40 && (y < 372 || x/90 != 3 && y < 392) {
				shade = 88 + 12*float64(bar-38)
			}
			picture.SetGray(x, y, color.Gray{Y: uint8(shade)})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, picture, &jpeg.Options{Quality: 70}); err != nil {
		return err
	}
	return m.papers.Add(m.ctx, actor(m.people.inspector), kind, subject, documents.Sent{Name: name, Note: note, Bytes: b.Bytes()})
}

// The keeper gives what is recorded of lots keys of the shop.

func (k *keeper) AddLotCheck(ctx context.Context, stamp models.Stamp, c models.LotCheck, follows *models.LotDecision) error {
	c.ID = k.newID()
	if follows != nil {
		d := *follows
		d.ID, d.CheckID = k.newID(), &c.ID
		follows = &d
	}
	return k.Store.AddLotCheck(ctx, stamp, c, follows)
}

func (k *keeper) AddLotDecision(ctx context.Context, stamp models.Stamp, d models.LotDecision) error {
	d.ID = k.newID()
	return k.Store.AddLotDecision(ctx, stamp, d)
}

func (k *keeper) AddLotScrap(ctx context.Context, stamp models.Stamp, x models.LotScrap) error {
	x.ID = k.newID()
	return k.Store.AddLotScrap(ctx, stamp, x)
}

func (k *keeper) AddLotCount(ctx context.Context, stamp models.Stamp, c models.LotCount) error {
	c.ID = k.newID()
	return k.Store.AddLotCount(ctx, stamp, c)
}

func (k *keeper) AddLotMixes(ctx context.Context, stamp models.Stamp, bin *models.Lot, mixes []models.LotMix, why ...models.LotExplanation) error {
	if bin != nil {
		made := bin.ID
		bin.ID = k.newID()
		for i := range mixes {
			if mixes[i].MixID == made {
				mixes[i].MixID = bin.ID
			}
		}
	}
	for i := range mixes {
		mixes[i].ID = k.newID()
	}
	return k.Store.AddLotMixes(ctx, stamp, bin, mixes, why...)
}

func (k *keeper) AddAttachment(ctx context.Context, stamp models.Stamp, a models.Attachment, file models.File) error {
	a.ID, a.Salt = k.newID(), k.newID()
	return k.Store.AddAttachment(ctx, stamp, a, file)
}
