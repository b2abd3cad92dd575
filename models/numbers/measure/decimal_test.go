package measure

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// dec reads a decimal that is known to be one.
func dec(t testing.TB, text string) Decimal {
	t.Helper()
	d, err := Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestArithmeticKeepsDecimals(t *testing.T) {
	tests := []struct{ a, op, b, want string }{
		{"0.1", "+", "0.2", "0.3"},
		{"0.30", "+", "0.04", "0.34"},
		{"0.210", "-", "0.11", "0.100"},
		{"12.91", "-", "12.86", "0.05"},
		{"-0.05", "-", "0.25", "-0.30"},
		{"0.82", "*", "0.04", "0.0328"},
		{"2.50", "*", "2", "5.00"},
		{"1", "/", "8", "0.125"},
		{"1", "/", "3", "0.3333333333333333333"},
		{"9999999999999999998", "+", "1", "9999999999999999999"},
	}
	for _, test := range tests {
		a, b := dec(t, test.a), dec(t, test.b)
		operations := map[string]func(Decimal) (Decimal, error){"+": a.Add, "-": a.Sub, "*": a.Mul, "/": a.Quo}
		if got, err := operations[test.op](b); err != nil || got.String() != test.want {
			t.Errorf("%s %s %s = %v, %v; want %s", test.a, test.op, test.b, got, err, test.want)
		}
	}
}

// What does not fit is an error, never a number that was cut.
func TestArithmeticRefuses(t *testing.T) {
	most, least := dec(t, "9999999999999999999"), dec(t, "0.0000000000000000001")
	tests := map[string]func() (Decimal, error){
		"sum too large":           func() (Decimal, error) { return most.Add(FromInt(1)) },
		"sum of too many digits":  func() (Decimal, error) { return most.Add(least) },
		"difference too large":    func() (Decimal, error) { return most.Neg().Sub(FromInt(1)) },
		"difference of too many":  func() (Decimal, error) { return most.Sub(least) },
		"product too large":       func() (Decimal, error) { return most.Mul(most) },
		"exact product too fine":  func() (Decimal, error) { return least.MulExact(least) },
		"exact product too long":  func() (Decimal, error) { return most.MulExact(dec(t, "1.1")) },
		"division by zero":        func() (Decimal, error) { return most.Quo(FromInt(0)) },
		"quotient too large":      func() (Decimal, error) { return most.Quo(least) },
		"sum of a list too large": func() (Decimal, error) { return Sum(most, most) },
	}
	for name, compute := range tests {
		if got, err := compute(); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("%s: got %v, %v; want ErrOutOfRange", name, got, err)
		}
	}
}

func TestMulExactDropsZerosBeforeItRefuses(t *testing.T) {
	got, err := dec(t, "0.8200000000").MulExact(dec(t, "0.0400000000"))
	if err != nil || !got.Equal(dec(t, "0.0328")) {
		t.Errorf("got %v, %v; want 0.0328", got, err)
	}
}

func TestAddDropsZerosBeforeItRefuses(t *testing.T) {
	got, err := dec(t, "1234567890.5").Add(dec(t, "0.0000000000000000"))
	if err != nil || !got.Equal(dec(t, "1234567890.5")) {
		t.Errorf("got %v, %v; want 1234567890.5", got, err)
	}
}

func TestCompare(t *testing.T) {
	if dec(t, "0.30").Cmp(dec(t, "0.3")) != 0 || !dec(t, "0.30").Equal(dec(t, "0.3")) {
		t.Error("0.30 and 0.3 are the same number")
	}
	values := []Decimal{dec(t, "-0.1"), dec(t, "0.30"), dec(t, "0.3"), dec(t, "-2")}
	if got := Max(values[0], values[1:]...); got.String() != "0.30" {
		t.Errorf("Max = %v; want the first of the equals, 0.30", got)
	}
	if got := Min(values[0], values[1:]...); got.String() != "-2" {
		t.Errorf("Min = %v; want -2", got)
	}
}

func TestZeroValue(t *testing.T) {
	var none Decimal
	if none.Given() || none.String() != "0" || !none.IsZero() || none.Sign() != 0 {
		t.Errorf("zero value: given %t, %v", none.Given(), none)
	}
	if zero := dec(t, "0"); !zero.Given() || zero == none {
		t.Error("a zero that was parsed is told from none")
	}
	if !none.Neg().Given() || !FromInt(0).Given() {
		t.Error("a computed zero counts as given")
	}
}

