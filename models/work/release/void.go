package release

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// Void ends a certificate's being in force without a successor. It keeps its
// number and its page. One that is not in force any more is
// [models.ErrConflict], with a [models.RefusedError] that says since when.
func (s *Service) Void(ctx context.Context, actor models.Actor, certificateID, reason string) error {
	invalid := &models.InvalidError{}
	reason = models.Trimmed(reason)
	if invalid.Reason("reason", reason); len(invalid.Problems) > 0 {
		return invalid
	}
	stamp := models.NewStamp(actor, s.now())
	change := models.CertificateChange{CertificateID: certificateID, State: models.Void, Reason: reason, ChangedBy: actor.String(), ChangedAt: stamp.At}
	err := s.store.VoidCertificate(ctx, stamp, change)
	if errors.Is(err, models.ErrConflict) {
		err = s.endedAlready(ctx, certificateID, err)
	}
	if err != nil {
		return fmt.Errorf("void certificate %s: %w", certificateID, err)
	}
	return nil
}

// endedAlready says since when, and by whom, a certificate is no longer in
// force; beside it stands the conflict that the store found.
func (s *Service) endedAlready(ctx context.Context, certificateID string, conflict error) error {
	c, err := s.store.Certificate(ctx, certificateID)
	if err != nil {
		return fmt.Errorf("find certificate: %w", err)
	}
	view, successor, err := s.state(ctx, c)
	if err != nil {
		return err
	}
	if view.Change == nil {
		return conflict
	}
	by := view.Change.ChangedBy
	if p, err := s.person(ctx, by); err == nil {
		by = p.Name
	}
	values := []string{"number", c.Number, "revision", fmt.Sprint(c.Revision), "date", view.Change.ChangedAt.In(s.zone(ctx)).Format(dayForm), "person", by}
	reason := models.NewRemark("already_void", values...)
	if view.State == models.Superseded {
		reason = models.NewRemark("already_superseded", append(values, "successor", fmt.Sprint(successor))...)
	}
	return errors.Join(conflict, &models.RefusedError{Reasons: []models.Remark{reason}})
}
