package trail

import (
	"encoding/hex"
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"tracewright/models/numbers/measure"
	"tracewright/testdata/cases"
)

// codes names our errors as the cases do.
var codes = map[string]error{
	"DUPLICATE_KEY":  ErrDuplicateKey,
	"LONE_SURROGATE": ErrLoneSurrogate,
	"NUMBER_RANGE":   ErrNumberRange,
	"NON_FINITE":     ErrNonFinite,
}

// Cases of kind jcs: RFC 8785, 3.2, and its author's test data.
func TestCanonicalJSONCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "jcs") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Text string `json:"json_text"`
			}](t, c.Input)
			want := cases.Decode[struct {
				UTF8   string `json:"utf8_hex"`
				SHA256 string
			}](t, c.Expected)
			got, err := CanonicalJSON([]byte(in.Text))
			if err != nil || hex.EncodeToString(got) != want.UTF8 {
				t.Fatalf("got %s, %v; want hex %s", got, err, want.UTF8)
			}
			if Digest(got) != want.SHA256 {
				t.Errorf("digest %s; want %s", Digest(got), want.SHA256)
			}
		})
	}
}

// Cases of kind jcs_number: RFC 8785, appendix B.
func TestCanonicalNumberCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "jcs_number") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Hex string `json:"ieee754_hex"`
			}](t, c.Input)
			want := cases.Decode[struct{ JSON, Error string }](t, c.Expected)
			bits, err := strconv.ParseUint(in.Hex, 16, 64)
			if err != nil {
				t.Fatal(err)
			}
			got, err := Canonical(math.Float64frombits(bits))
			if want.Error != "" {
				if !errors.Is(err, codes[want.Error]) || codes[want.Error] == nil {
					t.Errorf("got %s, %v; want %s", got, err, want.Error)
				}
				return
			}
			if err != nil || string(got) != want.JSON {
				t.Errorf("got %s, %v; want %s", got, err, want.JSON)
			}
		})
	}
}

// Cases of kind jcs_reject: RFC 7493 and RFC 8785, 3.1.
func TestCanonicalJSONRejectCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "jcs_reject") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Text string `json:"json_text"`
			}](t, c.Input)
			want := cases.Decode[struct{ Error string }](t, c.Expected)
			got, err := CanonicalJSON([]byte(in.Text))
			if codes[want.Error] == nil || !errors.Is(err, codes[want.Error]) {
				t.Errorf("%s: got %s, %v; want %s", in.Text, got, err, want.Error)
			}
		})
	}
}

func TestCanonicalJSONRefuses(t *testing.T) {
	tests := []struct {
		name, text string
		want       error
	}{
		{"nothing", "", ErrSyntax},
		{"two values", "1 2", ErrSyntax},
		{"text behind", "{} x", ErrSyntax},
		{"comma at the end of an array", "[1,]", ErrSyntax},
		{"comma at the end of an object", `{"a":1,}`, ErrSyntax},
		{"no comma", `[1 2]`, ErrSyntax},
		{"no colon", `{"a" 1}`, ErrSyntax},
		{"name without quotes", `{a:1}`, ErrSyntax},
		{"open array", "[1", ErrSyntax},
		{"open object", `{"a":1`, ErrSyntax},
		{"open string", `"abc`, ErrSyntax},
		{"open escape", `"abc\`, ErrSyntax},
		{"short unicode escape", `"\u12`, ErrSyntax},
		{"sign in a unicode escape", `"\u+123"`, ErrSyntax},
		{"unknown escape", `"\x41"`, ErrSyntax},
		{"control character", "\"a\nb\"", ErrSyntax},
		{"leading zero", "01", ErrSyntax},
		{"plus", "+1", ErrSyntax},
		{"mark without digits behind", "1.", ErrSyntax},
		{"mark without digits before", ".5", ErrSyntax},
		{"exponent without digits", "1e", ErrSyntax},
		{"lone minus", "-", ErrSyntax},
		{"NaN", "NaN", ErrSyntax},
		{"Infinity", "Infinity", ErrSyntax},
		{"word cut short", "tru", ErrSyntax},
		{"word too long", "nullx", ErrSyntax},
		{"other space", "\u00a01", ErrSyntax},
		{"byte order mark", "\ufeff1", ErrSyntax},
		{"nested too deep", strings.Repeat("[", 5000) + strings.Repeat("]", 5000), ErrSyntax},
		{"too large below 0", "-1e400", ErrNumberRange},
		{"equal names by escape", `{"a":1,"\u0061":2}`, ErrDuplicateKey},
		{"equal names deep inside", `[{"b":{"x":1,"y":2,"x":3}}]`, ErrDuplicateKey},
		{"low surrogate alone", `"\udc00"`, ErrLoneSurrogate},
		{"surrogates the wrong way round", `"\udc00\ud800"`, ErrLoneSurrogate},
		{"surrogate with a letter", `"\ud800\u0041"`, ErrLoneSurrogate},
		{"surrogate and the end", `"\ud800`, ErrLoneSurrogate},
		{"lone surrogate in a name", `{"\ud800":1}`, ErrLoneSurrogate},
		{"bytes that are not UTF-8", "\"\xff\"", ErrEncoding},
		{"surrogate as bytes", "\"\xed\xa0\x80\"", ErrEncoding},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if got, err := CanonicalJSON([]byte(test.text)); !errors.Is(err, test.want) || got != nil {
				t.Errorf("got %s, %v; want %v", got, err, test.want)
			}
		})
	}
}

