package web

import (
	"context"
	"slices"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// recallOnItem puts in front of everything that an item is called back: whoever
// has it in hand asks no more than that, whatever it passed.
func (s *site) recallOnItem(ctx context.Context, page *ItemPage, v trace.ItemView) error {
	held := slices.ContainsFunc(v.OpenHolds(), func(h models.Hold) bool { return h.Code == models.HoldRecall })
	if !held && !calledBack(v) {
		return nil
	}
	list, err := s.services.Recall.Of(ctx, v.Item.ID)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		return nil
	}
	r := list[max(0, slices.IndexFunc(list, func(r models.RecallView) bool { return r.End == nil }))]
	back, err := s.services.Recall.CameBack(ctx, []models.Item{v.Item}, r.Last)
	s.recalled(page, v, r, back[v.Item.ID])
	return err
}

// recalled says by which of the recalls, the newest that is open or else the newest, and
// how it is taken in where it came back.
func (s *site) recalled(page *ItemPage, v trace.ItemView, r models.RecallView, back bool) {
	page.Answer = "Called back by " + r.Number
	band := &Band{Tone: "fail", Shape: "cross", Title: page.Answer + " after it was shipped"}
	if !calledBack(v) {
		band.Title = page.Answer + " before it was shipped"
	}
	if open := v.OpenHolds(); len(open) > 0 {
		page.Answer += ", on hold"
		if open[0].Code != models.HoldRecall {
			page.Answer += ": " + s.fault(open[0].Code, open[0].RaisedAt)
		}
		band.Tone, band.Shape = "hold", "bars"
	}
	band.Text = "Why: " + stopped(r.Reason)
	if r.Wanted != "" {
		band.Text += " Whoever has one is to: " + stopped(r.Wanted)
	}
	switch {
	case r.End != nil:
		band.Text += " The recall is closed."
	case v.Item.State == models.StateRecalled:
		band.Text += " " + s.afterCalling(r, v.Item.ID)
	}
	if len(v.OpenHolds()) > 0 {
		band.Text += " It does not leave until an inspector decides."
	}
	band.Act = &Act{Text: "Recall " + r.Number, Path: recallPath(r.Number)}
	if back && page.Actor.May(models.ActClaims) {
		band.Act, band.Other = &Act{Text: "Take it in: open a claim", Path: s.takeInPath(v.Item, r.Number)}, band.Act
	}
	page.Band = band
}

// afterCalling says what is to be done about an item that is with its owner, by what
// came of calling it back so far.
func (s *site) afterCalling(r models.RecallView, item string) string {
	last := r.Last(item)
	if last == nil {
		return "Tell whoever has it, and keep what came of it with the recall."
	}
	said := words.Sentence(english.Response(last.Response)) + ", " + s.day(last.RespondedAt) + "."
	switch last.Response {
	case models.RecallReturned:
		return said + " It is on record as with its owner until a claim takes it in."
	case models.RecallPutRight:
		return said + " If it is here, a claim takes it in."
	case models.RecallNotReached:
		return said + " Try again, and keep what came of it with the recall."
	}
	return said + " Keep with the recall what comes of it."
}
