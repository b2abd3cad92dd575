package shelf

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

const (
	longestPlace = 60
	// coldest and warmest temperature of a shelf, degrees; 77 is 25 read off a
	// Fahrenheit scale.
	coldestC, warmestC = -40, 60
	// ahead is how far a moment may lie in the future: clocks differ.
	ahead = 5 * time.Minute
)

// NewCharge puts an item on a charger; Started zero is now. ID is made by the
// tablet, so that sending it again is harmless; empty: made here.
type NewCharge struct {
	ID      string
	Kind    string
	Charger string
	Started time.Time
}

// StartCharge records that a pack or block was put on a charger, or under a
// short load.
func (s *Service) StartCharge(ctx context.Context, actor models.Actor, serial string, in NewCharge) (models.Charge, error) {
	item, err := s.item(ctx, serial)
	if err != nil {
		return models.Charge{}, err
	}
	invalid := &models.InvalidError{}
	if in.Kind == "" {
		in.Kind = models.ChargeRefresh
	}
	if !slices.Contains(models.ChargeKinds, in.Kind) {
		invalid.Add("kind", "unknown_choice", "typed", in.Kind)
	}
	in.Charger = PlaceName(in.Charger)
	invalid.Line("charger", in.Charger, longestPlace)
	s.notAhead(invalid, "started_at", in.Started)
	if in.ID != "" && !models.IsID(in.ID) {
		invalid.Add("id", "bad_id")
	}
	if err := invalid.OrNil(); err != nil {
		return models.Charge{}, err
	}
	if in.ID == "" {
		in.ID = models.NewID()
	} else if before, err := s.store.Charge(ctx, in.ID); err == nil {
		if before.ItemID != item.ID || before.Kind != in.Kind || before.Charger != in.Charger {
			return models.Charge{}, fmt.Errorf("charge %s is known with other content: %w", in.ID, models.ErrConflict)
		}
		return before.Charge, nil
	} else if !errors.Is(err, models.ErrNotFound) {
		return models.Charge{}, err
	}
	if err := s.startable(ctx, item, in.Started); err != nil {
		return models.Charge{}, err
	}
	charge, err := s.store.AddCharge(ctx, models.NewStamp(actor, s.now()), models.Charge{ID: in.ID, ItemID: item.ID, Kind: in.Kind, Charger: in.Charger, StartedAt: in.Started})
	if errors.Is(err, models.ErrConflict) {
		return models.Charge{}, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("on_a_charger", "serial", item.Name())}}
	}
	return charge, err
}

// StartAll puts every pack that is due today on a charger and says which. One
// that somebody put there meanwhile is passed over.
func (s *Service) StartAll(ctx context.Context, actor models.Actor, charger string) ([]models.Item, error) {
	look, err := s.Look(ctx)
	if err != nil {
		return nil, err
	}
	var begun []models.Item
	for _, r := range look.Today {
		_, err := s.StartCharge(ctx, actor, r.Item.ID, NewCharge{Kind: models.ChargeRefresh, Charger: charger})
		var refused *models.RefusedError
		if errors.As(err, &refused) {
			continue
		}
		if err != nil {
			return begun, err
		}
		begun = append(begun, r.Item)
	}
	return begun, nil
}

