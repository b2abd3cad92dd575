package monitor

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// mostInWork is more than any workshop has in the house at once.
const mostInWork = 5000

// Line is one product's work in progress: how many stand at each step, and
// since when the oldest.
type Line struct {
	Product string
	Kind    string
	Steps   map[string]Standing
	Oldest  time.Duration
}

// Standing is what stands at one step.
type Standing struct {
	Count  int
	Oldest models.InWork
	Since  time.Time
}

// InWork gives the work in progress, product by product, the kinds and then the
// names in order. What lies in a kit is out of it.
func (s *Service) InWork(ctx context.Context) ([]Line, error) {
	list, err := s.store.InWork(ctx, mostInWork)
	if err != nil {
		return nil, fmt.Errorf("work in progress: %w", err)
	}
	now, lines := s.now(), map[string]*Line{}
	for _, w := range list {
		if w.InKit {
			continue
		}
		line := lines[w.ProductID]
		if line == nil {
			product, err := s.store.Product(ctx, w.ProductID)
			if err != nil {
				return nil, fmt.Errorf("product in work: %w", err)
			}
			line = &Line{Product: product.Name, Kind: w.Kind, Steps: map[string]Standing{}}
			lines[w.ProductID] = line
		}
		step, since := w.Step()
		at := line.Steps[step]
		if at.Count == 0 || since.Before(at.Since) {
			at.Oldest, at.Since = w, since
		}
		at.Count++
		line.Steps[step] = at
		if step != models.StepReady {
			line.Oldest = max(line.Oldest, now.Sub(since))
		}
	}
	var out []Line
	for _, l := range lines {
		out = append(out, *l)
	}
	slices.SortFunc(out, func(a, b Line) int {
		if a.Kind != b.Kind {
			return strings.Compare(b.Kind, a.Kind) // Wheels first.
		}
		return strings.Compare(a.Product, b.Product)
	})
	return out, nil
}
