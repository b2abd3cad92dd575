package main

import (
	"encoding/json"
	"net/url"
	"strings"
	"testing"
	"time"

	"tracewright/testdata/demo"
)

// told is what a test reads of the answer about failures.
type toldFailures struct {
	Inspected int `json:"inspected"`
	Failed    int `json:"failed"`
	Waiting   int `json:"waiting"`
	Causes    []struct {
		Code  string `json:"code"`
		Share struct{ K, N int }
	} `json:"causes"`
	Cuts []struct {
		By       string `json:"by"`
		Compared int    `json:"compared"`
		Groups   []struct {
			Name     string  `json:"name"`
			Failed   int     `json:"failed"`
			N        int     `json:"n"`
			Expected float64 `json:"expected"`
			Signal   string  `json:"signal"`
		} `json:"groups"`
	} `json:"cuts"`
	Sentences []struct {
		Code    string `json:"code"`
		Message string `json:"message"`
	} `json:"sentences"`
}

func (s askedShop) failures(t testing.TB, q url.Values) (told toldFailures, page string) {
	t.Helper()
	if err := json.Unmarshal([]byte(s.read(t, "/api/v1/failures?"+q.Encode())), &told); err != nil {
		t.Fatal(err)
	}
	if told.Waiting > 0 {
		t.Fatalf("%d days are not summed up", told.Waiting)
	}
	return told, s.read(t, "/failures?"+q.Encode())
}

func days(from, to time.Time) url.Values {
	return url.Values{"from": {from.Format(time.DateOnly)}, "to": {to.Format(time.DateOnly)}}
}

// While the guide roller of a stand wears, lateral run-out fails most, and more
// there than the products and months give; the page says so in the words of the
// interface. No builder is named as better or worse for a cause that is the stand's.
func TestWhatFailsTellsOfTheWornRoller(t *testing.T) {
	s := ask(t, demo.Story, 1)
	q := days(s.truth.RollerFrom.Add(s.truth.RollerReplaced.Sub(s.truth.RollerFrom)/2), s.truth.RollerReplaced)
	q.Set("code", "W01")
	told, page := s.failures(t, q)
	if len(told.Causes) == 0 || told.Causes[0].Code != "W01" || !strings.HasPrefix(told.Sentences[0].Message, "Lateral run-out high fails most") {
		t.Fatalf("what fails most: %+v, %q", told.Causes, told.Sentences[0].Message)
	}
	found := false
	for _, c := range told.Cuts {
		for _, g := range c.Groups {
			if c.By == "place" && g.Name == s.truth.RollerStand && g.Signal == "high" && float64(g.Failed) > g.Expected {
				found = true
			}
		}
	}
	if !found {
		t.Errorf("nothing is said of %s: %+v", s.truth.RollerStand, told.Cuts)
	}
	for _, x := range told.Sentences {
		sentence := strings.TrimSuffix(x.Message, ".")
		if strings.HasPrefix(x.Code, "failures_of_one_") && !strings.Contains(page, sentence) {
			t.Errorf("the page does not say %q", sentence)
		}
	}
}

// Fewer of the builder's wheels need a second round over the months: held against
// the whole shop that is told month by month, and she is ranked nowhere.
func TestWhatFailsRanksNobody(t *testing.T) {
	s := ask(t, demo.Story, 1)
	told, page := s.failures(t, days(askedDay.AddDate(0, -9, 0), askedDay))
	rounds := ""
	for _, x := range told.Sentences {
		if strings.HasPrefix(x.Code, "failures_again_") {
			rounds = x.Message
		}
	}
	if rounds == "" || !strings.Contains(page, rounds) {
		t.Errorf("nothing is said of rounds by month: %q", rounds)
	}
	for _, c := range told.Cuts {
		for i := range c.Groups {
			if i > 0 && c.Groups[i].Name < c.Groups[i-1].Name {
				t.Errorf("by %s, %s stands before %s", c.By, c.Groups[i-1].Name, c.Groups[i].Name)
			}
		}
	}
	for _, word := range []string{"best", "worst", "rank"} {
		if strings.Contains(strings.ToLower(page), word) {
			t.Errorf("the page says %q", word)
		}
	}
}

// In the shop where nothing happens no group lies outside its limits. A list of groups
// that do not differ has one outside in at most 1 of 20 shops; in this one none has.
func TestWhatFailsIsQuietWhereNothingHappens(t *testing.T) {
	s := ask(t, demo.Quiet, 1)
	told, _ := s.failures(t, days(askedDay.AddDate(0, -9, 0), askedDay))
	if told.Inspected < 1000 {
		t.Fatalf("%d first sets", told.Inspected)
	}
	outside, compared := 0, 0
	for _, c := range told.Cuts {
		compared += c.Compared
		for _, g := range c.Groups {
			if g.Signal != "" {
				outside++
				t.Logf("by %s of %d, %s: %d of %d, %.1f expected", c.By, c.Compared, g.Name, g.Failed, g.N, g.Expected)
			}
		}
	}
	if compared < 40 {
		t.Errorf("only %d groups were compared", compared)
	}
	if outside > 0 {
		t.Errorf("%d groups differ where nothing was planted", outside)
	}
}
