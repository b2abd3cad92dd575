package web

import (
	"context"
	"slices"

	"tracewright/models"
	"tracewright/models/work/claims"
	"tracewright/models/work/trace"
)

// KnownLine is a line of what is known before deciding.
type KnownLine struct {
	Label string
	Mark  Mark
	Spans []Span
}

// ClaimedLot is a lot that is built in, and whether it is on hold.
type ClaimedLot struct {
	Code, Path, Hold string // Hold is the page that raises one; empty where it may not be raised
	Held             bool
	ID               string
	Decided          Mark   // what was decided about the lot itself, where that stops it
	Why              string // as it was decided
}

// knownOfClaim is what the desk must know before it decides.
func (s *site) knownOfClaim(ctx context.Context, page *ClaimPage, v models.ClaimView) error {
	if v.ItemID == nil {
		page.Answer = s.claimAnswer(v, claims.InService{})
		page.Known = []KnownLine{{Label: "Warranty", Spans: []Span{{Text: "not known: ask when it was bought"}}}}
		return nil
	}
	item, err := s.services.Trace.Glance(ctx, *v.ItemID, "")
	if err != nil {
		return err
	}
	service, err := s.services.Claims.InService(ctx, *v.ItemID, v.OpenedAt)
	if err != nil {
		return err
	}
	all, err := s.services.Claims.Of(ctx, *v.ItemID)
	if err != nil {
		return err
	}
	s.claimKnown(page, v, item, service, all)
	return s.lotsOfClaim(ctx, page)
}

// lotsOfClaim says of the lots that are built in which of them are set aside: a lot
// in quarantine is not free because nobody put it on hold.
func (s *site) lotsOfClaim(ctx context.Context, page *ClaimPage) error {
	ids := make([]string, len(page.Lots))
	for i, l := range page.Lots {
		ids[i] = l.ID
	}
	decided, err := s.services.Receive.Decided(ctx, ids)
	for i := range page.Lots {
		if d, is := decided[page.Lots[i].ID]; is && d.Stops() {
			page.Lots[i].Decided, page.Lots[i].Why = lotState(&d, false, false, false), d.Reason
		}
	}
	return err
}

