package truing

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/wheel"
	"tracewright/models/trail"
)

// How many nipples the short list may turn.
const (
	usualShort   = 12
	fewestShort  = 4
	longestShort = 24
)

// CheckShort refuses a length that the short list cannot have.
func CheckShort(short int) error {
	if short < fewestShort || short > longestShort {
		return models.Invalid("short", "out_of_bounds", "least", fmt.Sprint(fewestShort), "most", fmt.Sprint(longestShort))
	}
	return nil
}

// Make gives the turn list of an inspection and makes it where there is none.
// short is the most nipples of the short list, 0 for the usual twelve; a list
// of which nothing was turned is made again for another number, one with
// something turned is refused. created says that a list was stored now.
//
// Without a list the sheet says why: what is missing, slack spokes, nothing
// worth turning, or a stop that has to be answered first.
func (s *Service) Make(ctx context.Context, actor models.Actor, inspectionID string, short int) (sheet Sheet, created bool, err error) {
	if short != 0 {
		if err := CheckShort(short); err != nil {
			return Sheet{}, false, err
		}
	}
	of, err := s.subject(ctx, inspectionID)
	if err != nil {
		return Sheet{}, false, fmt.Errorf("turn list of inspection %s: %w", inspectionID, err)
	}
	if err := s.compareIfOpen(ctx, actor, of); err != nil {
		return Sheet{}, false, fmt.Errorf("turn list of inspection %s: %w", inspectionID, err)
	}
	sheet, list, err := s.sheet(ctx, of)
	if err != nil || sheet.State == Stopped || sheet.State == Missing {
		return sheet, false, err
	}
	n := 1
	if list != nil {
		if short == 0 || short == list.Short {
			return sheet, false, nil
		}
		if sheet.Begun != "" {
			return Sheet{}, false, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("turns_begun")}}
		}
		n = list.N + 1
	}
	if short == 0 {
		short = usualShort
	}
	made, err := s.make(ctx, actor, of, &sheet, n, short)
	if err != nil || !made {
		return sheet, false, err
	}
	sheet, _, err = s.sheet(ctx, of)
	return sheet, true, err
}

// make prescribes and stores a list; made is false where the sheet says
// instead why there is none, or somebody else made it at the same moment.
func (s *Service) make(ctx context.Context, actor models.Actor, of subject, sheet *Sheet, n, short int) (made bool, err error) {
	read, missing, err := readAll(of.view, of.wheel.Holes)
	if err != nil || len(missing) > 0 {
		return false, err // What is missing was said by the sheet.
	}
	rims := rimType(of.product.ID, *of.form.Form.Wheel)
	learned, err := s.learned(ctx, rims)
	if err != nil {
		return false, err
	}
	plan, err := prescribe(of.view, of.form, read, learned, short)
	if slack, is := slackSpokes(err); is {
		sheet.State, sheet.Slack = Slack, slack
		return false, nil
	}
	var cannot *cannotError
	if errors.As(err, &cannot) {
		sheet.State, sheet.Missing = Missing, []models.Remark{cannot.why}
		return false, nil
	}
	if errors.Is(err, wheel.ErrInput) {
		sheet.State, sheet.Missing = Missing, []models.Remark{models.NewRemark("form_impossible", "why", whyNot(err))}
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("prescribe for inspection %s: %w", of.view.Inspection.ID, err)
	}
	if !plan.Worth {
		sheet.State, sheet.Plan = Nothing, plan
		return false, nil
	}
	content, hash, err := encoded(plan)
	if err != nil {
		return false, err
	}
	stamp := models.NewStamp(actor, s.now())
	err = s.store.AddTurnList(ctx, stamp, models.TurnList{ID: models.NewID(), InspectionID: of.view.Inspection.ID, ItemID: of.item.ID, N: n, RimType: rims, Short: short,
		Content: content, ContentHash: hash, MadeBy: actor.PersonID, MadeAt: stamp.At})
	if errors.Is(err, models.ErrConflict) {
		var now Sheet
		now, _, err = s.sheet(ctx, of) // Made by another tablet meanwhile: theirs.
		*sheet = now
		return false, err
	}
	return err == nil, err
}

// whyNot is the first thing that is wrong with the figures of a product.
func whyNot(err error) string {
	var field *wheel.FieldError
	if errors.As(err, &field) {
		return field.Problem
	}
	return err.Error()
}

// MadeFrom gives the inspection that a list was made from.
func (s *Service) MadeFrom(ctx context.Context, listID string) (inspectionID string, err error) {
	list, err := s.store.TurnListByID(ctx, listID)
	if err != nil {
		return "", fmt.Errorf("turn list %s: %w", listID, err)
	}
	return list.InspectionID, nil
}

