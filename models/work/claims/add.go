package claims

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// Added is what a form says about a claim. What is empty, or stands already, adds
// nothing.
type Added struct {
	From     *string // newest event of the claim that the form showed; nil: of whoever sends what changes alone
	Item     string
	Moved    string // why it is another item than the one named so far
	CameOn   string
	Symptom  string
	List     *int     // revision of its check list that was asked; nil: the newest
	Yes      []string // questions of it that were answered yes
	Spot     string   // where on the item: number of a spoke, or in words
	Code     string   // empty: the one that the check list leads to
	Decision string
	Reason   string
	Amount   string // as typed
	Currency string
	Removal  string // key of the change of parts
	Close    bool
}

// Add adds to a claim what is new; one that is closed takes what it cost. Errors: an InvalidError with every problem;
// models.ErrStale when somebody closed it meanwhile, or added to what the form showed.
func (s *Service) Add(ctx context.Context, actor models.Actor, number string, in Added) error {
	v, err := s.Claim(ctx, number)
	if err != nil {
		return err
	}
	for _, text := range []*string{&in.Item, &in.Moved, &in.CameOn, &in.Spot, &in.Reason, &in.Amount, &in.Currency} {
		*text = models.Trimmed(strings.ToValidUTF8(strings.ReplaceAll(*text, "\x00", ""), ""))
	}
	invalid := &models.InvalidError{}
	var events []models.ClaimEvent
	if in.Item != "" {
		e, err := s.linked(ctx, v, in.Item, in.Moved, invalid)
		if err != nil {
			return err
		}
		events = append(events, e...)
	}
	if last := v.Last(models.ClaimCameIn); s.cameIn(ctx, in.CameOn, invalid) && (last == nil || last.CameOn != in.CameOn) {
		events = append(events, models.ClaimEvent{What: models.ClaimCameIn, CameOn: in.CameOn})
	}
	found, err := s.coded(ctx, v, in, invalid)
	if err != nil {
		return err
	}
	events = append(events, found...)
	events = append(events, where(v, in.Spot, invalid)...)
	events = append(events, decided(v, in, invalid)...)
	events = append(events, cost(v, in, invalid)...)
	if in.Removal != "" {
		e, err := s.part(ctx, v, in.Removal, invalid)
		if err != nil {
			return err
		}
		events = append(events, e...)
	}
	if in.Close && v.State != models.ClaimClosed {
		if v.State != models.ClaimDecided && in.Decision == "" {
			invalid.Add("decision", "claim_undecided")
		}
		events = append(events, models.ClaimEvent{What: models.ClaimEnded})
	}
	late := in.Amount != "" && !slices.ContainsFunc(events, func(e models.ClaimEvent) bool { return e.What != models.ClaimCost })
	if v.State == models.ClaimClosed && len(events)+len(invalid.Problems) > 0 && !late {
		return &models.RefusedError{Reasons: []models.Remark{models.NewRemark("claim_closed", "number", v.Number)}}
	}
	if len(events)+len(invalid.Problems) > 0 && in.From != nil && *in.From != v.Newest() { // Said before the problems: what stands now may have none.
		return fmt.Errorf("add to claim %s: %w", number, models.ErrStale)
	}
	if err := invalid.OrNil(); err != nil || len(events) == 0 {
		return err
	}
	if err := s.store.AddClaimEvents(ctx, models.NewStamp(actor, s.now()), v.ID, in.From, events); err != nil {
		return fmt.Errorf("add to claim %s: %w", number, err)
	}
	return nil
}

// linked names the item; naming it again adds nothing. Another one than that named
// so far is a correction, with its reason, until somebody decided or swapped a part
// on that one.
func (s *Service) linked(ctx context.Context, v models.ClaimView, typed, moved string, invalid *models.InvalidError) ([]models.ClaimEvent, error) {
	item, err := s.named(ctx, typed, invalid)
	if err != nil || item == nil {
		return nil, err
	}
	invalid.Lines("moved", moved, longest)
	switch {
	case v.ItemID != nil && *v.ItemID == item.ID:
		return nil, nil
	case item.Kind != v.Kind:
		invalid.Add("item", "claim_other_kind", "kind", v.Kind)
	case v.ItemID == nil:
		return []models.ClaimEvent{{What: models.ClaimLinked, ItemID: &item.ID}}, nil
	case v.State != models.ClaimOpen, v.Last(models.ClaimPart) != nil:
		invalid.Add("item", "claim_moves_no_more")
	case moved == "":
		invalid.Add("moved", "claim_moved_why")
	}
	return []models.ClaimEvent{{What: models.ClaimLinked, ItemID: &item.ID, Reason: moved}}, nil
}