// Rounding goes from the exact binary value; ties are those that binary holds
// exactly. The rule is roundTiesToEven of IEEE 754 in base ten; the rows where a
// decimal literal looks like a tie and is none follow from its exact binary
// expansion (2.675 is 2.67499999999999982236431605997495353221893310546875).
func TestRound(t *testing.T) {
	tests := []struct {
		x        float64
		decimals int
		want     string
	}{
		{0.125, 2, "0.12"},
		{0.375, 2, "0.38"},
		{0.5, 0, "0"},
		{1.5, 0, "2"},
		{2.5, 0, "2"},
		{-2.5, 0, "-2"},
		{-0.125, 2, "-0.12"},
		{2.675, 2, "2.67"},
		{1.005, 2, "1.00"},
		{math.Nextafter(0.3, 1), 17, "0.30000000000000004"},
		{0.25, 4, "0.2500"},
		{-0.001, 2, "0.00"},
		{math.Copysign(0, -1), 1, "0.0"},
		{5e-324, 3, "0.000"},
		{1e15 + 0.125, 2, "1000000000000000.12"},
		{4503599627370497.5, 0, "4503599627370498"},
	}
	for _, test := range tests {
		got, err := Round(test.x, test.decimals)
		if err != nil || got.String() != test.want {
			t.Errorf("Round(%v, %d) = %v, %v; want %s", test.x, test.decimals, got, err, test.want)
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e19, -1e300, math.MaxFloat64} {
		if got, err := Round(x, 2); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("Round(%v, 2) = %v, %v; want ErrOutOfRange", x, got, err)
		}
	}
	for _, decimals := range []int{-1, 20, 18} {
		if got, err := Round(12.5, decimals); !errors.Is(err, ErrOutOfRange) {
			t.Errorf("Round(12.5, %d) = %v, %v; want ErrOutOfRange", decimals, got, err)
		}
	}
}

// The same by rational arithmetic: no multiple of the last place is nearer, and
// a tie has an even last digit.
func TestRoundIsNearest(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		// Eighths give many exact ties.
		x := float64(rapid.Int64Range(-1<<40, 1<<40).Draw(r, "n")) / float64(int64(1)<<rapid.IntRange(0, 40).Draw(r, "shift"))
		decimals := rapid.IntRange(0, 6).Draw(r, "decimals")
		d, err := Round(x, decimals)
		if err != nil {
			r.Fatal(err)
		}
		place := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(decimals)), nil))
		rounded, _ := new(big.Rat).SetString(d.String())
		apart := new(big.Rat).Sub(rounded, new(big.Rat).SetFloat64(x))
		apart.Abs(apart)
		steps := new(big.Rat).Quo(rounded, place)
		switch twice := new(big.Rat).Mul(apart, big.NewRat(2, 1)); {
		case !steps.IsInt() || d.Decimals() != decimals:
			r.Fatalf("Round(%v, %d) = %v has other decimals", x, decimals, d)
		case twice.Cmp(place) > 0:
			r.Fatalf("Round(%v, %d) = %v is not the nearest", x, decimals, d)
		case twice.Cmp(place) == 0 && steps.Num().Bit(0) == 1:
			r.Fatalf("Round(%v, %d) = %v: a tie went to the odd digit", x, decimals, d)
		}
	})
}

func TestRoundTo(t *testing.T) {
	tests := []struct {
		text     string
		decimals int
		want     string
	}{
		{"0.304", 2, "0.30"},
		{"0.305", 2, "0.30"},
		{"0.315", 2, "0.32"},
		{"0.3051", 2, "0.31"},
		{"-0.005", 2, "0.00"},
		{"-0.015", 2, "-0.02"},
		{"0.3", 3, "0.300"},
		{"12", 1, "12.0"},
		{"12.5", 0, "12"},
		{"12.5", -3, "12"},
		{"1234567890123456789", 2, "1234567890123456789"},
	}
	for _, test := range tests {
		if got := dec(t, test.text).RoundTo(test.decimals); got.String() != test.want {
			t.Errorf("%s to %d decimals = %v; want %s", test.text, test.decimals, got, test.want)
		}
	}
}

