package nonconforming

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/flow"
	"tracewright/models/trade/kinds"
)

// Disposition says what becomes of an item that does not conform. Each kind needs
// its own answers.
type Disposition struct {
	What     string // use_as_is, rework, repair, scrap, return_supplier
	Work     string // rework, repair: one of kinds.WorksOn
	Supplier string // return; empty: the one that the item or the lot names
	Lot      string // return: a code, may be empty
	Note     string
}

// Dispose decides. Errors: an InvalidError with every problem; a RefusedError where
// something was decided already.
func (s *Service) Dispose(ctx context.Context, actor models.Actor, number string, in Disposition) error {
	v, item, err := s.open(ctx, number)
	if err != nil {
		return err
	}
	event := flow.Event("dispose_" + in.What)
	invalid := &models.InvalidError{}
	if !slices.Contains(flow.Dispositions, event) {
		return models.Invalid("what", "unknown_choice", "typed", models.Shortened(in.What))
	}
	step := models.NonconformityStep{What: string(event), Note: models.Trimmed(in.Note)}
	if step.Note == "" {
		invalid.Add("note", "reason_needed")
	}
	invalid.Lines("note", step.Note, LongestNote)
	switch event {
	case flow.UseAsIs:
		err = s.concede(ctx, item, &step)
	case flow.Rework, flow.Repair:
		err = s.work(ctx, v, item, in.Work, &step, invalid)
	case flow.ReturnSupplier:
		err = s.sendBack(ctx, item, in, &step, invalid)
	}
	if err == nil {
		err = invalid.OrNil()
	}
	if err != nil {
		return err
	}
	return s.add(ctx, actor, v, item, step)
}

// concede names the inspection that is conceded and what may fail in it.
func (s *Service) concede(ctx context.Context, item models.Item, step *models.NonconformityStep) error {
	judged, err := s.judged(ctx, item)
	if err != nil || judged == nil {
		return err
	}
	step.InspectionID = &judged.Inspection.ID
	for _, r := range judged.Results {
		if (models.Failed(r.Verdict) || models.Undecided(r.Verdict)) && !slices.Contains(step.Results, r.Code) {
			step.Results = append(step.Results, r.Code)
		}
	}
	return nil
}

// work says what is done, and what has to be read again after it.
func (s *Service) work(ctx context.Context, v models.NonconformityView, item models.Item, work string, step *models.NonconformityStep, invalid *models.InvalidError) error {
	if !slices.Contains(kinds.WorksOn(item.Kind), work) {
		invalid.Add("work", "unknown_choice", "typed", models.Shortened(work))
		return nil
	}
	step.Work = work
	var asked []string
	if item.FamilyID != nil {
		spec, err := s.store.SpecificationInForce(ctx, *item.FamilyID, item.ProductID)
		if err != nil && !errors.Is(err, models.ErrNotFound) {
			return fmt.Errorf("specification in force for %s: %w", item.Name(), err)
		}
		for _, c := range spec.Characteristics {
			asked = append(asked, c.Code)
		}
	}
	failed := slices.DeleteFunc(slices.Clone(v.Failed), func(c string) bool { return !slices.Contains(asked, c) })
	step.Again = kinds.ToReadAgain(item.Kind, work, failed, asked)
	return nil
}

// sendBack says to whom an item goes back, and of which lot it is.
func (s *Service) sendBack(ctx context.Context, item models.Item, in Disposition, step *models.NonconformityStep, invalid *models.InvalidError) error {
	step.Supplier, step.Lot = models.Trimmed(in.Supplier), models.Trimmed(in.Lot)
	if step.Lot != "" {
		lots, err := s.store.LotsByCode(ctx, []string{step.Lot})
		if err != nil {
			return fmt.Errorf("find lot %.40q: %w", step.Lot, err)
		}
		if len(lots) == 0 {
			invalid.Add("lot", "unknown_lot", "lot", models.Shortened(step.Lot))
		} else if step.Lot = lots[0].Code; step.Supplier == "" {
			step.Supplier = lots[0].Supplier
		}
	}
	if step.Supplier == "" {
		step.Supplier = item.Supplier
	}
	if step.Supplier == "" {
		invalid.Add("supplier", "missing")
	}
	invalid.Line("supplier", step.Supplier, 120)
	return nil
}

