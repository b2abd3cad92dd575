package assembly

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// Lacing is one wheel of a row: the lots stay from wheel to wheel, the motor is
// scanned for each.
type Lacing struct {
	ID      string          `json:"id"` // UUIDv7 of the entry: sent twice it is one wheel
	Product string          `json:"product"`
	Motor   models.PartName `json:"motor"`
	Lots    Lots            `json:"lots"`
	// Reason allows more of a lot than it has left.
	Reason string `json:"reason,omitempty"`
}

// Lots are the codes of those in use; empty where the shop does not record one.
type Lots struct {
	Rim     string `json:"rim,omitempty"`
	SpokesA string `json:"spokes_a,omitempty"`
	SpokesB string `json:"spokes_b,omitempty"`
	Nipples string `json:"nipples,omitempty"`
}

// Laced is the wheel with what it was made of.
type Laced struct {
	Item  models.Item
	Motor models.Item
	New   bool // the motor was not known and came in with the wheel
}

// Lace makes the next wheel of a product from the lots in use and a motor. A
// motor that is not known comes in with it, under the supplier and model that
// are given or, without, as the product's form names the motor.
func (s *Service) Lace(ctx context.Context, actor models.Actor, l Lacing) (Laced, error) {
	for _, text := range []*string{&l.Motor.Number, &l.Motor.Supplier, &l.Motor.Model} {
		*text = models.Trimmed(*text)
	}
	l.Motor.Number = ident.MakersNumber(l.Motor.Number)
	if before, err := s.store.Item(ctx, l.ID); err == nil {
		return s.lacedBefore(ctx, before, l)
	} else if !errors.Is(err, models.ErrNotFound) {
		return Laced{}, fmt.Errorf("entry %.40q: %w", l.ID, err)
	}
	invalid := &models.InvalidError{}
	if !models.IsID(l.ID) {
		invalid.Add("id", "bad_id")
	}
	product, form, err := s.wheelProduct(ctx, l.Product)
	if err != nil {
		return Laced{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	item := models.Item{ID: l.ID, Kind: models.KindWheel, FamilyID: &product.FamilyID, ProductID: &product.ID, State: models.StateInProcess, Origin: "made", CreatedAt: stamp.At, CreatedBy: stamp.By.String()}
	motor, isNew, err := s.motor(ctx, stamp, item, l, form, invalid)
	if err != nil {
		return Laced{}, err
	}
	list := l.parts(form.Holes)
	parts, err := s.fittings(ctx, item, list, nil, nil, map[string]int{}, invalid)
	if err != nil {
		return Laced{}, err
	}
	callByRole(invalid, list)
	if err := invalid.OrNil(); err != nil {
		return Laced{}, err
	}
	made := models.Laced{Item: item, Parts: append([]models.FittedPart{{ID: models.NewID(), Role: "motor", PartID: &motor.ID, Quantity: 1}}, parts...)}
	if isNew {
		made.Motor = &motor
	}
	year := stamp.At.In(s.zone(ctx)).Year() % 100
	if item, err = s.store.AddLaced(ctx, stamp, year, made); errors.Is(err, ident.ErrUsedUp) {
		return Laced{}, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("serials_used_up")}}
	} else if err != nil {
		return Laced{}, fmt.Errorf("lace a %s: %w", product.Name, err)
	}
	return Laced{Item: item, Motor: motor, New: isNew}, nil
}

// lacedBefore answers an entry that was sent twice, and refuses one whose key
// stands for something else.
func (s *Service) lacedBefore(ctx context.Context, item models.Item, l Lacing) (Laced, error) {
	parts, err := s.store.Parts(ctx, item.ID)
	if err != nil {
		return Laced{}, fmt.Errorf("parts of %s: %w", item.Name(), err)
	}
	for _, p := range parts {
		if p.Role != "motor" || p.PartID == nil {
			continue
		}
		motor, err := s.store.Item(ctx, *p.PartID)
		if err != nil {
			return Laced{}, fmt.Errorf("motor of %s: %w", item.Name(), err)
		}
		if strings.EqualFold(motor.Name(), l.Motor.Number) || motor.MakerNumber != nil && strings.EqualFold(*motor.MakerNumber, l.Motor.Number) {
			return Laced{Item: item, Motor: motor}, nil
		}
	}
	return Laced{}, fmt.Errorf("entry %s is another wheel: %w", l.ID, models.ErrConflict)
}

func (s *Service) wheelProduct(ctx context.Context, id string) (models.Product, models.WheelForm, error) {
	product, err := s.store.Product(ctx, id)
	if errors.Is(err, models.ErrNotFound) {
		return models.Product{}, models.WheelForm{}, models.Invalid("product", "unknown_product", "product", models.Shortened(id))
	}
	if err != nil {
		return models.Product{}, models.WheelForm{}, fmt.Errorf("product %.40q: %w", id, err)
	}
	revision, err := s.store.ProductForm(ctx, product.ID)
	if err != nil {
		return models.Product{}, models.WheelForm{}, fmt.Errorf("form of %s: %w", product.Name, err)
	}
	if revision.Form.Wheel == nil {
		return models.Product{}, models.WheelForm{}, models.Invalid("product", "no_wheel", "product", product.Name)
	}
	return product, *revision.Form.Wheel, nil
}

