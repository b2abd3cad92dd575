package labels

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
)

// MostAtOnce is more labels than anybody prints in one go.
const MostAtOnce = 1000

// Store is what this package reads, and keeps what was printed in.
type Store interface {
	Item(ctx context.Context, id string) (models.Item, error)
	// ItemsBySerial gives those that exist of the normalised serials asked for.
	ItemsBySerial(ctx context.Context, serials []string) ([]models.Item, error)
	// ItemsMade lists the items with a serial made from one moment until before
	// another, oldest first.
	ItemsMade(ctx context.Context, from, until time.Time, limit int) ([]models.Item, error)
	Family(ctx context.Context, id string) (models.Family, error)
	Product(ctx context.Context, id string) (models.Product, error)
	ProductForm(ctx context.Context, productID string) (models.ProductRevision, error)
	Material(ctx context.Context, code string) (models.Material, error)
	LotByCode(ctx context.Context, code string) (models.Lot, error)
	Rolls(ctx context.Context) ([]models.SerialRoll, error)
	ShipmentNumbered(ctx context.Context, number string) (models.ShipmentView, error)
	ItemsByID(ctx context.Context, ids []string) ([]models.Item, error)
	Settings(ctx context.Context) (map[string]string, error)

	// AddLabelPrints adds them with their trail entries, in one transaction.
	AddLabelPrints(ctx context.Context, stamp models.Stamp, prints []models.LabelPrint) error
	// LabelPrintsOf lists the prints of some items, lots, rolls or certificates,
	// oldest first.
	LabelPrintsOf(ctx context.Context, subjects []string) ([]models.LabelPrint, error)
	// LastOnSheet gives the newest print on sheets of a size, or
	// models.ErrNotFound.
	LastOnSheet(ctx context.Context, size string) (models.LabelPrint, error)
}

// Drawing makes paper of a batch; made is what the file says of its making. A
// size that is too small is a *[models.RefusedError].
type Drawing func(b Batch, made time.Time) ([]byte, error)

// Service makes the contents of labels and counts their prints.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
	draw  Drawing
}

// New returns the service on its store; zone is the shop's time zone.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location, draw Drawing) *Service {
	return &Service{store: store, now: now, zone: zone, draw: draw}
}

// Ask is how labels are wanted. What is left empty is the usual: the shop's
// size, the size's symbol, the next free place of the sheet, one copy.
type Ask struct {
	Size   string
	Symbol string
	Place  int // of the first on its sheet, from 1
	Copies int // of each
	Hub    bool
}

// AskOf reads how labels are wanted from the fields size, symbol, place, copies
// and kind of a form or an address.
func AskOf(value func(name string) string) (Ask, error) {
	invalid := &models.InvalidError{}
	number := func(name string) int {
		text := strings.TrimSpace(value(name))
		if text == "" {
			return 0
		}
		n, err := strconv.Atoi(text)
		if err != nil {
			invalid.Add(name, "not_a_number", "typed", models.Shortened(text))
		}
		return n
	}
	ask := Ask{Size: value("size"), Symbol: value("symbol"), Place: number("place"), Copies: number("copies")}
	if n, err := strconv.Atoi(strings.TrimSpace(value("copies"))); err == nil && n == 0 { // What is typed is not what is left empty.
		invalid.Add("copies", "too_many_labels", "got", "0", "most", fmt.Sprint(MostAtOnce))
	}
	switch kind := value("kind"); kind {
	case models.LabelHub:
		ask.Hub = true
	case "", models.LabelItem:
	default:
		invalid.Add("kind", "unknown_choice", "typed", models.Shortened(kind))
	}
	return ask, invalid.OrNil()
}

// Batch is labels in the order of printing, and what will be counted.
type Batch struct {
	Labels []models.LabelContent
	Size   models.LabelSize
	Symbol string
	Place  int // 0 on a roll
	prints []models.LabelPrint
}

