package web

import (
	"context"
	"strings"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// blockOnItem adds to a block's page what was decided about it, and the act that
// decides again.
func (s *site) blockOnItem(ctx context.Context, page *ItemPage, v trace.ItemView) error {
	if v.Item.Kind != models.KindBlock || v.Item.ProductID == nil {
		return nil
	}
	_, decisions, err := s.services.Stock.History(ctx, v.Item.ID, "")
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	s.decided(page, v, decisions, people)
	return s.doubtedInPack(ctx, page, v)
}

// doubtedInPack says of a block in a pack what spoke against it when it was fitted,
// and lets who may release it.
func (s *site) doubtedInPack(ctx context.Context, page *ItemPage, v trace.ItemView) error {
	places := make([]models.FittedPart, len(v.FittedInto))
	for i, p := range v.FittedInto {
		places[i] = p.Part
	}
	against, err := s.services.Stock.Against(ctx, models.Present(places))
	if err != nil || len(against[v.Item.ID]) == 0 || page.Band != nil {
		return err
	}
	var says []string
	for _, r := range against[v.Item.ID] {
		says = append(says, english.Remark(r))
	}
	page.Band = &Band{Tone: "hold", Shape: "bars", Title: "Fitted although the stock spoke against it", Text: strings.Join(says, " ") + " Its pack is not released before this block is, or another takes its place."}
	if page.Actor.May(models.ActLiftHold) {
		page.Acts = append([]Act{{Text: "Release", Path: "/blocks/release?block=" + v.Item.ID}}, page.Acts...)
	}
	return nil
}

func (s *site) decided(page *ItemPage, v trace.ItemView, decisions []models.Disposition, people map[string]string) {
	query := "?block=" + v.Item.ID
	act := &Act{Text: "Set aside", Path: "/blocks/set-aside" + query, Bars: true}
	var lines []HoldLine
	for _, d := range decisions {
		when := s.minute(d.DecidedAt) + ", " + name(people, d.DecidedBy)
		if n := len(lines); d.Decision == models.Release && n > 0 && lines[n-1].Lifted == "" && lines[n-1].Mark.Shape == "bars" {
			lines[n-1].Mark, lines[n-1].Lifted, lines[n-1].Act = Mark{"ring", "Released", "none"}, when+": "+english.Disposition(d.Code)+". "+stopped(d.Reason), nil
			continue
		}
		if d.Decision == models.Release { // Of one that nobody had set aside: it was fitted against the stock.
			lines = append(lines, HoldLine{Mark: Mark{"ring", "Released", "none"}, Code: words.Sentence(english.Disposition(d.Code)), Reason: words.Sentence(d.Reason), Raised: when})
			continue
		}
		line := HoldLine{Mark: Mark{"bars", "Set aside", "hold"}, Code: words.Sentence(english.Disposition(d.Code)), Reason: words.Sentence(d.Reason), Raised: when}
		if page.Actor.May(models.ActLiftHold) {
			line.Act = &Act{Text: "Release", Path: "/blocks/release" + query}
		}
		lines = append(lines, line)
	}
	if n := len(decisions); n > 0 && decisions[n-1].Decision == models.Quarantine {
		last := decisions[n-1]
		page.Answer = "Set aside: " + english.Disposition(last.Code)
		page.Band = &Band{Tone: "hold", Shape: "bars", Title: "Set aside since " + s.day(last.DecidedAt), Text: "By " + name(people, last.DecidedBy) + ". " + stopped(last.Reason) + " It goes into no pack until it is released."}
		act = nil
		if page.Actor.May(models.ActLiftHold) {
			act = &Act{Text: "Release", Path: "/blocks/release" + query}
		}
	}
	page.Holds = append(lines, page.Holds...)
	if act != nil && page.Actor.May(models.ActRecord) && v.Holder() == nil {
		page.Acts = append([]Act{*act}, page.Acts...)
	}
}