// coded is what is wrong: the code that was chosen, or the one that the answers
// lead to.
func (s *Service) coded(ctx context.Context, v models.ClaimView, in Added, invalid *models.InvalidError) ([]models.ClaimEvent, error) {
	e := models.ClaimEvent{What: models.ClaimCoded, Symptom: in.Symptom, Code: in.Code, Answers: []models.ClaimAnswer{}}
	switch {
	case in.Symptom != "":
		list, err := s.List(ctx, in.Symptom)
		if errors.Is(err, models.ErrNotFound) || err == nil && list.Kind != v.Kind {
			invalid.Add("symptom", "unknown_choice", "typed", models.Shortened(in.Symptom))
			return nil, nil
		}
		if err != nil {
			return nil, err
		}
		asked, known := list.CheckList, true
		if in.List != nil {
			if asked, known = list.Asked(*in.List); !known {
				invalid.Add("check_list", "unknown_choice", "typed", fmt.Sprint(*in.List))
				return nil, nil
			}
		}
		answered(&e, asked, in.Yes, invalid)
	case len(in.Yes) > 0:
		invalid.Add("symptom", "missing")
	}
	if e.Code == "" {
		return nil, nil
	}
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return nil, fmt.Errorf("codes of defects: %w", err)
	}
	if !defects.Offered(e.Code) && (in.Symptom == "" || !defects.Known(e.Code)) { // A list may lead to one that is offered no more.
		invalid.Add("code", "unknown_choice", "typed", models.Shortened(e.Code))
		return nil, nil
	}
	if last := v.Last(models.ClaimCoded); last != nil && last.Code == e.Code && last.Symptom == e.Symptom && last.CheckList == e.CheckList && slices.Equal(last.Answers, e.Answers) {
		return nil, nil
	}
	return []models.ClaimEvent{e}, nil
}

// answered puts the answers to a list into an event, and the code that they lead
// to where none was chosen.
func answered(e *models.ClaimEvent, asked models.CheckList, yes []string, invalid *models.InvalidError) {
	for i, q := range yes {
		if !slices.ContainsFunc(asked.Questions, func(x models.CheckQuestion) bool { return x.Code == q }) {
			invalid.Add(fmt.Sprintf("yes[%d]", i), "unknown_choice", "typed", models.Shortened(q))
		}
	}
	is := func(q string) bool { return slices.Contains(yes, q) }
	e.CheckList = asked.Revision
	for _, q := range asked.Questions {
		e.Answers = append(e.Answers, models.ClaimAnswer{Question: q.Code, Yes: is(q.Code)})
	}
	if e.Code == "" {
		e.Code = Leads(asked, is)
	}
}

// mostSpokes is more than any rim has.
const mostSpokes = 144

// where is where on the item it is; a number is that of a spoke of a wheel.
func where(v models.ClaimView, spot string, invalid *models.InvalidError) []models.ClaimEvent {
	invalid.Line("spot", spot, longestSpot)
	if n, err := strconv.Atoi(spot); err == nil && v.Kind == models.KindWheel && (n < 1 || n > mostSpokes) {
		invalid.Add("spot", "no_spoke", "most", fmt.Sprint(mostSpokes))
	}
	if last := v.Last(models.ClaimWhere); spot == "" || last != nil && last.Spot == spot {
		return nil
	}
	return []models.ClaimEvent{{What: models.ClaimWhere, Spot: spot}}
}

func decided(v models.ClaimView, in Added, invalid *models.InvalidError) []models.ClaimEvent {
	invalid.Lines("reason", in.Reason, longest)
	last := v.Last(models.ClaimAnswered)
	switch {
	case in.Decision == "" && in.Reason != "" && last == nil:
		invalid.Add("decision", "claim_reason_alone")
		return nil
	case in.Decision == "" || last != nil && last.Decision == in.Decision && last.Reason == in.Reason:
		return nil
	case !slices.Contains(models.ClaimDecisions, in.Decision):
		invalid.Add("decision", "unknown_choice", "typed", models.Shortened(in.Decision))
	case in.Reason == "":
		invalid.Add("reason", "reason_needed")
	}
	return []models.ClaimEvent{{What: models.ClaimAnswered, Decision: in.Decision, Reason: in.Reason}}
}

func cost(v models.ClaimView, in Added, invalid *models.InvalidError) []models.ClaimEvent {
	if in.Amount == "" {
		return nil
	}
	amount, err := measure.ParseReading(in.Amount)
	if err != nil || amount.Sign() < 0 {
		invalid.Add("amount", "not_an_amount")
		return nil
	}
	if in.Currency == "" {
		invalid.Add("currency", "missing")
	}
	invalid.Line("currency", in.Currency, 20)
	if last := v.Last(models.ClaimCost); last != nil && last.Amount == amount.String() && last.Currency == in.Currency {
		return nil
	}
	return []models.ClaimEvent{{What: models.ClaimCost, Amount: amount.String(), Currency: in.Currency}}
}

// part names what was swapped for the claim; naming it again adds nothing.
func (s *Service) part(ctx context.Context, v models.ClaimView, removal string, invalid *models.InvalidError) ([]models.ClaimEvent, error) {
	if slices.ContainsFunc(v.Events, func(e models.ClaimEvent) bool { return e.RemovalID != nil && *e.RemovalID == removal }) {
		return nil, nil
	}
	if v.ItemID != nil {
		removals, err := s.store.RemovalsOf(ctx, *v.ItemID)
		if err != nil {
			return nil, fmt.Errorf("what was taken out of the item of %s: %w", v.Number, err)
		}
		if slices.ContainsFunc(removals, func(r models.PartRemoval) bool { return r.ID == removal }) {
			return []models.ClaimEvent{{What: models.ClaimPart, RemovalID: &removal}}, nil
		}
	}
	invalid.Add("removal", "claim_not_that_item")
	return nil, nil
}
