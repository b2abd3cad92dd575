package conformity

import (
	"errors"
	"testing"

	"tracewright/models/numbers/measure"
	"tracewright/testdata/cases"
)

// dec reads a decimal that is known to be one.
func dec(t testing.TB, text string) measure.Decimal {
	t.Helper()
	d, err := measure.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// maybe reads a limit, "" for none.
func maybe(t testing.TB, text string) *measure.Decimal {
	t.Helper()
	if text == "" {
		return nil
	}
	d := dec(t, text)
	return &d
}

func question(t testing.TB, rule Rule, value, low, high, u, r string) Question {
	t.Helper()
	q := Question{Value: dec(t, value), Rule: rule, Limits: Limits{maybe(t, low), maybe(t, high)}, U: maybe(t, u)}
	if r != "" {
		q.R = dec(t, r)
	}
	return q
}

// The outcomes follow from ILAC-G8:09/2019, 4.2, and ISO 14253-1, with limits
// that belong to what they accept; worked by hand on the decimals in the row.
func TestJudge(t *testing.T) {
	tests := []struct {
		name                        string
		rule                        Rule
		value, low, high, u, r      string
		outcome                     Outcome
		reason, acceptLow, acceptHi string
	}{
		{"inside", Simple, "0.24", "", "0.30", "", "", Pass, Within, "", "0.30"},
		{"high limit itself passes", Simple, "0.30", "", "0.3", "", "", Pass, EqualToLimit, "", "0.3"},
		{"a hair above fails", Simple, "0.3000000001", "", "0.30", "", "", Fail, AboveHigh, "", "0.30"},
		{"low limit itself passes", Simple, "0.80", "0.8", "", "", "", Pass, EqualToLimit, "0.8", ""},
		{"a hair below fails", Simple, "0.7999999999", "0.8", "", "", "", Fail, BelowLow, "0.8", ""},
		{"one value between equal limits", Simple, "5", "5", "5.0", "", "", Pass, EqualToLimit, "5", "5.0"},
		{"negative limits", Simple, "-0.30", "-0.30", "0.30", "", "", Pass, EqualToLimit, "-0.30", "0.30"},
		{"simple keeps its limits with an uncertainty", Simple, "0.30", "", "0.30", "0.04", "1", Pass, EqualToLimit, "", "0.30"},

		{"guarded: acceptance limit passes", Guarded, "0.26", "", "0.30", "0.04", "1", Pass, EqualToLimit, "", "0.26"},
		{"guarded: inside the guard band fails", Guarded, "0.27", "", "0.30", "0.04", "1", Fail, InGuardBand, "", "0.26"},
		{"guarded: factor left out is 1", Guarded, "0.27", "", "0.30", "0.04", "", Fail, InGuardBand, "", "0.26"},
		{"guarded: factor 0 that was given is 0", Guarded, "0.30", "", "0.30", "0.04", "0", Pass, EqualToLimit, "", "0.30"},
		{"guarded: factor 0.82", Guarded, "0.2672", "", "0.30", "0.04", "0.82", Pass, EqualToLimit, "", "0.2672"},
		{"guarded: zone of one value", Guarded, "10.0", "9.4", "10.6", "0.6", "1", Pass, EqualToLimit, "10.0", "10.0"},
		{"guarded: empty zone is refused", Guarded, "10.0", "9.5", "10.5", "0.6", "1", Refused, NoAcceptanceZone, "10.1", "9.9"},
		{"guarded: widened by a negative factor", Guarded, "0.33", "", "0.30", "0.04", "-1", Pass, InGuardBand, "", "0.34"},
		{"guarded: beyond the widened zone", Guarded, "0.35", "", "0.30", "0.04", "-1", Fail, AboveHigh, "", "0.34"},

		{"nonbinary: conditional inside", NonBinary, "0.30", "", "0.30", "0.04", "1", ConditionalPass, InGuardBand, "", "0.26"},
		{"nonbinary: conditional outside, at w", NonBinary, "0.34", "", "0.30", "0.04", "1", ConditionalFail, AboveHigh, "", "0.26"},
		{"nonbinary: fails beyond w", NonBinary, "0.3401", "", "0.30", "0.04", "1", Fail, AboveHigh, "", "0.26"},
		{"nonbinary: low side", NonBinary, "0.76", "0.80", "", "0.04", "1", ConditionalFail, BelowLow, "0.84", ""},

		{"iso14253: conformity at the acceptance limit", ISO14253, "0.26", "", "0.30", "0.04", "1", ConformityVerified, EqualToLimit, "", "0.26"},
		{"iso14253: nothing proved outside, at w", ISO14253, "0.34", "", "0.30", "0.04", "1", NotVerified, AboveHigh, "", "0.26"},
		{"iso14253: nonconformity beyond w", ISO14253, "0.3401", "", "0.30", "0.04", "1", NonconformityVerified, AboveHigh, "", "0.26"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			got, err := Judge(question(t, test.rule, test.value, test.low, test.high, test.u, test.r))
			if err != nil {
				t.Fatal(err)
			}
			if got.Outcome != test.outcome || got.Reason != test.reason {
				t.Errorf("%s: got %s, %s; want %s, %s", test.value, got.Outcome, got.Reason, test.outcome, test.reason)
			}
			same := func(side string, d *measure.Decimal, want string) {
				if w := maybe(t, want); (d == nil) != (w == nil) || d != nil && !d.Equal(*w) {
					t.Errorf("%s acceptance limit %v; want %q", side, d, want)
				}
			}
			same("low", got.AcceptLow, test.acceptLow)
			same("high", got.AcceptHigh, test.acceptHi)
		})
	}
}

