package sampling

import (
	"encoding/csv"
	"errors"
	"os"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// table reads a table of testdata/reference, its heading left out; the origin
// stands in the README beside it.
func table(t *testing.T, name string) [][]string {
	t.Helper()
	file, err := os.Open("../../../testdata/reference/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	return rows[1:]
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func whole(t *testing.T, text string) int {
	t.Helper()
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// Table I of MIL-STD-105E, both ends of every range.
func TestCodeLetters(t *testing.T) {
	for _, row := range table(t, "milstd105e_code_letters.csv") {
		lots := []int{whole(t, row[0]), MaxLot}
		if row[1] != "" {
			lots[1] = whole(t, row[1])
		}
		for _, lot := range lots {
			for i, level := range levels {
				if got, err := CodeLetter(lot, level); err != nil || string(got) != row[2+i] {
					t.Errorf("lot %d, level %s: %q, %v; table %s", lot, level, got, err, row[2+i])
				}
			}
		}
	}
}

// Tables II-A and II-B of MIL-STD-105E, cell by cell, each arrow followed.
func TestMasterTables(t *testing.T) {
	for severity, name := range map[Severity]string{Normal: "milstd105e_normal.csv", Tightened: "milstd105e_tightened.csv"} {
		checked, refused := 0, 0
		for _, row := range table(t, name) {
			letter, aql := Letter(row[0]), number(t, row[2])
			if letter == "S" {
				continue // Reached by an arrow only.
			}
			got, err := Lookup(letter, aql, severity)
			if row[6] == "" {
				if refused++; !errors.Is(err, ErrUnsettled) {
					t.Errorf("%s %s/%v: %+v, %v; want it refused", severity, letter, aql, got, err)
				}
				continue
			}
			checked++
			want := Plan{letter, Letter(row[6]), severity, Single{whole(t, row[7]), whole(t, row[8])}}
			if err != nil || got != want || got.Reject() != whole(t, row[9]) {
				t.Errorf("%s %s/%v: %+v, %v; table %+v", severity, letter, aql, got, err, want)
			}
		}
		if checked+refused != 16*len(AQLs()) || (severity == Tightened) != (refused == 1) {
			t.Errorf("%s: %d cells checked and %d refused of %d", severity, checked, refused, 16*len(AQLs()))
		}
	}
}

func TestInspectAll(t *testing.T) {
	plan, err := For(5, LevelII, 0.65, Normal)
	// Letter A leads to F, 20 pieces: more than there are.
	if err != nil || plan.Size != 20 || !plan.InspectAll(5) || !plan.InspectAll(20) || plan.InspectAll(21) {
		t.Errorf("%+v, %v", plan, err)
	}
}

func TestNoPlan(t *testing.T) {
	for _, test := range []struct {
		name     string
		argument string
		err      error
		call     func() error
	}{
		{"lot of one", "lot", stats.ErrOutOfRange, func() error { _, err := CodeLetter(1, LevelII); return err }},
		{"negative lot", "lot", stats.ErrOutOfRange, func() error { _, err := For(-5, LevelII, 1, Normal); return err }},
		{"lot beyond all", "lot", stats.ErrOutOfRange, func() error { _, err := CodeLetter(1e18, LevelII); return err }},
		{"unknown level", "level", stats.ErrOutOfRange, func() error { _, err := CodeLetter(100, "IV"); return err }},
		{"AQL between columns", "aql", stats.ErrOutOfRange, func() error { _, err := For(100, LevelII, 1.2, Normal); return err }},
		{"AQL of nothing", "aql", stats.ErrOutOfRange, func() error { _, err := For(100, LevelII, 0, Normal); return err }},
		{"letter I", "letter", stats.ErrOutOfRange, func() error { _, err := Lookup("I", 1, Normal); return err }},
		{"letter S", "letter", stats.ErrOutOfRange, func() error { _, err := Lookup("S", 0.025, Tightened); return err }},
		{"reduced", "severity", ErrNoTable, func() error { _, err := For(100, LevelII, 1, Reduced); return err }},
		{"unsettled cell", "aql", ErrUnsettled, func() error { _, err := For(MaxLot, LevelIII, 0.015, Tightened); return err }},
	} {
		t.Run(test.name, func(t *testing.T) { wantArgument(t, test.call(), test.argument, test.err) })
	}
}

// wantArgument checks that an error is about an argument and wraps a reason.
func wantArgument(t *testing.T, err error, argument string, reason error) {
	t.Helper()
	var named *stats.ArgumentError
	if !errors.As(err, &named) || named.Argument != argument || !errors.Is(err, reason) {
		t.Errorf("got %v; want %v about %s", err, reason, argument)
	}
}

// A tightened plan is never more lenient, down to qualities that normal
// inspection accepts once in a hundred lots. In one cell the curves cross far
// beyond the AQL, where an arrow leads normal inspection to a larger sample:
// letter A at 10, normal 5 pieces with one bad, tightened 2 pieces with none.
func TestTightenedIsNotMoreLenient(t *testing.T) {
	for _, r := range normalTable {
		for _, aql := range aqls {
			normal, err := Lookup(r.letter, aql, Normal)
			if err != nil {
				t.Fatal(err)
			}
			tightened, err := Lookup(r.letter, aql, Tightened)
			if errors.Is(err, ErrUnsettled) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			// By counts, the model of the tables for all AQLs.
			for times := 0.05; ; times *= 1.1 {
				byNormal, err := normal.Poisson(times * aql / 100)
				if err != nil {
					t.Fatal(err)
				}
				byTightened, err := tightened.Poisson(times * aql / 100)
				if err != nil {
					t.Fatal(err)
				}
				if r.letter == "A" && aql == 10 && byNormal < 0.6 || byNormal < 0.01 {
					break
				}
				if byTightened > byNormal+1e-12 {
					t.Errorf("%s, %v times %v: normal %d/%d accepts %.6f, tightened %d/%d %.6f", r.letter, times, aql,
						normal.Size, normal.Accept, byNormal, tightened.Size, tightened.Accept, byTightened)
				}
			}
		}
	}
}

// A larger lot is never given a smaller code letter.
func TestLettersGrow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		level := rapid.SampledFrom(levels).Draw(t, "level")
		lot := rapid.IntRange(2, 1_000_000).Draw(t, "lot")
		larger := rapid.IntRange(lot, 1_000_000).Draw(t, "larger")
		a, err := CodeLetter(lot, level)
		b, errB := CodeLetter(larger, level)
		if err != nil || errB != nil || b < a {
			t.Errorf("%d: %s, %d: %s; %v, %v", lot, a, larger, b, err, errB)
		}
	})
}
