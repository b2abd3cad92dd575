package shelf

import (
	"context"
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

const (
	// overlap is how far a look goes back behind the one before: what was being
	// written then, or by a server whose clock is behind, is seen now.
	overlap = 2 * time.Minute
	// mostTouched is how many changed items are read one by one; beyond it
	// everything is read anew.
	mostTouched = 500
)

// known is what was read so far.
type known struct {
	mark     time.Time
	facts    map[string]*models.ShelfFact
	order    []*models.ShelfFact                // as they go out
	warm     map[string]models.ShelfTemperature // by id
	places   map[string][]pack.Warmth           // by place, in order of time
	warmest  string                             // the place that was warmest at its last temperature
	climates map[climateKey]*pack.Climate
}

type climateKey struct {
	place string
	age   pack.AgeRule
}

// upToDate reads what was added since the last look.
func (s *Service) upToDate(ctx context.Context) (*known, error) {
	now := s.now()
	if s.seen == nil {
		facts, err := s.store.ShelfFacts(ctx, nil)
		if err != nil {
			return nil, err
		}
		k := &known{facts: make(map[string]*models.ShelfFact, len(facts)), warm: map[string]models.ShelfTemperature{}}
		k.take(facts)
		if err := s.readTemperatures(ctx, k, time.Time{}); err != nil {
			return nil, err
		}
		k.mark, s.seen = now, k
		return k, nil
	}
	k, since := s.seen, s.seen.mark.Add(-overlap)
	touched, err := s.store.ShelfTouched(ctx, since)
	if err != nil {
		return nil, err
	}
	if len(touched) > 0 {
		if len(touched) > mostTouched {
			touched = nil // All of them.
		}
		facts, err := s.store.ShelfFacts(ctx, touched)
		if err != nil {
			return nil, err
		}
		k.take(facts)
	}
	if err := s.readTemperatures(ctx, k, since); err != nil {
		return nil, err
	}
	k.mark = now
	return k, nil
}

// take puts facts in the place of what was known of their items.
func (k *known) take(facts []models.ShelfFact) {
	grown := false
	for i := range facts {
		f := &facts[i]
		if old := k.facts[f.Item.ID]; old != nil {
			*old = *f
			continue
		}
		k.facts[f.Item.ID], k.order, grown = f, append(k.order, f), true
	}
	if grown {
		slices.SortFunc(k.order, firstOut)
	}
}

// firstOut sorts by the moment made, then by serial: the oldest goes first.
func firstOut(a, b *models.ShelfFact) int {
	if c := a.Item.CreatedAt.Compare(b.Item.CreatedAt); c != 0 {
		return c
	}
	return strings.Compare(a.Item.Name(), b.Item.Name())
}

func (s *Service) readTemperatures(ctx context.Context, k *known, since time.Time) error {
	entered, err := s.store.ShelfTemperatures(ctx, since)
	if err != nil {
		return err
	}
	before := len(k.warm)
	for _, t := range entered {
		k.warm[t.ID] = t
	}
	if len(k.warm) != before || k.places == nil {
		return k.arrange()
	}
	return nil
}

// arrange puts the temperatures in order by place.
func (k *known) arrange() error {
	k.places, k.climates, k.warmest = map[string][]pack.Warmth{}, map[climateKey]*pack.Climate{}, ""
	for _, t := range k.warm {
		c, err := celsius(t.C)
		if err != nil {
			return fmt.Errorf("temperature %s of %s: %w", t.ID, t.Place, err)
		}
		k.places[t.Place] = append(k.places[t.Place], pack.Warmth{At: t.At, TempC: c})
	}
	top := 0.0
	for place, list := range k.places {
		sort.Slice(list, func(i, j int) bool { return list[i].At.Before(list[j].At) })
		last := list[len(list)-1].TempC
		if k.warmest == "" || last > top || last == top && place < k.warmest {
			k.warmest, top = place, last
		}
	}
	return nil
}

func celsius(text string) (float64, error) {
	d, err := measure.ParseReading(text)
	if err != nil {
		return 0, err
	}
	return d.Float(), nil
}

// climate gives the climate of a place, and whether its own temperature is
// known: otherwise it is that of the warmest place, and 25 degrees where there
// is none.
func (k *known) climate(place string, age pack.AgeRule) (*pack.Climate, bool, error) {
	history, own := k.places[place]
	if !own {
		place = k.warmest
		if history = k.places[place]; place == "" {
			history = []pack.Warmth{{At: time.Unix(0, 0).UTC(), TempC: pack.ReferenceC}}
		}
	}
	key := climateKey{place, age}
	if c, ok := k.climates[key]; ok {
		return c, own, nil
	}
	c, err := pack.NewClimate(history, age)
	if err != nil {
		return nil, false, fmt.Errorf("climate of %q: %w", place, err)
	}
	k.climates[key] = c
	return c, own, nil
}
