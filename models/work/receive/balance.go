package receive

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"tracewright/models"
)

// Scrapped is pieces of a lot that are thrown away.
type Scrapped struct {
	ID       string // made by whoever sends it, so that sending it again is harmless; empty: made here
	Lot      string // code
	Quantity int
	Code     string // a defect code, or other
	Reason   string // needed for other
}

// Scrap keeps that pieces of a lot were thrown away; sent again under its key it keeps
// nothing, and is models.ErrConflict where it says something else.
func (s *Service) Scrap(ctx context.Context, actor models.Actor, in Scrapped) error {
	story, err := s.Story(ctx, in.Lot)
	if err != nil {
		return err
	}
	return once(in.ID, func() (bool, error) { return s.scrapped(ctx, story.Lot, in) }, func() error { return s.scrap(ctx, actor, story, in) })
}

func (s *Service) scrap(ctx context.Context, actor models.Actor, story Story, in Scrapped) error {
	invalid := &models.InvalidError{}
	checkID(invalid, in.ID)
	check(invalid, field{"reason", &in.Reason, in.Code == "other", longestReason})
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return fmt.Errorf("codes of defects: %w", err)
	}
	if !defects.Offered(in.Code) {
		invalid.Add("code", "unknown_code", "code", models.Shortened(in.Code))
	}
	checkPieces(invalid, in.Quantity, story)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	stamp := models.NewStamp(actor, s.now())
	return s.store.AddLotScrap(ctx, stamp, models.LotScrap{ID: cmp.Or(in.ID, models.NewID()), LotID: story.Lot.ID, Quantity: in.Quantity, Code: in.Code, Reason: in.Reason, ScrappedBy: actor.String(), ScrappedAt: stamp.At})
}

// Count keeps how many pieces of a lot somebody counted, beside what the record
// expects at that moment. Nothing is corrected by it.
func (s *Service) Count(ctx context.Context, actor models.Actor, code string, counted int) (models.LotCount, error) {
	story, err := s.Story(ctx, code)
	if err != nil {
		return models.LotCount{}, err
	}
	switch {
	case counted < 0:
		return models.LotCount{}, models.Invalid("counted", "negative_not_possible")
	case counted > mostInLot:
		return models.LotCount{}, models.Invalid("counted", "too_big", "most", fmt.Sprint(mostInLot))
	case story.Balance == nil:
		return models.LotCount{}, models.Invalid("counted", "lot_size_unknown")
	}
	stamp := models.NewStamp(actor, s.now())
	count := models.LotCount{ID: models.NewID(), LotID: story.Lot.ID, Counted: counted, Expected: story.Balance.Expected, CountedBy: actor.String(), CountedAt: stamp.At}
	return count, s.store.AddLotCount(ctx, stamp, count)
}

// Explain says why a lot does not add up: its newest count where that is open,
// otherwise what was used beyond what came.
func (s *Service) Explain(ctx context.Context, actor models.Actor, code, reason string) error {
	story, err := s.Story(ctx, code)
	if err != nil {
		return err
	}
	invalid := &models.InvalidError{}
	check(invalid, field{"reason", &reason, false, longestReason})
	if reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	if err := invalid.OrNil(); err != nil {
		return err
	}
	stamp := models.NewStamp(actor, s.now())
	e := models.LotExplanation{ID: models.NewID(), LotID: story.Lot.ID, Reason: reason, ExplainedBy: actor.String(), ExplainedAt: stamp.At}
	switch b := story.Balance; {
	case b != nil && b.Open():
		e.CountID, e.Difference = &b.Count.ID, b.Count.Difference()
	case b != nil && b.Unexplained > 0:
		e.Difference = -b.Beyond
	default:
		return &models.RefusedError{Reasons: []models.Remark{models.NewRemark("lot_adds_up", "lot", code)}}
	}
	return s.store.AddLotExplanation(ctx, stamp, e)
}

// Kinds of questions about lots.
const (
	AskBeyond     = "beyond"     // used beyond what came
	AskCount      = "count"      // a count that differs
	AskQuarantine = "quarantine" // waits for a decision
	AskLook       = "look"       // waits to be looked at
)

// Question is something about a lot that waits for somebody.
type Question struct {
	Kind   string
	Lot    models.Lot
	Pieces int                 // used beyond, counted less expected, or to be looked at
	About  *models.LotDecision // of AskQuarantine
	Count  *models.LotCount    // of AskCount
	Look   *Sample             // of AskLook
}

// Questions lists what about lots waits for somebody: those in quarantine, those
// used beyond what came and those to be looked at among the newest, counts that differ.
func (s *Service) Questions(ctx context.Context) ([]Question, error) {
	aside, err := s.store.LotsInQuarantine(ctx)
	if err != nil {
		return nil, err
	}
	counts, err := s.store.UnexplainedCounts(ctx)
	if err != nil {
		return nil, err
	}
	beyond, look, err := s.amongNewest(ctx)
	if err != nil {
		return nil, err
	}
	var ids []string
	for _, d := range aside {
		ids = append(ids, d.LotID)
	}
	for _, c := range counts {
		ids = append(ids, c.LotID)
	}
	lots, err := s.store.LotsByID(ctx, ids)
	if err != nil {
		return nil, err
	}
	byID := map[string]models.Lot{}
	for _, l := range lots {
		byID[l.ID] = l
	}
	var out []Question
	for i, d := range aside {
		out = append(out, Question{Kind: AskQuarantine, Lot: byID[d.LotID], About: &aside[i]})
	}
	out = append(out, beyond...)
	newest := map[string]int{} // a later count answers an earlier one
	for i, c := range counts {
		newest[c.LotID] = i
	}
	for i, c := range counts {
		if newest[c.LotID] == i {
			out = append(out, Question{Kind: AskCount, Lot: byID[c.LotID], Pieces: c.Difference(), Count: &counts[i]})
		}
	}
	return append(out, look...), nil
}

// mostAsked bounds the lots that are added up for the first page: what is in use
// lies among the newest, and each costs as much as there are uses of it.
const mostAsked = 60

func (s *Service) amongNewest(ctx context.Context) (beyond, look []Question, err error) {
	lots, err := s.store.NewestLots(ctx, "", mostAsked)
	if err != nil {
		return nil, nil, err
	}
	lines, totals, err := s.lines(ctx, lots)
	if err != nil {
		return nil, nil, err
	}
	var over []models.Lot
	var ids []string
	for _, l := range lines {
		if l.Left != nil && *l.Left < 0 {
			over, ids = append(over, l.Lot), append(ids, l.ID)
		}
		if l.Look != nil {
			look = append(look, Question{Kind: AskLook, Lot: l.Lot, Pieces: l.Look.Size, Look: l.Look})
		}
	}
	explanations, err := s.store.LotExplanations(ctx, ids)
	if err != nil {
		return nil, nil, err
	}
	for _, l := range over {
		own := slices.DeleteFunc(slices.Clone(explanations), func(e models.LotExplanation) bool { return e.LotID != l.ID })
		if b := balance(l, totals[l.ID], nil, own); b.Unexplained > 0 {
			beyond = append(beyond, Question{Kind: AskBeyond, Lot: l, Pieces: b.Beyond})
		}
	}
	return beyond, look, nil
}
