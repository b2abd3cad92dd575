package web

import (
	"context"

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
	return nil
}

func (s *site) decided(page *ItemPage, v trace.ItemView, decisions []models.Disposition, people map[string]string) {
	query := "?block=" + v.Item.ID
	act := &Act{Text: "Set aside", Path: "/blocks/set-aside" + query, Bars: true}
	var lines []HoldLine
	for _, d := range decisions {
		when := s.minute(d.DecidedAt) + ", " + name(people, d.DecidedBy)
		if n := len(lines); d.Decision == models.Release && n > 0 {
			lines[n-1].Mark, lines[n-1].Lifted, lines[n-1].Act = Mark{"ring", "Released", "none"}, when+": "+english.Disposition(d.Code)+". "+stopped(d.Reason), nil
			continue
		}
		line := HoldLine{Mark: Mark{"bars", "Set aside", "hold"}, Code: words.Sentence(english.Disposition(d.Code)), Reason: words.Sentence(d.Reason), Raised: when}
		if page.Can(string(models.ActLiftHold)) {
			line.Act = &Act{Text: "Release", Path: "/blocks/release" + query}
		}
		lines = append(lines, line)
	}
	if n := len(decisions); n > 0 && decisions[n-1].Decision == models.Quarantine {
		last := decisions[n-1]
		page.Answer = "Set aside: " + english.Disposition(last.Code)
		page.Band = &Band{Tone: "hold", Shape: "bars", Title: "Set aside since " + s.day(last.DecidedAt), Text: "By " + name(people, last.DecidedBy) + ". " + stopped(last.Reason) + " It goes into no pack until it is released."}
		act = nil
		if page.Can(string(models.ActLiftHold)) {
			act = &Act{Text: "Release", Path: "/blocks/release" + query}
		}
	}
	page.Holds = append(lines, page.Holds...)
	if act != nil && page.Can(string(models.ActRecord)) && v.Holder() == nil {
		page.Acts = append([]Act{*act}, page.Acts...)
	}
}
