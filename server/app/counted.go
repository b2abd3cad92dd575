package app

import (
	"context"
	"errors"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/capture"
	"tracewright/server/httpx"
	"tracewright/server/metrics"
)

// count has what is done counted, and the state told with it.
func (a *App) count(m *metrics.Metrics, s *store.Store, recorder *capture.Service) {
	recorder.Tell(func(took time.Duration, out capture.Outcome, err error) {
		outcome, reasons := outcomeOf(out, err)
		m.Captured(outcome, took, reasons...)
	})
	m.Watch(metrics.State{Pools: s.Pools, Queued: s.Queued, Unsealed: s.UnsealedCount, Ready: a.ready,
		Backup: func(ctx context.Context) (time.Time, error) {
			last, _, err := a.Services.Backups.LastGood(ctx)
			return last, err
		}})
}

// asked hands a request on to be counted.
func asked(m *metrics.Metrics) func(httpx.Asked) {
	return func(r httpx.Asked) { m.Request(r.Method, r.Route, r.Status, r.Took, r.Stream) }
}

// outcomeOf is what became of an inspection, with the codes of what was wrong.
func outcomeOf(out capture.Outcome, err error) (outcome string, reasons []string) {
	var (
		invalid *models.InvalidError
		refused *models.RefusedError
	)
	switch {
	case err == nil && !out.Placed:
		return metrics.Unplaced, nil
	case err == nil && !out.Created:
		return metrics.Repeated, nil
	case err == nil:
		return metrics.Stored, nil
	case errors.As(err, &invalid):
		for _, p := range invalid.Problems {
			reasons = append(reasons, p.Code)
		}
	case errors.As(err, &refused):
		for _, r := range refused.Reasons {
			reasons = append(reasons, r.Code)
		}
	case errors.Is(err, models.ErrStale):
		return metrics.Failed, nil
	case errors.Is(err, models.ErrConflict):
		reasons = []string{"conflict"}
	case errors.Is(err, models.ErrForbidden):
		reasons = []string{"forbidden"}
	default:
		return metrics.Failed, nil
	}
	return metrics.Refused, reasons
}
