package web

import (
	"errors"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/ident"
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

// findOthers looks a text up as a lot, a shipment, a claim, a recall, a
// nonconformity, a corrective action, a certificate and an order, scanned or typed in whichever case.
func (s *site) findOthers(c *gin.Context, typed string) ([]FoundOther, error) {
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
	text := ident.Recognise(typed).Text
	number := strings.ToUpper(text)
	for _, look := range []func() error{
		func() error {
			lot, err := s.services.Trace.LotNamed(ctx, text)
			return there(err, func() { add("lot", lot.Code, lotPath(lot.Code)) })
		},
		func() error {
			shipment, err := s.services.Shipping.Shipment(ctx, number)
			return there(err, func() { add("shipment", shipment.Number, "/shipments/"+shipment.Number) })
		},
		func() error {
			claim, err := s.services.Claims.Claim(ctx, number)
			return there(err, func() { add("claim", claim.Number, claimPath(claim.Number)) })
		},
		func() error {
			called, err := s.services.Recall.Recall(ctx, number)
			return there(err, func() { add("recall", called.Number, recallPath(called.Number)) })
		},
		func() error {
			n, err := s.services.Nonconforming.One(ctx, number)
			return there(err, func() { add("nonconformity", n.Number, nonconformityPath(n.Number)) })
		},
		func() error {
			action, err := s.services.Corrective.One(ctx, number)
			return there(err, func() { add("corrective action", action.Number, actionPath(action.Number)) })
		},
		func() error {
			certificate, err := s.services.Release.Numbered(ctx, number)
			return there(err, func() {
				add("certificate", certificate.Number, certificatePath(certificate))
			})
		},
		func() error {
			shipments, err := s.services.Shipping.ShipmentsOfOrder(ctx, text)
			for _, sh := range shipments {
				add("shipment", sh.Number, "/shipments/"+sh.Number)
			}
			return err
		},
		func() error {
			claims, err := s.services.Claims.Naming(ctx, text, claimsShown)
			for _, v := range claims {
				add("claim", v.Number, claimPath(v.Number))
			}
			return err
		},
		func() error {
			if len(found) > 0 { // What went out with an order says more than that it is open.
				return nil
			}
			order, err := s.services.Shipping.OpenOrder(ctx, text)
			return there(err, func() { add("order", order.Ref, orderPath(order.Ref)) })
		},
	} {
		if err := look(); err != nil {
			return nil, err
		}
	}
	return found, nil
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
