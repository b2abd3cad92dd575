package calc

import (
	"errors"
	"fmt"
	"strconv"

	"tracewright/models/trade/ident"
)

// identKinds are serial numbers and check characters.
var identKinds = []Kind{
	{
		Name:    "serial_allocate",
		Does:    "the next serial numbers of a kind and year, and the counter values passed over",
		Source:  "ISO/IEC 7064 MOD 37,36; form of the shop's own",
		Example: `{"prefix":"W26","start":1,"count":3}`,
		Run:     of(serialAllocate),
	},
	{
		Name:    "serial_normalise",
		Does:    "a serial as typed or scanned, in its stored form and as it is printed",
		Source:  "Crockford's Base32 for what looks alike; check by ISO/IEC 7064",
		Example: `{"typed":"w26-oooo5-1"}`,
		Run:     of(serialNormalise),
	},
	{
		Name:    "crockford32_encode",
		Does:    "a number in Crockford's Base32",
		Source:  "D. Crockford, Base 32, 2019",
		Example: `{"n":1234}`,
		Run:     of(crockford),
	},
	{
		Name:    "iso7064_hybrid",
		Does:    "check character of the hybrid systems, modulus 36 (MOD 37,36) or 10 (MOD 11,10)",
		Source:  "ISO/IEC 7064:2003",
		Example: `{"body":"A12425GABC1234002","modulus":36}`,
		Run:     of(hybrid),
	},
	{
		Name:    "iso7064_detects",
		Does:    "wrong characters and swaps of neighbours in a number that its hybrid check does not catch",
		Source:  "ISO/IEC 7064:2003; every one is tried",
		Example: `{"full":"W26A0001M","modulus":36}`,
		Run:     of(hybridDetects),
	},
	{Name: "iso7064_mod97_10", Does: "two check digits MOD 97-10", Source: "ISO/IEC 7064:2003", Example: `{"body":"794"}`, Run: of(checkOf(ident.Mod97))},
	{Name: "iso7064_mod11_2", Does: "check digit MOD 11-2, X for ten", Source: "ISO/IEC 7064:2003", Example: `{"body":"0794"}`, Run: of(checkOf(ident.Mod11))},
	{Name: "damm", Does: "check digit by Damm's quasigroup", Source: "H. M. Damm, thesis, Marburg 2004", Example: `{"body":"572"}`, Run: of(checkOf(ident.Damm))},
	{Name: "luhn", Does: "check digit modulo ten with doubled digits", Source: "ISO/IEC 7812-1, annex B", Example: `{"body":"7992739871"}`, Run: of(checkOf(ident.Luhn))},
	{Name: "gtin14_check", Does: "check digit of an article number of 14 digits", Source: "GS1 General Specifications, 7.9.1", Example: `{"body":"0950600013435"}`, Run: of(articleCheck)},
}

type bodyInput struct {
	Body string `json:"body"`
}

type checkAnswer struct {
	Check string `json:"check"`
}

// errAlphabet says that a character has no value in a check system.
var errAlphabet = errors.New("has a character that this check does not know, or none at all")

func checkOf(system func(string) (string, bool)) func(bodyInput) (checkAnswer, error) {
	return func(in bodyInput) (checkAnswer, error) {
		check, ok := system(in.Body)
		if !ok {
			return checkAnswer{}, refuse("body", errAlphabet)
		}
		return checkAnswer{check}, nil
	}
}

type hybridInput struct {
	Body    string `json:"body"`
	Modulus int    `json:"modulus"`
}

type fullAnswer struct {
	Check string `json:"check"`
	Full  string `json:"full"`
}

func hybrid(in hybridInput) (fullAnswer, error) {
	if err := knownModulus(in.Modulus); err != nil {
		return fullAnswer{}, err
	}
	check, ok := ident.Hybrid(in.Body, in.Modulus)
	if !ok {
		return fullAnswer{}, refuse("body", errAlphabet)
	}
	return fullAnswer{Check: check, Full: in.Body + check}, nil
}

func knownModulus(m int) error {
	if m != 36 && m != 10 {
		return refuse("modulus", errors.New("must be 36 or 10"))
	}
	return nil
}

type detectsInput struct {
	Full    string `json:"full"`
	Modulus int    `json:"modulus"`
}

type detectsAnswer struct {
	Substitutions int   `json:"undetected_single_substitutions"`
	Swaps         []int `json:"undetected_adjacent_swaps_at"`
}

// mostTried bounds how many changes of a number are tried, some 36 a character.
const mostTried = 200

