package web

import (
	"context"

	"tracewright/models"
)

// gate says why no certificate can be issued for an item now; nothing means
// that one can.
func (s *site) gate(ctx context.Context, item models.Item) ([]models.Remark, error) {
	return nil, nil
}
