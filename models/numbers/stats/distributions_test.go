package stats

import (
	"math"
	"testing"
)

// Values of the distributions at arguments that are doubles, from mpmath 1.3.0
// at 50 digits: incomplete gamma and beta functions, binomial sums term by
// term, and quantiles by bisection of those. Tails far out, fractional degrees
// of freedom and parameters up to a million are among them.
func TestDistributions(t *testing.T) {
	functions := map[string]func(a []float64) (float64, error){
		"NormalBelow":       func(a []float64) (float64, error) { return NormalBelow(a[0]), nil },
		"NormalAbove":       func(a []float64) (float64, error) { return NormalAbove(a[0]), nil },
		"NormalQuantile":    func(a []float64) (float64, error) { return NormalQuantile(a[0]) },
		"TBelow":            func(a []float64) (float64, error) { return TBelow(a[0], a[1]) },
		"TAbove":            func(a []float64) (float64, error) { return TAbove(a[0], a[1]) },
		"TQuantile":         func(a []float64) (float64, error) { return TQuantile(a[0], a[1]) },
		"ChiSquareBelow":    func(a []float64) (float64, error) { return ChiSquareBelow(a[0], a[1]) },
		"ChiSquareAbove":    func(a []float64) (float64, error) { return ChiSquareAbove(a[0], a[1]) },
		"ChiSquareQuantile": func(a []float64) (float64, error) { return ChiSquareQuantile(a[0], a[1]) },
		"BetaBelow":         func(a []float64) (float64, error) { return BetaBelow(a[0], a[1], a[2]) },
		"BetaAbove":         func(a []float64) (float64, error) { return BetaAbove(a[0], a[1], a[2]) },
		"BetaQuantile":      func(a []float64) (float64, error) { return BetaQuantile(a[0], a[1], a[2]) },
		"FBelow":            func(a []float64) (float64, error) { return FBelow(a[0], a[1], a[2]) },
		"FAbove":            func(a []float64) (float64, error) { return FAbove(a[0], a[1], a[2]) },
		"FQuantile":         func(a []float64) (float64, error) { return FQuantile(a[0], a[1], a[2]) },
		"BinomialBelow":     func(a []float64) (float64, error) { return BinomialBelow(a[0], a[1], a[2]) },
		"BinomialAbove":     func(a []float64) (float64, error) { return BinomialAbove(a[0], a[1], a[2]) },
		"PoissonBelow":      func(a []float64) (float64, error) { return PoissonBelow(a[0], a[1]) },
		"PoissonAbove":      func(a []float64) (float64, error) { return PoissonAbove(a[0], a[1]) },
	}
	for _, row := range []struct {
		function string
		at       []float64
		want     float64
	}{
		{"NormalBelow", []float64{-37.0}, 5.7255712225245768e-300},
		{"NormalBelow", []float64{-8.0}, 6.2209605742717841e-16},
		{"NormalBelow", []float64{-1.5}, 0.066807201268858066},
		{"NormalBelow", []float64{-1e-09}, 0.49999999960105772},
		{"NormalBelow", []float64{0.3}, 0.61791142218895263},
		{"NormalBelow", []float64{3.0}, 0.99865010196836991},
		{"NormalBelow", []float64{8.0}, 0.99999999999999938},
		{"NormalAbove", []float64{9.5}, 1.0494515075362607e-21},
		{"TBelow", []float64{-1.0, 1.0}, 0.25},
		{"TBelow", []float64{0.25, 3.0}, 0.59063538878558521},
		{"TBelow", []float64{-50.0, 4.0}, 4.7872268284848492e-7},
		{"TBelow", []float64{-6.0, 30.5}, 6.5358299095173624e-7},
		{"TBelow", []float64{2.0, 1000000.0}, 0.9772497330743404},
		{"TBelow", []float64{-3.0, 123456.0}, 0.0013501672824286226},
		{"TBelow", []float64{1e-08, 7.0}, 0.50000000384991451},
		{"TAbove", []float64{9.0, 12.0}, 5.5204507029358994e-7},
		{"ChiSquareBelow", []float64{1e-06, 1.0}, 0.00079788442782212515},
		{"ChiSquareBelow", []float64{3.5, 2.5}, 0.75556974931871847},
		{"ChiSquareBelow", []float64{0.5, 10.0}, 6.611710561034247e-6},
		{"ChiSquareBelow", []float64{80.0, 100.0}, 0.070335066659394954},
		{"ChiSquareBelow", []float64{1000500.0, 1000000.0}, 0.63831776828969563},
		{"ChiSquareAbove", []float64{60.0, 5.0}, 1.2154569777183039e-11},
		{"ChiSquareAbove", []float64{400.0, 100.0}, 1.6927979958857088e-37},
		{"ChiSquareAbove", []float64{1005000.0, 1000000.0}, 0.00020767800946703003},
		{"BetaBelow", []float64{1e-05, 0.5, 3.0}, 0.0059292310844635448},
		{"BetaAbove", []float64{1e-05, 0.5, 3.0}, 0.99407076891553646},
		{"BetaBelow", []float64{0.3, 2.0, 5.0}, 0.57982499999999998},
		{"BetaAbove", []float64{0.3, 2.0, 5.0}, 0.42017500000000002},
		{"BetaBelow", []float64{0.5, 300.0, 310.0}, 0.65732518251491629},
		{"BetaAbove", []float64{0.5, 300.0, 310.0}, 0.34267481748508371},
		{"BetaBelow", []float64{0.001, 0.1, 900.0}, 0.97160691204799468},
		{"BetaAbove", []float64{0.001, 0.1, 900.0}, 0.028393087952005318},
		{"BetaBelow", []float64{0.2, 50.0, 400.0}, 0.99999981603978454},
		{"BetaAbove", []float64{0.2, 50.0, 400.0}, 1.8396021546337054e-7},
		{"FBelow", []float64{9.6, 2.0, 12.0}, 0.99676287170260932},
		{"FAbove", []float64{9.6, 2.0, 12.0}, 0.0032371282973906782},
		{"FBelow", []float64{0.001, 3.0, 7.0}, 4.8136602105854625e-5},
		{"FAbove", []float64{0.001, 3.0, 7.0}, 0.99995186339789415},
		{"FBelow", []float64{1.5, 4000.0, 9000.0}, 1.0},
		{"FAbove", []float64{1.5, 4000.0, 9000.0}, 4.0988732227746229e-54},
		{"BinomialBelow", []float64{0.0, 30.0, 0.1}, 0.042391158275216196},
		{"BinomialAbove", []float64{0.0, 30.0, 0.1}, 0.9576088417247838},
		{"BinomialBelow", []float64{3.0, 20.0, 0.25}, 0.22515604766431352},
		{"BinomialAbove", []float64{3.0, 20.0, 0.25}, 0.77484395233568648},
		{"BinomialBelow", []float64{80.0, 1000.0, 0.05}, 0.99997951256308987},
		{"BinomialAbove", []float64{80.0, 1000.0, 0.05}, 2.0487436910131731e-5},
		{"BinomialBelow", []float64{120.0, 100000.0, 0.002}, 6.5382015664725914e-10},
		{"BinomialAbove", []float64{120.0, 100000.0, 0.002}, 0.99999999934617984},
		{"PoissonBelow", []float64{0.0, 3.0}, 0.049787068367863943},
		{"PoissonAbove", []float64{0.0, 3.0}, 0.95021293163213606},
		{"PoissonBelow", []float64{10.0, 2.5}, 0.99993837308987502},
		{"PoissonAbove", []float64{10.0, 2.5}, 6.1626910124984372e-5},
		{"PoissonBelow", []float64{100.0, 180.0}, 5.3706625146704886e-11},
		{"PoissonAbove", []float64{100.0, 180.0}, 0.99999999994629337},
		{"PoissonBelow", []float64{40000.0, 40500.0}, 0.0064533397076707372},
		{"PoissonAbove", []float64{40000.0, 40500.0}, 0.99354666029232926},
		{"NormalQuantile", []float64{1e-300}, -37.047096299361199},
		{"NormalQuantile", []float64{1e-10}, -6.3613409024040562},
		{"NormalQuantile", []float64{0.00134989803163009}, -3.000000000000001},
		{"NormalQuantile", []float64{0.2}, -0.84162123357291417},
		{"NormalQuantile", []float64{0.5}, 0.0},
		{"NormalQuantile", []float64{0.975}, 1.9599639845400539},
		{"NormalQuantile", []float64{0.9999999999990905}, 7.0477002566644087},
		{"TQuantile", []float64{0.975, 1.0}, 12.706204736174693},
		{"TQuantile", []float64{0.995, 4.0}, 4.604094871349992},
		{"TQuantile", []float64{0.3, 2.5}, -0.59730773825231749},
		{"TQuantile", []float64{0.9999, 30.0}, 4.2339859572720608},
		{"TQuantile", []float64{1e-07, 8.0}, -16.320703793552822},
		{"TQuantile", []float64{0.95, 2000.0}, 1.6456158666989071},
		{"ChiSquareQuantile", []float64{1e-08, 1.0}, 1.5707963267948968e-16},
		{"ChiSquareQuantile", []float64{0.025, 3.0}, 0.21579528262389788},
		{"ChiSquareQuantile", []float64{0.999, 7.5}, 25.230054920678602},
		{"ChiSquareQuantile", []float64{0.5, 200.0}, 199.33372983863098},
		{"ChiSquareQuantile", []float64{0.01, 1000000.0}, 9.9671298883841151e+5},
		{"BetaQuantile", []float64{0.025, 1.0, 200.0}, 0.00012658102786701826},
		{"BetaQuantile", []float64{0.975, 5.0, 996.0}, 0.010209664683929871},
		{"BetaQuantile", []float64{1e-06, 0.5, 30.5}, 2.5962689142393174e-14},
		{"BetaQuantile", []float64{0.5, 700.0, 2.0}, 0.99760693981249344},
		{"BetaQuantile", []float64{0.05, 0.5, 0.5}, 0.0061558297024311376},
		{"FQuantile", []float64{0.95, 2.0, 12.0}, 3.8852938346523928},
		{"FQuantile", []float64{0.001, 5.0, 3.0}, 0.030118247385196438},
		{"FQuantile", []float64{0.99, 40.0, 1500.0}, 1.6059004363521491},
	} {
		got, err := functions[row.function](row.at)
		// 12 digits everywhere; degrees of freedom of a million cost a few.
		if err != nil || math.Abs(got-row.want) > 1e-12*math.Abs(row.want) {
			t.Errorf("%s%v = %.17g, %v; want %.17g (apart by %.1e of it)",
				row.function, row.at, got, err, row.want, math.Abs(got/row.want-1))
		}
	}
}
