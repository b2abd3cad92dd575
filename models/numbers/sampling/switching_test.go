package sampling

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// follow returns the standings after each lot.
func follow(t *testing.T, i *Inspector, lots ...LotResult) []Standing {
	t.Helper()
	var standings []Standing
	for _, lot := range lots {
		s, err := i.Next(lot)
		if err != nil {
			t.Fatalf("%+v: %v", lot, err)
		}
		standings = append(standings, s)
	}
	return standings
}

var (
	good = LotResult{Accepted: true, Accept: 1}
	bad  = LotResult{Accept: 1}
	// Judged by a plan with an acceptance number of 2.
	goodTighter = LotResult{Accepted: true, Accept: 2, AcceptedTighter: true}
	goodBarely  = LotResult{Accepted: true, Accept: 2}
)

func times(n int, lot LotResult) []LotResult { return slices.Repeat([]LotResult{lot}, n) }

// ISO 2859-1:1999, 9.3: rules that the worked cases do not reach.
func TestSwitching(t *testing.T) {
	irregular, unwanted := good, good
	irregular.Irregular, unwanted.NotReduced = true, true
	for _, test := range []struct {
		name     string
		lots     []LotResult
		severity Severity
		score    int
	}{
		{"a score of three a lot from acceptance number 2 on", times(9, goodTighter), Normal, 27},
		{"thirty of it", times(10, goodTighter), Reduced, 30},
		{"accepted, but not one step tighter: score lost", append(times(9, goodTighter), goodBarely), Normal, 0},
		{"mixed numbers", append(times(9, goodTighter), good), Normal, 29},
		{"two lost, but six lots apart", []LotResult{bad, good, good, good, good, bad}, Normal, 0},
		{"two lost, five lots apart", []LotResult{bad, good, good, good, bad}, Tightened, 0},
		{"irregular production keeps normal", append(times(14, good), irregular), Normal, 30},
		{"and reduced follows when it is steady", append(times(14, good), irregular, good), Reduced, 32},
		{"reduced not wanted", append(times(14, good), unwanted), Normal, 30},
		{"reduced ends with irregular production", append(times(15, good), irregular), Normal, 0},
		{"reduced ends when it is no longer wanted", append(times(15, good), unwanted), Normal, 0},
		{"the lot that ended reduced is not one of two", append(times(15, good), bad, bad), Normal, 0},
		{"but two after it are", append(times(15, good), bad, bad, bad), Tightened, 0},
		{"tightened: a run broken starts again", append([]LotResult{bad, bad}, append(append(times(4, good), bad), times(4, good)...)...), Tightened, 0},
		{"normal after tightened starts afresh", append([]LotResult{bad, bad}, append(times(5, good), bad)...), Normal, 0},
		{"discontinued for good", append(times(7, bad), times(9, good)...), Discontinued, 0},
	} {
		t.Run(test.name, func(t *testing.T) {
			var i Inspector
			standings := follow(t, &i, test.lots...)
			last := standings[len(standings)-1]
			if last.Severity != test.severity || last.Score != test.score {
				t.Errorf("got %+v; want %s and %d", standings, test.severity, test.score)
			}
		})
	}
}

func TestSwitchingSaysWhy(t *testing.T) {
	var i Inspector
	standings := follow(t, &i, bad, good, bad, good)
	want := []string{"", "", "2 of the last 3 lots not accepted", ""}
	for n, s := range standings {
		if s.Why != want[n] {
			t.Errorf("lot %d: %q; want %q", n+1, s.Why, want[n])
		}
	}
}

func TestResume(t *testing.T) {
	i := Resume()
	if got := follow(t, i, times(4, good)...); got[3].Severity != Tightened {
		t.Errorf("after four: %+v", got[3])
	}
	if got := follow(t, i, good); got[0].Severity != Normal {
		t.Errorf("after five: %+v", got[0])
	}
}

func TestSwitchingRefuses(t *testing.T) {
	var i Inspector
	_, err := i.Next(LotResult{Accepted: true, Accept: -1})
	wantArgument(t, err, "ac", stats.ErrOutOfRange)
	_, err = i.Next(LotResult{Accept: 2, AcceptedTighter: true})
	wantArgument(t, err, "tighter_ok", stats.ErrOutOfRange)
	if got := follow(t, &i, good); got[0] != (Standing{Severity: Normal, Score: 2}) {
		t.Errorf("a refused lot left a trace: %+v", got)
	}
}

// Whatever comes, severities follow one another only by the arrows of the
// standard, and the score stays what it can be.
func TestSwitchingMovesByTheArrows(t *testing.T) {
	arrows := map[Severity][]Severity{
		Normal: {Tightened, Reduced}, Tightened: {Normal, Discontinued}, Reduced: {Normal},
	}
	rapid.Check(t, func(t *rapid.T) {
		var i Inspector
		before := Normal
		for range rapid.IntRange(1, 200).Draw(t, "lots") {
			lot := LotResult{
				Accepted: rapid.IntRange(0, 5).Draw(t, "accepted") > 0, Accept: rapid.IntRange(0, 3).Draw(t, "ac"),
				Irregular: rapid.IntRange(0, 9).Draw(t, "irregular") == 0,
			}
			lot.AcceptedTighter = lot.Accepted && rapid.Bool().Draw(t, "tighter")
			s, err := i.Next(lot)
			if err != nil {
				t.Fatal(err)
			}
			moved := s.Severity != before
			if moved && !slices.Contains(arrows[before], s.Severity) || moved != (s.Why != "") {
				t.Fatalf("from %s to %+v", before, s)
			}
			if s.Score < 0 || s.Score > 0 && (s.Severity == Tightened || s.Severity == Discontinued) || s.Severity == Reduced && s.Score < scoreForReduced {
				t.Fatalf("score of %+v", s)
			}
			before = s.Severity
		}
	})
}
