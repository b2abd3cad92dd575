package shipping

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

// Gate says what keeps an item from leaving the house: it is gone already, not
// released, without a certificate in force that shows it as it is, on hold itself or
// through what is in it, rebuilt or turned since it was read, made of a lot that is
// set aside, charged or emptied since it was read, or past the day to which its charge
// lasts. An empty list lets it go.
func (s *Service) Gate(ctx context.Context, item models.Item) ([]models.Remark, error) {
	var against []models.Remark
	stop := func(code string, values ...string) { against = append(against, models.NewRemark(code, values...)) }
	switch item.State {
	case models.StateReleased:
	case models.StateShipped, models.StateRecalled:
		stop("shipped_already", "serial", item.Name())
		return against, nil
	case models.StateScrapped, models.StateReturned:
		stop("item_gone", "serial", item.Name())
		return against, nil
	case models.StateHeld: // Said by its holds.
	default:
		not, err := s.notReleased(ctx, item)
		if err != nil {
			return nil, err
		}
		against = append(against, not)
	}
	certificate, err := s.store.CertificateInForce(ctx, item.ID)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return nil, fmt.Errorf("certificate of %s: %w", item.Name(), err)
	}
	certified := item.State == models.StateReleased || item.State == models.StateHeld // What is on its way has its certificate to come.
	if err != nil && certified {
		stop("no_certificate", "serial", item.Name())
	}
	changed, err := s.changedSince(ctx, item)
	if err != nil {
		return nil, err
	}
	against = append(against, changed.against...)
	if certificate.ID != "" && certified && len(changed.against) == 0 {
		older, err := s.otherThanCertified(ctx, item, certificate, changed)
		if err != nil {
			return nil, err
		}
		against = append(against, older...)
	}
	held, err := s.held(ctx, item)
	if err != nil {
		return nil, err
	}
	against = append(against, held...)
	aside, err := s.store.PartsSetAside(ctx, item.ID)
	if err != nil {
		return nil, fmt.Errorf("what is set aside in %s: %w", item.Name(), err)
	}
	for _, p := range aside {
		stop("part_set_aside", "number", p.Name())
	}
	lots, err := s.store.LotsSetAside(ctx, item.ID)
	if err != nil {
		return nil, fmt.Errorf("lots that are set aside in %s: %w", item.Name(), err)
	}
	for _, l := range lots {
		stop("lot_in_quarantine", "lot", l.Code)
	}
	if item.Kind != models.KindPack {
		return against, nil
	}
	since, err := s.sinceRead(ctx, item)
	if err != nil {
		return nil, err
	}
	against = append(against, since...)
	until, err := s.ready(ctx, item.ID)
	if err != nil {
		return nil, fmt.Errorf("how long the charge of %s lasts: %w", item.Name(), err)
	}
	if !until.IsZero() && until.Before(s.day(ctx)) {
		stop("past_ready", "serial", item.Name(), "date", until.Format(time.DateOnly))
	}
	return against, nil
}

// held is what the holds on an item say, those on what is in it too.
func (s *Service) held(ctx context.Context, item models.Item) ([]models.Remark, error) {
	holds, err := s.store.OpenHolds(ctx, item.ID)
	if err != nil {
		return nil, fmt.Errorf("holds on %s: %w", item.Name(), err)
	}
	var against []models.Remark
	for _, h := range holds {
		against = append(against, models.NewRemark("held_back", "serial", item.Name(), "code", h.Code, "reason", h.Reason))
	}
	return against, nil
}
