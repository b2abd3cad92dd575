package ident

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tracewright/testdata/cases"
)

func TestHybridCheckCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "iso7064_hybrid") {
		in := cases.Decode[struct {
			Body    string
			Modulus int
		}](t, c.Input)
		want := cases.Decode[struct{ Check, Full string }](t, c.Expected)
		check, ok := hybridCheck(in.Body, in.Modulus)
		if !ok || string(check) != want.Check || in.Body+string(check) != want.Full {
			t.Errorf("%s: check of %s is %c, %t; want %s (%s)", c.ID, in.Body, check, ok, want.Check, c.Source)
		}
	}
	for _, body := range []string{"w26", "A-1", "\u00e9"} {
		if check, ok := hybridCheck(body, 36); ok {
			t.Errorf("check of %q is %c; want none", body, check)
		}
	}
	if _, ok := hybridCheck("12A", 10); ok {
		t.Error("a letter passed MOD 11,10")
	}
}

// Cases of kind iso7064_detects: try every substitution and swap.
func TestHybridDetectsCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "iso7064_detects") {
		in := cases.Decode[struct {
			Full    string
			Modulus int
		}](t, c.Input)
		want := cases.Decode[struct {
			Substitutions int   `json:"undetected_single_substitutions"`
			Swaps         []int `json:"undetected_adjacent_swaps_at"`
		}](t, c.Expected)
		valid := func(full []byte) bool {
			last := len(full) - 1
			check, ok := hybridCheck(string(full[:last]), in.Modulus)
			return ok && check == full[last]
		}
		if !valid([]byte(in.Full)) {
			t.Fatalf("%s is not valid itself", in.Full)
		}
		missed, swaps := 0, []int{}
		for i := range in.Full {
			for _, other := range []byte(alphanumeric[:in.Modulus]) {
				changed := []byte(in.Full)
				changed[i] = other
				if other != in.Full[i] && valid(changed) {
					missed++
				}
			}
			if i > 0 && in.Full[i] != in.Full[i-1] {
				swapped := []byte(in.Full)
				swapped[i-1], swapped[i] = swapped[i], swapped[i-1]
				if valid(swapped) {
					swaps = append(swaps, i-1)
				}
			}
		}
		if missed != want.Substitutions || !slices.Equal(swaps, want.Swaps) {
			t.Errorf("%s: missed %d substitutions, swaps at %v; want %d, %v", in.Full, missed, swaps, want.Substitutions, want.Swaps)
		}
	}
}

func TestBase32Cases(t *testing.T) {
	for _, c := range cases.OfKind(t, "crockford32_encode") {
		in := cases.Decode[struct{ N int }](t, c.Input)
		want := cases.Decode[struct{ Text string }](t, c.Expected)
		if got := base32(in.N, 0); got != want.Text {
			t.Errorf("%d is %s; want %s", in.N, got, want.Text)
		}
	}
}

func TestAllocateCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "serial_allocate") {
		in := cases.Decode[struct {
			Prefix       string
			Start, Count int
		}](t, c.Input)
		want := cases.Decode[struct {
			Serials []string
			Skipped []int `json:"skipped_numbers"`
		}](t, c.Expected)
		kind, year := Kind(in.Prefix[0]), int(in.Prefix[1]-'0')*10+int(in.Prefix[2]-'0')
		var serials []string
		var skipped []int
		for counter := in.Start; len(serials) < in.Count; counter++ {
			if serial, ok := Allocate(kind, year, counter); ok {
				serials = append(serials, serial)
			} else {
				skipped = append(skipped, counter)
			}
		}
		if !slices.Equal(serials, want.Serials) || !slices.Equal(skipped, want.Skipped) {
			t.Errorf("%s: got %v, skipped %v; want %v, skipped %v", c.ID, serials, skipped, want.Serials, want.Skipped)
		}
		counter := in.Start - 1
		for _, serial := range want.Serials {
			var got string
			var err error
			if got, counter, err = Next(kind, year, counter); err != nil || got != serial {
				t.Fatalf("Next gives %s, %v; want %s", got, err, serial)
			}
		}
	}
}

