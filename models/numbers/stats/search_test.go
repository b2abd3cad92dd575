package stats

import (
	"errors"
	"math"
	"testing"
)

func nearTo(t *testing.T, name string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %v, want %v within %v", name, got, want, within)
	}
}

// Two days with two and one values, by hand: the cells have means 2 and 5, and with
// the analysis of variance of (1, 3) and (5, 5.5, 4.5): grand mean 3.8, SS between
// 2(1.8^2) + 3(1.2^2) = 10.8 on 1, SS within 2.5 on 3, n0 = 5 - 13/5 = 2.4,
// s_b^2 = (10.8 - 0.8333)/2.4 = 4.1528, r = 4.1528/4.9861 = 0.83287.
func TestACellWeighsByHowAlikeItsValuesAre(t *testing.T) {
	cells, err := CellsOf([]float64{5, 1, 5.5, 3, 4.5}, []int{8, 7, 8, 7, 8}, nil, nil)
	if err != nil || len(cells) != 2 {
		t.Fatal(cells, err)
	}
	const r = 0.83287
	nearTo(t, "mean of the first day", cells[0].Mean, 2, 1e-12)
	nearTo(t, "its weight", cells[0].Weight, 2/(1+r), 1e-4)
	nearTo(t, "weight of the second", cells[1].Weight, 3/(1+2*r), 1e-4)
	alone, err := CellsOf([]float64{1, 2, 3}, []int{1, 2, 3}, nil, nil)
	if err != nil || alone[0].Weight != 1 {
		t.Error("a value of a day of its own weighs one", alone, err)
	}
	if _, err := CellsOf([]float64{math.NaN()}, []int{1}, nil, nil); !errors.Is(err, ErrNotFinite) {
		t.Error("NaN:", err)
	}
}

func cells(levels []int, values ...float64) []Cell {
	out := make([]Cell, len(values))
	for i, v := range values {
		out[i] = Cell{Day: i, Level: levels[i], N: 1, Mean: v, Weight: 1}
	}
	return out
}

var often = Shuffling{Most: 20_000, Enough: 20_000, Seed: 5}

// Four days by hand: centred -2.5, -1.5, 1.5, 2.5, s^2 = 17/3, S of the second level 4,
// so t = 4/sqrt(2 x 0.5 x 17/3) = 1.68034; of the 6 ways to choose two days, 2 give
// as large a difference.
func TestADifferenceOfLevelsByHand(t *testing.T) {
	found, err := SearchLevels(cells([]int{0, 0, 1, 1}, 1, 2, 5, 6), 2, often)
	if err != nil {
		t.Fatal(err)
	}
	nearTo(t, "difference", found.Differences[1], 1.68034, 1e-5)
	nearTo(t, "of the other", found.Differences[0], -1.68034, 1e-5)
	nearTo(t, "chance", found.Chance.P, 1./3, 0.015)
}

// With equal weights and two levels the test is that of [CompareBlocks], which counts
// every arrangement.
func TestLevelsAgreeWithBlocks(t *testing.T) {
	chance := NewRandom(3)
	var values []float64
	var blocks []Block
	levels := make([]int, 12)
	for i := range levels {
		levels[i] = i % 2
		values = append(values, chance.Normal()+0.8*float64(levels[i]))
		blocks = append(blocks, Block{Group: levels[i], Values: values[i:]})
		blocks[i].Values = values[i : i+1]
	}
	exact, err := CompareBlocks(blocks, 1000, 1)
	if err != nil || !exact.Exact {
		t.Fatal(exact, err)
	}
	found, err := SearchLevels(cells(levels, values...), 2, often)
	if err != nil {
		t.Fatal(err)
	}
	nearTo(t, "chance", found.Chance.P, exact.P, 4*math.Sqrt(exact.P/20_000)+0.002)
}

// What differs between strata alone is none of the level's.
func TestStrataKeepToThemselves(t *testing.T) {
	list := cells([]int{0, 0, 1, 0, 1, 1}, 1, 2, 3, 11, 12, 13)
	for i := range list {
		list[i].Stratum = i / 3
	}
	found, err := SearchLevels(list, 2, often)
	if err != nil {
		t.Fatal(err)
	}
	// Of the 3 x 3 arrangements each level sum is one of -2..2 and |S| = 2 in the
	// one seen (1 + 1) and its mirror: S of stratum one is 1, 0 or -1 and so of the
	// second, negated: |sum| = 2 in 2 of 9.
	nearTo(t, "chance", found.Chance.P, 2./9, 0.015)
}

