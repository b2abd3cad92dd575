package demo

import (
	"context"
	"math/rand/v2"
	"time"

	"tracewright/models"
	"tracewright/models/work/capture"
	"tracewright/models/work/corrective"
	"tracewright/models/work/nonconforming"
)

// doubts is what does not conform in the last weeks. It has a random source of its
// own, so that the rest of the shop is the same with it and without.
type doubts struct{ random *random }

func newDoubts(seed uint64) doubts {
	return doubts{&random{rand.New(rand.NewPCG(seed, 0x646f756274))}}
}

// nonconformity is a wheel that is closed as nonconforming some working days before
// the last, and what became of it, a working day after the other.
type nonconformity struct {
	ago        int
	code, note string
	measured   bool // a reading after relief says so
	steps      []func(d *doubted) error
}

// doubted is one of them as it goes on.
type doubted struct {
	*maker
	w      *wheelWork
	number string
}

// nonconformities are one at least at every step that there is.
var nonconformities = []nonconformity{
	{16, "W19", "the thread of the axle is stripped on the cable side", false, []func(*doubted) error{disposed("return_supplier", "", "theirs: it came so"), confirmed("with the delivery of Thursday")}},
	{13, "W18", "the valve hole lies between crossing spokes", false, []func(*doubted) error{disposed("rework", "spoke_change", "lace it again from the third group on"), worked("laced again, and trued"), passes}},
	{10, "W17", "a crack from the hole of spoke 11 to the rim of the flange", false, []func(*doubted) error{disposed("scrap", "", "it cannot be welded"), confirmed("sawn through, in the scrap bin")}},
	{7, "W01", "it swings a little wide at the joint, and truing it further would leave two spokes slack", true, []func(*doubted) error{disposed("use_as_is", "", "the frame of this order has room to spare"), approved}},
	{5, "W12", "nipples hold by six turns only on side B", false, []func(*doubted) error{disposed("rework", "spoke_change", "the longer spokes from the next box")}},
	{4, "W15", "a dent at the weld, as it came out of the box", false, []func(*doubted) error{disposed("return_supplier", "", "the rim goes back")}},
	{3, "W09", "two spokes wound up by half a turn", false, []func(*doubted) error{disposed("repair", "retension", "unwind them and tension anew"), worked("unwound, tensioned, relieved")}},
	{2, "W16", "a nipple pulled through the rim at spoke 22", false, []func(*doubted) error{disposed("scrap", "", "the rim is lost, the motor goes back to the shelf")}},
	{2, "W14", "the joint can be felt, and the brake block does not catch", false, []func(*doubted) error{disposed("use_as_is", "", "it is for a disc brake")}},
	{1, "W15", "a hairline at the valve hole, found when the rim tape went on", false, nil},
}

// planNonconformities plans them, and two corrective actions.
func (m *maker) planNonconformities() error {
	day := func(ago int) time.Time { return m.days[max(0, len(m.days)-1-ago)] }
	for i, n := range nonconformities {
		d := &doubted{maker: m}
		m.plan(on(day(n.ago), 11, 7+3*i), func() error { return d.begin(i, n) })
		for k, step := range n.steps {
			m.plan(on(day(n.ago-1-k), 13, 40+i), func() error { return d.with(func() error { return step(d) }) })
		}
	}
	m.plan(on(day(22), 16, 10), func() error { return (&doubted{maker: m}).with(m.openActions) })
	return nil
}

// with lets something happen by the random source of the doubts.
func (d *doubted) with(do func() error) error {
	before := d.random
	d.random = d.doubts.random
	err := do()
	d.random = before
	return err
}

// begin makes the wheel and closes it as nonconforming.
func (d *doubted) begin(i int, n nonconformity) error {
	return d.with(func() (err error) {
		if d.w, err = d.begun(i, 2*i+1); err != nil {
			return err
		}
		d.w.ticks = yes
		if n.measured {
			if err := d.readsHigh(); err != nil {
				return err
			}
		}
		by := d.w.builder
		v, err := d.doubtful.Add(d.ctx, actor(by), nonconforming.Opening{Item: *d.w.item.Serial, Code: n.code, Note: n.note})
		if err != nil {
			return err
		}
		d.number = v.Number
		if len(n.steps) == 0 {
			return d.paper(models.SubjectNonconformity, v.ID, "at the valve hole.jpg", "as it was found")
		}
		return nil
	})
}

// readsHigh records a wheel that swings somewhat more than it may.
func (d *doubted) readsHigh() error {
	over := func() float64 { return d.w.rim.swing(lateral, 1) - limitOf(d.w.spec, "lateral_runout") }
	for range 500 {
		if o := over(); o > 0.02 && o < 0.12 {
			break
		}
		d.w.rim = d.newRim(d.w.product, d.w.rims, 1)
	}
	_, err := d.readNow()
	return err
}

