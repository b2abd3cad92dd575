package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// nile is the yearly flow at Aswan, 1871 to 1970, in 10^8 m^3 (Cobb, Biometrika
// 65, 1978, table 1; public). Its mean 919.35 and standard deviation 169.2275 are
// printed with it.
var nile = []float64{
	1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140,
	1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969,
	831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759,
	781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890,
	744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
}

// Every analysis since Cobb's puts the change behind 1898, the 28th year: the dam
// and the climate; mean 1097.75 before and 849.97 after are printed with it.
func TestChangePointOfTheNile(t *testing.T) {
	mean, err := Mean(nile)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean of the data", mean, 919.35, 1e-9)
	sd, err := SD(nile)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "sd of the data", sd, 169.2275, 5e-5)
	c, err := ChangePoint(nile, 9999, 1)
	if err != nil {
		t.Fatal(err)
	}
	if c.After != 28 || c.P != 1./10_000 || c.Formula > 1e-6 {
		t.Errorf("change after %d, P %v, by the formula %v; want 28, far below any level", c.After, c.P, c.Formula)
	}
	near(t, "mean before", c.MeanBefore, 1097.75, 1e-9)
	near(t, "mean after", c.MeanAfter, 849.97, 5e-3)
}

// U by its definition, pair by pair.
func TestChangePointCountsPairs(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := make([]float64, rapid.IntRange(LeastForChange, 40).Draw(r, "n"))
		for i := range x {
			x[i] = float64(rapid.IntRange(0, 12).Draw(r, "x"))
		}
		if allEqual(x) {
			return
		}
		var most float64
		after := 0
		for at := 1; at < len(x); at++ {
			var u float64
			for _, a := range x[:at] {
				for _, b := range x[at:] {
					if a > b {
						u++
					} else if a < b {
						u--
					}
				}
			}
			if math.Abs(u) > most {
				most, after = math.Abs(u), at
			}
		}
		c, err := ChangePoint(x, 100, 1)
		if err != nil || c.K != most || c.After != after {
			r.Fatalf("%v: K %v after %d, %v; want %v after %d", x, c.K, c.After, err, most, after)
		}
		// Only the order by size matters, and turning it over changes nothing.
		turned := make([]float64, len(x))
		for i, v := range x {
			turned[i] = -math.Exp(v/4) + 3
		}
		if d, err := ChangePoint(turned, 100, 1); err != nil || d.K != c.K || d.After != c.After || d.Formula != c.Formula {
			r.Fatalf("turned over: %+v, %v; want %+v", d, err, c)
		}
	})
}

// Series without a change are called changed as often as the level says, rounded
// ones too; the formula does so less often, and within a factor of three.
func TestChangePointFalseAlarms(t *testing.T) {
	const runs, level = 3000, 0.05
	chance := NewRandom(11)
	for name, step := range map[string]float64{"fine": 0, "rounded to half a sigma": 0.5} {
		alarms, byFormula := 0., 0.
		for range runs {
			x := chance.normals(40)
			if step > 0 {
				for i := range x {
					x[i] = math.Round(x[i]/step) * step
				}
			}
			c, err := ChangePoint(x, 199, chance.next())
			if err != nil {
				t.Fatal(err)
			}
			if c.P <= level {
				alarms++
			}
			if c.Formula <= level {
				byFormula++
			}
		}
		near(t, name+": false alarms", alarms/runs, level, 3*math.Sqrt(level*(1-level)/runs))
		if rate := byFormula / runs; rate > level || rate < level/3 {
			t.Errorf("%s: by the formula %v of the series are called changed; the level is %v", name, rate, level)
		}
	}
}

func TestChangePointRefuses(t *testing.T) {
	of := func(x ...float64) func() error { return func() error { _, err := ChangePoint(x, 100, 1); return err } }
	checkRefusals(t, []refusal{
		{"nothing", of(), "x", ErrTooFew},
		{"nine values", of(1, 2, 3, 4, 5, 6, 7, 8, 9), "x", ErrTooFew},
		{"all equal", of(1, 1, 1, 1, 1, 1, 1, 1, 1, 1), "x", ErrNoSpread},
		{"NaN", of(1, 2, 3, 4, 5, 6, 7, 8, 9, math.NaN()), "x", ErrNotFinite},
		{"too few orders", func() error { _, err := ChangePoint(nile, 99, 1); return err }, "orders", ErrOutOfRange},
		{"too many values for them", func() error { _, err := ChangePoint(slices.Repeat(nile, 20), 100_000, 1); return err }, "x", ErrOutOfRange},
	})
}

// One large value among nine equal ones: |U| reaches 9 when it stands first or
// last and less elsewhere, so that two orders of ten are as large: P = 0.2, ties
// counted.
func TestChangePointCountsTiesAsLarge(t *testing.T) {
	const orders = 9999
	c, err := ChangePoint([]float64{5, 1, 1, 1, 1, 1, 1, 1, 1, 1}, orders, 3)
	if err != nil || c.K != 9 || c.After != 1 {
		t.Fatalf("%+v, %v; want K 9 after the first", c, err)
	}
	near(t, "P", c.P, 0.2, 3*math.Sqrt(0.2*0.8/orders))
}