func TestAllocateAtTheEnds(t *testing.T) {
	for _, counter := range []int{-1, 0, MaxCounter + 1} {
		if serial, ok := Allocate(Wheel, 26, counter); ok {
			t.Errorf("counter %d gives %s", counter, serial)
		}
	}
	for _, year := range []int{-1, 100, 2026} {
		if serial, ok := Allocate(Wheel, year, 1); ok {
			t.Errorf("year %d gives %s", year, serial)
		}
		if _, _, err := Next(Wheel, year, 0); !errors.Is(err, ErrFormat) {
			t.Errorf("year %d: %v", year, err)
		}
	}
	if serial, ok := Allocate('X', 26, 1); ok {
		t.Errorf("kind X gives %s", serial)
	}
	if _, _, err := Next('X', 26, 0); !errors.Is(err, ErrFormat) {
		t.Errorf("kind X: %v", err)
	}
	if serial, _, err := Next(Wheel, 26, MaxCounter); !errors.Is(err, ErrUsedUp) {
		t.Errorf("behind the last counter: %s, %v; want ErrUsedUp", serial, err)
	}
	if serial, counter, err := Next(Wheel, 5, -7); err != nil || counter != 1 || !strings.HasPrefix(serial, "W0500001") {
		t.Errorf("from the start: %s, %d, %v", serial, counter, err)
	}
}

func TestNormaliseCases(t *testing.T) {
	codes := map[string]error{"FORMAT": ErrFormat, "CHECK": ErrCheck}
	for _, c := range cases.OfKind(t, "serial_normalise") {
		in := cases.Decode[struct{ Typed string }](t, c.Input)
		want := cases.Decode[struct{ Serial, Print, Error string }](t, c.Expected)
		got, err := Normalise(in.Typed)
		if want.Error != "" {
			if codes[want.Error] == nil || !errors.Is(err, codes[want.Error]) {
				t.Errorf("%s: %q gives %s, %v; want %s", c.ID, in.Typed, got, err, want.Error)
			}
			continue
		}
		if err != nil || got != want.Serial || Print(got) != want.Print {
			t.Errorf("%s: %q gives %s, printed %s, %v; want %s, %s", c.ID, in.Typed, got, Print(got), err, want.Serial, want.Print)
		}
	}
}

// W26000051 and P26A00016 are serials of the cases.
func TestNormalise(t *testing.T) {
	for typed, want := range map[string]string{
		"]C0W26000051\r\n":      "W26000051",
		"]d1W26-00005-1":        "W26000051",
		"]Q1w26oooo5l":          "W26000051",
		" w26 00005 1 ":         "W26000051",
		"W26\u201100005\u20131": "W26000051",
		"p26-a0001-6":           "P26A00016",
	} {
		if got, err := Normalise(typed); err != nil || got != want {
			t.Errorf("%q gives %q, %v; want %s", typed, got, err, want)
		}
	}
	for _, typed := range []string{
		"", "]C0", "]", "W", "0.21", "12345678", "W260000511", "W2600U051", "WA6000051", "X26-00005-1", "W26_00005_1",
		"W26\u00e900051", "MOT-4711-2026", strings.Repeat("W26000051", 1000), "W26\x0000051",
	} {
		if got, err := Normalise(typed); !errors.Is(err, ErrFormat) || got != "" {
			t.Errorf("%q gives %q, %v; want ErrFormat", typed, got, err)
		} else if len(err.Error()) > 200 {
			t.Errorf("error of %d bytes", len(err.Error()))
		}
	}
	for _, typed := range []string{"W26000052", "W27000051", "P26000051", "W26000501"} {
		if got, err := Normalise(typed); !errors.Is(err, ErrCheck) {
			t.Errorf("%q gives %q, %v; want ErrCheck", typed, got, err)
		}
	}
}

