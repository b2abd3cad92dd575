package trail_test

import (
	"errors"
	"strings"
	"testing"

	"tracewright/models/trail"
)

type written func(*trail.Object)

func (w written) WriteCanonical(o *trail.Object) { w(o) }

// What names its members itself reads as the same members of a map.
func TestWrittenAsAMapWouldBe(t *testing.T) {
	long := strings.Repeat("w", 300)
	got, err := trail.Canonical([]any{written(func(o *trail.Object) {
		o.Value("a", []any{written(func(o *trail.Object) { o.Text("q", "\"\u00fc\n") }), written(func(*trail.Object) {})})
		o.Filled("b", "")
		o.Filled("c", long)
		o.Text("d", "")
		o.Whole("e", -7)
		o.Value("f", []string{"x"})
		o.Value("g", true)
	})})
	if err != nil {
		t.Fatal(err)
	}
	want, err := trail.Canonical([]any{map[string]any{"a": []any{map[string]any{"q": "\"\u00fc\n"}, map[string]any{}},
		"c": long, "d": "", "e": -7, "f": []string{"x"}, "g": true}})
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("written %s\nas a map %s", got, want)
	}
	if parsed, err := trail.CanonicalJSON(got); err != nil || string(parsed) != string(got) {
		t.Errorf("read again as %s, %v", parsed, err)
	}
}

func TestWrittenRefuses(t *testing.T) {
	for name, w := range map[string]written{
		"another order":        func(o *trail.Object) { o.Text("b", "1"); o.Text("a", "2") },
		"a name twice":         func(o *trail.Object) { o.Text("a", "1"); o.Whole("a", 2) },
		"no name":              func(o *trail.Object) { o.Text("", "1") },
		"a name beyond ASCII":  func(o *trail.Object) { o.Text("\u00fc", "1") },
		"a name to be escaped": func(o *trail.Object) { o.Text("a\"", "1") },
		"the fault of a value": func(o *trail.Object) { o.Value("a", make(chan int)) },
		"the fault of one inside": func(o *trail.Object) {
			o.Value("a", written(func(o *trail.Object) { o.Text("b", "1"); o.Text("a", "2") }))
			o.Text("z", "1")
		},
	} {
		if out, err := trail.Canonical(map[string]any{"in": w}); !errors.Is(err, trail.ErrType) || out != nil {
			t.Errorf("%s: %q, %v", name, out, err)
		}
	}
	if _, err := trail.Canonical(written(func(o *trail.Object) { o.Text("a", "\xff") })); !errors.Is(err, trail.ErrEncoding) {
		t.Errorf("text that is not UTF-8: %v", err)
	}
	if _, err := trail.Canonical(written(func(o *trail.Object) { o.Whole("a", 1<<53) })); !errors.Is(err, trail.ErrNumberRange) {
		t.Errorf("a number that binary64 does not hold: %v", err)
	}
}
