package shipping

import (
	"context"
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

// moment is when the last of it was done, as a remark tells it from an earlier one;
// parts are what the item is made of, where what is put in counts too.
func (c changed) moment(parts []models.PartView) string {
	var last time.Time
	see := func(at time.Time) {
		if at.After(last) {
			last = at
		}
	}
	for _, r := range c.removed {
		see(r.RemovedAt)
	}
	for _, t := range c.turned {
		see(t.DoneAt)
	}
	for _, p := range parts {
		see(p.FittedAt)
	}
	return last.UTC().Format(time.RFC3339Nano)
}

// changedSince asks, as a release does, whether an item was rebuilt or turned since the
// readings that judge it, and whether these contradict the turns before them. Each
// remark tells the item, and what makes it another than one that was said before.
func (s *Service) changedSince(ctx context.Context, item models.Item) (c changed, err error) {
	stop := func(code string, news ...string) {
		c.against = append(c.against, models.NewRemark(code, append(news, "serial", item.Name())...))
	}
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
	if len(c.removed)+len(c.turned) > 0 {
		judged, err := s.judged(ctx, item)
		if err != nil {
			return c, err
		}
		if judged != nil {
			read, err := models.FirstRead(ctx, *judged, s.store.Inspection)
			if err != nil {
				return c, err
			}
			if models.RebuiltSince(c.removed, read) {
				stop("rebuilt_unread", "changed", changed{removed: c.removed}.moment(nil))
			}
			if models.TurnedSince(c.turned, read) {
				stop("turned_unread", "changed", changed{turned: c.turned}.moment(nil))
			}
		}
	}
	switch contradicts.Keeps() {
	case "stop_unanswered":
		stop("turns_contradicted", "inspection", contradicts.Round.InspectionID)
	case "readings_to_repeat":
		stop("turns_to_repeat", "inspection", contradicts.Round.InspectionID)
	}
	return c, nil
}

// judged is the newest inspection of an item that stands and judges it, nil for none.
func (s *Service) judged(ctx context.Context, item models.Item) (*models.Inspection, error) {
	kind, known := kinds.Named(item.Kind)
	if !known {
		return nil, nil
	}
	inspections, err := s.store.InspectionsOf(ctx, item.ID)
	if err != nil {
		return nil, fmt.Errorf("inspections of %s: %w", item.Name(), err)
	}
	return kind.Judged(inspections), nil
}

// notReleased says that an item is not released, and by which state, readings and
// certificate: another of these is news to whom it was said before.
func (s *Service) notReleased(ctx context.Context, item models.Item) (models.Remark, error) {
	r := models.NewRemark("not_released", "serial", item.Name(), "stands", item.State)
	judged, err := s.judged(ctx, item)
	if err != nil {
		return r, err
	}
	if judged != nil && !models.Accepted(judged.Verdict) {
		r.Values["inspection"] = judged.ID
	}
	certificates, err := s.store.CertificatesOf(ctx, item.ID)
	if err != nil {
		return r, fmt.Errorf("certificates of %s: %w", item.Name(), err)
	}
	if len(certificates) > 0 {
		r.Values["certificate"] = named(certificates[0].Certificate)
	}
	return r, nil
}

// named is a certificate with its revision.
func named(c models.Certificate) string { return fmt.Sprintf("%s/%d", c.Number, c.Revision) }

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
			return []models.Remark{models.NewRemark("certificate_before", "serial", item.Name(), "certificate", named(certificate), "changed", c.moment(nil))}, nil
		}
	}
	parts, err := s.store.Parts(ctx, item.ID)
	if err != nil {
		return nil, fmt.Errorf("parts of %s: %w", item.Name(), err)
	}
	same, err := certificate.NamesParts(parts)
	if err != nil || same {
		return nil, err
	}
	return []models.Remark{models.NewRemark("certificate_parts", "serial", item.Name(), "certificate", named(certificate), "changed", c.moment(parts))}, nil
}
