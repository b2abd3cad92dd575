package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// days makes blocks of one value each.
func days(group int, means ...float64) []Block {
	blocks := make([]Block, len(means))
	for i, m := range means {
		blocks[i] = Block{Group: group, Values: []float64{m}}
	}
	return blocks
}

func TestCompareBlocksByHand(t *testing.T) {
	for _, test := range []struct {
		name         string
		blocks       []Block
		p            float64
		arrangements int
	}{
		// Of the 20 ways to choose 3 of 6, only the one found and its mirror are as
		// far apart.
		{"apart", append(days(1, 1, 2, 3), days(2, 4, 5, 6)...), 2. / 20, 20},
		// Sums of 10 in all: 1+2 3, 1+3 4, 1+4 and 2+3 5, 2+4 6, 3+4 7. As far from 5 as
		// 4 are all but the two in the middle.
		{"between", append(days(7, 1, 3), days(-7, 2, 4)...), 4. / 6, 6},
		// Days count once, by their mean: 1, 2 and 3, 4.
		{"days of unequal length", []Block{{1, []float64{0, 2}}, {1, []float64{2, 2, 2}}, {2, []float64{3}}, {2, []float64{5, 3}}}, 2. / 6, 6},
	} {
		got, err := CompareBlocks(test.blocks, 1000, 1)
		if err != nil || !got.Exact || got.Arrangements != test.arrangements || math.Abs(got.P-test.p) > 1e-12 {
			t.Errorf("%s: %+v, %v; want P %v of %d arrangements", test.name, got, err, test.p, test.arrangements)
		}
	}
}

// Drawn arrangements come near the counted ones.
func TestCompareBlocksDrawn(t *testing.T) {
	blocks := append(days(1, 94, 197, 16, 38, 99, 141, 23), days(2, 52, 104, 146, 10, 51, 30, 40, 27, 46)...)
	exact, err := CompareBlocks(blocks, 20_000, 1)
	if err != nil || !exact.Exact || exact.Arrangements != 11440 { // 16 over 7.
		t.Fatalf("%+v, %v", exact, err)
	}
	drawn, err := CompareBlocks(blocks, 10_000, 1)
	if err != nil || drawn.Exact || drawn.Arrangements != 10_000 {
		t.Fatalf("%+v, %v", drawn, err)
	}
	near(t, "P", drawn.P, exact.P, 3*math.Sqrt(exact.P*(1-exact.P)/10_000))
	// Efron and Tibshirani, An Introduction to the Bootstrap, 1993, 15.2: survival
	// of mice, means 86.86 and 56.22, about 0.13 on one side from 1000 draws.
	near(t, "treated", exact.Means[0], 86.86, 5e-3)
	near(t, "not treated", exact.Means[1], 56.22, 5e-3)
	near(t, "P on one side", exact.P/2, 0.132, 3*math.Sqrt(0.132*0.868/1000))
	again, err := CompareBlocks(blocks, 10_000, 1)
	if err != nil || again.P != drawn.P {
		t.Errorf("the same seed gave P %v, then %v, %v", drawn.P, again.P, err)
	}
}

// Days that differ by themselves are no sign of a difference between groups: of
// three groups given by lot a share of the level is called different, although
// the values of one day lie close together.
func TestCompareBlocksFalseAlarms(t *testing.T) {
	const runs, level = 1500, 0.05
	chance, alarms := NewRandom(5), 0
	for range runs {
		var blocks []Block
		for i := range 12 {
			day := chance.normals(5)
			for j := range day {
				day[j] = day[0] + day[j]/10
			}
			blocks = append(blocks, Block{Group: i % 3, Values: day})
		}
		test, err := CompareBlocks(blocks, 199, chance.next())
		if err != nil {
			t.Fatal(err)
		}
		if test.P <= level {
			alarms++
		}
	}
	near(t, "false alarms", float64(alarms)/runs, level, 3*math.Sqrt(level*(1-level)/runs))
}

func TestCompareBlocksMoves(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var blocks, other []Block
		scale, shift := float64(rapid.IntRange(1, 9).Draw(r, "scale")), float64(rapid.IntRange(-90, 90).Draw(r, "shift"))
		for i := range rapid.IntRange(4, 9).Draw(r, "blocks") {
			v := float64(rapid.IntRange(-20, 20).Draw(r, "x"))
			blocks = append(blocks, Block{i % 2, []float64{v, v + 1}})
			other = append(other, Block{5 - i%2, []float64{scale*v + scale + shift, scale*v + shift}})
		}
		blocks[0].Values[0], other[0].Values[1] = 100, scale*100+shift
		blocks[0].Values[1], other[0].Values[0] = 101, scale*101+shift
		a, err := CompareBlocks(blocks, 1000, 1)
		if err != nil {
			r.Fatal(err)
		}
		b, err := CompareBlocks(other, 1000, 2)
		if err != nil || a.P != b.P || !a.Exact {
			r.Fatalf("%+v; moved %+v, %v", a, b, err)
		}
	})
}

func TestCompareBlocksRefuses(t *testing.T) {
	of := func(arrangements int, blocks ...Block) func() error {
		return func() error { _, err := CompareBlocks(blocks, arrangements, 1); return err }
	}
	pair := append(days(1, 1, 2), days(2, 3, 4)...)
	checkRefusals(t, []refusal{
		{"nothing", of(1000), "blocks", ErrTooFew},
		{"one group", of(1000, days(1, 1, 2, 3)...), "blocks", ErrTooFew},
		{"one day of a group", of(1000, append(days(1, 1, 2, 3), days(2, 4)...)...), "blocks", ErrTooFew},
		{"a day without values", of(1000, append(days(1, 1, 2, 3), Block{Group: 2}, Block{2, []float64{1}})...), "blocks[3]", ErrTooFew},
		{"NaN", of(1000, append(days(1, 1, math.NaN()), days(2, 4, 5)...)...), "blocks[1]", ErrNotFinite},
		{"all equal", of(1000, append(days(1, 3, 3), days(2, 3, 3)...)...), "blocks", ErrNoSpread},
		{"overflow", of(1000, append(days(1, 1e300, 2e300), days(2, 3, 3)...)...), "blocks", ErrNotFinite},
		{"too few arrangements", of(99, pair...), "arrangements", ErrOutOfRange},
		{"too many arrangements", of(MostArrangements+1, pair...), "arrangements", ErrOutOfRange},
		{"too many blocks for them", of(MostArrangements, days(1, make([]float64, 101)...)...), "blocks", ErrOutOfRange},
	})
}
