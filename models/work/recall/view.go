package recall

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"

	"tracewright/models"
)

// View is a recall with its items as they are now, and how far it has come.
type View struct {
	models.RecallView
	About string // the lot's code, the part's name, the gauge's code or the place
	By    string // whose hands it went through
	Rows  []Row
	// Shipped, Here and Scrapped split the newest answer; New and Gone are against
	// the one before.
	Shipped, Here, Scrapped int
	New, Gone               []models.Item
	// Called counts those that were shipped when one of the answers found them: they
	// are to be told, also after they came back. Effectiveness is answered over
	// notified (common practice, no source).
	Called, Notified, Answered int
	People                     map[string]string
}

// Row is one item of the newest answer.
type Row struct {
	models.RecallItem
	Of       models.Item
	Response *models.RecallResponse // the newest
	Shipment *models.Shipment       // that it went with
}

// Customers lists the keys of those whom the shipped items of the newest answer
// went to, each once, in the order of the rows.
func (v View) Customers() []string {
	var ids []string
	for _, r := range v.Rows {
		if r.Where == models.RecallShipped && r.Shipment != nil && r.Shipment.Customer != "" && !slices.Contains(ids, r.Shipment.Customer) {
			ids = append(ids, r.Shipment.Customer)
		}
	}
	return ids
}

// Recalls lists them, the newest first.
func (s *Service) Recalls(ctx context.Context) ([]View, error) {
	return s.counted(ctx, s.store.Recalls)
}

// Open lists those that have not ended, the newest first.
func (s *Service) Open(ctx context.Context) ([]View, error) {
	return s.counted(ctx, s.store.OpenRecalls)
}

// Of lists those that called an item back, the newest first.
func (s *Service) Of(ctx context.Context, itemID string) ([]models.RecallView, error) {
	list, err := s.store.RecallsOf(ctx, itemID)
	if err != nil {
		return nil, fmt.Errorf("recalls of item %s: %w", itemID, err)
	}
	return list, nil
}

func (s *Service) counted(ctx context.Context, recalls func(context.Context) ([]models.RecallView, error)) ([]View, error) {
	list, err := recalls(ctx)
	if err != nil {
		return nil, fmt.Errorf("recalls: %w", err)
	}
	out := make([]View, len(list))
	for i, r := range list {
		out[i].RecallView = r
		out[i].count()
	}
	return out, s.name(ctx, out)
}

// Recall gives one by its number, with its items.
func (s *Service) Recall(ctx context.Context, number string) (View, error) {
	found, err := s.store.RecallNumbered(ctx, number)
	if err != nil {
		return View{}, fmt.Errorf("recall %.40q: %w", number, err)
	}
	named := []View{{RecallView: found}}
	if err := s.name(ctx, named); err != nil {
		return View{}, err
	}
	v := named[0]
	v.count()
	if err := s.rows(ctx, &v); err != nil {
		return View{}, err
	}
	people, err := s.store.People(ctx)
	if err != nil {
		return View{}, fmt.Errorf("names of people: %w", err)
	}
	v.People = models.NamesOf(people)
	return v, nil
}

// name says of recalls what each is about, as people name it.
func (s *Service) name(ctx context.Context, views []View) error {
	lots, parts, gauges, hands := map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}
	for _, v := range views {
		for key, in := range map[string]map[string]string{v.Scope.Lot: lots, v.Scope.Part: parts, v.Scope.Instrument: gauges, v.Scope.Person: hands} {
			if key != "" {
				in[key] = ""
			}
		}
	}
	found, err := s.store.LotsByID(ctx, slices.Collect(maps.Keys(lots)))
	if err != nil {
		return fmt.Errorf("lots of recalls: %w", err)
	}
	for _, l := range found {
		lots[l.ID] = l.Code
	}
	items, err := s.store.ItemsByID(ctx, slices.Collect(maps.Keys(parts)))
	if err != nil {
		return fmt.Errorf("parts of recalls: %w", err)
	}
	for _, i := range items {
		parts[i.ID] = i.Name()
	}
	if len(gauges) > 0 {
		instruments, err := s.store.Instruments(ctx)
		if err != nil {
			return fmt.Errorf("gauges of recalls: %w", err)
		}
		for _, i := range instruments {
			gauges[i.ID] = i.Code
		}
	}
	if len(hands) > 0 {
		people, err := s.store.People(ctx)
		if err != nil {
			return fmt.Errorf("people of recalls: %w", err)
		}
		for _, p := range people {
			hands[p.ID] = p.Name
		}
	}
	for i := range views {
		scope := views[i].Scope
		views[i].About = cmp.Or(lots[scope.Lot], parts[scope.Part], gauges[scope.Instrument], scope.Place)
		views[i].By = hands[scope.Person]
	}
	return nil
}

// newest maps each item to its last response.
func (v *View) newest() map[string]*models.RecallResponse {
	last := map[string]*models.RecallResponse{}
	for i := range v.Responses { // The oldest first.
		last[v.Responses[i].ItemID] = &v.Responses[i]
	}
	return last
}

func (v *View) count() {
	for _, x := range v.Newest().Items {
		switch x.Where {
		case models.RecallShipped:
			v.Shipped++
		case models.RecallScrapped:
			v.Scrapped++
		default:
			v.Here++
		}
	}
	called, last := map[string]bool{}, v.newest()
	for _, run := range v.Runs {
		for _, x := range run.Items {
			if x.Where != models.RecallShipped || called[x.Item] {
				continue
			}
			called[x.Item] = true
			v.Called++
			if r := last[x.Item]; r != nil && r.Response != models.RecallNotReached {
				v.Notified++
				if r.Response != models.RecallNotified {
					v.Answered++
				}
			}
		}
	}
}

func (s *Service) rows(ctx context.Context, v *View) error {
	var before []models.RecallItem
	if n := len(v.Runs); n > 1 {
		before = v.Runs[n-2].Items
	}
	now := v.Newest().Items
	items, err := s.store.ItemsByID(ctx, keys(append(slices.Clone(now), before...)))
	if err != nil {
		return fmt.Errorf("items of recall %s: %w", v.Number, err)
	}
	byID := map[string]models.Item{}
	for _, i := range items {
		byID[i.ID] = i
	}
	var out []string
	for _, x := range now {
		if x.Where == models.RecallShipped {
			out = append(out, x.Item)
		}
	}
	shipments, err := s.store.LastShipments(ctx, out)
	if err != nil {
		return fmt.Errorf("shipments of recall %s: %w", v.Number, err)
	}
	here, there, last := keys(now), keys(before), v.newest()
	for _, x := range now {
		row := Row{RecallItem: x, Of: byID[x.Item], Response: last[x.Item]}
		if shipment, went := shipments[x.Item]; went {
			row.Shipment = &shipment
		}
		v.Rows = append(v.Rows, row)
		if _, was := slices.BinarySearch(there, x.Item); !was && len(v.Runs) > 1 {
			v.New = append(v.New, row.Of)
		}
	}
	for _, b := range before {
		if _, still := slices.BinarySearch(here, b.Item); !still {
			v.Gone = append(v.Gone, byID[b.Item])
		}
	}
	order := map[string]int{models.RecallShipped: 0, models.RecallHere: 1, models.RecallScrapped: 2}
	slices.SortStableFunc(v.Rows, func(a, b Row) int { return order[a.Where] - order[b.Where] })
	return nil
}

func keys(items []models.RecallItem) []string {
	var ids []string
	for _, x := range items {
		ids = append(ids, x.Item)
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}