func TestRoundSignificant(t *testing.T) {
	tests := []struct {
		text   string
		digits int
		want   string
	}{
		{"0.0123456", 3, "0.0123"},
		{"123.456", 4, "123.5"},
		{"0.125", 2, "0.12"},
		{"99.96", 3, "100"},
		{"1.500", 2, "1.5"},
		{"1.5", 5, "1.5"},
	}
	for _, test := range tests {
		if got := dec(t, test.text).RoundSignificant(test.digits); got.String() != test.want {
			t.Errorf("%s to %d significant digits = %v; want %s", test.text, test.digits, got, test.want)
		}
	}
}

func TestJSON(t *testing.T) {
	out, err := json.Marshal(map[string]Decimal{"v": dec(t, "51.230")})
	if err != nil || string(out) != `{"v":"51.230"}` {
		t.Errorf("Marshal = %s, %v; want the digits as a string", out, err)
	}
	tests := []struct{ raw, want string }{
		{`"0.210"`, "0.210"},
		{`0.210`, "0.210"},
		{`1.5e-3`, "0.0015"},
		{`12e2`, "1200"},
		{`-1.25E+1`, "-12.5"},
		{`1.50e1`, "15.0"},
		{`-0.0`, "0.0"},
		{`1E-7`, "0.0000001"},
	}
	for _, test := range tests {
		var d Decimal
		if err := json.Unmarshal([]byte(test.raw), &d); err != nil || d.String() != test.want {
			t.Errorf("Unmarshal(%s) = %v, %v; want %s", test.raw, d, err, test.want)
		}
	}
	for _, raw := range []string{`""`, `"1,5"`, `"1e3"`, `true`, `{}`, `[1]`, `1e999`, `1e-999999999999999999999`, `123456789012345678901`} {
		var d Decimal
		if err := json.Unmarshal([]byte(raw), &d); err == nil {
			t.Errorf("Unmarshal(%s) = %v; want an error", raw, d)
		}
	}
	var missing *Decimal
	if err := json.Unmarshal([]byte(`null`), &missing); err != nil || missing != nil {
		t.Errorf("null: %v, %v; want nil", missing, err)
	}
}

func TestParseJSONNumberRefusesOtherJSON(t *testing.T) {
	for _, text := range []string{"", `"1"`, "true", "null", "[1]", "1 2", "+1", "01", "1.", ".5", " 1"} {
		if d, err := ParseJSONNumber(text); !errors.Is(err, ErrNotANumber) {
			t.Errorf("ParseJSONNumber(%q) = %v, %v; want ErrNotANumber", text, d, err)
		}
	}
}

func TestFinerAndDecimals(t *testing.T) {
	tests := []struct {
		value, resolution string
		want              bool
	}{
		{"0.210", "0.01", true},
		{"0.21", "0.01", false},
		{"0.2", "0.01", false},
		{"104.5", "1", true},
		{"104", "1", false},
		{"104.3", "0.5", false},
	}
	for _, test := range tests {
		if got := Finer(dec(t, test.value), dec(t, test.resolution)); got != test.want {
			t.Errorf("Finer(%s, %s) = %t; want %t", test.value, test.resolution, got, test.want)
		}
	}
}

// The nearest binary number is what the standard library reads from the same digits.
func TestFloatIsTheNearest(t *testing.T) {
	texts := []string{"0", "0.00", "-3", "0.1", "0.3", "-1042.5", "9007199254740991", "9007199254740992", "9007199254740993", "0.9007199254740993", "9999999999999999999", "0.0000000000000000001", "-0.9999999999999999999"}
	chance := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		digits, decimals := chance.Uint64()>>chance.IntN(64), chance.IntN(20)
		text := fmt.Sprintf("%020d", digits%9_999_999_999_999_999_999)
		texts = append(texts, "0"+text[:20-decimals]+"."+text[20-decimals:])
	}
	for _, text := range texts {
		d, err := ParseReading(strings.TrimSuffix(text, "."))
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		want, err := strconv.ParseFloat(d.String(), 64)
		if err != nil {
			t.Fatal(err)
		}
		if got := d.Float(); got != want || math.Signbit(got) != math.Signbit(want) {
			t.Errorf("%s: %v, want %v", text, got, want)
		}
	}
}
