package truing

import (
	"context"
	"fmt"
	"math"

	"tracewright/models"
	"tracewright/models/trade/wheel"
)

// roundsKept is how many of the newest rounds on a type of rim and spoke are
// learned from: older ones speak of lots that are used up. Our own choice.
const roundsKept = 20

// learned gives by how much this type moves more or less than the model says,
// from the rounds on it that contradicted nothing. A channel that no round
// could tell anything of keeps 1.
func (s *Service) learned(ctx context.Context, rims string) (Learned, error) {
	rounds, err := s.store.TurnRoundsThatTeach(ctx, rims, roundsKept)
	if err != nil {
		return Learned{}, err
	}
	out := Learned{Rounds: len(rounds)}
	for _, c := range []struct {
		into  *float64
		scale func(models.TurnRound) *float64
	}{
		{&out.Lateral, func(r models.TurnRound) *float64 { return r.LateralScale }},
		{&out.Radial, func(r models.TurnRound) *float64 { return r.RadialScale }},
		{&out.Tension, func(r models.TurnRound) *float64 { return r.TensionScale }},
	} {
		var scales []float64
		for _, r := range rounds {
			if scale := c.scale(r); scale != nil {
				scales = append(scales, *scale)
			}
		}
		if *c.into, err = wheel.LearnedScale(scales); err != nil {
			return Learned{}, fmt.Errorf("what was learned of %s: %w", rims, err)
		}
		*c.into = math.Round(*c.into*1e4) / 1e4
	}
	return out, nil
}
