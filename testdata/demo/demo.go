package demo

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/capture"
	"tracewright/models/work/release"
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
	store   *store.Store
	options Options
	random  *random
	clock   time.Time
	zone    *time.Location
	days    []time.Time // working days, oldest first, at midnight

	capture *capture.Service
	release *release.Service

	people      people
	instruments map[string]models.Instrument
	wheels      []product
	packs       []product
	lots        lots
	stories     Stories
	summary     Summary
	blockSerial int
	motorSerial int
	laterWork   []later
}

// later is something that happens to an item days after it was made.
type later struct {
	at time.Time
	do func() error
}

// Seed fills an empty database whose schema is up to date.
func Seed(ctx context.Context, s *store.Store, o Options) (Summary, error) {
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
		return Summary{}, fmt.Errorf("invent a shop: there is no scenario %q", o.Scenario)
	}
	zone, err := time.LoadLocation(shopZone)
	if err != nil {
		return Summary{}, fmt.Errorf("invent a shop: %w", err)
	}
	m := &maker{ctx: ctx, store: s, options: o, random: newRandom(o.Seed), zone: zone, instruments: map[string]models.Instrument{}}
	m.days = workingDays(o.Now.In(zone), workDays)
	m.clock = m.days[0].Add(7 * time.Hour)
	m.capture = capture.New(s, m.now, m.inZone)
	m.release = release.New(s, m.now, m.inZone, noPaper)
	m.stories = m.plant()
	for _, step := range []func() error{m.makeShop, m.makeProducts, m.makeLots, m.work, m.leaveOpen} {
		if err := step(); err != nil {
			return Summary{}, fmt.Errorf("invent a shop: %w", err)
		}
	}
	m.summary.Stories, m.summary.Owner = m.stories, m.people.owner
	return m.summary, nil
}

func (m *maker) now() time.Time { return m.clock }

func (m *maker) inZone(context.Context) *time.Location { return m.zone }

// noPaper: certificates are drawn when they are first opened, not here.
func noPaper(release.Drawing) ([]byte, error) {
	return nil, fmt.Errorf("the invented shop draws no paper")
}

func (m *maker) stamp(p models.Person) models.Stamp { return models.NewStamp(actor(p), m.clock) }

func actor(p models.Person) models.Actor {
	return models.Actor{PersonID: p.ID, Name: p.Name, Role: p.Role}
}