func (s *site) claimKnown(page *ClaimPage, v models.ClaimView, item trace.ItemView, service claims.InService, all []models.ClaimView) {
	add := func(label string, mark Mark, spans ...Span) {
		page.Known = append(page.Known, KnownLine{label, mark, spans})
	}
	page.Answer = s.claimAnswer(v, service)
	if len(page.Then) > 0 && calledBack(item) {
		page.Then = append(page.Then, "It is called back: accepted, it stays on hold for the recall while that is open.")
	}
	add("What it is", Mark{}, Span{Text: s.itemProduct(item)})
	add("Warranty", warrantyMark(service), Span{Text: s.warrantyWords(service)})
	if !service.Shipped.IsZero() {
		add("In service", Mark{}, Span{Text: age(service.Shipped.In(s.zone()), v.OpenedAt.In(s.zone())) + " when it was claimed; shipped " + s.day(service.Shipped)})
	}
	earlier := []Span{}
	for _, x := range all {
		if x.ID != v.ID {
			if len(earlier) > 0 {
				earlier = append(earlier, Span{Text: "; "})
			}
			earlier = append(earlier, Span{Text: x.Number, Mono: true, Path: claimPath(x.Number)}, Span{Text: " " + lowered(s.claimWhat(x))})
		}
	}
	if len(earlier) == 0 {
		earlier = []Span{{Text: "none"}}
	}
	add("Other claims", Mark{}, earlier...)
	if latest := item.Latest(); latest != nil {
		add("Last measured", verdictMark(latest.Inspection.Verdict), Span{Text: " " + shareWords(*latest) + ", " + s.day(latest.Inspection.MeasuredAt) + ", by " + latest.Person})
		var gauges []Span
		for i, g := range latest.Instruments {
			if i > 0 {
				gauges = append(gauges, Span{Text: ", "})
			}
			gauges = append(gauges, Span{Text: g.Code, Mono: true, Path: "/instruments/" + g.Code})
			if g.State == models.InstrumentOut {
				gauges = append(gauges, Span{Text: " (found out)"})
			}
		}
		if len(gauges) > 0 {
			add("With", Mark{}, gauges...)
		}
	}
	page.Built, _ = s.builtIn(item)
	var who []string
	open := item.OpenHolds()
	for _, p := range item.Parts {
		if by := name(item.People, p.Part.FittedBy); by != "" && !slices.Contains(who, by) {
			who = append(who, by)
		}
		if p.Lot == nil || !p.InNow() || slices.ContainsFunc(page.Lots, func(l ClaimedLot) bool { return l.Code == p.Lot.Code }) {
			continue
		}
		lot := ClaimedLot{ID: p.Lot.ID, Code: p.Lot.Code, Path: lotPath(p.Lot.Code)}
		lot.Held = slices.ContainsFunc(open, func(h models.Hold) bool { return h.LotID != nil && *h.LotID == p.Lot.ID })
		if !lot.Held && page.Actor.May(models.ActRaiseHold) {
			lot.Hold = lot.Path + "/hold"
		}
		page.Lots = append(page.Lots, lot)
	}
	if len(who) > 0 {
		add("Built by", Mark{}, Span{Text: english.Join(who)})
	}
	page.Removals = []Choice{{"", "none, or not yet"}}
	for _, p := range item.Parts {
		for _, r := range p.Out {
			if r.RemovedAt.Before(v.OpenedAt) || !r.Physical() {
				continue
			}
			page.Removals = append(page.Removals, Choice{r.ID, pieces(r.Quantity) + " × " + partLabel(p.Part) + ", " + english.Removal(r.Code) + ", " + s.day(r.RemovedAt)})
			if slices.ContainsFunc(v.Events, func(e models.ClaimEvent) bool { return e.RemovalID != nil && *e.RemovalID == r.ID }) {
				page.Swapped = append(page.Swapped, page.Removals[len(page.Removals)-1].Text)
			}
		}
	}
}

// calledBack says whether an item is called back, also where a hold covers that
// since it came in.
func calledBack(item trace.ItemView) bool {
	return item.Item.State == models.StateRecalled || slices.ContainsFunc(item.OpenHolds(), func(h models.Hold) bool { return h.StateBefore == models.StateRecalled })
}

// claimAnswer is the sentence over everything: what is wrong, and whether the
// warranty runs.
func (s *site) claimAnswer(v models.ClaimView, service claims.InService) string {
	if v.Last(models.ClaimCoded) == nil {
		switch {
		case service.Shipped.IsZero():
			return "What is wrong is not found out yet"
		case service.Runs:
			return "Within warranty; what is wrong is not found out yet"
		}
		return "The warranty ended; what is wrong is not found out yet"
	}
	what := s.claimWhat(v)
	switch {
	case service.Shipped.IsZero():
		return what
	case service.Runs:
		return what + ", within warranty"
	}
	return what + ", after the warranty ended"
}

// warrantyMark says whether the claim was opened while the warranty ran.
func warrantyMark(x claims.InService) Mark {
	switch {
	case x.Shipped.IsZero():
		return Mark{}
	case x.Runs:
		return Mark{"tick", "Claimed in time", "pass"}
	}
	return Mark{"cross", "Claimed after it ended", "fail"}
}

// warrantyWords says until when the warranty runs, or ran.
func (s *site) warrantyWords(x claims.InService) string {
	if x.Shipped.IsZero() {
		return "no shipment is known: ask when it was bought"
	}
	return ": " + plural(x.Months, "month", "months") + " to " + s.day(x.Until) + ", counted from shipment; the day of sale is not known"
}