func TestALevelThatIsOnlyComparedWithIsNotSearched(t *testing.T) {
	found, err := SearchLevels(cells([]int{-1, -1, 0, 0, -1}, 50, 51, 1, 2, 1), 1, often)
	if err != nil || len(found.Differences) != 1 || found.Differences[0] >= 0 {
		t.Error(found, err)
	}
}

func TestWhatCannotBeSearched(t *testing.T) {
	for name, c := range map[string]struct {
		err  error
		want error
	}{
		"two cells":            {func() error { _, err := SearchLevels(cells([]int{0, 1}, 1, 2), 2, often); return err }(), ErrTooFew},
		"no spread":            {func() error { _, err := SearchLevels(cells([]int{0, 1, 0}, 2, 2, 2), 2, often); return err }(), ErrNoSpread},
		"a level that is none": {func() error { _, err := SearchLevels(cells([]int{0, 3, 0}, 1, 2, 3), 2, often); return err }(), ErrOutOfRange},
		"too few shuffles": {func() error {
			_, err := SearchLevels(cells([]int{0, 1, 0}, 1, 2, 3), 2, Shuffling{Most: 50, Enough: 9})
			return err
		}(), ErrOutOfRange},
		"eleven days":    {func() error { _, err := SearchTimes(series(11, nil), often); return err }(), ErrTooFew},
		"days all alike": {func() error { _, err := SearchTimes(cells(make([]int, 20), make([]float64, 20)...), often); return err }(), ErrNoSpread},
		"days in no order": {func() error {
			list := series(20, nil)
			list[3], list[9] = list[9], list[3]
			_, err := SearchTimes(list, often)
			return err
		}(), ErrOutOfRange},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: %v, want %v", name, c.err, c.want)
		}
	}
}

// Nothing is known to be nothing after few: 20 as large of some tens.
func TestNothingCostsLittle(t *testing.T) {
	found, err := SearchLevels(cells([]int{0, 1, 0, 1, 0, 1}, 1, 1.1, 2, 1.9, 3, 3), 2, Shuffling{Most: 100_000, Enough: 20, Seed: 1})
	if err != nil || found.Larger != 20 || found.Drawn > 60 || found.P != 20/float64(found.Drawn) {
		t.Error(found, err)
	}
}

// series is so many days of one value, standard normal, moved by what a function
// says.
func series(days int, moved func(day int) float64) []Cell {
	chance := NewRandom(uint64(days)*31 + 7)
	list := make([]Cell, days)
	for i := range list {
		list[i] = Cell{Day: 100 + i, N: 1, Mean: chance.Normal(), Weight: 1}
		if moved != nil {
			list[i].Mean += moved(i)
		}
	}
	return list
}

func TestTimesThatDiffer(t *testing.T) {
	few := Shuffling{Most: 2000, Enough: 20, Seed: 2}
	for name, c := range map[string]struct {
		moved    func(int) float64
		from, to int
		open     bool
		drift    bool
		up       bool
	}{
		"from a day on": {func(d int) float64 { return 2 * float64(min(1, d/90)) }, 190, 0, true, false, true},
		"from a day to a day": {func(d int) float64 {
			if d >= 60 && d < 100 {
				return -2
			}
			return 0
		}, 160, 200, false, false, false},
		"step by step": {func(d int) float64 { return 0.02 * float64(d) }, 100, 0, true, true, true},
	} {
		found, err := SearchTimes(series(150, c.moved), few)
		if err != nil {
			t.Fatal(name, err)
		}
		if found.Drift != c.drift || found.Open != c.open || found.Difference > 0 != c.up || found.P > 0.001 {
			t.Errorf("%s: %+v", name, found)
		}
		// Within three days of what was planted: the noise may lend a day or two.
		if !c.drift && (math.Abs(float64(found.From-c.from)) > 3 || !c.open && math.Abs(float64(found.To-c.to)) > 3) {
			t.Errorf("%s: from %d to %d, want %d to %d", name, found.From, found.To, c.from, c.to)
		}
	}
}

