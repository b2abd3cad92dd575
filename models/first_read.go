package models

import (
	"context"
	"fmt"
	"time"
)

// FirstRead is when an inspection's readings were first taken: that of the
// first one in its chain of corrections. A correction says better what was read
// then; it does not show the item as it is later.
func FirstRead(ctx context.Context, i Inspection, find func(ctx context.Context, id string) (Inspection, error)) (time.Time, error) {
	for i.Supersedes != nil {
		before, err := find(ctx, *i.Supersedes)
		if err != nil {
			return time.Time{}, fmt.Errorf("the inspection that %s corrects: %w", i.ID, err)
		}
		i = before
	}
	return i.MeasuredAt, nil
}
