package calc

import (
	"fmt"
	"time"

	"tracewright/models/trade/pack"
)

// packMatchKinds choose packs out of measured blocks.
var packMatchKinds = []Kind{
	{
		Name:    "match",
		Does:    "choice of disjoint packs out of measured blocks with the least cost, and a bound on any choice",
		Source:  "range cost common practice, no source; subsets up to 20 blocks, simulated annealing above, textbook",
		Example: `{"agg":"sum","mode":"fixed_packs","pack_size":2,"packs":2,"scale_mV":50,"scale_uohm":1000,"constraints":{},"blocks":[{"id":"A","ocv_mV":12886,"ir_uohm":13250},{"id":"B","ocv_mV":12847,"ir_uohm":14300},{"id":"C","ocv_mV":12876,"ir_uohm":13550},{"id":"D","ocv_mV":12858,"ir_uohm":14250}]}`,
		Run:     of(match),
	},
	{
		Name:    "match_one_criterion",
		Does:    "least sum of ranges and least largest range of packs chosen by voltage alone",
		Source:  "runs of the sorted list are best, by exchange; dynamic programme, textbook",
		Example: `{"pack_size":2,"packs":1,"blocks":[{"id":"A","ocv_mV":12861},{"id":"B","ocv_mV":12874},{"id":"C","ocv_mV":12869}]}`,
		Run:     of(matchOneCriterion),
	},
}

// Modes of match.
const (
	modeFixed = "fixed_packs"
	modeMost  = "max_packs_then_min_cost"
)

type matchBlock struct {
	ID   string `json:"id"`
	MV   int64  `json:"ocv_mV"`
	Uohm int64  `json:"ir_uohm"`
	Lot  string `json:"lot,omitempty"`
	Made string `json:"made,omitempty"`
}

type matchRules struct {
	SameLot bool   `json:"same_lot,omitempty"`
	MaxMV   *int64 `json:"max_range_mV,omitempty"`
	MaxUohm *int64 `json:"max_range_uohm,omitempty"`
	MaxSpan *int64 `json:"max_age_span_days,omitempty"`
}

type matchInput struct {
	Objective *string      `json:"objective,omitempty"` // In words; must say what the other fields do.
	Aggregate string       `json:"agg"`
	Mode      string       `json:"mode"`
	PackSize  int          `json:"pack_size"`
	Packs     *int         `json:"packs"` // null for as many as can be made.
	ScaleMV   int64        `json:"scale_mV"`
	ScaleUohm int64        `json:"scale_uohm"`
	Rules     matchRules   `json:"constraints"`
	Blocks    []matchBlock `json:"blocks"`
}

type matchedPack struct {
	Blocks    []string `json:"blocks"`
	RangeMV   int64    `json:"range_mV"`
	RangeUohm int64    `json:"range_uohm"`
	Cost      float64  `json:"cost"`
}

type matchBound struct {
	MV   int64 `json:"ocv_mV"`
	Uohm int64 `json:"ir_uohm"`
}

type matchAnswer struct {
	Packs        int           `json:"packs"`
	Cost         float64       `json:"cost"`
	Objective    string        `json:"objective"`
	Exact        bool          `json:"exact"`
	OptimalCount *int64        `json:"optimal_count"` // null when not known.
	Chosen       []matchedPack `json:"one_optimum"`
	Left         []string      `json:"left_over"`
	MostPacks    int           `json:"packs_at_most"`
	Bound        float64       `json:"lower_bound"`
	BoundParts   matchBound    `json:"lower_bound_parts"`
	LotBound     float64       `json:"lower_bound_by_lot"`
	Gap          *float64      `json:"gap"` // cost / lower bound by lot - 1; null when that is 0 and the cost is not.
}

func match(in matchInput) (matchAnswer, error) {
	task, err := in.task()
	if err != nil {
		return matchAnswer{}, err
	}
	objective := fmt.Sprintf("%s over packs of (range_mV/%d + range_uohm/%d)", in.Aggregate, in.ScaleMV, in.ScaleUohm)
	if in.Objective != nil && *in.Objective != objective {
		return matchAnswer{}, &Failure{Field: "objective", Problem: fmt.Sprintf("must be left out or be %q, as agg and the scales say", objective)}
	}
	r, err := pack.Match(task)
	if err != nil {
		return matchAnswer{}, blame("constraints", err)
	}
	answer := matchAnswer{
		Packs: len(r.Packs), Cost: r.Cost, Objective: objective, Exact: r.Exact, Left: r.Left, MostPacks: r.MostPacks,
		Bound: r.LowerBound, BoundParts: matchBound{r.BoundMV, r.BoundUohm}, LotBound: r.LotBound, Chosen: []matchedPack{},
	}
	for _, p := range r.Packs {
		answer.Chosen = append(answer.Chosen, matchedPack(p))
	}
	if r.BestCount > 0 {
		answer.OptimalCount = &r.BestCount
	}
	if gap, known := r.Gap(); known {
		answer.Gap = &gap
	}
	return answer, nil
}

// task makes the task of an input.
func (in matchInput) task() (pack.MatchTask, error) {
	task := pack.MatchTask{
		PackSize: in.PackSize, Least: in.Aggregate, ScaleMV: in.ScaleMV, ScaleUohm: in.ScaleUohm,
		Rules: pack.MatchRules{SameLot: in.Rules.SameLot, MaxMV: in.Rules.MaxMV, MaxUohm: in.Rules.MaxUohm, MaxSpanDays: in.Rules.MaxSpan},
	}
	switch {
	case in.Mode == modeFixed && in.Packs != nil && *in.Packs > 0:
		task.Packs = *in.Packs
	case in.Mode == modeFixed:
		return task, &Failure{Field: "packs", Problem: "must be above zero with " + modeFixed}
	case in.Mode == modeMost && in.Packs != nil:
		return task, &Failure{Field: "packs", Problem: "must be null with " + modeMost}
	case in.Mode != modeMost:
		return task, &Failure{Field: "mode", Problem: "must be " + modeFixed + " or " + modeMost}
	}
	for i, b := range in.Blocks {
		block := pack.Block{ID: b.ID, MV: b.MV, Uohm: b.Uohm, Lot: b.Lot}
		if b.Made != "" {
			made, err := time.Parse(time.DateOnly, b.Made)
			if err != nil {
				return task, &Failure{Field: fmt.Sprintf("blocks[%d].made", i), Problem: "must be a date such as 2026-09-01"}
			}
			block.Made = made
		}
		task.Blocks = append(task.Blocks, block)
	}
	return task, nil
}

type lineBlock struct {
	ID string `json:"id"`
	MV int64  `json:"ocv_mV"`
}

type lineInput struct {
	Blocks   []lineBlock `json:"blocks"`
	PackSize int         `json:"pack_size"`
	Packs    int         `json:"packs"`
}

type lineAnswer struct {
	Sum int64 `json:"min_sum_range_mV"`
	Max int64 `json:"min_max_range_mV"`
}

func matchOneCriterion(in lineInput) (lineAnswer, error) {
	seen := map[string]bool{}
	var values []int64
	for i, b := range in.Blocks {
		if seen[b.ID] {
			return lineAnswer{}, &Failure{Field: fmt.Sprintf("blocks[%d].id", i), Problem: fmt.Sprintf("%.60q is given twice", b.ID)}
		}
		seen[b.ID] = true
		values = append(values, b.MV)
	}
	l, err := pack.MatchLine(values, in.PackSize, in.Packs)
	return lineAnswer{l.SumRange, l.MaxRange}, blame("blocks", err)
}
