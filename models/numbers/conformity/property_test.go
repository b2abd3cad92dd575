package conformity

import (
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/measure"
)

// draw makes a decimal with two decimals out of a number of hundredths.
func draw(r *rapid.T, name string, low, high int) measure.Decimal {
	d, err := measure.Round(float64(rapid.IntRange(low, high).Draw(r, name))/100, 2)
	if err != nil {
		r.Fatal(err)
	}
	return d
}

// drawQuestion makes a question with limits in order and values near them.
func drawQuestion(r *rapid.T, rule Rule) Question {
	low := draw(r, "low", 100, 2000)
	width := draw(r, "width", 0, 500)
	high, err := low.Add(width)
	if err != nil {
		r.Fatal(err)
	}
	u := draw(r, "u", 0, 200)
	q := Question{Value: draw(r, "value", 1, 3000), Rule: rule, U: &u, R: draw(r, "r", 0, 200)}
	// Often right on a limit, where mistakes live.
	if rapid.Bool().Draw(r, "on the high limit") {
		q.Value = high
	}
	sides := rapid.IntRange(1, 3).Draw(r, "sides")
	if sides&1 != 0 {
		q.Limits.Low = &low
	}
	if sides&2 != 0 {
		q.Limits.High = &high
	}
	return q
}

func judge(r *rapid.T, q Question) Judgement {
	j, err := Judge(q)
	if err != nil {
		r.Fatal(err)
	}
	return j
}

// A verdict does not depend on the unit that value, limits and uncertainty are
// counted in.
func TestVerdictDoesNotDependOnTheUnit(t *testing.T) {
	pairs := [][2]measure.Unit{
		{measure.KilogramForce, measure.Newton}, {measure.PoundForce, measure.Newton}, {measure.Inch, measure.MM},
		{measure.Milliohm, measure.Ohm}, {measure.Volt, measure.Millivolt}, {measure.One, measure.Percent},
	}
	rapid.Check(t, func(r *rapid.T) {
		q := drawQuestion(r, rapid.SampledFrom(Rules()).Draw(r, "rule"))
		// A pound-force has 13 decimals of a newton; with a factor of tenths
		// everything stays exact in 19 digits.
		q.R = q.R.RoundTo(1)
		pair := rapid.SampledFrom(pairs).Draw(r, "units")
		convert := func(d *measure.Decimal) *measure.Decimal {
			if d == nil {
				return nil
			}
			c, err := measure.Convert(*d, pair[0], pair[1])
			if err != nil {
				r.Fatal(err)
			}
			return &c
		}
		other := Question{
			Value: *convert(&q.Value), Rule: q.Rule, R: q.R, U: convert(q.U),
			Limits: Limits{Low: convert(q.Limits.Low), High: convert(q.Limits.High)},
		}
		a, b := judge(r, q), judge(r, other)
		if a.Outcome != b.Outcome || a.Reason != b.Reason {
			r.Fatalf("in %s %s, %s; in %s %s, %s", pair[0], a.Outcome, a.Reason, pair[1], b.Outcome, b.Reason)
		}
	})
}

// A conductance turns the limits round: what is above in ohm is below in
// siemens.
func TestVerdictOfAReciprocal(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		q := drawQuestion(r, Simple)
		invert := func(d *measure.Decimal) *measure.Decimal {
			if d == nil {
				return nil
			}
			c, err := measure.Convert(*d, measure.Milliohm, measure.Siemens)
			if err != nil {
				r.Fatal(err)
			}
			return &c
		}
		other := Question{Value: *invert(&q.Value), Rule: Simple, Limits: Limits{Low: invert(q.Limits.High), High: invert(q.Limits.Low)}}
		if a, b := judge(r, q), judge(r, other); a.Outcome != b.Outcome {
			r.Fatalf("%s by resistance, %s by conductance", a.Outcome, b.Outcome)
		}
	})
}

// What guarded acceptance accepts, simple acceptance accepts; every rule agrees
// with guarded on what is accepted.
func TestGuardedIsStricterThanSimple(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		q := drawQuestion(r, Guarded)
		guarded := judge(r, q)
		q.Rule = Simple
		if simple := judge(r, q); guarded.Outcome == Pass && simple.Outcome != Pass {
			r.Fatalf("guarded accepts what simple does not: %+v", q)
		}
		for _, rule := range []Rule{NonBinary, ISO14253} {
			q.Rule = rule
			if got := judge(r, q); got.Outcome.Accepts() != guarded.Outcome.Accepts() {
				r.Fatalf("%s says %s, guarded %s", rule, got.Outcome, guarded.Outcome)
			}
		}
	})
}

// A wider limit never turns a pass into a failure, and no outcome is empty.
func TestWiderLimitsAcceptMore(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		q := drawQuestion(r, rapid.SampledFrom(Rules()).Draw(r, "rule"))
		if q.Limits.High == nil {
			return
		}
		before := judge(r, q)
		wider, err := q.Limits.High.Add(draw(r, "more", 0, 300))
		if err != nil {
			r.Fatal(err)
		}
		q.Limits.High = &wider
		after := judge(r, q)
		if before.Outcome.Accepts() && !after.Outcome.Accepts() || after.Outcome == "" || after.Reason == "" {
			r.Fatalf("%+v before, %+v after", before, after)
		}
	})
}

// What is printed lies on the same side of each limit as the value.
func TestShownKeepsTheSide(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		q := drawQuestion(r, Simple)
		decimals := rapid.IntRange(0, 5).Draw(r, "decimals")
		text, unrounded := Shown(q.Value, decimals, q.Limits)
		printed, err := measure.Parse(text)
		if err != nil {
			r.Fatal(err)
		}
		if unrounded != (printed.Decimals() > decimals) {
			r.Fatalf("%s with %d decimals, unrounded %t", text, decimals, unrounded)
		}
		before := judge(r, q)
		q.Value = printed
		if after := judge(r, q); before.Outcome != after.Outcome || before.Reason != after.Reason {
			r.Fatalf("%s looks like %s, %s; the value is %s, %s", text, after.Outcome, after.Reason, before.Outcome, before.Reason)
		}
	})
}