func hybridDetects(in detectsInput) (detectsAnswer, error) {
	if err := knownModulus(in.Modulus); err != nil {
		return detectsAnswer{}, err
	}
	if n := len(in.Full); n < 2 || n > mostTried {
		return detectsAnswer{}, refuse("full", fmt.Errorf("must have 2 to %d characters", mostTried))
	}
	fits := func(full []byte) bool {
		last := len(full) - 1
		check, ok := ident.Hybrid(string(full[:last]), in.Modulus)
		return ok && check == string(full[last])
	}
	if !fits([]byte(in.Full)) {
		return detectsAnswer{}, refuse("full", errors.New("its own check does not fit"))
	}
	out := detectsAnswer{Swaps: []int{}}
	for i := range len(in.Full) {
		changed := []byte(in.Full)
		for _, c := range []byte("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ")[:in.Modulus] {
			if changed[i] = c; c != in.Full[i] && fits(changed) {
				out.Substitutions++
			}
		}
		if i > 0 && in.Full[i] != in.Full[i-1] {
			swapped := []byte(in.Full)
			if swapped[i-1], swapped[i] = swapped[i], swapped[i-1]; fits(swapped) {
				out.Swaps = append(out.Swaps, i-1)
			}
		}
	}
	return out, nil
}

type articleAnswer struct {
	Check string `json:"check"`
	GTIN  string `json:"gtin"`
}

func articleCheck(in bodyInput) (articleAnswer, error) {
	const body = 13
	check, ok := ident.Article(in.Body)
	if !ok || len(in.Body) != body {
		return articleAnswer{}, refuse("body", fmt.Errorf("must be %d digits", body))
	}
	return articleAnswer{Check: check, GTIN: in.Body + check}, nil
}

type numberInput struct {
	N int `json:"n"`
}

type textAnswer struct {
	Text string `json:"text"`
}

func crockford(in numberInput) (textAnswer, error) {
	if in.N < 0 {
		return textAnswer{}, refuse("n", errors.New("must not be negative"))
	}
	return textAnswer{ident.Base32(in.N, 0)}, nil
}

type allocateInput struct {
	Prefix string `json:"prefix"` // kind and year: W26
	Start  int    `json:"start"`
	Count  int    `json:"count"`
}

type allocateAnswer struct {
	Serials []string `json:"serials"`
	Skipped []int    `json:"skipped_numbers"`
}

// mostSerials is how many are made at once.
const mostSerials = 10_000

func serialAllocate(in allocateInput) (allocateAnswer, error) {
	out := allocateAnswer{Serials: []string{}, Skipped: []int{}}
	if len(in.Prefix) != 3 {
		return out, refuse("prefix", errPrefix)
	}
	year, err := strconv.Atoi(in.Prefix[1:])
	if err != nil || year < 0 {
		return out, refuse("prefix", errPrefix)
	}
	if in.Start < 1 || in.Start > ident.MaxCounter {
		return out, refuse("start", fmt.Errorf("must be 1 to %d", ident.MaxCounter))
	}
	if in.Count < 0 || in.Count > mostSerials {
		return out, refuse("count", fmt.Errorf("must be 0 to %d", mostSerials))
	}
	for counter := in.Start - 1; len(out.Serials) < in.Count; {
		before := counter
		serial, at, err := ident.Next(ident.Kind(in.Prefix[0]), year, counter)
		switch {
		case errors.Is(err, ident.ErrUsedUp):
			return out, refuse("count", err)
		case err != nil:
			return out, refuse("prefix", errPrefix)
		}
		counter = at
		for passed := before + 1; passed < at; passed++ {
			out.Skipped = append(out.Skipped, passed)
		}
		out.Serials = append(out.Serials, serial)
	}
	return out, nil
}

var errPrefix = errors.New("must be the letter of a kind and two digits of the year")

type typedInput struct {
	Typed string `json:"typed"`
}

type serialAnswer struct {
	Serial string `json:"serial"`
	Print  string `json:"print"`
}

func serialNormalise(in typedInput) (serialAnswer, error) {
	serial, err := ident.Normalise(in.Typed)
	switch {
	case errors.Is(err, ident.ErrCheck):
		return serialAnswer{}, &Failure{Code: "CHECK", Field: "typed", Problem: err.Error()}
	case err != nil:
		return serialAnswer{}, &Failure{Code: "FORMAT", Field: "typed", Problem: err.Error()}
	}
	return serialAnswer{Serial: serial, Print: ident.Print(serial)}, nil
}
