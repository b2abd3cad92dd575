package receive

import (
	"context"
	"strings"
	"time"

	"tracewright/models"
)

// Service takes in lots and parts, and makes items.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New returns the service on its store; now is the clock, zone the shop's time
// zone, which decides the year in a serial.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

// year2 is the two-digit year that it now is in the shop.
func (s *Service) year2(ctx context.Context) int { return s.now().In(s.zone(ctx)).Year() % 100 }

const (
	longestText   = 80
	longestCode   = 40
	longestReason = 500
)

// field is one text of an input.
type field struct {
	name   string
	value  *string
	needed bool
	most   int
}

// check trims the texts and notes those that are missing or too long, or hold what
// nobody sees; reasons may have several lines.
func check(invalid *models.InvalidError, fields ...field) {
	for _, f := range fields {
		if *f.value = strings.TrimSpace(*f.value); f.needed {
			*f.value = models.Trimmed(*f.value)
		}
		switch {
		case *f.value == "" && f.needed:
			invalid.Add(f.name, "missing")
		case f.most < longestReason:
			invalid.Line(f.name, *f.value, f.most)
		default:
			invalid.Lines(f.name, *f.value, f.most)
		}
	}
}
