package recall

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/trade/genealogy"
)

const longest = 400 // of a text, in characters

// Store is what this package reads and writes. Each change writes its trail
// entries in the same transaction.
type Store interface {
	// ItemNamed finds one by its serial, however that is written, or by its id.
	ItemNamed(ctx context.Context, named string) (models.Item, error)
	// ItemsByTail lists the items whose serial ends with these five characters.
	ItemsByTail(ctx context.Context, tail string, limit int) ([]models.Item, error)
	ItemsByID(ctx context.Context, ids []string) ([]models.Item, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	LotsByID(ctx context.Context, ids []string) ([]models.Lot, error)
	Instruments(ctx context.Context) ([]models.Instrument, error)
	InstrumentsByCode(ctx context.Context, codes []string) ([]models.Instrument, error)
	People(ctx context.Context) ([]models.Person, error)
	// OutputsOfLot and OutputsOfPart follow a lot or a part into everything that
	// held it, through all levels.
	OutputsOfLot(ctx context.Context, lotID string) (models.Traced, error)
	OutputsOfPart(ctx context.Context, partID string) (models.Traced, error)
	OutputsOfParts(ctx context.Context, partIDs []string) (models.Traced, error)
	// StandingSets lists the reading sets of items that no correction has replaced.
	StandingSets(ctx context.Context, itemIDs []string) ([]models.TakenSet, error)
	ItemsMeasuredWith(ctx context.Context, instrumentID string, after, until time.Time) ([]string, error)
	// PlacesMeasured lists the places that something was measured at in a window;
	// both moments zero: ever.
	PlacesMeasured(ctx context.Context, from, before time.Time) ([]string, error)
	// ItemsThrough finds what was measured at one of the places, or at any where none
	// is named.
	ItemsThrough(ctx context.Context, places []string, personID string, from, before time.Time) ([]string, error)
	GaugeTrace(ctx context.Context, id string) (models.GaugeTrace, error)

	Recalls(ctx context.Context) ([]models.RecallView, error)
	// OpenRecalls lists those that have not ended.
	OpenRecalls(ctx context.Context) ([]models.RecallView, error)
	// RecallsOf lists those that found an item, the newest first.
	RecallsOf(ctx context.Context, itemID string) ([]models.RecallView, error)
	Recall(ctx context.Context, id string) (models.Recall, error)
	RecallNumbered(ctx context.Context, number string) (models.RecallView, error)
	AddRecall(ctx context.Context, s models.Stamp, year2 int, r models.Recall, run models.RecallRun) (models.Recall, error)
	AddRecallRun(ctx context.Context, s models.Stamp, r models.Recall, run models.RecallRun) error
	AddRecallResponse(ctx context.Context, s models.Stamp, r models.RecallResponse) error
	EndRecall(ctx context.Context, s models.Stamp, e models.RecallEnd) error
	// LastShipments maps each item to the last shipment that it went with and that
	// stands, by itself or in a kit.
	LastShipments(ctx context.Context, itemIDs []string) (map[string]models.Shipment, error)
	// ClaimsOf lists the claims on some items, the newest first.
	ClaimsOf(ctx context.Context, itemIDs ...string) ([]models.ClaimView, error)
}

// Service calls items back.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New returns the service; now is the server's clock, zone the shop's.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

// Ask is a scope as people name it.
type Ask struct {
	Lot        string    // its code
	Part       string    // serial of an item, or its key
	Instrument string    // its code
	Trace      string    // key of a reverse trace
	Place      string    // of work
	Person     string    // name, or key
	From, To   time.Time // of a gauge, a place or a person
	// FromDay and ToDay stand in the place of From and To: from the beginning of the
	// first day to the end of the last, in the shop's zone.
	FromDay, ToDay string
}

// Found is what a scope reaches, by where it is.
type Found struct {
	Scope                   models.RecallScope
	About, By               string // as in View
	Items                   []models.RecallItem
	Shipped, Here, Scrapped int
}

// Preview finds what a scope reaches and changes nothing.
func (s *Service) Preview(ctx context.Context, ask Ask) (Found, error) {
	scope, about, by, err := s.scope(ctx, ask)
	if err != nil {
		return Found{}, err
	}
	found, err := s.find(ctx, scope)
	found.About, found.By = about, by
	return found, err
}

// scope resolves what people name; one thing is asked about at a time.
func (s *Service) scope(ctx context.Context, ask Ask) (scope models.RecallScope, about, by string, err error) {
	if err := s.days(ctx, &ask); err != nil {
		return scope, "", "", err
	}
	for _, text := range []*string{&ask.Lot, &ask.Part, &ask.Instrument, &ask.Trace, &ask.Place, &ask.Person} {
		*text = strings.TrimSpace(*text)
	}
	kinds := 0
	for _, named := range []bool{ask.Lot != "", ask.Part != "", ask.Instrument != "", ask.Trace != "", ask.Place != "" || ask.Person != ""} {
		if named {
			kinds++
		}
	}
	if kinds != 1 {
		return scope, "", "", models.Invalid("lot", "one_scope")
	}
	switch {
	case ask.Lot != "":
		lots, err := s.store.LotsByCode(ctx, []string{ask.Lot})
		if err != nil {
			return scope, "", "", fmt.Errorf("lot %.40q: %w", ask.Lot, err)
		}
		if len(lots) == 0 {
			return scope, "", "", models.Invalid("lot", "unknown_lot", "lot", models.Shortened(ask.Lot))
		}
		scope.Lot = lots[0].ID
		return scope, lots[0].Code, "", nil
	case ask.Part != "":
		item, err := s.part(ctx, ask.Part)
		if err != nil {
			return scope, "", "", err
		}
		scope.Part = item.ID
		return scope, item.Name(), "", nil
	case ask.Trace != "":
		gauge, err := s.gaugeOf(ctx, ask.Trace)
		scope.Trace, scope.Instrument = ask.Trace, gauge.ID
		return scope, gauge.Code, "", err
	case ask.To.IsZero():
		return scope, "", "", models.Invalid("to", "missing")
	case ask.To.Before(ask.From):
		return scope, "", "", models.Invalid("to", "end_before_start")
	}
	scope.From, scope.To = models.Moment(ask.From), models.Moment(ask.To)
	if ask.Instrument != "" {
		found, err := s.store.InstrumentsByCode(ctx, []string{ask.Instrument})
		if err != nil {
			return scope, "", "", fmt.Errorf("instrument %.40q: %w", ask.Instrument, err)
		}
		if len(found) == 0 {
			return scope, "", "", models.Invalid("instrument", "unknown_instrument", "instrument", models.Shortened(ask.Instrument))
		}
		scope.Instrument = found[0].ID
		return scope, found[0].Code, "", nil
	}
	if ask.Person != "" {
		who, err := s.person(ctx, ask.Person)
		if err != nil {
			return scope, "", "", err
		}
		scope.Person, by = who.ID, who.Name
	}
	if ask.Place != "" {
		places, err := s.spellings(ctx, ask.Place, scope.From, scope.To)
		if err == nil && len(places) == 0 { // Not in the window, but ever? Only then are all inspections asked.
			places, err = s.spellings(ctx, ask.Place, time.Time{}, time.Time{})
		}
		if err != nil {
			return scope, "", "", err
		}
		if len(places) == 0 {
			return scope, "", "", models.Invalid("place", "unknown_place", "place", models.Shortened(ask.Place))
		}
		if scope.Place = places[0]; slices.Contains(places, ask.Place) {
			scope.Place = ask.Place
		}
	}
	return scope, scope.Place, by, nil
}

// spellings lists how a place is written in what was measured in a window: a tablet
// that was enrolled anew may write it with other capitals.
func (s *Service) spellings(ctx context.Context, place string, from, before time.Time) ([]string, error) {
	places, err := s.store.PlacesMeasured(ctx, from, before)
	if err != nil {
		return nil, fmt.Errorf("places that something was measured at: %w", err)
	}
	return slices.DeleteFunc(places, func(p string) bool { return !strings.EqualFold(p, place) }), nil
}

// person finds who is named. Two of one name are told apart by the key alone.
func (s *Service) person(ctx context.Context, named string) (models.Person, error) {
	people, err := s.store.People(ctx)
	if err != nil {
		return models.Person{}, fmt.Errorf("people: %w", err)
	}
	found := slices.DeleteFunc(people, func(p models.Person) bool { return p.ID != named && p.Name != named })
	if len(found) != 1 {
		return models.Person{}, models.Invalid("person", "unknown_choice", "typed", models.Shortened(named))
	}
	return found[0], nil
}

// days turns the days of a window into its moments.
func (s *Service) days(ctx context.Context, ask *Ask) error {
	invalid := &models.InvalidError{}
	zone := s.zone(ctx)
	for _, d := range []struct {
		field, day string
		at         *time.Time
		more       int
	}{{"from", ask.FromDay, &ask.From, 0}, {"to", ask.ToDay, &ask.To, 1}} {
		if d.day == "" {
			continue
		}
		day, err := models.ReadDay(d.day, zone)
		if err != nil {
			invalid.Add(d.field, "bad_date", "typed", models.Shortened(d.day))
			continue
		}
		*d.at = models.DayOf(day, d.more)
	}
	return invalid.OrNil()
}

// find answers a scope: wheels and packs that it reaches now, through all
// levels, each by where it is.
func (s *Service) find(ctx context.Context, scope models.RecallScope) (Found, error) {
	out := Found{Scope: scope}
	reached, possibly, err := s.reached(ctx, scope)
	if err != nil {
		return out, err
	}
	items, err := s.store.ItemsByID(ctx, reached)
	if err != nil {
		return out, fmt.Errorf("items called back: %w", err)
	}
	for _, i := range items {
		if i.Kind != models.KindWheel && i.Kind != models.KindPack {
			continue
		}
		x := models.RecallItem{Item: i.ID, Where: models.Whereabouts(i.State), Possibly: possibly[i.ID]}
		switch x.Where {
		case models.RecallShipped:
			out.Shipped++
		case models.RecallScrapped:
			out.Scrapped++
		default:
			out.Here++
		}
		out.Items = append(out.Items, x)
	}
	slices.SortFunc(out.Items, func(a, b models.RecallItem) int { return strings.Compare(a.Item, b.Item) })
	return out, nil
}

func (s *Service) reached(ctx context.Context, scope models.RecallScope) (ids []string, possibly map[string]bool, err error) {
	switch {
	case scope.Lot != "":
		traced, err := s.store.OutputsOfLot(ctx, scope.Lot)
		if err != nil {
			return nil, nil, fmt.Errorf("where the lot went: %w", err)
		}
		ids, possibly = presentOutputs(traced, scope.Lot)
		return ids, possibly, nil
	case scope.Part != "":
		traced, err := s.store.OutputsOfPart(ctx, scope.Part)
		if err != nil {
			return nil, nil, fmt.Errorf("where the part went: %w", err)
		}
		ids, possibly = presentOutputs(traced, scope.Part)
		return append(ids, scope.Part), possibly, nil
	case scope.Trace != "":
		return s.tracedOut(ctx, scope.Trace)
	case scope.Instrument != "":
		ids, err = s.store.ItemsMeasuredWith(ctx, scope.Instrument, scope.From, scope.To)
	default:
		ids, err = s.through(ctx, scope)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("what was measured in the window: %w", err)
	}
	return s.measured(ctx, ids)
}

func (s *Service) through(ctx context.Context, scope models.RecallScope) ([]string, error) {
	var places []string
	if scope.Place != "" {
		var err error
		if places, err = s.spellings(ctx, scope.Place, scope.From, scope.To); err != nil || len(places) == 0 {
			return nil, err
		}
	}
	return s.store.ItemsThrough(ctx, places, scope.Person, scope.From, scope.To)
}

// presentOutputs is the closure over what is still built in. A lot reaches by
// itself, by blocks that came in by it, and possibly by bins it was mixed into:
// those of a trace whose input is neither the lot nor an item of the trace.
func presentOutputs(traced models.Traced, from string) (ids []string, possibly map[string]bool) {
	inTrace := map[string]bool{from: true}
	for _, i := range traced.Items {
		inTrace[i.ID] = true
	}
	var sure, all []genealogy.Use
	for _, f := range traced.Fitted {
		if !f.InNow() {
			continue
		}
		input, bin := "", false
		switch {
		case f.LotID != nil && *f.LotID != from:
			input, bin = from, true
		case f.LotID != nil:
			input = *f.LotID
		case !inTrace[*f.PartID]:
			input = from // A block that came in by the lot.
		default:
			input = *f.PartID
		}
		use := genealogy.Use{Input: input, Output: f.ItemID, Quantity: f.Quantity}
		all = append(all, use)
		if !bin {
			sure = append(sure, use)
		}
	}
	ids = genealogy.NewGraph(all).Outputs(from).Reached
	certain := genealogy.NewGraph(sure).Outputs(from).Reached
	possibly = map[string]bool{}
	for _, id := range ids {
		if _, found := slices.BinarySearch(certain, id); !found {
			possibly[id] = true
		}
	}
	return ids, possibly
}
