package symptom

import (
	"slices"
	"testing"

	"tracewright/models"
)

// Every list ends in codes of its own kind, asks nothing twice, and each of its
// questions can decide.
func TestEveryListEndsInACodeOfItsKind(t *testing.T) {
	letters := map[string]string{models.KindWheel: "W", models.KindPack: "P"}
	seen := map[string]bool{}
	for _, s := range lists {
		if seen[s.Code] {
			t.Errorf("%s stands twice", s.Code)
		}
		seen[s.Code] = true
		codes, asked := []string{s.Otherwise}, map[string]bool{}
		for _, q := range s.Questions {
			if asked[q.Code] {
				t.Errorf("%s asks %s twice", s.Code, q.Code)
			}
			asked[q.Code] = true
			codes = append(codes, q.Yes)
			if got := s.Leads(func(code string) bool { return code == q.Code }); got != q.Yes {
				t.Errorf("%s: %s alone leads to %s, want %s", s.Code, q.Code, got, q.Yes)
			}
		}
		for _, code := range codes {
			if !slices.Contains(models.DefectCodes, code) || code[:1] != letters[s.Kind] {
				t.Errorf("%s of a %s leads to %s", s.Code, s.Kind, code)
			}
		}
		if n := len(slices.Compact(slices.Sorted(slices.Values(codes)))); n != len(codes) {
			t.Errorf("%s has %d codes for %d ends: a question that changes nothing is not asked", s.Code, n, len(codes))
		}
	}
	if w, p := len(For(models.KindWheel)), len(For(models.KindPack)); w < 5 || p < 5 {
		t.Errorf("%d symptoms of wheels and %d of packs", w, p)
	}
}

func TestTheWorstAnswerDecides(t *testing.T) {
	s, ok := Named("spoke_broken")
	if !ok {
		t.Fatal("there is no list for a broken spoke")
	}
	for name, c := range map[string]struct {
		yes  []string
		want string
	}{
		"nothing else is wrong: the spoke":      {nil, "W08"},
		"a worn flange":                         {[]string{"flange_worn"}, "W17"},
		"a cracked rim is worse than a flange":  {[]string{"flange_worn", "rim_cracked"}, "W15"},
		"a question of another list is nothing": {[]string{"case_bulges"}, "W08"},
	} {
		if got := s.Leads(func(q string) bool { return slices.Contains(c.yes, q) }); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}
