package stats

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tracewright/testdata/cases"
)

// The certified values of the NIST Statistical Reference Datasets, univariate
// summary statistics. Datasets that may not be carried along are read in place
// when TRACEWRIGHT_CASES names their folder.
func TestCertifiedValues(t *testing.T) {
	list := cases.OfKind(t, "summary")
	if inPlace, ok := cases.InPlace(t); ok {
		list = append(list, inPlace...)
	} else {
		t.Log("TRACEWRIGHT_CASES is not set: Lew, Lottery and Mavro are left out")
	}
	for _, c := range list {
		if c.Kind != "summary" {
			continue
		}
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct{ X []float64 }](t, c.Input)
			want := cases.Decode[struct {
				Mean, SD float64
				Lag1     float64 `json:"lag1_autocorrelation"`
			}](t, c.Expected)
			got, err := Summarise(in.X)
			if err != nil {
				t.Fatal(err)
			}
			for _, figure := range []struct {
				name      string
				got, want float64
			}{{"mean", got.Mean, want.Mean}, {"sd", got.SD, want.SD}, {"lag 1", got.Lag1, want.Lag1}} {
				if math.Abs(figure.got-figure.want) > c.Tolerance.Rel*math.Abs(figure.want) {
					t.Errorf("%s %.15g; certified %.15g", figure.name, figure.got, figure.want)
				}
			}
		})
	}
}

func TestSummariseByHand(t *testing.T) {
	// 1, 2, 4, 1: mean 2, squares 1+0+4+1 = 6, products 0+0-2 = -2.
	got, err := Summarise([]float64{1, 2, 4, 1})
	want := Summary{N: 4, Mean: 2, SD: math.Sqrt2, Lag1: -1. / 3, Lag1Known: true}
	if err != nil || got != want {
		t.Errorf("got %+v, %v; want %+v", got, err, want)
	}
	// Deviations of 2.2e308 are beyond a double, their mean is not.
	if mean, err := Mean([]float64{1.7e308, -1.7e308, -1.5e308}); err != nil || math.Abs(mean+5e307) > 1e293 {
		t.Errorf("mean of values far apart: %v, %v; want -5e307", mean, err)
	}
	got, err = Summarise([]float64{0.3, 0.3, 0.3})
	if err != nil || got.SD != 0 || got.Lag1Known || got.Mean != 0.3 {
		t.Errorf("equal values: %+v, %v", got, err)
	}
}

func TestRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	figures := map[string]func([]float64) error{
		"summary": func(x []float64) error { _, err := Summarise(x); return err },
		"sd":      func(x []float64) error { _, err := SD(x); return err },
		"lag 1":   func(x []float64) error { _, err := Lag1(x); return err },
		"mean":    func(x []float64) error { _, err := Mean(x); return err },
		"median":  func(x []float64) error { _, err := Median(x); return err },
	}
	for name, figure := range figures {
		for _, x := range [][]float64{{1, nan}, {inf, 1}, {1, -inf, 2}} {
			if err := figure(x); !errors.Is(err, ErrNotFinite) {
				t.Errorf("%s of %v: %v; want ErrNotFinite", name, x, err)
			}
		}
		if err := figure(nil); !errors.Is(err, ErrTooFew) {
			t.Errorf("%s of nothing: %v; want ErrTooFew", name, err)
		}
	}
	for _, name := range []string{"summary", "sd", "lag 1"} {
		if err := figures[name]([]float64{1}); !errors.Is(err, ErrTooFew) {
			t.Errorf("%s of one value: %v; want ErrTooFew", name, err)
		}
		if err := figures[name]([]float64{math.MaxFloat64, math.MaxFloat64, -math.MaxFloat64}); !errors.Is(err, ErrNotFinite) {
			t.Errorf("%s that overflows: %v; want ErrNotFinite", name, err)
		}
	}
	if _, err := Lag1([]float64{2, 2, 2}); !errors.Is(err, ErrNoSpread) {
		t.Errorf("lag 1 of equal values: %v; want ErrNoSpread", err)
	}
}

func TestMedianAndDistinct(t *testing.T) {
	tests := []struct {
		x        []float64
		median   float64
		distinct int
	}{
		{[]float64{3}, 3, 1},
		{[]float64{3, 1}, 2, 2},
		{[]float64{5, 1, 3}, 3, 3},
		{[]float64{4, 1, 3, 2}, 2.5, 4},
		{[]float64{0.2, 0.1, 0.2, 0.1}, 0.15000000000000002, 2},
		{[]float64{math.MaxFloat64, math.MaxFloat64}, math.MaxFloat64, 1},
	}
	for _, test := range tests {
		before := slices.Clone(test.x)
		if got, err := Median(test.x); err != nil || got != test.median {
			t.Errorf("median of %v = %v, %v; want %v", test.x, got, err, test.median)
		}
		if got := Distinct(test.x); got != test.distinct {
			t.Errorf("%v has %d distinct values; want %d", test.x, got, test.distinct)
		}
		if !slices.Equal(before, test.x) {
			t.Errorf("%v was sorted in place", before)
		}
	}
	if Distinct(nil) != 0 {
		t.Error("nothing has no distinct value")
	}
}

func TestSumKeepsTheLowParts(t *testing.T) {
	if got := Sum([]float64{1, 1e100, 1, -1e100}); got != 2 {
		t.Errorf("sum = %v; want 2", got)
	}
}

// Shifting moves the mean alone, scaling moves mean and spread, and neither
// moves the autocorrelation.
func TestShiftAndScale(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := make([]float64, rapid.IntRange(3, 40).Draw(r, "n"))
		for i := range x {
			x[i] = float64(rapid.IntRange(-1000, 1000).Draw(r, "x")) / 100
		}
		if Distinct(x) < 2 {
			return
		}
		shift, scale := float64(rapid.IntRange(-500, 500).Draw(r, "shift")), float64(rapid.IntRange(1, 50).Draw(r, "scale"))
		moved := make([]float64, len(x))
		for i := range x {
			moved[i] = x[i]*scale + shift
		}
		a, errA := Summarise(x)
		b, errB := Summarise(moved)
		if errA != nil || errB != nil {
			r.Fatal(errA, errB)
		}
		size := 1e-10 * (scale*10 + math.Abs(shift))
		if math.Abs(b.Mean-(a.Mean*scale+shift)) > size || math.Abs(b.SD-a.SD*scale) > size || math.Abs(b.Lag1-a.Lag1) > 1e-8 {
			r.Fatalf("%+v became %+v", a, b)
		}
		if a.Lag1 < -1 || a.Lag1 > 1 {
			r.Fatalf("autocorrelation %v", a.Lag1)
		}
	})
}

// A spread that is tiny against the mean: r1 in exact rational arithmetic on these
// doubles (Python's fractions) is the number below; about the rounded mean it came out
// as -0.0901802.
func TestLag1OfATinySpread(t *testing.T) {
	const exactLag1 = -0.09022716953942399
	x := []float64{-999999999.9999218, -999999999.9999865, -999999999.9999737, -1000000000.0000783}
	got, err := Lag1(x)
	if err != nil || math.Abs(got-exactLag1) > 1e-9 {
		t.Errorf("%.12f, %v; want %.12f", got, err, exactLag1)
	}
}
