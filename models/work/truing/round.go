package truing

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"tracewright/models"
	"tracewright/models/trade/wheel"
)

// Round is what an inspection's readings said about the list before it. Its
// JSON form is stored: version 1.
type Round struct {
	Version   int       `json:"version"`
	Of        string    `json:"of"` // the inspection that the list was made from
	List      string    `json:"list"`
	Turned    int       `json:"turned"` // turns made,
	Listed    int       `json:"listed"` // of so many
	Lateral   Fit       `json:"lateral"`
	Radial    Fit       `json:"radial"`
	Tension   Fit       `json:"tension"`
	Before    Condition `json:"before"`
	Predicted Condition `json:"predicted"`
	Observed  Condition `json:"observed"`
	Stop      *Stop     `json:"stop,omitempty"`
}

// Fit compares a channel: observed = scale times predicted.
type Fit struct {
	Scale       float64 `json:"scale"`
	Correlation float64 `json:"correlation"`
	Told        bool    `json:"told"` // predicted to change by more than noise
}

// Stop is a contradiction with the ways on from it.
type Stop struct {
	Cause     string   `json:"cause"`     // the likely one, or unlike
	Predicted Readings `json:"predicted"` // changes
	Observed  Readings `json:"observed"`
	Ways      []Way    `json:"ways"` // best fit first, the last is not_sure
}

// Way is one explanation that a person may choose.
type Way struct {
	Cause     string   `json:"cause"`
	Spokes    int      `json:"spokes,omitempty"` // by how many spokes, for a wrong one
	Lateral   float64  `json:"lateral"`          // correlations
	Tension   float64  `json:"tension"`
	Best      bool     `json:"best,omitempty"`
	Predicted Readings `json:"predicted"`      // changes
	Read      []int    `json:"read,omitempty"` // with not_sure: spokes to read again
}

// notSure is the way on that is always offered: read again and tell the causes
// apart.
const notSure = "not_sure"

// trusted is from which fit on an explanation is offered as the likely one.
const trusted = 0.7

// stopOf offers the three best explanations, the turns as listed where they
// are not among them, and the one that is always there: not sure, with the two
// spokes that tell the best two apart. None is likely whose fit is below 0.7.
func stopOf(list []wheel.Hypothesis, predicted, observed Readings) *Stop {
	stop := &Stop{Cause: wheel.NotAsPredicted, Predicted: predicted, Observed: observed}
	seen := map[string]bool{}
	var kept []wheel.Hypothesis
	for _, h := range list {
		if seen[h.Cause] || len(kept) >= 3 && h.Cause != wheel.AsListed {
			continue
		}
		seen[h.Cause] = true
		kept = append(kept, h)
	}
	for i, h := range kept {
		change := rounded(Readings(h.Change))
		way := Way{Cause: h.Cause, Spokes: h.Spokes, Lateral: h.Lateral, Tension: h.Tension, Predicted: change}
		if i == 0 && h.Fit >= trusted {
			way.Best, stop.Cause = true, h.Cause
		}
		stop.Ways = append(stop.Ways, way)
	}
	stop.Ways = append(stop.Ways, Way{Cause: notSure, Read: wheel.Telling(kept[0], kept[1], 2)})
	return stop
}

// rounded keeps what a page shows and a comparison needs.
func rounded(r Readings) Readings {
	at := func(values []float64, unit float64) []float64 {
		out := make([]float64, len(values))
		for i, v := range values {
			out[i] = math.Round(v/unit) * unit
			out[i] = math.Round(out[i]*1e6) / 1e6
		}
		return out
	}
	return Readings{Lateral: at(r.Lateral, 1e-4), Radial: at(r.Radial, 1e-4), Tension: at(r.Tension, 0.1)}
}

// fillRound adds what these readings said about the list before them.
func (s *Service) fillRound(ctx context.Context, sheet *Sheet) error {
	stop, err := s.store.TurnStop(ctx, sheet.Inspection.ID)
	if errors.Is(err, models.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	round := &Round{}
	if err := json.Unmarshal([]byte(stop.Round.Content), round); err != nil {
		return fmt.Errorf("read the comparison of inspection %s: %w", sheet.Inspection.ID, err)
	}
	if round.Version != planVersion {
		return fmt.Errorf("the comparison of inspection %s is of version %d, this program reads %d", sheet.Inspection.ID, round.Version, planVersion)
	}
	sheet.After, sheet.Answered = round, stop.Answer
	switch {
	case !stop.Round.Stop:
	case stop.Answer == nil:
		sheet.State, sheet.Stop = Stopped, round.Stop
	case !stop.Answer.Settles:
		sheet.State, sheet.Missing = Missing, []models.Remark{readAgain(stop.Answer.Cause, round.Stop)}
	}
	return nil
}