func TestJudgeRefuses(t *testing.T) {
	tests := []struct {
		name                   string
		rule                   Rule
		value, low, high, u, r string
		want                   error
	}{
		{"guarded without uncertainty", Guarded, "1", "", "2", "", "1", ErrNoUncertainty},
		{"nonbinary without uncertainty", NonBinary, "1", "", "2", "", "1", ErrNoUncertainty},
		{"iso14253 without uncertainty", ISO14253, "1", "", "2", "", "1", ErrNoUncertainty},
		{"unknown rule", "by eye", "1", "", "2", "", "", ErrRule},
		{"no rule", "", "1", "", "2", "", "", ErrRule},
		{"negative uncertainty", Guarded, "1", "", "2", "-0.1", "1", ErrRule},
		{"negative uncertainty under simple", Simple, "1", "", "2", "-0.1", "", ErrRule},
		{"negative factor under nonbinary", NonBinary, "1", "", "2", "0.1", "-1", ErrRule},
		{"negative factor under iso14253", ISO14253, "1", "", "2", "0.1", "-1", ErrRule},
		{"no limit", Simple, "1", "", "", "", "", ErrLimits},
		{"limits the wrong way round", Simple, "1", "2", "1", "", "", ErrLimits},
		{"guard band that does not fit", Guarded, "1", "", "2", "0.1234567890123456789", "0.1234567891", measure.ErrOutOfRange},
		{"limit that cannot be moved exactly", Guarded, "1", "", "1000000000000000000", "0.01", "1", measure.ErrOutOfRange},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			got, err := Judge(question(t, test.rule, test.value, test.low, test.high, test.u, test.r))
			if !errors.Is(err, test.want) || got != (Judgement{}) {
				t.Errorf("got %+v, %v; want %v", got, err, test.want)
			}
		})
	}
}

// Cases of kind decide_no_round: the sum is decimal, the verdict is on the whole
// reading, and the rounded text is what must not be shown alone.
func TestDecideNoRoundCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "decide_no_round") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Rule            Rule
				Reading         string
				Terms           []string
				Sum             bool
				TU              string
				DisplayDecimals int `json:"display_decimals"`
			}](t, c.Input)
			want := cases.Decode[struct {
				Outcome           Outcome
				Shown             string
				MustShowUnrounded *bool `json:"must_show_unrounded"`
			}](t, c.Expected)
			value := dec(t, in.Reading)
			if in.Sum {
				var terms []measure.Decimal
				for _, term := range in.Terms {
					terms = append(terms, dec(t, term))
				}
				var err error
				if value, err = measure.Sum(terms...); err != nil {
					t.Fatal(err)
				}
			}
			limits := Limits{High: maybe(t, in.TU)}
			got, err := Judge(Question{Value: value, Limits: limits, Rule: in.Rule})
			if err != nil || got.Outcome != want.Outcome {
				t.Fatalf("%v against %s: %s, %v; want %s", value, in.TU, got.Outcome, err, want.Outcome)
			}
			if want.MustShowUnrounded == nil {
				return
			}
			if rounded := value.RoundTo(in.DisplayDecimals).String(); rounded != want.Shown {
				t.Errorf("rounded %s; want %s", rounded, want.Shown)
			}
			text, unrounded := Shown(value, in.DisplayDecimals, limits)
			if unrounded != *want.MustShowUnrounded || unrounded && text == want.Shown {
				t.Errorf("Shown = %s, %t; want unrounded %t", text, unrounded, *want.MustShowUnrounded)
			}
		})
	}
}