// readNow records readings that took the last minutes: the clock is everybody's.
func (d *doubted) readNow() (capture.Outcome, error) {
	started := d.clock.Add(-d.random.minutes(3, 6))
	return d.record(inspection{d.w.item, models.AfterRelief, d.w.builder, d.standOf(d.w.number, d.clock), started, d.reads(d.w), tyreOff})
}

func disposed(what, work, note string) func(*doubted) error {
	return func(d *doubted) error {
		in := nonconforming.Disposition{What: what, Work: work, Note: note}
		if what == "return_supplier" {
			in.Lot = d.w.rims.Code
		}
		return d.doubtful.Dispose(d.ctx, actor(d.people.inspector), d.number, in)
	}
}

func confirmed(note string) func(*doubted) error {
	return func(d *doubted) error {
		return d.doubtful.Confirm(d.ctx, actor(d.people.inspector), d.number, true, note)
	}
}

func approved(d *doubted) error {
	if err := d.doubtful.Approve(d.ctx, actor(d.people.owner), d.number, true, ""); err != nil {
		return err
	}
	_, err := d.release.Issue(d.ctx, actor(d.people.inspector), d.w.item.ID, "")
	return err
}

func worked(note string) func(*doubted) error {
	return func(d *doubted) error { return d.doubtful.Done(d.ctx, actor(d.w.builder), d.number, note) }
}

// passes reads the wheel when it is true, the next day again where it does not pass.
func passes(d *doubted) error {
	for round := 1; round < 5; round++ {
		d.trued(d.w.rim, d.w.spec, round)
	}
	out, err := d.readNow()
	if err == nil && out.Item.State != models.StateConforming {
		d.plan(d.daysOn(1), func() error { return d.with(func() error { return passes(d) }) })
	}
	return err
}

// openActions opens two corrective actions: one that nobody saw to in time, and one
// that is done and of which it is to be seen whether it worked.
func (m *maker) openActions() error {
	who, last := actor(m.people.inspector), m.days[len(m.days)-1]
	day := func(days int) string { return last.AddDate(0, 0, days).Format(time.DateOnly) }
	breaks := corrective.Plan{Problem: "Spokes break at the elbow within weeks of the first ride.", Containment: "What is left of the lot is looked at before it is laced.", Owner: m.people.inspector.ID, DueOn: day(-6), Codes: []string{"W08"}}
	if m.stories.SpokeLot != "" {
		breaks.Lots = []string{m.stories.SpokeLot}
	}
	if _, err := m.actions.Add(m.ctx, who, breaks); err != nil {
		return err
	}
	laced, err := m.actions.Add(m.ctx, who, corrective.Plan{Problem: "Three wheels in a month were laced with the valve hole between crossing spokes.", Cause: "The first spoke was counted from the joint on one rim and from the valve hole on the other.",
		Action: "A mark on each rim before it goes to the stand, and a picture over the bench.", Owner: m.people.builders[0].ID, DueOn: day(-14), CheckOn: day(20), Codes: []string{"W18"}})
	if err != nil {
		return err
	}
	m.plan(m.daysOn(5), func() error { return m.actions.Carried(m.ctx, who, laced.Number, "the pictures hang") })
	return nil
}

func (k *keeper) AddNonconformity(ctx context.Context, stamp models.Stamp, year2 int, n models.Nonconformity, hold models.Hold) (models.NonconformityView, error) {
	n.ID, hold.ID = k.newID(), k.newID()
	return k.Store.AddNonconformity(ctx, stamp, year2, n, hold)
}

func (k *keeper) AddNonconformityStep(ctx context.Context, stamp models.Stamp, id string, step models.NonconformityStep) error {
	step.ID = k.newID()
	return k.Store.AddNonconformityStep(ctx, stamp, id, step)
}

func (k *keeper) AddCorrectiveAction(ctx context.Context, stamp models.Stamp, year2 int, a models.CorrectiveAction, first models.CorrectiveActionStep) (models.CorrectiveActionView, error) {
	a.ID, first.ID = k.newID(), k.newID()
	return k.Store.AddCorrectiveAction(ctx, stamp, year2, a, first)
}

func (k *keeper) AddCorrectiveActionStep(ctx context.Context, stamp models.Stamp, id, state, from string, step models.CorrectiveActionStep) error {
	step.ID = k.newID()
	return k.Store.AddCorrectiveActionStep(ctx, stamp, id, state, from, step)
}
