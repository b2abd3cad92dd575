package calc

import (
	"encoding/json"
	"fmt"
	"reflect"

	"tracewright/models/numbers/stats"
)

type funnelInput struct {
	X      []int   `json:"x"`
	N      []int   `json:"n"`
	Target float64 `json:"target"`
}

// funnelSides are the lower limits of all groups and the upper ones.
type funnelSides [2][]float64

type funnelAnswer struct {
	Target         float64     `json:"target"`
	Normal95       funnelSides `json:"normal_95"`
	Wilson95       funnelSides `json:"wilson_95"`
	Counts95       funnelSides `json:"binomial_quantiles_95"`
	Normal998      funnelSides `json:"normal_99.8"`
	Wilson998      funnelSides `json:"wilson_99.8"`
	Counts998      funnelSides `json:"binomial_quantiles_99.8"`
	Z              []float64   `json:"z"`
	Overdispersion float64     `json:"phi_overdispersion"`
}

func funnelLimits(in funnelInput) (funnelAnswer, error) {
	f, err := stats.FunnelOf(in.X, in.N, in.Target, 0.95, 0.998)
	if err != nil {
		return funnelAnswer{}, argument("", "x", err)
	}
	narrow, wide := f.Levels[0], f.Levels[1]
	return funnelAnswer{
		Target: f.Target, Z: f.Z, Overdispersion: f.Overdispersion,
		Normal95: sidesOf(narrow.Normal), Wilson95: sidesOf(narrow.Wilson), Counts95: sidesOf(narrow.Counts),
		Normal998: sidesOf(wide.Normal), Wilson998: sidesOf(wide.Wilson), Counts998: sidesOf(wide.Counts),
	}, nil
}

func sidesOf(intervals []stats.Interval) funnelSides {
	var sides funnelSides
	for _, i := range intervals {
		sides[0], sides[1] = append(sides[0], i.Low), append(sides[1], i.High)
	}
	return sides
}

// funnelGroup is one group as [name, count, size].
type funnelGroup [3]json.RawMessage

type funnelExactInput struct {
	Rows []funnelGroup `json:"rows_name_k_n"`
}

type funnelExactRow struct {
	Name    string  `json:"name"`
	Rate    float64 `json:"p"`
	Low     float64 `json:"lo95"`
	High    float64 `json:"hi95"`
	P       float64 `json:"two_sided_p"`
	Flagged bool    `json:"bonferroni_flag"`
}

type funnelExactAnswer struct {
	Pooled float64          `json:"pooled"`
	Rows   []funnelExactRow `json:"rows"`
}

func funnelExact(in funnelExactInput) (funnelExactAnswer, error) {
	names, x, n := make([]string, len(in.Rows)), make([]int, len(in.Rows)), make([]int, len(in.Rows))
	renamed := []string{"n", "rows_name_k_n"}
	for i, group := range in.Rows {
		at := func(j int) string { return fmt.Sprintf("rows_name_k_n[%d][%d]", i, j) }
		var err error
		if names[i], err = decodeAt[string](group[0], at(0)); err != nil {
			return funnelExactAnswer{}, err
		}
		if x[i], err = decodeAt[int](group[1], at(1)); err != nil {
			return funnelExactAnswer{}, err
		}
		if n[i], err = decodeAt[int](group[2], at(2)); err != nil {
			return funnelExactAnswer{}, err
		}
		renamed = append(renamed, fmt.Sprintf("x[%d]", i), at(1), fmt.Sprintf("n[%d]", i), at(2))
	}
	pooled, rows, err := stats.ExactFunnel(x, n)
	if err != nil {
		return funnelExactAnswer{}, argument("", "rows_name_k_n", err, renamed...)
	}
	answer := funnelExactAnswer{Pooled: pooled, Rows: make([]funnelExactRow, len(rows))}
	for i, r := range rows {
		answer.Rows[i] = funnelExactRow{Name: names[i], Rate: r.Rate, Low: r.Counts.Low, High: r.Counts.High, P: r.P, Flagged: r.Flagged}
	}
	return answer, nil
}

// decodeAt reads a single value whose place in the input is known.
func decodeAt[T any](raw json.RawMessage, path string) (T, error) {
	var value T
	err := decodeInto(reflect.ValueOf(&value).Elem(), raw, path)
	return value, err
}