// Whatever is handed out is read again, also as it is printed, in small
// letters and with look-alike letters for the digits.
func TestEverySerialIsReadAgain(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		kind := Kind(rapid.SampledFrom([]byte(kinds)).Draw(r, "kind"))
		after := rapid.IntRange(0, MaxCounter-100).Draw(r, "after")
		serial, counter, err := Next(kind, rapid.IntRange(0, 99).Draw(r, "year"), after)
		if err != nil || counter <= after || KindOf(serial) != kind {
			r.Fatalf("%s, %d, %v", serial, counter, err)
		}
		lookalike := strings.NewReplacer("1", "l", "0", "O").Replace(serial)
		for _, typed := range []string{serial, Print(serial), strings.ToLower(serial), "]C0" + serial + "\r\n", lookalike} {
			if got, err := Normalise(typed); err != nil || got != serial {
				r.Fatalf("%s typed as %q is read as %q, %v", serial, typed, got, err)
			}
		}
		// One wrong character is never another serial.
		i := rapid.IntRange(3, serialLength-1).Draw(r, "place")
		wrong := rapid.SampledFrom([]byte(crockford)).Draw(r, "wrong")
		if typed := serial[:i] + string(wrong) + serial[i+1:]; wrong != serial[i] {
			if got, err := Normalise(typed); !errors.Is(err, ErrCheck) {
				r.Fatalf("%s misread as %s is taken for %q, %v", serial, typed, got, err)
			}
		}
		if tail, ok := NormaliseTail(strings.ToLower(Print(serial)[len("W26-0"):])); !ok || tail != Tail(serial) {
			r.Fatalf("tail of %s: %q, %t", serial, tail, ok)
		}
	})
}

func TestPrintAndTail(t *testing.T) {
	tests := []struct{ serial, printed, tail string }{
		{"W26000051", "W26-00005-1", "00051"},
		{"MOT4711", "MOT4711", "T4711"},
		{"A1", "A1", "A1"},
		{"", "", ""},
		{"123456789", "123456789", "56789"},
	}
	for _, test := range tests {
		if got := Print(test.serial); got != test.printed {
			t.Errorf("Print(%q) = %q; want %q", test.serial, got, test.printed)
		}
		if got := Tail(test.serial); got != test.tail {
			t.Errorf("Tail(%q) = %q; want %q", test.serial, got, test.tail)
		}
	}
}

func TestNormaliseTail(t *testing.T) {
	for typed, want := range map[string]string{
		"00051": "00051", "0005-1": "00051", "00005-1": "00051", "00005 1": "00051", "005-1": "00051", "0051": "00051",
		" 0005-l\n": "00051", "oo05-i": "00051", "a00k8": "A00K8",
	} {
		if got, ok := NormaliseTail(typed); !ok || got != want {
			t.Errorf("%q gives %q, %t; want %s", typed, got, ok, want)
		}
	}
	for _, typed := range []string{"", "-", "051", "5-1", "0000051", "W26000051", "00U51", "0.051", "000_1", "\u00e90051"} {
		if got, ok := NormaliseTail(typed); ok {
			t.Errorf("%q gives %q; want none", typed, got)
		}
	}
}

func FuzzNormalise(f *testing.F) {
	for _, seed := range []string{"W26000051", "w26-00005-1", "]C0W26000051\r\n", "W26OOOO51", "X", "]"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		serial, err := Normalise(typed)
		if err != nil {
			if !errors.Is(err, ErrFormat) && !errors.Is(err, ErrCheck) {
				t.Errorf("%q: %v", typed, err)
			}
			return
		}
		if again, err := Normalise(Print(serial)); err != nil || again != serial {
			t.Errorf("%q is %s, printed %s, read as %s, %v", typed, serial, Print(serial), again, err)
		}
	})
}
