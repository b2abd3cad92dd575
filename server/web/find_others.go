package web

import (
	"errors"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// FoundOther is something beside items that a typed text may mean.
type FoundOther struct {
	Kind, Name, Path string
	Mono, Person     bool
}

// wholly says whether the text is the item's own serial: nothing else is looked
// for then.
func wholly(typed string, item models.Item) bool {
	return item.Serial != nil && strings.EqualFold(strings.ReplaceAll(typed, "-", ""), *item.Serial)
}

// findOthers looks a text up as a lot, a shipment, a claim and an order. Only
// where it is none of these, and no item, may it be the name or phone of a
// customer: each that is found counts as looked at.
func (s *site) findOthers(c *gin.Context, typed string, noItem bool) ([]FoundOther, error) {
	ctx := c.Request.Context()
	var found []FoundOther
	add := func(kind, name, path string) {
		if x := (FoundOther{Kind: kind, Name: name, Path: path, Mono: true}); !slices.Contains(found, x) {
			found = append(found, x)
		}
	}
	there := func(err error, tell func()) error {
		if err == nil {
			tell()
		} else if !errors.Is(err, models.ErrNotFound) {
			return err
		}
		return nil
	}
	lot, err := s.services.Trace.LotNamed(ctx, typed)
	if err := there(err, func() { add("lot", lot.Code, lotPath(lot.Code)) }); err != nil {
		return nil, err
	}
	number := strings.ToUpper(typed)
	shipment, err := s.services.Shipping.Shipment(ctx, number)
	if err := there(err, func() { add("shipment", shipment.Number, "/shipments/"+shipment.Number) }); err != nil {
		return nil, err
	}
	claim, err := s.services.Claims.Claim(ctx, number)
	if err := there(err, func() { add("claim", claim.Number, claimPath(claim.Number)) }); err != nil {
		return nil, err
	}
	shipments, err := s.services.Shipping.ShipmentsOfOrder(ctx, typed)
	if err != nil {
		return nil, err
	}
	for _, sh := range shipments {
		add("shipment", sh.Number, "/shipments/"+sh.Number)
	}
	claims, err := s.services.Claims.Naming(ctx, typed, claimsCounted)
	if err != nil {
		return nil, err
	}
	for _, v := range claims {
		add("claim", v.Number, claimPath(v.Number))
	}
	if len(found) > 0 || !noItem {
		return found, nil
	}
	return s.findCustomers(c, typed)
}

// findCustomers looks a text up as a part of a customer's name, phone or e-mail,
// for those who may see customers where they are. A shop that asks why is asked
// on the page of customers.
func (s *site) findCustomers(c *gin.Context, typed string) ([]FoundOther, error) {
	actor := httpx.Actor(c)
	if !actor.May(models.ActCustomers) {
		return nil, nil
	}
	settings, err := s.services.Shop.Settings(c.Request.Context())
	if err != nil {
		return nil, err
	}
	if settings.LookReason {
		return []FoundOther{{Kind: "customers", Name: "Look among the customers", Path: "/customers?find=" + urlQuery(typed), Person: true}}, nil
	}
	people, err := s.services.Shipping.Customers(c.Request.Context(), actor, typed, "")
	if answerable(err) {
		return nil, nil // Too short to be looked for.
	}
	if err != nil {
		return nil, err
	}
	var found []FoundOther
	for _, p := range people {
		found = append(found, FoundOther{Kind: "customer", Name: p.Name, Path: customerPath(p.ID), Person: true})
	}
	return found, nil
}
