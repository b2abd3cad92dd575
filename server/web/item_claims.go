package web

import (
	"context"
	"slices"

	"tracewright/models"
	"tracewright/models/work/claims"
	"tracewright/models/work/trace"
)

// claimsOnItem puts what the warranty desk needs on the page of an item that
// left the shop or was claimed: in service takes the place of the last
// inspection, whose day goes to the verdicts, and claims that of the holds,
// which stand in a band over the facts while one is open.
func (s *site) claimsOnItem(ctx context.Context, page *ItemPage, v trace.ItemView) error {
	if v.Item.Kind != models.KindWheel && v.Item.Kind != models.KindPack {
		return nil
	}
	service, err := s.services.Claims.InService(ctx, v.Item.ID, s.now())
	if err != nil {
		return err
	}
	list, err := s.services.Claims.Of(ctx, v.Item.ID)
	if err != nil {
		return err
	}
	s.claimed(page, v, service, list)
	return nil
}

func (s *site) claimed(page *ItemPage, v trace.ItemView, service claims.InService, list []models.ClaimView) {
	if service.Shipped.IsZero() && len(list) == 0 {
		return
	}
	if page.Actor.May(models.ActClaims) {
		for i := range page.Acts {
			page.Acts[i].First = page.Acts[i].First && page.Acts[i].Bars
		}
		decide := slices.ContainsFunc(page.Acts, func(a Act) bool { return a.First })
		act := Act{Text: "Claim", Path: "/claims/new?item=" + urlQuery(v.Item.Name()), First: !decide}
		if len(list) > 0 && list[0].State == models.ClaimOpen { // The hold of a claim ends with its answer.
			act = Act{Text: "Answer the claim", Path: claimPath(list[0].Number), First: true}
			for i := range page.Acts {
				page.Acts[i].First = false
			}
		}
		page.Acts = slices.Insert(page.Acts, 0, act)
	}
	page.Others = page.Path + "/others"
	facts := page.Facts
	if latest := v.Latest(); latest != nil {
		facts[3].Lines = append([]Span{{Text: s.day(latest.Inspection.MeasuredAt) + ", "}}, facts[3].Lines...)
	}
	facts[2] = Fact{Label: "In service", None: "not shipped yet"}
	if !service.Shipped.IsZero() {
		facts[2] = Fact{Label: "In service", Value: age(service.Shipped.In(s.zone()), s.now()), Lines: []Span{{Text: "shipped " + s.day(service.Shipped) + "; warranty to " + s.day(service.Until)}}}
		if !service.Runs {
			facts[2].Lines = []Span{{Text: "warranty ended " + s.day(service.Until)}}
		}
	}
	facts[4] = s.claimsFact(list)
}

// claimsFact counts the claims and names the newest.
func (s *site) claimsFact(list []models.ClaimView) Fact {
	f := Fact{Label: "Claims", None: "none so far"}
	if len(list) == 0 {
		return f
	}
	f.None, f.Value = "", plural(len(list), "claim", "claims")
	newest := list[0]
	if newest.State == models.ClaimOpen {
		f.Mark = Mark{"triangle", "", "care"}
	}
	f.Lines = []Span{{Text: newest.Number, Mono: true, Path: claimPath(newest.Number)}, {Text: " " + lowered(s.claimWhat(newest)) + ", " + lowered(claimMark(newest).Word)}}
	return f
}