// motor finds the motor, or makes one that comes in with the wheel.
func (s *Service) motor(ctx context.Context, stamp models.Stamp, wheel models.Item, l Lacing, form models.WheelForm, invalid *models.InvalidError) (models.Item, bool, error) {
	name := l.Motor
	if name.Number == "" {
		invalid.Add("motor", "missing")
		return models.Item{}, false, nil
	}
	motor, code, err := s.numbered(ctx, name)
	if err != nil {
		return models.Item{}, false, err
	}
	if code == "unknown_number" {
		problem, err := s.noMotor(ctx, name.Number, l.Lots)
		if err != nil {
			return models.Item{}, false, err
		}
		if problem != nil {
			invalid.Add("motor", problem.Code, "number", problem.Values["number"], "lot", problem.Values["lot"])
			return models.Item{}, false, nil
		}
		before := len(invalid.Problems)
		for _, text := range []string{name.Number, name.Supplier, name.Model} {
			invalid.Line("motor", text, longest)
		}
		if len(invalid.Problems) > before {
			return models.Item{}, false, nil
		}
		motor, code = newMotor(stamp, name, form)
		if code == "" {
			return motor, true, nil
		}
	}
	holder := wheel
	if code == "" && motor.Kind != models.KindMotor {
		code = "no_motor"
	}
	if code == "" {
		if code, holder, err = s.unfit(ctx, wheel, motor, models.KindMotor, nil); err != nil {
			return models.Item{}, false, err
		}
	}
	if code != "" {
		in := ""
		if holder.Serial != nil {
			in = holder.Name()
		}
		invalid.Add("motor", code, "number", models.Shortened(name.Number), "serial", in)
	}
	return motor, false, nil
}

// noMotor says what a number that nobody knows is where it can be no motor's: a
// code of another form, the supplier's own of a lot, or one like those of the lots
// in use, which a slip of the hand would make. nil where it may be one.
func (s *Service) noMotor(ctx context.Context, number string, lots Lots) (*models.Remark, error) {
	said := func(code, name string, value string) *models.Remark {
		r := models.NewRemark(code, name, models.Shortened(value))
		return &r
	}
	if ident.Recognise(number).What != ident.ScanText {
		return said("no_motor", "number", number), nil
	}
	for _, lot := range []string{lots.Rim, lots.SpokesA, lots.SpokesB, lots.Nipples} {
		if head := beforeDigits(lot); head != "" && strings.EqualFold(head, beforeDigits(number)) {
			return said("unknown_lot", "lot", number), nil
		}
	}
	known, err := s.store.LotsOfSupplierCode(ctx, number)
	if err != nil {
		return nil, fmt.Errorf("whether %.40q is a lot: %w", number, err)
	}
	if len(known) > 0 {
		return said("lot_for_number", "lot", known[0].Code), nil
	}
	return nil, nil
}

// beforeDigits is how a code begins: SP- of SP-0214.
func beforeDigits(code string) string {
	head, _ := strings.CutSuffix(code, strings.TrimLeftFunc(code, func(r rune) bool { return r < '0' || r > '9' }))
	return head
}

func newMotor(stamp models.Stamp, name models.PartName, form models.WheelForm) (models.Item, string) {
	if _, err := ident.Normalise(name.Number); err == nil {
		return models.Item{}, "unknown_number" // Whoever scans it must not be led to an item of the shop.
	}
	if name.Supplier == "" && name.Model == "" {
		name.Supplier, name.Model, _ = strings.Cut(strings.TrimSpace(form.Motor), " ")
	}
	if name.Supplier == "" || name.Model == "" {
		return models.Item{}, "motor_unknown"
	}
	return models.Item{ID: models.NewID(), Kind: models.KindMotor, Supplier: name.Supplier, Model: name.Model, MakerNumber: &name.Number, State: models.StateInProcess,
		Origin: "received", CreatedAt: stamp.At, CreatedBy: stamp.By.String()}, ""
}

// parts lists what a wheel takes of each lot: half the spokes on each side, a
// nipple for each.
func (l Lacing) parts(holes int) []In {
	var in []In
	for _, x := range []struct {
		role, lot string
		pieces    int
	}{{"rim", l.Lots.Rim, 1}, {"spokes_a", l.Lots.SpokesA, holes / 2}, {"spokes_b", l.Lots.SpokesB, holes / 2}, {"nipples", l.Lots.Nipples, holes}} {
		if x.lot != "" {
			in = append(in, In{SentPart: models.SentPart{Role: x.role, Lot: x.lot, Quantity: x.pieces}, Reason: l.Reason})
		}
	}
	return in
}

// callByRole gives problems of the lots the names that their fields have in a
// lacing.
func callByRole(invalid *models.InvalidError, list []In) {
	for i, x := range list {
		for k := range invalid.Problems {
			switch rest, ok := strings.CutPrefix(invalid.Problems[k].Field, fmt.Sprintf("in[%d].", i)); {
			case ok && rest == "reason":
				invalid.Problems[k].Field = rest
			case ok:
				invalid.Problems[k].Field = x.Role
			}
		}
	}
}

// LacedToday lists the wheels of a product that a person laced since midnight
// of the shop, newest first.
func (s *Service) LacedToday(ctx context.Context, actor models.Actor, productID string) ([]models.Item, error) {
	today := models.DayOf(s.now().In(s.zone(ctx)), 0)
	items, err := s.store.LacedSince(ctx, productID, actor.String(), today.UTC())
	if err != nil {
		return nil, fmt.Errorf("wheels laced today: %w", err)
	}
	return items, nil
}
