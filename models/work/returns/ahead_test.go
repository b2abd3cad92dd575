package returns

import (
	"testing"

	"tracewright/models"
	"tracewright/models/numbers/life"
)

// The case WAR-W01 (testdata/cases/records.json): six of twenty failed, the others run
// at 12 months; 3.44578 are expected in the next six.
func TestTheLawIsThatOfTheCase(t *testing.T) {
	lives := []life.Observation{{Time: 12, Count: 14}}
	for _, at := range []float64{2.1, 4.4, 5.0, 7.7, 8.3, 9.0} {
		lives = append(lives, life.Observation{Time: at, Failed: true, Count: 1})
	}
	law, err := lawOf(lives)
	if err != nil || law.Fit == nil {
		t.Fatalf("%+v, %v", law, err)
	}
	near(t, "shape", law.Fit.Shape(), 1.4122, 1e-4)
	near(t, "scale", law.Fit.Scale(), 24.4711, 1e-4)
	a, err := law.within(lives, nil, 6)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "expected in six months", a.Expected, 3.44578, 1e-4)
	if a.StillOut != 14 || !a.Known || a.Low > 3 || a.High < 4 || !(a.Mean.Low < a.Expected && a.Expected < a.Mean.High) {
		t.Errorf("%+v", a)
	}
}

// Four returns make no shape: the law is assumed, with a range. By hand for constant
// hazard: 4 failures in 4 × 2 + 36 × 10 = 368 months, so that of 36 still out
// 36 (1 - exp(-6 × 4/368)) fail in six: 2.2729.
func TestFewReturnsMakeARange(t *testing.T) {
	lives := []life.Observation{{Time: 2, Failed: true, Count: 4}, {Time: 10, Count: 36}}
	law, err := lawOf(lives)
	if err != nil || law.Fit != nil || len(law.Assumed) != 3 {
		t.Fatalf("%+v, %v", law, err)
	}
	a, err := law.within(lives, nil, 6)
	if err != nil || !a.Known {
		t.Fatalf("%+v, %v", a, err)
	}
	near(t, "expected", a.Expected, 2.2729, 1e-4)
	for _, shape := range law.Assumed {
		f, err := shape.Forecast(lives, 6, confidence)
		if err != nil || f.Low < a.Low || f.High > a.High {
			t.Errorf("shape %v: %d to %d outside %d to %d, %v", shape.Shape, f.Low, f.High, a.Low, a.High, err)
		}
	}
	if law, err = lawOf(lives[1:]); err != nil {
		t.Fatal(err)
	}
	if a, err = law.within(lives[1:], nil, 6); err != nil || a.Known || a.High < 1 || a.Low != 0 {
		t.Errorf("without a return: %+v, %v", a, err)
	}
}

// By hand: four returns are expected for sure, and each of five cost 10, so that 40 are
// expected with a variance of 4 × 10²: a lognormal of that mean and variance has 2.5 %
// below exp(ln 40 - ln 1.25/2 - 1.96 √ln 1.25) = 14.18 and above 90.3. Two dollar
// claims are too few for an interval, and nothing is added up across currencies.
func TestCostsByCurrency(t *testing.T) {
	var euros []models.ReturnedItem
	for range 5 {
		euros = append(euros, models.ReturnedItem{Amount: "10.00", Currency: "€"})
	}
	a := Ahead{Expected: 4, Known: true, Mean: life.Interval{Low: 4, High: 4}}
	a.costs(euros)
	if len(a.Costs) != 1 || !a.Costs[0].Bounded {
		t.Fatalf("%+v", a.Costs)
	}
	near(t, "expected", a.Costs[0].Expected, 40, 1e-9)
	near(t, "low", a.Costs[0].Low, 14.175, 0.01)
	near(t, "high", a.Costs[0].High, 90.30, 0.05)

	mixed := append(euros[:4:4], models.ReturnedItem{Amount: "20", Currency: "$"}, models.ReturnedItem{Amount: "30", Currency: "$"}, models.ReturnedItem{}, models.ReturnedItem{Amount: "a lot", Currency: "€"})
	a = Ahead{Expected: 4, Known: true, Mean: life.Interval{Low: 4, High: 4}}
	a.costs(mixed)
	if len(a.Costs) != 2 || a.Costs[0].Currency != "$" || a.Costs[0].Bounded || a.Costs[1].Bounded || a.Costs[1].Claims != 4 {
		t.Fatalf("%+v", a.Costs)
	}
	near(t, "dollars", a.Costs[0].Expected, 4*2./8*25, 1e-9)
	near(t, "euros", a.Costs[1].Expected, 4*4./8*10, 1e-9)
}

