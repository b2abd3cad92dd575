package spc

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"tracewright/models/numbers/stats"
)

// letters returns the constants by the letters of the tables.
func letters(c Constants) map[string]float64 {
	return map[string]float64{
		"d2": c.D2, "d3": c.D3, "c4": c.C4, "median_range": c.MedianRange, "inv_d2": 1 / c.D2, "inv_c4": 1 / c.C4,
		"A": c.A(), "A1": c.A1(), "A2": c.A2(), "A3": c.A3(), "B3": c.B3(), "B4": c.B4(), "B5": c.B5(), "B6": c.B6(),
		"D1": c.RangeLow(), "D2": c.RangeHigh(), "D3": c.RangeLowFromMean(), "D4": c.RangeHighFromMean(), "E2": c.E2(), "E3": c.E3(),
	}
}

func table(t *testing.T, name string) [][]string {
	t.Helper()
	file, err := os.Open("../../../testdata/reference/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	return rows
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func forSize(t *testing.T, text string) Constants {
	t.Helper()
	c, err := For(int(number(t, text)))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// All constants for 2 to 25 against the table of ten decimals, whose origin
// stands in testdata/reference/README.md.
func TestConstants(t *testing.T) {
	rows := table(t, "control_chart_constants.csv")
	for _, row := range rows[1:] {
		got := letters(forSize(t, row[0]))
		for i, name := range rows[0][1:] {
			want := number(t, row[i+1])
			if value, ok := got[name]; !ok || math.Abs(value-want) > 2e-9 {
				t.Errorf("%s(%s) = %.11f; table %.10f", name, row[0], value, want)
			}
		}
	}
}

// The same against printed tables, as far as they print: half a unit of the
// last digit, two units where the print is known to have slipped, and not equal
// to the known misprints.
func TestPublishedConstants(t *testing.T) {
	for _, row := range table(t, "control_chart_constants_published.csv")[1:] {
		size, name, print, source, check := row[0], row[1], row[2], row[3], row[5]
		got, ok := letters(forSize(t, size))[name]
		if !ok {
			t.Errorf("%s is not computed", name)
			continue
		}
		_, behind, _ := strings.Cut(print, ".")
		unit := math.Pow(10, -float64(len(behind)))
		apart := math.Abs(got - number(t, print))
		switch {
		case check == "ok" && apart > 0.5000001*unit:
			t.Errorf("%s(%s) = %.6f; printed %s in %s", name, size, got, print, source)
		case check == "last-digit" && apart > 2*unit:
			t.Errorf("%s(%s) = %.6f; printed %s in %s, beyond a slip of the last digit", name, size, got, print, source)
		case check == "misprint" && apart < 2*unit:
			t.Errorf("%s(%s) = %.6f agrees with the misprint %s in %s", name, size, got, print, source)
		}
	}
}

// Closed forms: the range of two is |N(0,2)|; d2(3) = 3/sqrt(pi) (Tippett 1925);
// c4(2) and c4(3) from the gamma function at halves.
func TestConstantsInClosedForm(t *testing.T) {
	two, three := forSize(t, "2"), forSize(t, "3")
	for _, test := range []struct {
		name      string
		got, want float64
	}{
		{"d2(2)", two.D2, 2 / math.Sqrt(math.Pi)},
		{"d3(2)", two.D3, math.Sqrt(2 - 4/math.Pi)},
		{"median range(2)", two.MedianRange, 2 * math.Erfinv(0.5)},
		{"c4(2)", two.C4, math.Sqrt(2 / math.Pi)},
		{"d2(3)", three.D2, 3 / math.Sqrt(math.Pi)},
		{"c4(3)", three.C4, math.Sqrt(math.Pi) / 2},
	} {
		if math.Abs(test.got-test.want) > 1e-12 {
			t.Errorf("%s = %.15f; want %.15f", test.name, test.got, test.want)
		}
	}
}

// Beyond 25: mean ranges printed by Tippett, Biometrika 17, 1925, table X (from memory).
func TestConstantsOfLargeSubgroups(t *testing.T) {
	for n, want := range map[int]float64{50: 4.498, 100: 5.015} {
		c, err := For(n)
		if err != nil || math.Abs(c.D2-want) > 0.0005 {
			t.Errorf("d2(%d) = %.5f, %v; Tippett %.3f", n, c.D2, err, want)
		}
	}
}

// Two independent formulas beyond the table, to 2e-9: the moments of the range
// from the distributions of the extremes instead of that of the range,
//
//	E W   = Int [1 - Phi^n - (1-Phi)^n] dx                       (Tippett 1925)
//	E W^2 = 2 Int Int over x < y of
//	        [1 - Phi(y)^n - (1-Phi(x))^n + (Phi(y)-Phi(x))^n] dx dy
//
// by the trapezoidal rule, which is exact to rounding for such integrands
// along x; the median from the form of Hartley, Biometrika 32, 1942,
//
//	P(W <= w) = [2 Phi(w/2) - 1]^n + 2n Int over u > w/2 of phi(u) [Phi(u) - Phi(u-w)]^(n-1) du;
//
// c4 from the recurrence c4(n+1) c4(n) = sqrt((n-1)/n) that the gamma function
// gives, starting at c4(2) = sqrt(2/pi).
func TestConstantsByOtherFormulas(t *testing.T) {
	const step = 1.0 / 32
	means, squares := extremes(step)
	c := math.Sqrt(2 / math.Pi)
	for n := 2; n <= MaxSubgroup; n++ {
		got, err := For(n)
		if err != nil {
			t.Fatal(err)
		}
		sd := math.Sqrt(squares[n] - means[n]*means[n])
		for _, test := range []struct {
			name      string
			got, want float64
		}{{"d2", got.D2, means[n]}, {"d3", got.D3, sd}, {"c4", got.C4, c}, {"P(W <= median range)", hartley(n, got.MedianRange, step), 0.5}} {
			if math.Abs(test.got-test.want) > 2e-9 {
				t.Errorf("%s for %d = %.12f; the other formula gives %.12f", test.name, n, test.got, test.want)
			}
		}
		c = math.Sqrt(float64(n-1)/float64(n)) / c
	}
}

func extremes(step float64) (means, squares [MaxSubgroup + 1]float64) {
	for x := -9.0; x <= 9; x += step {
		low, high := stats.NormalBelow(x), stats.NormalBelow(-x)
		for n := range means {
			means[n] += step * (1 - math.Pow(low, float64(n)) - math.Pow(high, float64(n)))
		}
	}
	// Along y from x upward Simpson's rule on steps that are halved, since the
	// integrand does not end smoothly at y = x.
	fine := step / 4
	for x := -9.0; x <= 9; x += step {
		aboveX := stats.NormalBelow(-x)
		for i := 0; i <= int(18/fine); i++ {
			y := x + float64(i)*fine
			weight := 2 * step * fine / 3
			if i > 0 {
				weight *= float64(2 + 2*(i%2))
			}
			belowY, between := stats.NormalBelow(y), stats.NormalBelow(y)-stats.NormalBelow(x)
			a, b, c := 1.0, 1.0, 1.0
			for n := 1; n <= MaxSubgroup; n++ {
				a, b, c = a*belowY, b*aboveX, c*between
				squares[n] += weight * (1 - a - b + c)
			}
		}
	}
	return means, squares
}

func hartley(n int, w, step float64) float64 {
	// Simpson's rule from the middle of the range upward.
	var rest float64
	fine := step / 4
	for i := 0; i <= int(9/fine); i++ {
		u := w/2 + float64(i)*fine
		weight := fine / 3
		if i > 0 {
			weight *= float64(2 + 2*(i%2))
		}
		rest += weight * stats.NormalDensity(u) * math.Pow(stats.NormalBelow(u)-stats.NormalBelow(u-w), float64(n-1))
	}
	return math.Pow(2*stats.NormalBelow(w/2)-1, float64(n)) + 2*float64(n)*rest
}

func TestConstantsGoOn(t *testing.T) {
	last := forSize(t, "25")
	for n := 26; n <= MaxSubgroup; n++ {
		c, err := For(n)
		if err != nil || c.D2 <= last.D2 || c.D3 >= last.D3 || c.C4 <= last.C4 || c.C4 >= 1 || c.MedianRange >= c.D2 {
			t.Errorf("size %d does not go on from %d: %+v, %+v, %v", n, n-1, c, last, err)
		}
		last = c
	}
}

func TestNoConstants(t *testing.T) {
	for _, n := range []int{-1, 0, 1, MaxSubgroup + 1} {
		if c, err := For(n); !errors.Is(err, ErrSubgroupSize) {
			t.Errorf("size %d: %+v, %v; want ErrSubgroupSize", n, c, err)
		}
	}
}

// All 99 sizes from nothing: under 50 ms is asked for.
func BenchmarkConstants(b *testing.B) {
	for b.Loop() {
		if all := computeConstants(); all[MaxSubgroup].N != MaxSubgroup {
			b.Fatal(all[MaxSubgroup])
		}
	}
}