func TestShown(t *testing.T) {
	tests := []struct {
		name             string
		value, low, high string
		decimals         int
		want             string
		unrounded        bool
	}{
		{"rounds where the verdict stays plain", "0.2049", "", "0.30", 2, "0.20", false},
		{"pads", "0.2", "", "0.30", 2, "0.20", false},
		{"would sit on the limit", "0.304", "", "0.30", 2, "0.304", true},
		{"one more digit is enough", "0.30449", "", "0.30", 2, "0.304", true},
		{"all digits are needed", "0.3000001", "", "0.30", 2, "0.3000001", true},
		{"would cross a limit with more decimals", "0.304", "", "0.3045", 2, "0.30", false},
		{"would jump over the limit", "0.306", "", "0.308", 2, "0.306", true},
		{"equal to a finer limit", "0.305", "", "0.305", 2, "0.305", true},
		{"low limit", "0.796", "0.80", "", 2, "0.796", true},
		{"low limit, plain", "0.784", "0.80", "", 2, "0.78", false},
		{"no limit", "0.305", "", "", 2, "0.30", false},
		{"negative", "-0.304", "-0.30", "0.30", 2, "-0.304", true},
		{"no decimals", "10.4", "", "10", 0, "10.4", true},
		{"negative decimals count as none", "10.6", "", "20", -2, "11", false},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			text, unrounded := Shown(dec(t, test.value), test.decimals, Limits{maybe(t, test.low), maybe(t, test.high)})
			if text != test.want || unrounded != test.unrounded {
				t.Errorf("Shown(%s) = %s, %t; want %s, %t", test.value, text, unrounded, test.want, test.unrounded)
			}
		})
	}
}

// A value in the guard band would round to the acceptance limit and look
// accepted: with both pairs of limits the digits stay.
func TestShownBesideAcceptanceLimits(t *testing.T) {
	q := question(t, Guarded, "0.264", "", "0.30", "0.04", "1")
	j, err := Judge(q)
	if err != nil || j.Outcome != Fail {
		t.Fatalf("%+v, %v", j, err)
	}
	if text, unrounded := Shown(q.Value, 2, q.Limits); text != "0.26" || unrounded {
		t.Errorf("beside the tolerance alone: %s, %t", text, unrounded)
	}
	accepted := Limits{Low: j.AcceptLow, High: j.AcceptHigh}
	if text, unrounded := Shown(q.Value, 2, q.Limits, accepted); text != "0.264" || !unrounded {
		t.Errorf("beside both: %s, %t; want 0.264", text, unrounded)
	}
}

func TestOutcomeAccepts(t *testing.T) {
	for outcome, want := range map[Outcome]bool{
		Pass: true, ConformityVerified: true, Fail: false, ConditionalPass: false, ConditionalFail: false,
		NonconformityVerified: false, NotVerified: false, Refused: false, "": false,
	} {
		if got := outcome.Accepts(); got != want {
			t.Errorf("%q accepts: %t; want %t", outcome, got, want)
		}
	}
}

// What is stored is shown by the same rule: a tick as it is, an empty limit as none.
func TestShownText(t *testing.T) {
	for _, c := range []struct{ value, low, high, want string }{
		{"yes", "", "", "yes"},
		{"0.304", "", "", "0.30"},
		{"0.304", "", "0.30", "0.304"},
		{"0.296", "0.30", "", "0.296"},
		{"0.304", "no number", "0.31", "0.30"},
	} {
		if got := ShownText(c.value, 2, c.low, c.high); got != c.want {
			t.Errorf("%s between %q and %q: %s, want %s", c.value, c.low, c.high, got, c.want)
		}
	}
}