// EndCharge records that a charge ended, and the current that still flowed;
// ended zero is now.
func (s *Service) EndCharge(ctx context.Context, actor models.Actor, chargeID, current string, ended time.Time) (models.ChargeView, error) {
	charge, err := s.store.Charge(ctx, chargeID)
	if err != nil {
		return models.ChargeView{}, err
	}
	invalid := &models.InvalidError{}
	current = strings.TrimSpace(current)
	if current != "" {
		d, err := measure.ParseReading(current)
		switch {
		case err != nil:
			invalid.Add("end_current", "not_a_number", "typed", models.Shortened(current))
		case d.Sign() < 0:
			invalid.Add("end_current", "too_small", "least", "0 A")
		case d.Float() > 500:
			invalid.Add("end_current", "too_big", "most", "500 A")
		default:
			current = d.String()
		}
	}
	if ended.IsZero() {
		ended = s.now()
	}
	s.notAhead(invalid, "ended_at", ended)
	if models.Moment(ended).Before(charge.StartedAt) {
		invalid.Add("ended_at", "end_before_start")
	} else if charge.End == nil {
		if err := s.endable(ctx, charge.Charge, ended, invalid); err != nil {
			return models.ChargeView{}, err
		}
	}
	if err := invalid.OrNil(); err != nil {
		return models.ChargeView{}, err
	}
	err = s.store.EndCharge(ctx, models.NewStamp(actor, s.now()), models.ChargeEnd{ChargeID: chargeID, EndedAt: ended, EndCurrent: current})
	if errors.Is(err, models.ErrConflict) {
		if charge.End != nil && charge.End.EndedAt.Equal(models.Moment(ended)) && charge.End.EndCurrent == current {
			return charge, nil // The same again: its answer was lost.
		}
		return models.ChargeView{}, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("charge_ended_already")}}
	}
	if err != nil {
		return models.ChargeView{}, err
	}
	return s.store.Charge(ctx, chargeID)
}

// Charges lists the charges of an item, newest first.
func (s *Service) Charges(ctx context.Context, serial string) ([]models.ChargeView, error) {
	item, err := s.item(ctx, serial)
	if err != nil {
		return nil, err
	}
	return s.store.ChargesOf(ctx, item.ID)
}

// Place says where an item stands from a moment on; since zero is now, and an
// empty place takes it off the shelf.
func (s *Service) Place(ctx context.Context, actor models.Actor, serial, place string, since time.Time) error {
	item, err := s.item(ctx, serial)
	if err != nil {
		return err
	}
	invalid := &models.InvalidError{}
	s.notAhead(invalid, "since", since)
	if err := s.inLife(ctx, item, "since", since, invalid); err != nil {
		return err
	}
	place = PlaceName(place)
	if err := s.checkPlace(ctx, item, place, invalid); err != nil {
		return err
	}
	if err := invalid.OrNil(); err != nil {
		return err
	}
	return s.store.AddShelfPlace(ctx, models.NewStamp(actor, s.now()), models.ShelfPlace{ItemID: item.ID, Place: place, Since: since})
}

func (s *Service) checkPlace(ctx context.Context, item models.Item, place string, invalid *models.InvalidError) error {
	invalid.Line("place", place, longestPlace)
	if place == "" {
		return nil
	}
	return s.loose(ctx, item, invalid)
}

// loose refuses a place of its own for a block that is in a pack: it stands where
// that does.
func (s *Service) loose(ctx context.Context, item models.Item, invalid *models.InvalidError) error {
	if item.Kind != models.KindBlock {
		return nil
	}
	places, err := s.store.FittedInto(ctx, item.ID)
	if err != nil {
		return fmt.Errorf("where block %s is: %w", item.Name(), err)
	}
	if in := models.Present(places); len(in) > 0 {
		pack, err := s.store.Item(ctx, in[0].ItemID)
		if err != nil {
			return fmt.Errorf("the pack block %s is in: %w", item.Name(), err)
		}
		invalid.Add("place", "block_in_pack", "number", item.Name(), "serial", pack.Name())
	}
	return nil
}

// PlaceName is a place, or a charger, as it is compared: one space between words.
func PlaceName(typed string) string { return models.OneLine(typed) }

// AddTemperature records the temperature of a place, typed by a person or
// posted by a device; at zero is now.
func (s *Service) AddTemperature(ctx context.Context, actor models.Actor, place, typed string, at time.Time) error {
	invalid := &models.InvalidError{}
	if place = PlaceName(place); place == "" {
		invalid.Add("place", "missing")
	}
	invalid.Line("place", place, longestPlace)
	typed = strings.TrimSpace(typed)
	d, err := measure.ParseReading(typed)
	switch {
	case typed == "":
		invalid.Add("temperature_c", "missing")
	case err != nil:
		invalid.Add("temperature_c", "not_a_number", "typed", models.Shortened(typed))
	case d.Float() < coldestC || d.Float() > warmestC:
		invalid.Add("temperature_c", "no_shelf_temperature", "typed", models.Shortened(typed))
	}
	s.notAhead(invalid, "at", at)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	t := models.ShelfTemperature{Place: place, C: d.String(), At: at}
	if actor.DeviceID != "" {
		t.DeviceID = &actor.DeviceID
	}
	return s.store.AddShelfTemperature(ctx, models.NewStamp(actor, s.now()), t)
}