// The member order of RFC 8785, 3.2.3, with the very names printed there: by
// UTF-16 units a name beyond the basic plane comes before U+FB33.
func TestMemberOrder(t *testing.T) {
	text := `{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One",
		"\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis"}`
	want := []string{"Carriage Return", "One", "Control", "Latin Small Letter O With Diaeresis", "Euro Sign",
		"Emoji: Grinning Face", "Hebrew Letter Dalet With Dagesh"}
	got, err := CanonicalJSON([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	var places []int
	for _, value := range want {
		places = append(places, strings.Index(string(got), `"`+value+`"`))
	}
	if places[0] < 0 || !slices.IsSorted(places) {
		t.Errorf("got %s; want the members in the order %v", got, want)
	}
}

func TestCanonicalValues(t *testing.T) {
	reading, err := measure.Parse("51.230")
	if err != nil {
		t.Fatal(err)
	}
	type inner struct {
		Unit string `json:"unit"`
		None string `json:"none,omitempty"`
	}
	type record struct {
		Value   measure.Decimal  `json:"value"`
		Low     *measure.Decimal `json:"low"`
		Inner   inner            `json:"inner"`
		Tags    []string         `json:"tags"`
		Ok      bool             `json:"ok"`
		Count   int64            `json:"count"`
		Private string           `json:"-"`
	}
	tests := []struct {
		name  string
		value any
		want  string
	}{
		{"nothing", nil, `null`},
		{"struct", record{Value: reading, Inner: inner{Unit: "mm"}, Count: 3, Private: "x"}, `{"count":3,"inner":{"unit":"mm"},"low":null,"ok":false,"tags":[],"value":"51.230"}`},
		{"pointer to a decimal", &record{Value: reading, Low: &reading}, `{"count":0,"inner":{"unit":""},"low":"51.230","ok":false,"tags":[],"value":"51.230"}`},
		{"map", map[string]any{"b": 1, "a": []any{true, "x", nil, 0.5}}, `{"a":[true,"x",null,0.5],"b":1}`},
		{"raw", json.RawMessage(`{"b":1, "a":1.0}`), `{"a":1,"b":1}`},
		{"json number", json.Number("1E2"), `100`},
		{"greatest whole number", int64(1<<53 - 1), `9007199254740991`},
		{"minus zero", math.Copysign(0, -1), `0`},
		{"no escapes for markup", "<a&b>\u2028", "\"<a&b>\u2028\""},
		{"control characters", "\x00\b\t\n\v\f\r\x1f\x7f\"\\/", "\"\\u0000\\b\\t\\n\\u000b\\f\\r\\u001f\x7f\\\"\\\\/\""},
		{"no normalisation", "A\u030a", "\"A\u030a\""},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			got, err := Canonical(test.value)
			if err != nil || string(got) != test.want {
				t.Errorf("got %s, %v; want %s", got, err, test.want)
			}
		})
	}
}

