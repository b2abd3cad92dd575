package demo

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/work/capture"
	"tracewright/models/work/claims"
	"tracewright/models/work/corrective"
	"tracewright/models/work/documents"
	"tracewright/models/work/gauges"
	"tracewright/models/work/labels"
	"tracewright/models/work/nonconforming"
	"tracewright/models/work/receive"
	"tracewright/models/work/release"
	"tracewright/models/work/sealing"
	"tracewright/models/work/stock"
	"tracewright/models/work/studies"
	"tracewright/models/zones"
)

// Scenarios.
const (
	Story = "story"
	Quiet = "quiet"
)

// Options say which shop is invented.
type Options struct {
	Seed     uint64
	Scenario string    // Story, or Quiet; empty is Story
	Now      time.Time // the last working day lies before it
	Wheels   int       // 1500 when 0
	Packs    int       // 700 when 0
	// Keys seal the shop's log and sign its certificates; nil: one known to all.
	Keys sealing.Keys
}

// Summary is what was made, with the truth of the planted stories.
type Summary struct {
	Wheels, Packs, Inspections, Certificates int
	Owner                                    models.Person
	Stories                                  Stories
}

// maker makes one shop.
type maker struct {
	ctx     context.Context
	store   *keeper
	options Options
	random  *random
	ids     *ids
	clock   time.Time
	zone    *time.Location
	days    []time.Time // working days, oldest first, at midnight
	end     time.Time   // of the last working day
	diary   diary

	capture *capture.Service
	release *release.Service
	seals   *sealing.Service
	blocks  *stock.Service
	goods   *receive.Service
	papers  *documents.Service
	labels  *labels.Service
	claims  *claims.Service
	gauges  *gauges.Service
	studies *studies.Service
	back    returning

	doubts   doubts
	doubtful *nonconforming.Service
	actions  *corrective.Service

	people      people
	instruments map[string]models.Instrument
	wheels      []product
	packs       []product
	lots        lots
	lotNumber   int
	partNumber  map[string]int // maker's numbers given out, by model
	finished    []*wheelWork
	shelves     shelves
	out         outgoing
	stories     Stories
	summary     Summary
}

// Seed fills an empty database whose schema is up to date.
func Seed(ctx context.Context, s Store, o Options) (Summary, error) {
	m, err := newMaker(ctx, s, o)
	if err != nil {
		return Summary{}, fmt.Errorf("invent a shop: %w", err)
	}
	for _, step := range []func() error{m.beginLog, m.makeShop, m.keepMaterials, m.makeProducts, m.planDeliveries, m.planDays, m.makeKits, m.planChecks, m.planShelf, m.planBlocks, m.planStudies, m.planNonconformities, m.live, m.leaveOpen} {
		if err := step(); err != nil {
			return Summary{}, fmt.Errorf("invent a shop: %w", err)
		}
	}
	m.summary.Stories, m.summary.Owner = m.stories, m.people.owner
	return m.summary, nil
}

func newMaker(ctx context.Context, s Store, o Options) (*maker, error) {
	if o.Wheels == 0 {
		o.Wheels = 1500
	}
	if o.Packs == 0 {
		o.Packs = 700
	}
	if o.Scenario == "" {
		o.Scenario = Story
	}
	if o.Scenario != Story && o.Scenario != Quiet {
		return nil, fmt.Errorf("there is no scenario %q", o.Scenario)
	}
	if o.Now.IsZero() {
		return nil, errors.New("it is not said up to which day")
	}
	zone, err := zones.Load(shopZone)
	if err != nil {
		return nil, err
	}
	m := &maker{ctx: ctx, options: o, random: newRandom(o.Seed), ids: newIDs(o.Seed), zone: zone,
		instruments: map[string]models.Instrument{}, lots: lots{}, partNumber: map[string]int{}, shelves: newShelves(o.Seed), out: newOutgoing(o.Seed), doubts: newDoubts(o.Seed)}
	m.days = workingDays(o.Now.In(zone), workDays)
	m.clock, m.end = on(m.days[0], 7, 0), on(m.days[len(m.days)-1], 17, 0)
	m.store = newKeeper(s, m.newID)
	m.capture = capture.New(m.store, m.now, m.inZone)
	m.release = release.New(m.store, m.now, m.inZone, noPaper)
	if o.Keys == nil {
		o.Keys = &oneKey{}
	}
	m.seals = sealing.New(m.store, sealing.Options{Keys: ofLog{o.Keys, m.store}, Server: "the demo", Now: m.now})
	m.release.SealBy(&daily{Service: m.seals, today: m.now})
	m.blocks = stock.New(m.store, m.capture, m.now, m.inZone)
	m.goods = receive.New(m.store, m.now, m.inZone)
	m.papers = documents.New(m.store, m.now)
	m.claims = claims.New(m.store, m.now, m.inZone)
	m.doubtful = nonconforming.New(m.store, m.now, m.inZone)
	m.actions = corrective.New(m.store, m.now, m.inZone)
	m.gauges = gauges.New(m.store, m.capture, m.now, m.inZone)
	m.studies = studies.New(m.store, m.now)
	m.labels = labels.New(m.store, m.now, m.inZone, noLabels)
	m.stories = m.plant()
	return m, nil
}

func (m *maker) now() time.Time { return m.clock }

func (m *maker) newID() string { return m.ids.next(m.clock) }

func (m *maker) inZone(context.Context) *time.Location { return m.zone }

// noLabels: they are counted here, and drawn when somebody looks at them.
func noLabels(labels.Batch, time.Time) ([]byte, error) { return nil, nil }

// noPaper: certificates are drawn when they are first opened, not here.
func noPaper(release.Drawing) ([]byte, error) {
	return nil, errors.New("the invented shop draws no paper")
}

func (m *maker) stamp(p models.Person) models.Stamp { return models.NewStamp(actor(p), m.clock) }

func actor(p models.Person) models.Actor {
	return models.Actor{PersonID: p.ID, Name: p.Name, Role: p.Role}
}