func TestAChanceIsARoundNumber(t *testing.T) {
	for p, want := range map[float64]string{0: "10,000", 1e-4: "10,000", 0.00015: "5,000", 0.001: "1,000", 0.0084: "100", 0.011: "50", 0.05: "20", 0.06: "16"} {
		if got := oneOf(p); got != want {
			t.Errorf("%v: 1 of %s, want %s", p, got, want)
		}
	}
}

// What makes no law is assumed, and said: five that came back at the longest age of all,
// five at one age before it, and five at two, since two ages fit any law of two
// parameters. Three ages may disagree with one, and from then on there is a law.
func TestFewAgesMakeNoLaw(t *testing.T) {
	at := func(months float64, count int) life.Observation {
		return life.Observation{Time: months, Failed: true, Count: count}
	}
	for name, c := range map[string]struct {
		lives []life.Observation
		said  string // empty: there is a law
	}{
		"four":                        {[]life.Observation{at(1, 4)}, "returns_shape_assumed"},
		"five at the longest age":     {[]life.Observation{at(10, 5)}, "returns_shape_one_age"},
		"five at one age, one line":   {[]life.Observation{at(2, 5)}, "returns_shape_one_age"},
		"five at one age, five lines": {[]life.Observation{at(2, 1), at(2, 1), at(2, 1), at(2, 1), at(2, 1)}, "returns_shape_one_age"},
		"five at two ages":            {[]life.Observation{at(2, 4), at(3, 1)}, "returns_shape_two_ages"},
		"five at three ages":          {[]life.Observation{at(2, 3), at(3, 1), at(5, 1)}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			lives := append([]life.Observation{{Time: 10, Count: 25}}, c.lives...)
			law, err := lawOf(lives)
			if err != nil || (law.Fit == nil) != (c.said != "") {
				t.Fatalf("%+v, %v", law, err)
			}
			if a, err := law.within(lives, nil, 6); err != nil || !a.Known || a.StillOut != 25 {
				t.Errorf("ahead %+v, %v", a, err)
			}
			if said := (View{Law: law}).shape(); c.said != "" && said.Code != c.said {
				t.Errorf("said %+v, want %s", said, c.said)
			}
		})
	}
}

// By hand: a unit whose service begins in two months is out there for four of the next
// six. Under constant hazard, 4 failures in 368 months as above, ten such units fail
// 10 (1 - exp(-4 × 4/368)) = 0.4255 times, and 36 at work 2.2729 times; within two
// months none of the ten does.
func TestWhatWaitsForServiceIsExposedFromItsBeginning(t *testing.T) {
	lives := []life.Observation{{Time: 2, Failed: true, Count: 4}, {Time: 10, Count: 36}}
	law, err := lawOf(lives)
	if err != nil {
		t.Fatal(err)
	}
	alone, err := law.within(lives, nil, 2)
	if err != nil {
		t.Fatal(err)
	}
	later := []life.Waiting{{Wait: 2, Count: 10}}
	a, err := law.within(lives, later, 6)
	if err != nil || a.StillOut != 46 {
		t.Fatalf("%+v, %v", a, err)
	}
	near(t, "expected in six months", a.Expected, 2.2729+0.4255, 2e-4)
	if a, err = law.within(lives, later, 2); err != nil || a.Expected != alone.Expected || a.High != alone.High {
		t.Errorf("within two months %+v, want as %+v, %v", a, alone, err)
	}
}
