package build

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// Store is what building asks of the database. Each change writes its trail
// entry in the same transaction.
type Store interface {
	// ItemNamed finds one by its serial, however that is written, or by its id.
	ItemNamed(ctx context.Context, named string) (models.Item, error)
	Family(ctx context.Context, id string) (models.Family, error)
	ProductForm(ctx context.Context, productID string) (models.ProductRevision, error)
	People(ctx context.Context) ([]models.Person, error)
	// ItemLife says since when an item may have been tested here.
	ItemLife(ctx context.Context, itemID string) (models.ItemLife, error)
	ChargesOf(ctx context.Context, itemID string) ([]models.ChargeView, error)
	// ChargesReaching lists those of the item and of the blocks in it.
	ChargesReaching(ctx context.Context, itemID string) ([]models.ChargeView, error)
	// BuildList gives the newest list of a family, or models.ErrNotFound.
	BuildList(ctx context.Context, familyID string) (models.BuildList, error)
	// AddBuildList adds the next list of a family; models.ErrStale when another came first.
	AddBuildList(ctx context.Context, s models.Stamp, l models.BuildList) (models.BuildList, error)
	BuildTicks(ctx context.Context, itemID string) ([]models.BuildTick, error)
	// AddBuildTick adds what decide answers with, the item locked.
	AddBuildTick(ctx context.Context, s models.Stamp, itemID string, decide func(sofar []models.BuildTick) (*models.BuildTick, error)) error
	CapacityTest(ctx context.Context, id string) (models.CapacityTest, error)
	CapacityTestsOf(ctx context.Context, itemID string) ([]models.CapacityTest, error)
	// AddCapacityTest gives the test as it is kept: the same log again is the test
	// that is there.
	AddCapacityTest(ctx context.Context, s models.Stamp, t models.CapacityTest) (models.CapacityTest, error)
}

// Service records building.
type Service struct {
	store Store
	now   func() time.Time
}

// New returns the service; now is the server's clock.
func New(store Store, now func() time.Time) *Service { return &Service{store: store, now: now} }

// Steps that the program knows more of than their words.
const (
	StringFuses   = "string_fuses"
	StringsJoined = "strings_joined"
)

// defaultSteps are what a family starts with. Common practice, no source.
var defaultSteps = []models.BuildStep{
	{Code: "joined", Words: "Blocks joined in their order"},
	{Code: "soldered", Words: "Soldered or bolted"},
	{Code: "polarity", Words: "Polarity checked at the connector"},
	{Code: "insulated", Words: "Insulated"},
	{Code: "wrapped", Words: "Wrapped"},
	{Code: "labelled", Words: "Labelled"},
}

// stringSteps come with packs of more than one string.
var stringSteps = []models.BuildStep{
	{Code: StringFuses, Words: "One fuse in each string"},
	{Code: StringsJoined, Words: "Strings joined"},
}

// Step is one line of an item's list.
type Step struct {
	models.BuildStep
	Done   bool
	Volts  []string // of the strings, where joining them was decided by them
	Person string
	At     time.Time
}

// Event is one tick or undoing, as it happened.
type Event struct {
	models.BuildTick
	Words, Person string
}

// Rest is how far a pack is between the charger and the reading.
type Rest struct {
	Charge      *models.ChargeView // the newest; nil before the first
	Provisional time.Time          // from here a reading may be judged as provisional
	Opens       time.Time          // from here it is a rest voltage
	Hours       float64            // asked for by the product
}

// Sheet is how one pack is being built.
type Sheet struct {
	Item        models.Item
	Form        *models.PackForm
	List        int // number of the family's list; 0 is the program's own
	Steps       []Step
	History     []Event // oldest first
	Rest        Rest
	AboveShock  bool    // a string is above 60 V when it is charged
	ChargeVolts float64 // of a string
	Join        Join    // what strings are joined by; zero with one string
}

