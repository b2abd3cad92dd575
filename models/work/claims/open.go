package claims

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// Opening is what is known when a claim is opened. ID is made by whoever opens it,
// so that sending it again is harmless; empty: made here.
type Opening struct {
	ID       string
	Item     string // serial or id; empty for one that the log does not know, or not yet
	Kind     string // where no item is named
	Product  string // in words
	Motor    string // the maker's number
	Order    string
	Customer string // key
	Words    string // what the customer says
	CameOn   string // the day the item came in, YYYY-MM-DD; empty while it is still with its owner
}

// Open opens a claim. An item that had left the shop and came in is held until
// the claim is decided.
func (s *Service) Open(ctx context.Context, actor models.Actor, in Opening) (models.ClaimView, error) {
	for _, text := range []*string{&in.Item, &in.Product, &in.Motor, &in.Order, &in.Words, &in.CameOn} {
		*text = models.Trimmed(strings.ToValidUTF8(strings.ReplaceAll(*text, "\x00", ""), ""))
	}
	invalid := &models.InvalidError{}
	if in.ID != "" && !models.IsID(in.ID) {
		invalid.Add("id", "bad_id")
	}
	c := models.Claim{ID: in.ID, Kind: in.Kind, Product: in.Product, MotorNumber: in.Motor, OrderRef: in.Order, Customer: in.Customer}
	var events []models.ClaimEvent
	switch {
	case in.Item != "":
		item, err := s.named(ctx, in.Item, invalid)
		if err != nil {
			return models.ClaimView{}, err
		}
		if item != nil {
			c.Kind = item.Kind
			events = append(events, models.ClaimEvent{What: models.ClaimLinked, ItemID: &item.ID})
		}
	case in.Motor+in.Order+in.Product == "":
		invalid.Add("item", "claim_nothing_named")
	case in.Kind != models.KindWheel && in.Kind != models.KindPack:
		invalid.Add("kind", "unknown_choice", "typed", models.Shortened(in.Kind))
	}
	for field, text := range map[string]string{"product": in.Product, "motor": in.Motor, "order": in.Order} {
		invalid.Line(field, text, longest)
	}
	if in.Customer != "" && !models.IsRandomID(in.Customer) { // A key alone: a name would stand in the trail for good.
		invalid.Add("customer", "unknown_choice", "typed", models.Shortened(in.Customer))
	}
	if in.Words == "" {
		invalid.Add("words", "missing")
	}
	invalid.Lines("words", in.Words, longestWords)
	if s.cameIn(ctx, in.CameOn, invalid) {
		events = append(events, models.ClaimEvent{What: models.ClaimCameIn, CameOn: in.CameOn})
	}
	if err := invalid.OrNil(); err != nil {
		return models.ClaimView{}, err
	}
	if in.ID != "" {
		switch before, err := s.store.Claim(ctx, in.ID); {
		case err == nil && opened(before, c, in.Words, events):
			return before, nil
		case err == nil:
			return models.ClaimView{}, fmt.Errorf("claim %s is known with other content: %w", in.ID, models.ErrConflict)
		case !errors.Is(err, models.ErrNotFound):
			return models.ClaimView{}, fmt.Errorf("claim %s: %w", in.ID, err)
		}
	}
	stamp := models.NewStamp(actor, s.now())
	v, err := s.store.AddClaim(ctx, stamp, stamp.At.In(s.zone(ctx)).Year()%100, c, models.ClaimWords{Words: in.Words, Salt: rand.Text()}, events)
	if err != nil {
		return models.ClaimView{}, fmt.Errorf("open a claim: %w", err)
	}
	return v, nil
}

// opened says whether a claim was opened with this content. Of words that were
// erased nothing can be said.
func opened(v models.ClaimView, c models.Claim, words string, events []models.ClaimEvent) bool {
	first := slices.DeleteFunc(slices.Clone(v.Events), func(e models.ClaimEvent) bool { return !e.MadeAt.Equal(v.OpenedAt) })
	return v.Kind == c.Kind && v.Product == c.Product && v.MotorNumber == c.MotorNumber && v.OrderRef == c.OrderRef && v.Customer == c.Customer && (v.Words == nil || v.Words.Words == words) &&
		slices.EqualFunc(first, events, func(a, b models.ClaimEvent) bool {
			return a.What == b.What && a.CameOn == b.CameOn && (a.ItemID == nil) == (b.ItemID == nil) && (a.ItemID == nil || *a.ItemID == *b.ItemID)
		})
}

// cameIn says whether a day was named on which the item came in.
func (s *Service) cameIn(ctx context.Context, day string, invalid *models.InvalidError) bool {
	if day == "" {
		return false
	}
	switch came, err := time.Parse(time.DateOnly, day); {
	case err != nil:
		invalid.Add("came_on", "bad_date", "typed", models.Shortened(day))
	case invalid.TooEarly("came_on", came.Year()):
	case day > s.now().In(s.zone(ctx)).Format(time.DateOnly):
		invalid.Add("came_on", "came_later")
	}
	return true
}
