package conformity

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/measure"
)

// Values by hand; the last digits are such that binary numbers would get the
// sums wrong (0.34 - 0.04 is 0.30000000000000004).
func TestReevaluate(t *testing.T) {
	number := func(text string) measure.Decimal {
		d, err := measure.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	for _, test := range []struct {
		name, value, wrong, low, high, u string
		rule                             Rule
		corrected                        string
		before, after                    Outcome
		impact                           Impact
	}{
		{"still passes", "1000", "18", "900", "1200", "20", Guarded, "982", Pass, Pass, NoImpact},
		{"falls into the guard band", "930", "18", "900", "1200", "20", Guarded, "912", Pass, Fail, HoldItem},
		{"on its acceptance limit", "930", "10", "900", "1200", "20", Guarded, "920", Pass, Pass, NoImpact},
		{"the gauge read low", "1170", "-20", "900", "1200", "20", Guarded, "1190", Pass, Fail, HoldItem},
		{"on the limit after correction, exactly", "0.34", "0.04", "", "0.30", "", Simple, "0.30", Fail, Pass, NoImpact},
		{"beyond it by the last digit", "0.34", "0.039", "", "0.30", "", Simple, "0.301", Fail, Fail, HoldItem},
		{"conditional is not accepted", "0.20", "-0.09", "", "0.30", "0.04", NonBinary, "0.29", Pass, ConditionalPass, HoldItem},
		{"not verified is not accepted", "0.20", "-0.11", "", "0.30", "0.04", ISO14253, "0.31", ConformityVerified, NotVerified, HoldItem},
		{"no acceptance zone", "0.20", "0", "0.18", "0.22", "0.03", Guarded, "0.20", Refused, Refused, HoldItem},
	} {
		t.Run(test.name, func(t *testing.T) {
			q := Question{Value: number(test.value), Rule: test.rule}
			for _, optional := range []struct {
				text string
				into **measure.Decimal
			}{{test.low, &q.Limits.Low}, {test.high, &q.Limits.High}, {test.u, &q.U}} {
				if optional.text != "" {
					d := number(optional.text)
					*optional.into = &d
				}
			}
			r, err := Reevaluate(q, number(test.wrong))
			if err != nil {
				t.Fatal(err)
			}
			if r.Corrected.String() != test.corrected || r.Before.Outcome != test.before || r.After.Outcome != test.after || r.Impact != test.impact {
				t.Errorf("%s, %s then %s, %s; want %s, %s then %s, %s",
					r.Corrected, r.Before.Outcome, r.After.Outcome, r.Impact, test.corrected, test.before, test.after, test.impact)
			}
		})
	}
	high := number("1")
	if _, err := Reevaluate(Question{Value: number("1"), Rule: Guarded, Limits: Limits{High: &high}}, number("0")); !errors.Is(err, ErrNoUncertainty) {
		t.Errorf("no uncertainty: %v", err)
	}
	if _, err := Reevaluate(Question{Value: number("9999999999999999999"), Rule: Simple, Limits: Limits{High: &high}}, number("-1")); !errors.Is(err, measure.ErrOutOfRange) {
		t.Errorf("a sum beyond the digits: %v", err)
	}
}

// An error of 0 changes nothing, and the verdict after is that of the value
// itself less the error.
func TestReevaluateProperties(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		q := drawQuestion(r, rapid.SampledFrom(Rules()).Draw(r, "rule"))
		none, err := Reevaluate(q, measure.FromInt(0))
		if err != nil || none.After.Outcome != none.Before.Outcome || (none.Impact == NoImpact) != none.Before.Outcome.Accepts() {
			r.Fatalf("an error of 0: %+v, %v", none, err)
		}
		wrong := draw(r, "error", -300, 300)
		moved, err := Reevaluate(q, wrong)
		if err != nil {
			r.Fatal(err)
		}
		q.Value = moved.Corrected
		if direct := judge(r, q); direct.Outcome != moved.After.Outcome {
			r.Fatalf("%v less %v: %s, judged directly %s", q.Value, wrong, moved.After.Outcome, direct.Outcome)
		}
	})
}
