package store

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// inspectionWrite is one inspection on its way into the database.
type inspectionWrite struct {
	models.NewInspection
	stamp   models.Stamp
	entries []models.TrailEntry
	rows    inspectionRows // but its own

	items          []*touchedItem // in the order of their keys
	supersededItem string
	sent           bool   // stored before, with the same content
	refused        error  // why it is not written
	taken          string // key of a part that it fits and that is not free
}

// partsFrom is the item that the inspection takes parts from, its own where it
// takes none.
func (w *inspectionWrite) partsFrom() string {
	if len(w.Removals) > 0 {
		return w.Removals[0].ItemID
	}
	return w.Inspection.ItemID
}

// forget drops what was read about the items, before it is read anew.
func (w *inspectionWrite) forget() {
	w.sent, w.refused, w.taken = false, nil, ""
	for _, item := range w.items {
		item.found, item.state, item.stateAfter, item.standing = false, "", "", nil
	}
}

// touchedItem is an item whose inspections or state change.
type touchedItem struct {
	id         string
	found      bool
	state      string
	stateAfter string
	standing   []standing
}

// standing is an inspection that nothing has replaced.
type standing struct {
	id         string
	stage      string
	startedAt  time.Time
	measuredAt time.Time
	ranks
	passes   bool
	hadFirst bool
}

// ranks are what follows from the order of an item's standing inspections.
type ranks struct {
	round       int
	firstSet    bool
	passRounds  int
	passMinutes int
}

// passing says whether a verdict lets an item be conforming.
func passing(verdict string) bool {
	return verdict == models.VerdictPass || verdict == models.VerdictProvisional
}

func (s standing) firstSetTaken() bool { return s.hadFirst && !s.firstSet }

// newInspectionWrite puts the records into their stored order and form, encodes
// them for the trail and lays out their rows, before a connection is taken.
func newInspectionWrite(stamp models.Stamp, n models.NewInspection) (*inspectionWrite, error) {
	stamp.At = models.Moment(stamp.At)
	w := &inspectionWrite{NewInspection: n, stamp: stamp}
	if n.NewItem != nil && n.NewItem.ID != n.Inspection.ItemID {
		return nil, fmt.Errorf("the new item %s is not the inspected one", n.NewItem.ID)
	}
	settleInspection(&w.NewInspection, stamp.At)
	w.addItem(n.Inspection.ItemID)
	var recorded []models.Recorded
	if n.NewItem != nil {
		item := *n.NewItem
		settleItem(&item, stamp)
		if n.StateAfter != "" {
			item.State = n.StateAfter
		}
		w.NewItem = &item
		recorded = append(recorded, item)
	}
	w.Parts = slices.Clone(n.Parts)
	for k := range w.Parts {
		w.Parts[k].ItemID = n.Inspection.ItemID
		settlePart(&w.Parts[k], stamp)
		recorded = append(recorded, w.Parts[k])
	}
	w.Removals = slices.Clone(n.Removals)
	for k := range w.Removals {
		settleRemoval(&w.Removals[k], stamp)
		recorded = append(recorded, w.Removals[k])
	}
	recorded = append(recorded, models.RecordedInspection{Inspection: w.Inspection, Sets: w.Sets, Results: w.Results})
	if n.Hold != nil {
		hold := *n.Hold
		settleHold(&hold, stamp)
		if hold.ItemID != nil && hold.StateBefore == "" {
			hold.StateBefore = n.StateBefore
		}
		w.Hold = &hold
		recorded = append(recorded, hold)
	}
	if n.Passed != nil {
		passed := models.NonconformityPassed{Step: n.Passed.Step, Lifts: slices.Clone(n.Passed.Lifts)}
		settleStep(&passed.Step, passed.Step.NonconformityID, stamp)
		recorded = append(recorded, passed.Step)
		for _, lift := range passed.Lifts {
			recorded = append(recorded, lift)
		}
		w.Passed = &passed
	}
	for _, r := range recorded {
		e, err := models.Entry(stamp, r, "")
		if err != nil {
			return nil, err
		}
		w.entries = append(w.entries, e)
	}
	return w, w.layOut()
}

// settleInspection cuts times and sorts sets and results as they are read back.
func settleInspection(n *models.NewInspection, receivedAt time.Time) {
	i := &n.Inspection
	if i.ReceivedAt.IsZero() {
		i.ReceivedAt = receivedAt
	}
	i.StartedAt, i.MeasuredAt, i.ReceivedAt = models.Moment(i.StartedAt), models.Moment(i.MeasuredAt), models.Moment(i.ReceivedAt)
	n.Sets, n.Results = slices.Clone(n.Sets), slices.Clone(n.Results)
	for k := range n.Sets {
		n.Sets[k].InspectionID = i.ID
	}
	for k := range n.Results {
		n.Results[k].InspectionID = i.ID
	}
	sortParts(n)
}

func (w *inspectionWrite) addItem(id string) {
	for _, item := range w.items {
		if item.id == id {
			return
		}
	}
	w.items = append(w.items, &touchedItem{id: id})
	slices.SortFunc(w.items, func(a, b *touchedItem) int { return strings.Compare(a.id, b.id) })
}

func (w *inspectionWrite) item(id string) *touchedItem {
	for _, item := range w.items {
		if item.id == id {
			return item
		}
	}
	return nil
}

// check refuses what was decided on something that is so no more.
func (w *inspectionWrite) check() error {
	item := w.item(w.Inspection.ItemID)
	if !item.found {
		return fmt.Errorf("the item: %w", models.ErrNotFound)
	}
	if item.state != w.StateBefore {
		return fmt.Errorf("the item is %s, not %s: %w", item.state, w.StateBefore, models.ErrStale)
	}
	if w.taken != "" {
		return fmt.Errorf("part %s was fitted elsewhere or set aside meanwhile: %w", w.taken, models.ErrStale)
	}
	if w.Inspection.Supersedes == nil {
		return nil
	}
	old := w.item(w.supersededItem)
	if !slices.ContainsFunc(old.standing, func(s standing) bool { return s.id == *w.Inspection.Supersedes }) {
		return fmt.Errorf("inspection %s was replaced before: %w", *w.Inspection.Supersedes, models.ErrConflict)
	}
	return nil
}

// explain tells a caller what a taken key means here.
func (w *inspectionWrite) explain(err error) error {
	err = translated(err)
	if w.NewItem != nil && errors.Is(err, models.ErrConflict) {
		return fmt.Errorf("the new item's serial was taken meanwhile: %w", models.ErrStale)
	}
	return err
}
