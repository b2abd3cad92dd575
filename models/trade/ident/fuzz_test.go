package ident

import (
	"errors"
	"strings"
	"testing"
)

// An element string that is read says the same when it is written with brackets and
// read again; one that is not has an error that names the element, or none was there.
func FuzzElements(f *testing.F) {
	for _, s := range []string{"]d2010952123450001811261102", "(01)09521234500018(10)A(21)7", "]C1015712345000014\x1d10ABC\x1d11261102", "(01)", "(", "01", "\x1d", "]Q3(10)\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, scanned string) {
		elements, err := Elements(scanned)
		if err != nil {
			var element *ElementError
			if !errors.As(err, &element) && !errors.Is(err, ErrGS1Form) {
				t.Fatalf("%q: %v", scanned, err)
			}
			return
		}
		var again strings.Builder
		for _, e := range elements {
			if strings.ContainsAny(e.Value, "()\x1d") {
				return // Brackets do not tell these apart.
			}
			again.WriteString("(" + e.AI + ")" + e.Value)
		}
		second, err := Elements(again.String())
		if err != nil || len(second) != len(elements) {
			t.Fatalf("%q is read as %v, written %q, and then read as %v, %v", scanned, elements, again.String(), second, err)
		}
		for i := range second {
			if second[i] != elements[i] {
				t.Fatalf("%q: %v becomes %v", scanned, elements, second)
			}
		}
	})
}

// A token that is read is one as printed, and is read from that as itself.
func FuzzReadToken(f *testing.F) {
	for _, s := range []string{"7ZK3-M9QW-2B4T-X0RD-6NYA-5HJE-Q8VC", "7zk3m9qw2b4tx0rd6nya5hjeq8vc", "oOiIlL", "-", " 7ZK3 M9QW\t2B4T-X0RD-6NYA-5HJE-Q8VC ", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		token, ok := ReadToken(typed)
		if !ok {
			return
		}
		again, ok := ReadToken(token)
		if !ok || again != token || len(strings.ReplaceAll(token, "-", "")) != TokenDigits || strings.Trim(token, "0123456789ABCDEFGHJKMNPQRSTVWXYZ-") != "" {
			t.Errorf("%q is read as %q and that as %q", typed, token, again)
		}
	})
}
