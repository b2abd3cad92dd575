package main

import (
	"context"
	"encoding/json"
	"math"
	"net/url"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/finder"
	"tracewright/testdata/demo"
)

// differencesAnswer is what the interface says of what differs.
type differencesAnswer struct {
	Searching bool
	Cuts      int
	Findings  []struct {
		ID, Result string
		Family     struct{ ID string }
		Part       struct{ Cut, Name, Shape, From, Until string }
		Effect     float64
		Chance     struct{ P float64 }
		Low        float64
		High       float64
		Returned   *struct {
			Count    int
			Expected float64
		}
		Sentence struct{ Message string }
		Same     []struct{ Message string }
	}
}

func (s askedShop) differences(t *testing.T) differencesAnswer {
	t.Helper()
	var a differencesAnswer
	if err := json.Unmarshal([]byte(s.read(t, "/api/v1/differences?wait=yes")), &a); err != nil {
		t.Fatal(err)
	}
	return a
}

// The five stories of the invented shop are among what differs, with about their
// sizes and days: of a wear that grows the days on which it shows, the second half
// at the least.
func TestTheStoriesAreFound(t *testing.T) {
	s := ask(t, demo.Story, 1)
	truth := s.truth
	a := s.differences(t)
	near := func(day string, want time.Time, days float64) bool {
		d, err := time.Parse(time.DateOnly, day)
		return err == nil && math.Abs(d.Sub(want).Hours()/24) <= days
	}
	found := map[string]bool{}
	for _, f := range a.Findings {
		says := func(name, begins string, others ...string) {
			found[name] = true
			if f.Chance.P > 0.0005 {
				t.Errorf("%s comes up in %v", name, f.Chance.P)
			}
			for _, part := range append(others, "with the days shuffled", " of 10,000") {
				if !strings.HasPrefix(f.Sentence.Message, begins) || !strings.Contains(f.Sentence.Message, part) {
					t.Errorf("%s is said as %q", name, f.Sentence.Message)
				}
			}
		}
		switch {
		case f.Part.Cut == finder.ByStand && f.Part.Name == truth.RollerStand && f.Result == "lateral_tir":
			half := truth.RollerFrom.Add(truth.RollerReplaced.Sub(truth.RollerFrom) / 2)
			from, err := time.Parse(time.DateOnly, f.Part.From)
			if err != nil || from.Before(truth.RollerFrom.AddDate(0, 0, -7)) || from.After(half.AddDate(0, 0, 7)) || !near(f.Part.Until, truth.RollerReplaced, 7) || f.Effect < 0.03 || f.Effect > truth.RollerAtEnd {
				t.Errorf("the roller wears from %s to %s: %s", truth.RollerFrom, truth.RollerReplaced, f.Sentence.Message)
			}
			says("roller", "Stand 2, lateral run-out", "likely a little high because it was picked")
		case f.Part.Cut == finder.ByLot && f.Part.Name == truth.SpokeLot && f.Result == finder.TensionLoss:
			// Others lose 3 % on average.
			if want := 100*truth.SpokeLoss - 3; f.Low > want+1 || f.High < want-1 {
				t.Errorf("the lot loses %.0f %% more: %s", want, f.Sentence.Message)
			}
			says("tension lost", "Lot "+truth.SpokeLot+", spokes, tension lost")
		case f.Part.Cut == finder.ByLot && f.Part.Name == truth.SpokeLot && f.Result == finder.Returns:
			if f.Returned == nil || float64(f.Returned.Count) < 3*f.Returned.Expected {
				t.Errorf("returns: %s", f.Sentence.Message)
			}
			says("returns", "Lot "+truth.SpokeLot, "came back")
		case f.Part.Cut == finder.ByGauge && f.Part.Name == truth.Gauge && f.Result == "tension_mean_tight":
			// 4.8 % of some 1,050 N.
			if want := truth.GaugeHigh * 1050; !near(f.Part.From, truth.GaugeFrom, 7) || f.Low > want+5 || f.High < want-5 {
				t.Errorf("the gauge reads %.0f N high from %s: %s", want, truth.GaugeFrom, f.Sentence.Message)
			}
			says("gauge", "Gauge T-32, mean tension", "since ")
		case f.Part.Cut == finder.ByLot && f.Part.Name == truth.BlockLot && f.Result == finder.VoltageFall:
			if want := 1000 * truth.BlockFall * 0.9; f.Low > want+0.3 || f.High < want-0.3 {
				t.Errorf("the lot falls by %.2f mV a day more: %s", want, f.Sentence.Message)
			}
			says("block lot", "Lot "+truth.BlockLot+", blocks, fall")
		case f.Part.Cut == finder.ByBuilder && f.Part.Name == truth.Improver:
			if f.Effect >= 0 || f.Part.Shape == finder.Level {
				t.Errorf("the improver's work gets better: %s", f.Sentence.Message)
			}
			if f.Result == "lateral_tir" {
				says("improver", truth.Improver+", lateral run-out", "−")
			}
		case f.Part.Cut == finder.ByGauge && f.Part.Name == truth.Gauge, f.Part.Cut == finder.ByStand && f.Part.Name == truth.RollerStand && strings.HasPrefix(f.Result, "tension"):
			// The same gauge by its other results, or by its stand.
			if f.Effect <= 0 || !near(f.Part.From, truth.GaugeFrom, 7) {
				t.Errorf("beside the gauge: %s", f.Sentence.Message)
			}
		case f.Part.Cut == finder.ByStand, f.Part.Cut == finder.ByGauge:
			t.Errorf("nothing of the sort was planted: %s", f.Sentence.Message)
		}
	}
	for _, name := range []string{"roller", "tension lost", "returns", "gauge", "block lot", "improver"} {
		if !found[name] {
			t.Errorf("not found: %s", name)
		}
	}
	if len(a.Findings) > 24 || a.Cuts < 1000 {
		t.Errorf("%d findings among %d cuts", len(a.Findings), a.Cuts)
	}
}