// Where nothing differs but days, 5 % of searches have a chance of 5 % or less, by
// either search: of 400 some 20, and more than 36 or fewer than 8 come up about once in
// 1,000 (binomial).
func TestNothingIsFoundByChanceAsOftenAsIsSaid(t *testing.T) {
	chance, how := NewRandom(11), Shuffling{Most: 199, Enough: 199}
	levels, times := 0, 0
	for trial := range 400 {
		how.Seed = uint64(trial) * 7919
		var values []float64
		var day, level []int
		for d := range 40 {
			own := chance.Normal() // of the day
			for range 1 + chance.Below(4) {
				values, day, level = append(values, own+chance.Normal()), append(day, d), append(level, chance.Below(4))
			}
		}
		byLevel, err := CellsOf(values, day, level, nil)
		if err != nil {
			t.Fatal(err)
		}
		if found, err := SearchLevels(byLevel, 4, how); err != nil {
			t.Fatal(err)
		} else if found.P <= 0.05 {
			levels++
		}
		byDay, err := CellsOf(values, day, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		if found, err := SearchTimes(byDay, how); err != nil {
			t.Fatal(err)
		} else if found.P <= 0.05 {
			times++
		}
	}
	// Levels of one day share what the day has, which takes it out of their
	// difference: fewer than 5 % there is no fault.
	if levels > 36 || times > 36 || times < 8 {
		t.Errorf("of 400 searches where nothing differs %d levels and %d times are found at 5 %%", levels, times)
	}
}

// y = 3 x + 10 f without error: adjusted for f the difference is 3, without it is led
// astray, since most of x goes with f. Day by day noise of sum 0 leaves it.
func TestADifferenceIsAdjusted(t *testing.T) {
	x := []float64{0, 0, 0, 1, 0, 1, 1, 1}
	f := []int{0, 0, 0, 0, 1, 1, 1, 1}
	day := []int{1, 2, 3, 4, 5, 6, 7, 8}
	y := make([]float64, 8)
	for i := range y {
		y[i] = 3*x[i] + 10*float64(f[i])
	}
	a, err := AdjustedDifference(y, x, day, 0.95, f)
	if err != nil {
		t.Fatal(err)
	}
	nearTo(t, "adjusted", a.Estimate, 3, 1e-9)
	nearTo(t, "error of what has none", a.SE, 0, 1e-9)
	if raw, err := AdjustedDifference(y, x, day, 0.95); err != nil || math.Abs(raw.Estimate-8) > 1e-9 {
		t.Errorf("without the factor: %+v, %v; by hand (3+13+13+13)/4 - (0+0+0+10)/4 = 8", raw, err)
	}
	if _, err := AdjustedDifference(y, x, day, 0.95, day); !errors.Is(err, ErrNoSpread) {
		t.Error("a factor that takes all:", err)
	}
	if _, err := AdjustedDifference(y, x, []int{1, 1, 1, 1, 2, 2, 2, 2}, 0.95, f); !errors.Is(err, ErrTooFew) {
		t.Error("two days:", err)
	}
}

// Four days, by hand: y of x = 0 is 1, 3 and of x = 1 is 6, 8. b = 5; x freed is +-1/2,
// sum 1; the scores of days are -1/2 x -1, -1/2 x 1, 1/2 x -1, 1/2 x 1, squares 1/4
// each, sum 1; SE = sqrt(4/3). Days rest alike, so df = 4 - 1 and t = 3.182446
// (Fisher and Yates, table III).
func TestTheErrorOfADifferenceByHand(t *testing.T) {
	a, err := AdjustedDifference([]float64{1, 3, 6, 8}, []float64{0, 0, 1, 1}, []int{1, 2, 3, 4}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	nearTo(t, "difference", a.Estimate, 5, 1e-12)
	nearTo(t, "error", a.SE, math.Sqrt(4./3), 1e-12)
	nearTo(t, "days less one", a.DF, 3, 1e-12)
	nearTo(t, "high end", a.High, 5+3.182446*math.Sqrt(4./3), 1e-5)
}

// One wild value among 60 moves the plain difference by 1000/30, and the robust one
// hardly; a group that differs as a whole is left.
func TestAWildValueDoesNotMakeADifference(t *testing.T) {
	chance := NewRandom(4)
	var y, x []float64
	var day []int
	for i := range 60 {
		x, day = append(x, float64(i%2)), append(day, i)
		y = append(y, chance.Normal()+20*float64(i%2))
	}
	y[31] += 1000
	plain, err := AdjustedDifference(y, x, day, 0.95)
	if err != nil || plain.Estimate < 45 {
		t.Fatal(plain, err)
	}
	robust, err := RobustDifference(y, x, day, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	nearTo(t, "robust", robust.Estimate, 20, 1)
	if robust.Low > 20 || robust.High < 20 || robust.High-robust.Low > 2 {
		t.Errorf("interval %v to %v", robust.Low, robust.High)
	}
}