// Sheet gives how a pack is being built.
func (s *Service) Sheet(ctx context.Context, named string) (Sheet, error) {
	sheet, ticks, err := s.subject(ctx, named)
	if err != nil {
		return Sheet{}, err
	}
	people, err := s.people(ctx)
	if err != nil {
		return Sheet{}, err
	}
	now := standing(ticks)
	text := map[string]string{}
	for i := range sheet.Steps {
		step := &sheet.Steps[i]
		text[step.Code] = step.Words
		if t, ok := now[step.Code]; ok && t.Done {
			step.Done, step.Volts, step.Person, step.At = true, t.Volts, people[t.DoneBy], t.DoneAt
		}
	}
	for _, t := range ticks {
		e := Event{BuildTick: t, Words: text[t.Step], Person: people[t.DoneBy]}
		if e.Words == "" {
			e.Words = t.Step // The list was changed since.
		}
		sheet.History = append(sheet.History, e)
	}
	return sheet, s.rest(ctx, &sheet)
}

// SheetOfLabel is the sheet of a pack that is no item yet: a printed label of
// this product that nothing was done with.
func (s *Service) SheetOfLabel(ctx context.Context, product models.Product) (Sheet, error) {
	return s.listed(ctx, models.Item{Kind: models.KindPack, FamilyID: &product.FamilyID, ProductID: &product.ID})
}

// subject finds the pack, its list and what was ticked.
func (s *Service) subject(ctx context.Context, named string) (Sheet, []models.BuildTick, error) {
	item, err := s.item(ctx, named)
	if err != nil {
		return Sheet{}, nil, err
	}
	sheet, err := s.listed(ctx, item)
	if err != nil {
		return Sheet{}, nil, err
	}
	ticks, err := s.store.BuildTicks(ctx, item.ID)
	return sheet, ticks, err
}

// listed is the sheet of an item with its list, before anything is ticked.
func (s *Service) listed(ctx context.Context, item models.Item) (Sheet, error) {
	sheet := Sheet{Item: item}
	if item.ProductID != nil {
		revision, err := s.store.ProductForm(ctx, *item.ProductID)
		if err != nil {
			return Sheet{}, err
		}
		sheet.Form = revision.Form.Pack
	}
	strings := 1
	if sheet.Form != nil {
		strings = sheet.Form.Strings
		chemistry, cells := pack.Chemistry(sheet.Form.Chemistry), sheet.Form.Cells*sheet.Form.Blocks
		if volts, above, err := pack.ChargingVoltage(chemistry, cells); err == nil {
			sheet.ChargeVolts, sheet.AboveShock = volts, above
		}
		if strings > 1 {
			join, err := joinBy(*sheet.Form)
			if err != nil {
				return Sheet{}, err
			}
			sheet.Join = join
		}
	}
	steps, n, err := s.steps(ctx, *item.FamilyID, strings)
	if err != nil {
		return Sheet{}, err
	}
	sheet.List = n
	for _, step := range steps {
		sheet.Steps = append(sheet.Steps, Step{BuildStep: step})
	}
	return sheet, sheet.restHours()
}

// restHours fills in the rest that the product asks for.
func (sheet *Sheet) restHours() error {
	sheet.Rest.Hours = 24
	if sheet.Form != nil && sheet.Form.MinRestHours != "" {
		d, err := measure.ParseReading(sheet.Form.MinRestHours)
		if err != nil {
			return fmt.Errorf("rest asked for: %w", err)
		}
		sheet.Rest.Hours = d.Float()
	}
	return nil
}

// rest fills in the charge and what follows from it.
func (s *Service) rest(ctx context.Context, sheet *Sheet) error {
	charges, err := s.store.ChargesOf(ctx, sheet.Item.ID)
	if err != nil || len(charges) == 0 {
		return err
	}
	sheet.Rest.Charge = &charges[0]
	if end := charges[0].End; end != nil {
		sheet.Rest.Opens = end.EndedAt.Add(time.Duration(sheet.Rest.Hours * float64(time.Hour)))
		sheet.Rest.Provisional = end.EndedAt.Add(time.Duration(min(pack.ProvisionalRestH, sheet.Rest.Hours) * float64(time.Hour)))
	}
	return nil
}