func TestCanonicalRefuses(t *testing.T) {
	type untagged struct{ Name string }
	type clever struct {
		N int `json:"n,string"`
	}
	ring := map[string]any{}
	ring["again"] = ring
	tests := []struct {
		name  string
		value any
		want  error
	}{
		{"NaN", math.NaN(), ErrNonFinite},
		{"infinity in a list", []float64{1, math.Inf(-1)}, ErrNonFinite},
		{"whole number a double would change", int64(1 << 53), ErrNumberRange},
		{"the same below 0", int64(-1 << 53), ErrNumberRange},
		{"text that is not UTF-8", "\xff", ErrEncoding},
		{"name that is not UTF-8", map[string]any{"\xff": 1}, ErrEncoding},
		{"raw with equal names", json.RawMessage(`{"a":1,"a":2}`), ErrDuplicateKey},
		{"empty raw", json.RawMessage(nil), ErrSyntax},
		{"bytes", []byte("abc"), ErrType},
		{"channel", make(chan int), ErrType},
		{"function", func() {}, ErrType},
		{"map with other keys", map[int]string{1: "a"}, ErrType},
		{"struct without tags", untagged{"x"}, ErrType},
		{"struct with a clever tag", clever{1}, ErrType},
		{"moment", time.Unix(0, 0), ErrType},
		{"ring", ring, ErrType},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if got, err := Canonical(test.value); !errors.Is(err, test.want) || got != nil {
				t.Errorf("got %s, %v; want %v", got, err, test.want)
			}
		})
	}
}

// The canonical form is canonical itself, encoding/json reads it, and where
// encoding/json reads the source, both mean the same.
func FuzzCanonicalJSON(f *testing.F) {
	for _, seed := range []string{`{"b":1,"a":[1.5e300,"\ud83d\ude00",null]}`, `"\u0000"`, `-0`, `1e-7`, `{"a":1,"a":2}`, `[[[]]]`} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		canonical, err := CanonicalJSON(raw)
		if err != nil {
			return
		}
		if !json.Valid(raw) || !json.Valid(canonical) {
			t.Fatalf("%q became %q; encoding/json does not take both", raw, canonical)
		}
		again, err := CanonicalJSON(canonical)
		if err != nil || string(again) != string(canonical) {
			t.Fatalf("%q became %q and then %q, %v", raw, canonical, again, err)
		}
		var before, after any
		if json.Unmarshal(raw, &before) != nil || json.Unmarshal(canonical, &after) != nil {
			t.Fatalf("%q, %q: not read", raw, canonical)
		}
		a, errA := Canonical(before)
		b, errB := Canonical(after)
		if errA != nil || errB != nil || string(a) != string(canonical) || string(b) != string(canonical) {
			t.Fatalf("%q: by value %q, %v; by text %q", raw, a, errA, canonical)
		}
	})
}

// A digest taken over a reused buffer is that of the whole form: nothing of an
// earlier, longer value is left in it.
func TestDigestOf(t *testing.T) {
	long := make([]string, 500)
	for i := range long {
		long[i] = strings.Repeat("x", i%7)
	}
	for name, v := range map[string]any{
		"long": long, "short": map[string]any{"a": 1}, "empty": []string{}, "wholes": []int64{-1, 0, maxWhole}, "escapes": []string{"a\"b", "\n", "é", "\\"},
	} {
		raw, err := Canonical(v)
		if err != nil {
			t.Fatal(err)
		}
		parsed, err := CanonicalJSON(raw)
		if err != nil || string(parsed) != string(raw) {
			t.Errorf("%s: %s is read back as %s (%v)", name, raw, parsed, err)
		}
		for range 2 {
			if got, err := DigestOf(v); err != nil || got != Digest(raw) {
				t.Errorf("%s: digest %s (%v), want that of the form, %s", name, got, err, Digest(raw))
			}
		}
	}
	for name, v := range map[string]any{"whole": []int64{maxWhole + 1}, "text": []string{"\xff"}} {
		if got, err := DigestOf(v); err == nil || got != "" {
			t.Errorf("%s: digest %q (%v), want an error", name, got, err)
		}
	}
}