// Approve approves the concession that was proposed, or says no to it.
func (s *Service) Approve(ctx context.Context, actor models.Actor, number string, yes bool, note string) error {
	v, item, err := s.open(ctx, number)
	if err != nil {
		return err
	}
	step := models.NonconformityStep{What: string(flow.ApproveConcession), Note: models.Trimmed(note)}
	if !yes {
		step.What = string(flow.RejectConcession)
		if step.Note == "" {
			return models.Invalid("note", "reason_needed")
		}
	}
	if yes {
		if err := s.second(ctx, actor, v, flow.UseAsIs); err != nil {
			return err
		}
	}
	return s.add(ctx, actor, v, item, step)
}

// Confirm says that what was decided is carried out: the item bears a mark that it
// is scrap and is thrown away, or it is on its way to its supplier.
func (s *Service) Confirm(ctx context.Context, actor models.Actor, number string, marked bool, note string) error {
	v, item, err := s.open(ctx, number)
	if err != nil {
		return err
	}
	step := models.NonconformityStep{What: string(flow.ConfirmReturn), Note: models.Trimmed(note)}
	decided := flow.ReturnSupplier
	if item.State == models.StateScrapPending {
		step.What, step.Marked, decided = string(flow.ConfirmScrap), marked, flow.Scrap
		if !marked {
			return models.Invalid("marked", "scrap_unmarked")
		}
	}
	if err := s.second(ctx, actor, v, decided); err != nil {
		return err
	}
	return s.add(ctx, actor, v, item, step)
}

// Done says that a rework or a repair is done: the item waits to be inspected
// again.
func (s *Service) Done(ctx context.Context, actor models.Actor, number, note string) error {
	v, item, err := s.open(ctx, number)
	if err != nil {
		return err
	}
	step := models.NonconformityStep{What: string(flow.ReworkDone), Note: models.Trimmed(note)}
	if item.State == models.StateRepair {
		step.What = string(flow.RepairDone)
	}
	return s.add(ctx, actor, v, item, step)
}

// Note keeps what somebody has to say, and decides nothing.
func (s *Service) Note(ctx context.Context, actor models.Actor, number, note string) error {
	v, item, err := s.open(ctx, number)
	if err != nil {
		return err
	}
	step := models.NonconformityStep{What: models.NonconformityNoted, Note: models.Trimmed(note)}
	if step.Note == "" {
		return models.Invalid("note", "missing")
	}
	return s.add(ctx, actor, v, item, step)
}

// NoteOnce is Note from a page that showed the steps up to one, seen: sent again from
// there, what was kept since is not kept twice.
func (s *Service) NoteOnce(ctx context.Context, actor models.Actor, number, seen, note string) error {
	v, err := s.One(ctx, number)
	if err != nil {
		return err
	}
	kept := seen != "" && slices.ContainsFunc(v.Steps, func(x models.NonconformityStep) bool {
		return x.ID > seen && x.What == models.NonconformityNoted && x.MadeBy == actor.String() && x.Note == models.Trimmed(note)
	})
	if kept {
		return nil
	}
	return s.Note(ctx, actor, number, note)
}

// open finds one that is not closed, with its item.
func (s *Service) open(ctx context.Context, number string) (models.NonconformityView, models.Item, error) {
	v, err := s.One(ctx, number)
	if err != nil {
		return v, models.Item{}, err
	}
	if v.State == models.NonconformityClosed {
		return v, models.Item{}, refused("nonconformity_closed", "number", v.Number)
	}
	item, err := s.store.Item(ctx, v.ItemID)
	if err != nil {
		return v, item, fmt.Errorf("item of nonconformity %s: %w", number, err)
	}
	return v, item, nil
}

// second refuses whoever decided, where the shop wants another person.
func (s *Service) second(ctx context.Context, actor models.Actor, v models.NonconformityView, decided flow.Event) error {
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return fmt.Errorf("settings of the shop: %w", err)
	}
	step := v.Last(string(decided))
	if step != nil && step.MadeBy == actor.String() && models.WantsSecond(settings, strings.TrimPrefix(string(decided), "dispose_")) {
		return refused("second_person_decides", "number", v.Number)
	}
	return nil
}

func (s *Service) add(ctx context.Context, actor models.Actor, v models.NonconformityView, item models.Item, step models.NonconformityStep) error {
	invalid := &models.InvalidError{}
	invalid.Lines("note", step.Note, LongestNote)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	err := s.store.AddNonconformityStep(ctx, models.NewStamp(actor, s.now()), v.ID, step)
	if errors.Is(err, models.ErrStale) {
		err = errors.Join(err, refused("nonconformity_other_state", "number", v.Number, "state", item.State))
	}
	if err != nil {
		return fmt.Errorf("add to nonconformity %s: %w", v.Number, err)
	}
	return nil
}
