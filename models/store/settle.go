package store

import (
	"time"

	"tracewright/models"
)

// What a record leaves empty, its stamp fills in: who and when, and a key.
// Times are cut to what both databases keep before anything is hashed.

func settled(t time.Time, stamp models.Stamp) time.Time {
	if t.IsZero() {
		t = stamp.At
	}
	return models.Moment(t)
}

//go:noinline
func orActor(who string, stamp models.Stamp) string {
	if who == "" {
		return stamp.By.String()
	}
	return who
}

func orNewID(id string) string {
	if id == "" {
		return models.NewID()
	}
	return id
}

func settleItem(i *models.Item, stamp models.Stamp) {
	i.ID = orNewID(i.ID)
	i.CreatedAt, i.CreatedBy = settled(i.CreatedAt, stamp), orActor(i.CreatedBy, stamp)
	if i.State == "" {
		i.State = models.StateInProcess
	}
	if i.Serial != nil && i.SerialTail == nil {
		tail := tailOf(*i.Serial)
		i.SerialTail = &tail
	}
}

// tailOf is the last five characters of a serial: what people type.
func tailOf(serial string) string { return serial[max(0, len(serial)-5):] }

func settlePart(p *models.FittedPart, stamp models.Stamp) {
	p.ID = orNewID(p.ID)
	p.FittedAt, p.FittedBy = settled(p.FittedAt, stamp), orActor(p.FittedBy, stamp)
}

func settleRemoval(r *models.PartRemoval, stamp models.Stamp) {
	r.ID = orNewID(r.ID)
	r.RemovedAt, r.RemovedBy = settled(r.RemovedAt, stamp), orActor(r.RemovedBy, stamp)
}

func settleHold(h *models.Hold, stamp models.Stamp) {
	h.ID = orNewID(h.ID)
	h.RaisedAt, h.RaisedBy = settled(h.RaisedAt, stamp), orActor(h.RaisedBy, stamp)
}
