package receive

import (
	"context"
	"fmt"

	"tracewright/models"
)

// Decided is what somebody decides about a lot.
type Decided struct {
	Lot      string // code
	Decision string
	Quantity int // pieces that go back, of a return
	Reason   string
	Since    *string // decision that held when it was taken, by its key, empty for none; nil: the one that holds now
}

// Grave says whether a decision is one that an inspector or the owner takes and
// confirms: to use what does not conform, to send it back, or to let go a lot
// that is in quarantine or went back. Whoever receives may quarantine a lot, and
// accept one that nothing speaks against.
func Grave(decision string, now *models.LotDecision) bool {
	stopped := now != nil && now.Stops()
	return decision == models.LotConcession || decision == models.LotReturn || decision == models.LotAccept && stopped
}

// Decide keeps what somebody decides about a lot. models.ErrForbidden where it
// is not theirs to decide (see Grave); the act is that of lifting a hold, since
// both let go what was stopped. models.ErrStale where somebody decided
// meanwhile: what one may do hangs on it. A return takes the pieces off the lot; what
// stays of it waits for the next decision.
func (s *Service) Decide(ctx context.Context, actor models.Actor, in Decided) (models.LotDecision, error) {
	story, err := s.Story(ctx, in.Lot)
	if err != nil {
		return models.LotDecision{}, err
	}
	invalid := &models.InvalidError{}
	check(invalid, field{"reason", &in.Reason, false, longestReason})
	grave := Grave(in.Decision, story.Decision)
	if in.Since != nil && *in.Since != story.Since() {
		return models.LotDecision{}, fmt.Errorf("decide about lot %s: %w", in.Lot, models.ErrStale)
	}
	switch in.Decision {
	case models.LotAccept, models.LotConcession, models.LotQuarantine:
		in.Quantity = 0
	case models.LotReturn:
		checkPieces(invalid, in.Quantity, story)
	default:
		invalid.Add("decision", "unknown_choice", "typed", models.Shortened(in.Decision))
	}
	if in.Reason == "" && (grave || in.Decision == models.LotQuarantine) {
		invalid.Add("reason", "reason_needed")
	}
	if err := invalid.OrNil(); err != nil {
		return models.LotDecision{}, err
	}
	if grave && !actor.May(models.ActLiftHold) {
		return models.LotDecision{}, fmt.Errorf("decide %s about lot %s: %w", in.Decision, in.Lot, models.ErrForbidden)
	}
	if d := story.Decision; d != nil && d.Decision == in.Decision && in.Decision != models.LotReturn {
		return models.LotDecision{}, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("lot_decided_already", "lot", in.Lot)}}
	}
	since := story.Since()
	if in.Since != nil {
		since = *in.Since
	}
	stamp := models.NewStamp(actor, s.now())
	d := models.LotDecision{Since: &since, ID: models.NewID(), LotID: story.Lot.ID, Decision: in.Decision, Quantity: in.Quantity, Reason: in.Reason, DecidedBy: actor.String(), DecidedAt: stamp.At}
	return d, s.store.AddLotDecision(ctx, stamp, d)
}

// checkPieces notes a number of pieces that leave the lot and cannot be so many.
func checkPieces(invalid *models.InvalidError, pieces int, story Story) {
	came := story.Totals.Came(story.Lot)
	switch {
	case pieces < 1:
		invalid.Add("quantity", "too_small", "least", "1")
	case pieces > mostInLot:
		invalid.Add("quantity", "too_big", "most", fmt.Sprint(mostInLot))
	case came > 0 && pieces > came:
		invalid.Add("quantity", "more_than_came", "most", fmt.Sprint(came))
	}
}