// begin settles how labels are wanted.
func (s *Service) begin(ctx context.Context, ask *Ask) (Batch, error) {
	if ask.Size == "" {
		settings, err := s.store.Settings(ctx)
		if err != nil {
			return Batch{}, fmt.Errorf("settings of the shop: %w", err)
		}
		ask.Size = cmp.Or(settings[models.SettingLabelSize], models.UsualLabelSize)
	}
	ask.Copies = cmp.Or(ask.Copies, 1)
	invalid := &models.InvalidError{}
	size, ok := models.LabelSizeOf(ask.Size)
	if !ok {
		invalid.Add("size", "unknown_choice", "typed", models.Shortened(ask.Size))
	}
	if ask.Symbol != "" && !known(ask.Symbol) {
		invalid.Add("symbol", "unknown_choice", "typed", models.Shortened(ask.Symbol))
	}
	switch per := size.PerSheet(); {
	case per == 0:
		ask.Place = 0
	case ask.Place < 0 || ask.Place > per:
		invalid.Add("place", "place_on_sheet", "most", fmt.Sprint(per))
	}
	if ask.Copies < 1 || ask.Copies > MostAtOnce {
		invalid.Add("copies", "too_many_labels", "got", fmt.Sprint(ask.Copies), "most", fmt.Sprint(MostAtOnce))
	}
	if err := invalid.OrNil(); err != nil {
		return Batch{}, err
	}
	if size.PerSheet() > 0 && ask.Place == 0 {
		var err error
		if ask.Place, err = s.NextPlace(ctx, size); err != nil {
			return Batch{}, err
		}
	}
	return Batch{Size: size, Symbol: ask.Symbol, Place: ask.Place}, nil
}

func known(symbol string) bool { return slices.Contains(models.Symbols, symbol) }

// NextPlace is where the sheet of a size goes on that was printed on last: the
// place behind the last label, 1 for a fresh sheet.
func (s *Service) NextPlace(ctx context.Context, size models.LabelSize) (int, error) {
	per := size.PerSheet()
	if per == 0 {
		return 0, nil
	}
	last, err := s.store.LastOnSheet(ctx, size.Code)
	if errors.Is(err, models.ErrNotFound) {
		return 1, nil
	}
	if err != nil {
		return 0, fmt.Errorf("where the sheet goes on: %w", err)
	}
	return (last.Place-1+last.N)%per + 1, nil
}

// put adds a label with its copies, and what will be counted of it.
func (b *Batch) put(c models.LabelContent, copies int, print models.LabelPrint) {
	print.Size, print.N = b.Size.Code, copies
	if per := b.Size.PerSheet(); per > 0 {
		print.Place = (b.Place-1+len(b.Labels))%per + 1
	}
	for range copies {
		b.Labels = append(b.Labels, c)
	}
	b.prints = append(b.prints, print)
}

// Draw makes the paper of a batch. Looking at it is no print.
func (s *Service) Draw(b Batch) ([]byte, error) { return s.draw(b, s.now()) }

// Count says that a batch goes to the printer, and gives what was counted: one
// print for each item. What cannot be drawn is not counted.
func (s *Service) Count(ctx context.Context, actor models.Actor, b Batch) ([]models.LabelPrint, error) {
	if _, err := s.Draw(b); err != nil {
		return nil, err
	}
	added, err := s.add(ctx, actor, b.prints)
	if err != nil {
		return nil, fmt.Errorf("count %d labels: %w", len(b.Labels), err)
	}
	return added, nil
}

// CountCertificate says that the paper of a certificate goes to the printer.
func (s *Service) CountCertificate(ctx context.Context, actor models.Actor, c models.Certificate) ([]models.LabelPrint, error) {
	added, err := s.add(ctx, actor, []models.LabelPrint{{What: models.PrintCertificate, SubjectID: c.ID, N: 1}})
	if err != nil {
		return nil, fmt.Errorf("count a print of certificate %s: %w", c.Number, err)
	}
	return added, nil
}

func (s *Service) add(ctx context.Context, actor models.Actor, prints []models.LabelPrint) ([]models.LabelPrint, error) {
	stamp := models.NewStamp(actor, s.now())
	added := make([]models.LabelPrint, len(prints))
	for i, p := range prints {
		p.ID, p.PrintedAt, p.PrintedBy = models.NewID(), stamp.At, actor.String()
		added[i] = p
	}
	return added, s.store.AddLabelPrints(ctx, stamp, added)
}

// PrintsOf lists the prints of some items, lots, rolls or certificates, by
// their ids, oldest first.
func (s *Service) PrintsOf(ctx context.Context, subjects ...string) ([]models.LabelPrint, error) {
	prints, err := s.store.LabelPrintsOf(ctx, subjects)
	if err != nil {
		return nil, fmt.Errorf("prints: %w", err)
	}
	return prints, nil
}