// Sheet gives the turn list of an inspection as it stands; models.ErrNotFound
// where none was made and no stop is there to show.
func (s *Service) Sheet(ctx context.Context, inspectionID string) (Sheet, error) {
	of, err := s.subject(ctx, inspectionID)
	if err != nil {
		return Sheet{}, fmt.Errorf("turn list of inspection %s: %w", inspectionID, err)
	}
	sheet, list, err := s.sheet(ctx, of)
	if err != nil {
		return Sheet{}, err
	}
	if list == nil && sheet.State != Stopped && sheet.Answered == nil {
		return Sheet{}, fmt.Errorf("no turn list was made of inspection %s: %w", inspectionID, models.ErrNotFound)
	}
	if list == nil && sheet.State == "" {
		sheet.State = Unmade
	}
	return sheet, nil
}

// sheet reads what is stored. Its state is Ready with a list, Stopped at an
// unanswered stop, Missing with what keeps a list from being made; otherwise
// empty: a list can be made.
func (s *Service) sheet(ctx context.Context, of subject) (Sheet, *models.TurnList, error) {
	sheet := Sheet{Inspection: of.view.Inspection, Item: of.item, Product: of.product, Holes: of.wheel.Holes, People: of.people, crossing: of.wheel.Crossing}
	if len(of.notWheel) > 0 {
		sheet.State, sheet.Missing = Missing, of.notWheel
		return sheet, nil, nil
	}
	read, missing, err := readAll(of.view, of.wheel.Holes)
	if err != nil {
		return Sheet{}, nil, err
	}
	if len(missing) == 0 {
		sheet.Measured = &read.Readings
	}
	if err := s.fillRound(ctx, &sheet); err != nil {
		return Sheet{}, nil, err
	}
	if sheet.State != "" {
		return sheet, nil, nil
	}
	list, err := s.store.TurnList(ctx, of.view.Inspection.ID)
	switch {
	case errors.Is(err, models.ErrNotFound):
		if missing = append(notReady(of.form.Form), missing...); of.relaced() {
			missing = []models.Remark{models.NewRemark("other_holes")}
		}
		stale, err := s.stale(ctx, of)
		if err != nil {
			return Sheet{}, nil, err
		}
		if stale != nil {
			missing = []models.Remark{*stale}
		}
		if len(missing) > 0 {
			sheet.State, sheet.Missing = Missing, missing
		}
		return sheet, nil, nil
	case err != nil:
		return Sheet{}, nil, err
	}
	if err := s.fillList(ctx, &sheet, list); err != nil {
		return Sheet{}, nil, err
	}
	sheet.Closed, err = s.closed(ctx, of, list)
	return sheet, &list, err
}

// closed says whether a list takes no more turns.
func (s *Service) closed(ctx context.Context, of subject, list models.TurnList) (bool, error) {
	stands, err := s.store.TurnListState(ctx, list)
	if err != nil || stands.Closed() || stands.Compared {
		return err == nil, err
	}
	since, err := s.readSince(ctx, of)
	return !since.IsZero(), err
}

func (s *Service) fillList(ctx context.Context, sheet *Sheet, list models.TurnList) error {
	plan, err := decoded(list)
	if err != nil {
		return err
	}
	done, err := s.store.TurnsDone(ctx, list.ID)
	if err != nil {
		return err
	}
	sheet.State, sheet.Plan, sheet.Done = Ready, plan, standing(done)
	if len(sheet.Done) > 0 {
		sheet.Begun = sheet.Done[0].List
	}
	return nil
}

// standing are the turns that were made and not taken back, in the order of
// the list.
func standing(done []models.TurnDone) []Done {
	out := []Done{}
	for _, d := range models.StandingTurns(done) {
		out = append(out, Done{List: d.List, N: d.N, By: d.DoneBy, At: d.DoneAt})
	}
	slices.SortFunc(out, func(a, b Done) int { return a.N - b.N })
	return out
}

// encoded freezes a plan or a round.
func encoded(content any) (text, hash string, err error) {
	raw, err := json.Marshal(content)
	if err != nil {
		return "", "", fmt.Errorf("write the content of a turn list: %w", err)
	}
	return string(raw), trail.Digest(raw), nil
}

func decoded(list models.TurnList) (*Plan, error) {
	plan := &Plan{}
	if err := json.Unmarshal([]byte(list.Content), plan); err != nil {
		return nil, fmt.Errorf("read turn list %s: %w", list.ID, err)
	}
	if plan.Version != planVersion {
		return nil, fmt.Errorf("turn list %s is of version %d, this program reads %d", list.ID, plan.Version, planVersion)
	}
	return plan, nil
}