// WantFor says for which day an item is wanted; an empty day takes it back.
func (s *Service) WantFor(ctx context.Context, actor models.Actor, serial, wanted string) error {
	item, err := s.item(ctx, serial)
	if err != nil {
		return err
	}
	invalid := &models.InvalidError{}
	wanted = strings.TrimSpace(wanted)
	s.checkDay(ctx, wanted, invalid)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	return s.store.AddWantedDate(ctx, models.NewStamp(actor, s.now()), models.WantedDate{ItemID: item.ID, Day: wanted})
}

func (s *Service) checkDay(ctx context.Context, wanted string, invalid *models.InvalidError) {
	if wanted == "" {
		return
	}
	if _, err := time.Parse(time.DateOnly, wanted); err != nil {
		invalid.Add("day", "bad_date", "typed", models.Shortened(wanted))
	} else if wanted < s.now().In(s.zone(ctx)).Format(time.DateOnly) {
		invalid.Add("day", "day_past", "date", wanted)
	}
}

// Whereabouts is where an item stands and for which day it is wanted, each empty for none.
type Whereabouts struct{ Place, Day string }

// Change says both anew, as far as it differs from what was shown: of the rest stands what
// stands. models.ErrStale where what differs was changed meanwhile.
func (s *Service) Change(ctx context.Context, actor models.Actor, serial string, shown, said Whereabouts) error {
	item, err := s.item(ctx, serial)
	if err != nil {
		return err
	}
	said.Place, said.Day = PlaceName(said.Place), strings.TrimSpace(said.Day)
	invalid := &models.InvalidError{}
	if said.Place != shown.Place {
		if err := s.checkPlace(ctx, item, said.Place, invalid); err != nil {
			return err
		}
	}
	if said.Day != shown.Day {
		s.checkDay(ctx, said.Day, invalid)
	}
	if err := invalid.OrNil(); err != nil {
		return err
	}
	return s.store.ChangeShelf(ctx, models.NewStamp(actor, s.now()), item.ID, func(place, day string) (p *models.ShelfPlace, w *models.WantedDate, err error) {
		changes := func(shown, said, now string) bool {
			if said == shown || said == now {
				return false
			}
			if now != shown {
				err = models.ErrStale
			}
			return true
		}
		if changes(shown.Place, said.Place, place) {
			p = &models.ShelfPlace{ItemID: item.ID, Place: said.Place}
		}
		if changes(shown.Day, said.Day, day) {
			w = &models.WantedDate{ItemID: item.ID, Day: said.Day}
		}
		return p, w, err
	})
}

func (s *Service) notAhead(invalid *models.InvalidError, field string, t time.Time) {
	if t.After(s.now().Add(ahead)) {
		invalid.Add(field, "ahead_of_clock")
	}
}

// item finds a pack or block by its serial or its key.
func (s *Service) item(ctx context.Context, named string) (models.Item, error) {
	item, err := s.store.ItemNamed(ctx, named)
	if err != nil {
		return models.Item{}, fmt.Errorf("item %.40q: %w", named, err)
	}
	if item.Kind != models.KindPack && item.Kind != models.KindBlock {
		return models.Item{}, models.Invalid("item", "neither_pack_nor_block", "serial", item.Name())
	}
	return item, nil
}

// Charge finds one with its end.
func (s *Service) Charge(ctx context.Context, id string) (models.ChargeView, error) {
	return s.store.Charge(ctx, id)
}
