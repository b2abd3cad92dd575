package shipping

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// changed is what was done to an item by hand, and what of it its newest readings do
// not show.
type changed struct {
	removed []models.PartRemoval
	turned  []models.TurnDone
	against []models.Remark
}

// since says whether anything was done since a moment.
func (c changed) since(moment time.Time) bool {
	return models.RebuiltSince(c.removed, moment) || models.TurnedSince(c.turned, moment)
}

// changedSince asks, as a release does, whether an item was rebuilt or turned since the
// readings that judge it, and whether these contradict the turns before them.
func (s *Service) changedSince(ctx context.Context, item models.Item) (c changed, err error) {
	stop := func(code string) { c.against = append(c.against, models.NewRemark(code)) }
	if c.removed, err = s.store.RemovalsOf(ctx, item.ID); err != nil {
		return c, fmt.Errorf("what was taken out of %s: %w", item.Name(), err)
	}
	var contradicts models.TurnStop
	if item.Kind == models.KindWheel {
		if c.turned, err = s.store.TurnsOf(ctx, item.ID); err == nil {
			contradicts, err = s.store.TurnStopOf(ctx, item.ID)
		}
		if err != nil && !errors.Is(err, models.ErrNotFound) {
			return c, fmt.Errorf("turns of %s: %w", item.Name(), err)
		}
	}
	kind, known := kinds.Named(item.Kind)
	if known && len(c.removed)+len(c.turned) > 0 {
		inspections, err := s.store.InspectionsOf(ctx, item.ID)
		if err != nil {
			return c, fmt.Errorf("inspections of %s: %w", item.Name(), err)
		}
		if judged := kind.Judged(inspections); judged != nil {
			read, err := models.FirstRead(ctx, *judged, s.store.Inspection)
			if err != nil {
				return c, err
			}
			if models.RebuiltSince(c.removed, read) {
				stop("rebuilt_since")
			}
			if models.TurnedSince(c.turned, read) {
				stop("turned_since")
			}
		}
	}
	if code := contradicts.Keeps(); code != "" {
		stop(code)
	}
	return c, nil
}

// otherThanCertified says that the certificate in force shows an item as it was before
// something was done to it, or names other parts than are in it: its next revision
// would not.
func (s *Service) otherThanCertified(ctx context.Context, item models.Item, certificate models.Certificate, c changed) ([]models.Remark, error) {
	if len(c.removed)+len(c.turned) > 0 {
		shown, err := s.store.Inspection(ctx, certificate.InspectionID)
		if err != nil {
			return nil, fmt.Errorf("inspection of certificate %s: %w", certificate.Number, err)
		}
		read, err := models.FirstRead(ctx, shown, s.store.Inspection)
		if err != nil {
			return nil, err
		}
		if c.since(read) {
			return []models.Remark{models.NewRemark("certificate_before", "serial", item.Name())}, nil
		}
	}
	var content models.CertificateContent
	if err := json.Unmarshal([]byte(certificate.Content), &content); err != nil {
		return nil, fmt.Errorf("content of certificate %s: %w", certificate.Number, err)
	}
	parts, err := s.store.Parts(ctx, item.ID)
	if err != nil {
		return nil, fmt.Errorf("parts of %s: %w", item.Name(), err)
	}
	if !models.NamesParts(content.Parts, parts) {
		return []models.Remark{models.NewRemark("certificate_parts", "serial", item.Name())}, nil
	}
	return nil, nil
}