// The page says what the interface says, word for word, of each and of every one
// of them alone.
func TestThePageOfDifferencesSaysTheSame(t *testing.T) {
	s := ask(t, demo.Story, 1)
	a := s.differences(t)
	plain := func(html string) string {
		return strings.NewReplacer("&#39;", "'", "&#43;", "+", "&amp;", "&").Replace(html)
	}
	page := plain(s.read(t, "/differences"))
	for _, f := range a.Findings {
		if !strings.Contains(page, f.Sentence.Message) {
			t.Errorf("not on the page: %s", f.Sentence.Message)
		}
	}
	one := a.Findings[1]
	if alone := plain(s.read(t, "/differences?finding="+url.QueryEscape(one.ID))); !strings.Contains(alone, one.Sentence.Message) || !strings.Contains(alone, "/items/W") {
		t.Errorf("%s shows no value of its own", one.ID)
	}
}

// A shop of which nothing is told has nothing to find. TRACEWRIGHT_QUIET=20 asks that
// many shops: of them four may list something, where one in 20 is expected.
func TestAQuietShopListsNothing(t *testing.T) {
	seeds, most := 1, 0
	if n, err := strconv.Atoi(os.Getenv("TRACEWRIGHT_QUIET")); err == nil && n > 1 {
		seeds, most = n, n/5
	}
	lists := 0
	for seed := range seeds {
		a := ask(t, demo.Quiet, uint64(seed+1)).differences(t)
		if len(a.Findings) > 0 {
			lists++
		}
		for _, f := range a.Findings {
			t.Logf("quiet shop %d: %s", seed+1, f.Sentence.Message)
		}
	}
	if lists > most {
		t.Errorf("%d of %d quiet shops list a difference, at most %d may", lists, seeds, most)
	}
	t.Logf("%d of %d quiet shops list a difference", lists, seeds)
}

// Before and after the day from which the gauge reads high, at its stand: the
// difference is shown with its size, and over a day on which nothing happened none
// is.
func TestBeforeAndAfterTheGaugeWentWrong(t *testing.T) {
	s := ask(t, demo.Story, 1)
	var family string
	for _, f := range s.differences(t).Findings {
		if f.Result == "tension_mean_tight" && f.Part.Cut == finder.ByGauge {
			family = f.Family.ID
		}
	}
	type answer struct {
		Effect, Low, High *float64
		Answer            struct{ Code, Message string }
		Notes             []struct{ Code, Message string }
	}
	over := func(day time.Time, place string) (a answer) {
		query := url.Values{"family": {family}, "result": {"tension_mean_tight"}, "place": {place}, "days": {"60"}, "at": {day.Format(time.DateOnly)}}
		body := s.read(t, "/api/v1/effect?"+query.Encode())
		if err := json.Unmarshal([]byte(body), &a); err != nil {
			t.Fatal(err)
		}
		if page := s.read(t, "/effect?"+query.Encode()); !strings.Contains(strings.ReplaceAll(page, "&#43;", "+"), a.Answer.Message) {
			t.Errorf("the page does not say %q", a.Answer.Message)
		}
		return a
	}
	high := over(s.truth.GaugeFrom, "stand 2")
	want := s.truth.GaugeHigh * 1050
	if high.Answer.Code != "effect_rose" || *high.Low > want+5 || *high.High < want-5 {
		t.Errorf("the gauge reads %.0f N high: %+v", want, high.Answer)
	}
	if len(high.Notes) == 0 || high.Notes[0].Code != "effect_chosen" {
		t.Errorf("a typed day is said to be chosen: %+v", high.Notes)
	}
	if sound := over(s.truth.GaugeFrom, "stand 1"); sound.Answer.Code != "effect_none" {
		t.Errorf("the other stand's gauge is sound: %+v", sound.Answer)
	}
}

// What a review says of a time: the worn roller in the month in which it shows and
// not in the one before it began, and of each corrective action what came of it, all
// in words.
func TestWhatAReviewSaysOfDifferences(t *testing.T) {
	s := ask(t, demo.Story, 1)
	english := words.In("en")
	said := func(from, to time.Time) (all []string) {
		for _, f := range []func(context.Context, time.Time, time.Time) ([]models.Sentence, error){s.app.Services.Finder.Said, s.app.Services.Effect.Said} {
			list, err := f(t.Context(), from, to)
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range list {
				text := english.Remark(x.Remark)
				if strings.ContainsAny(text, "{}[]") || x.About == "" {
					t.Errorf("without words: %s", text)
				}
				all = append(all, text)
			}
		}
		return all
	}
	roller := func(list []string) bool {
		return slices.ContainsFunc(list, func(text string) bool { return strings.HasPrefix(text, "Stand 2, lateral run-out") })
	}
	september := time.Date(2031, 9, 1, 0, 0, 0, 0, time.UTC)
	if list := said(september, september.AddDate(0, 1, 0)); !roller(list) {
		t.Errorf("in September: %q", list)
	}
	if list := said(s.truth.RollerFrom.AddDate(0, -2, 0), s.truth.RollerFrom.AddDate(0, -1, 0)); roller(list) {
		t.Errorf("before the roller wears: %q", list)
	}
	last := said(askedDay.AddDate(0, 0, -7), askedDay)
	if !slices.ContainsFunc(last, func(text string) bool { return strings.HasPrefix(text, "After CA") }) {
		t.Errorf("no corrective action is said of: %q", last)
	}
	t.Logf("%q", last)
}
