package pack

import (
	"errors"
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/measure"
)

// permute calls f with every order of 0..n-1.
func permute(order []int, from int, f func([]int)) {
	if from == len(order) {
		f(order)
		return
	}
	for i := from; i < len(order); i++ {
		order[from], order[i] = order[i], order[from]
		permute(order, from+1, f)
		order[from], order[i] = order[i], order[from]
	}
}

// Trying every order, in whole millivolts, must give the same best and
// second-best sums.
func TestTapOrderAgainstEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "blocks")
		mV := rapid.SliceOfN(rapid.IntRange(12700, 12760), n, n)
		places, blocks := mV.Draw(t, "places"), mV.Draw(t, "blocks recorded")

		var taps []measure.Decimal
		var recorded []Placed
		total := 0
		for i := range n {
			total += places[i]
			taps = append(taps, milli(t, total))
			recorded = append(recorded, Placed{ID: fmt.Sprintf("B%d", i), OCV: milli(t, blocks[i])})
		}
		got, err := TapOrder(taps, recorded, milli(t, 8))
		if err != nil {
			t.Fatal(err)
		}

		best, runnerUp := 1<<30, 1<<30
		permute(identity(n), 0, func(order []int) {
			sum := 0
			for place, block := range order {
				sum += max(places[place]-blocks[block], blocks[block]-places[place])
			}
			if sum < best {
				best, runnerUp = sum, best
			} else {
				runnerUp = min(runnerUp, sum)
			}
		})
		if !got.BestSum.Equal(milli(t, best)) || !got.RunnerUpSum.Equal(milli(t, runnerUp)) {
			t.Fatalf("got %s and %s, want %d and %d mV", got.BestSum, got.RunnerUpSum, best, runnerUp)
		}
		// The order named must have the sum claimed for it.
		byID := map[string]int{}
		for i := range n {
			byID[recorded[i].ID] = blocks[i]
		}
		named := 0
		for place, id := range got.BestOrder {
			named += max(places[place]-byID[id], byID[id]-places[place])
		}
		if len(got.BestOrder) != n || named != best {
			t.Fatalf("order %v has %d mV, want %d", got.BestOrder, named, best)
		}
	})
}

// milli makes volts of whole millivolts.
func milli(t *rapid.T, mV int) measure.Decimal {
	d, err := measure.Round(float64(mV)/1000, 3)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestTapOrderKeepsTheRecordWhenNothingIsBetter(t *testing.T) {
	r, err := TapOrder(decs(t, "12.80", "25.60", "38.40"), []Placed{{"C", dec(t, "12.80")}, {"A", dec(t, "12.80")}, {"B", dec(t, "12.80")}}, dec(t, "0.008"))
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(r.BestOrder) != "[C A B]" || r.SwapSuspected || !r.RunnerUpSum.IsZero() {
		t.Errorf("got %+v", r)
	}
}

func TestTapOrderSuspectsOnlyBeyondTolerance(t *testing.T) {
	// The blocks of both places exchanged: each is 8 mV off, the tolerance itself.
	recorded := []Placed{{"A", dec(t, "12.808")}, {"B", dec(t, "12.800")}}
	taps := decs(t, "12.800", "25.608")
	if r, err := TapOrder(taps, recorded, dec(t, "0.008")); err != nil || r.SwapSuspected {
		t.Errorf("at the tolerance: %+v, %v", r, err)
	}
	if r, err := TapOrder(taps, recorded, dec(t, "0.0079")); err != nil || !r.SwapSuspected || fmt.Sprint(r.BestOrder) != "[B A]" {
		t.Errorf("beyond the tolerance: %+v, %v", r, err)
	}
	one, err := TapOrder(decs(t, "12.9"), []Placed{{"A", dec(t, "12.8")}}, dec(t, "0.008"))
	if err != nil || one.SwapSuspected || one.RunnerUpSum.Given() {
		t.Errorf("one block has no other order: %+v, %v", one, err)
	}
}

func TestTapOrderRefuses(t *testing.T) {
	v := dec(t, "12.8")
	two := []Placed{{"A", v}, {"B", v}}
	for name, args := range map[string]struct {
		taps     []measure.Decimal
		recorded []Placed
		tol      measure.Decimal
	}{
		"no blocks":       {nil, nil, v},
		"a tap missing":   {decs(t, "12.8"), two, v},
		"tap not given":   {[]measure.Decimal{v, {}}, two, v},
		"id twice":        {decs(t, "12.8", "25.6"), []Placed{{"A", v}, {"A", v}}, v},
		"no id":           {decs(t, "12.8"), []Placed{{"", v}}, v},
		"block not given": {decs(t, "12.8"), []Placed{{ID: "A"}}, v},
		"no tolerance":    {decs(t, "12.8", "25.6"), two, measure.Decimal{}},
	} {
		if _, err := TapOrder(args.taps, args.recorded, args.tol); !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}