// NewTick says that a step was done, or with Done false that it is taken back.
type NewTick struct {
	Step  string // its code
	Done  bool
	Volts []string  // of each string, where strings are joined
	At    time.Time // zero is now; earlier where a tablet kept it without the network
}

// ahead is how far a moment may lie in the future: clocks differ.
const ahead = 5 * time.Minute

// Tick records that a step was done or taken back. The same again changes
// nothing. Joining strings takes the voltage of each and is refused where they
// may not be joined (join.go).
func (s *Service) Tick(ctx context.Context, actor models.Actor, named string, in NewTick) (Sheet, error) {
	sheet, ticks, err := s.subject(ctx, named)
	if err != nil {
		return Sheet{}, err
	}
	if !slices.ContainsFunc(sheet.Steps, func(x Step) bool { return x.Code == in.Step }) {
		return Sheet{}, fmt.Errorf("build step %.40q: %w", in.Step, models.ErrNotFound)
	}
	now := s.now()
	if in.At.IsZero() {
		in.At = now
	}
	if in.At.After(now.Add(ahead)) {
		return Sheet{}, models.Invalid("at", "ahead_of_clock")
	}
	if day, earlier, err := s.longBefore(ctx, sheet.Item.ID, in.At); err != nil {
		return Sheet{}, err
	} else if earlier {
		return Sheet{}, models.Invalid("at", "before_item", "date", day)
	}
	at := models.Moment(in.At)
	if in.Step != StringsJoined || !in.Done {
		in.Volts = nil
	} else if !standingAt(ticks, at)[in.Step].Done {
		if err := s.mayJoin(ctx, sheet, in.Volts, at); err != nil {
			return Sheet{}, err
		}
	}
	err = s.store.AddBuildTick(ctx, models.NewStamp(actor, now), sheet.Item.ID, func(sofar []models.BuildTick) (*models.BuildTick, error) {
		if is := standingAt(sofar, at)[in.Step]; is.Done == in.Done {
			return nil, again(is, in.Volts)
		}
		return &models.BuildTick{Step: in.Step, Done: in.Done, Volts: in.Volts, DoneAt: at}, nil
	})
	if err != nil {
		return Sheet{}, err
	}
	return s.Sheet(ctx, sheet.Item.ID)
}

// longBefore says whether a moment lies too long before an item was written down
// here, or before its blocks were made, and which day that was.
func (s *Service) longBefore(ctx context.Context, itemID string, at time.Time) (day string, earlier bool, err error) {
	life, err := s.store.ItemLife(ctx, itemID)
	if err != nil {
		return "", false, err
	}
	day, earlier = life.EarlierThan(at.AddDate(0, 0, loggedBefore), s.now(), time.UTC)
	return day, earlier, nil
}

// standingAt is the newest tick of each step up to a moment: what was ticked later
// elsewhere does not make an earlier tick a repeat.
func standingAt(ticks []models.BuildTick, at time.Time) map[string]models.BuildTick {
	return standing(slices.DeleteFunc(slices.Clone(ticks), func(t models.BuildTick) bool { return t.DoneAt.After(at) }))
}

// standing is the newest tick of each step.
func standing(ticks []models.BuildTick) map[string]models.BuildTick {
	now := map[string]models.BuildTick{}
	for _, t := range ticks {
		now[t.Step] = t
	}
	return now
}

func (s *Service) people(ctx context.Context) (map[string]string, error) {
	list, err := s.store.People(ctx)
	return models.NamesOf(list), err
}

// item finds a pack by its serial or its key.
func (s *Service) item(ctx context.Context, named string) (models.Item, error) {
	item, err := s.store.ItemNamed(ctx, named)
	if err != nil {
		return models.Item{}, fmt.Errorf("item %.40q: %w", named, err)
	}
	if item.Kind != models.KindPack || item.FamilyID == nil {
		return models.Item{}, models.Invalid("item", "no_pack", "serial", item.Name())
	}
	return item, nil
}
