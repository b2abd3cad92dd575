package calc

import (
	"fmt"

	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

type sumInput struct {
	Blocks []measure.Decimal `json:"blocks_V"`
	Pack   measure.Decimal   `json:"pack_V"`
	Tol    *measure.Decimal  `json:"tol_V,omitempty"`
}

type sumAnswer struct {
	Sum           exact  `json:"sum_V"`
	Diff          exact  `json:"diff_V"`
	Tol           exact  `json:"tol_V"`
	Verdict       string `json:"verdict"`
	Candidates    []int  `json:"candidates"`
	Best          int    `json:"best_candidate,omitempty"`
	LeadsReversed bool   `json:"leads_reversed_suspected"`
}

func seriesSum(in sumInput) (sumAnswer, error) {
	tol, err := pack.DefaultSumTolerance(len(in.Blocks))
	if err != nil {
		return sumAnswer{}, blame("blocks_V", err)
	}
	if in.Tol != nil {
		tol = *in.Tol
	}
	s, err := pack.SeriesSum(in.Blocks, in.Pack, tol)
	if err != nil {
		return sumAnswer{}, blame("blocks_V", err)
	}
	return sumAnswer{
		Sum: exact{s.Sum}, Diff: exact{s.Diff}, Tol: exact{tol}, Verdict: s.Verdict,
		Candidates: s.Candidates, Best: s.Best, LeadsReversed: s.LeadsReversed,
	}, nil
}

type placedInput struct {
	Pos int             `json:"pos"`
	ID  string          `json:"id"`
	OCV measure.Decimal `json:"ocv_V"`
}

type tapInput struct {
	Taps     []measure.Decimal `json:"tap_V"`
	Recorded []placedInput     `json:"recorded"`
	Tol      measure.Decimal   `json:"tol_V"`
}

type tapAnswer struct {
	PositionV   []exact  `json:"position_V"`
	RecordedSum exact    `json:"recorded_order_sum_abs_V"`
	BestOrder   []string `json:"best_order"`
	BestSum     exact    `json:"best_sum_abs_V"`
	RunnerUp    *exact   `json:"runner_up_sum_abs_V"` // null with one block.
	Swap        bool     `json:"swap_suspected"`
}

func tapOrder(in tapInput) (tapAnswer, error) {
	recorded := make([]pack.Placed, len(in.Recorded))
	for i, block := range in.Recorded {
		if block.Pos != i+1 {
			return tapAnswer{}, &Failure{Field: fmt.Sprintf("recorded[%d].pos", i), Problem: fmt.Sprintf("must be %d: blocks are listed from pack minus", i+1)}
		}
		recorded[i] = pack.Placed{ID: block.ID, OCV: block.OCV}
	}
	r, err := pack.TapOrder(in.Taps, recorded, in.Tol)
	if err != nil {
		return tapAnswer{}, blame("tap_V", err)
	}
	answer := tapAnswer{RecordedSum: exact{r.RecordedSum}, BestOrder: r.BestOrder, BestSum: exact{r.BestSum}, Swap: r.SwapSuspected}
	for _, v := range r.PositionV {
		answer.PositionV = append(answer.PositionV, exact{v})
	}
	if r.RunnerUpSum.Given() {
		answer.RunnerUp = &exact{r.RunnerUpSum}
	}
	return answer, nil
}
