package webtest

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// worn gives the shop sixty days of wheels, one a day at each of two stands, of
// which the second reads half as much again from day 30 on. It gives that day.
func (p *Person) worn() time.Time {
	p.Helper()
	now := p.Shop.Now
	var from time.Time
	for day := range 60 {
		for n, stand := range []string{"stand 1", "stand 2"} {
			p.Shop.Now = now.AddDate(0, 0, day-61).Add(time.Duration(n) * time.Hour)
			x := 20 + (day*7+n*3)%9
			if stand == "stand 2" && day >= 30 {
				x += 12
				if from.IsZero() {
					from = p.Shop.Now
				}
			}
			sub := p.Shop.Extremes()
			sub.Serial, sub.Place = *p.Shop.AnotherWheel().Serial, stand
			sub.Sets[0].Values = []string{fmt.Sprintf("0.%02d", x), "0.00"}
			p.Shop.MustRecord(sub)
		}
	}
	p.Shop.Now = now
	return from
}

// answers is what the interface says to the browser's own session.
func (p *Person) answers(path string, into any) {
	p.Helper()
	body := ask[string](p, `(() => { const x = new XMLHttpRequest(); x.open('GET', `+fmt.Sprintf("%q", path)+`, false); x.send(); return x.responseText })()`)
	p.Shop.Must(json.Unmarshal([]byte(body), into))
}

func (p *Person) noScroll(page string) {
	p.Helper()
	if wide := ask[int](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
		p.Errorf("%s scrolls sideways by %d px", page, wide)
	}
}

// What differs is searched while one waits, said as the interface says it, opened by
// keyboard down to a wheel, and looked at before and after: at a tablet's size and
// a phone's, for everybody.
func TestWhatDiffersAndBeforeAndAfter(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signInAs("owner")
	from := p.worn()
	p.open("/differences") // It opens anew by itself once the search is over.
	p.sees("h1", "by more than chance")
	var said struct {
		Findings []struct {
			ID       string
			Result   string
			Family   struct{ ID string }
			Part     struct{ Cut, Name, From string }
			Sentence struct{ Message string }
		}
	}
	p.answers("/api/v1/differences", &said)
	if len(said.Findings) == 0 {
		t.Fatal("nothing is found")
	}
	flat := func(text string) string { return strings.Join(strings.Fields(text), " ") }
	page := flat(p.text("main"))
	stand := -1
	for i, f := range said.Findings {
		if !strings.Contains(page, flat(f.Sentence.Message)) {
			t.Errorf("the page does not say: %s", f.Sentence.Message)
		}
		if f.Part.Cut == "stand" && f.Part.Name == "stand 2" && f.Result == "lateral_tir" && f.Part.From == from.Format(time.DateOnly) {
			stand = i
		}
	}
	if stand < 0 {
		t.Errorf("stand 2 from %s is not among: %+v", from, said.Findings)
	}
	p.accessible("what differs")
	p.noScroll("what differs")
	p.picture("differences")

	p.tabTo("See every value")
	p.presses(kb.Enter)
	p.sees("h2", "same")
	p.accessible("one difference")
	p.tabTo("values over time")
	p.presses(kb.ArrowLeft)
	p.sees("#readout", "mm")
	p.picture("difference")
	p.presses(kb.Enter)
	p.sees("h1", "mm, and must be at most") // The item that failed for it.
	if at := ask[string](p, `location.pathname`); !strings.HasPrefix(at, "/items/W") {
		t.Errorf("Enter leads to %s", at)
	}

	path := "?family=" + *p.Shop.Item["wheel"].FamilyID + "&result=lateral_tir&place=stand+2&days=90&at=" + from.Format(time.DateOnly)
	var effect struct {
		Answer struct{ Code, Message string }
		Said   struct{ Message string } `json:"chance_said"`
	}
	p.open("/effect" + path)
	p.answers("/api/v1/effect"+path, &effect)
	if effect.Answer.Code != "effect_rose" || flat(p.text("h1")) != flat(effect.Answer.Message) || !strings.Contains(flat(p.text(".sub")), flat(effect.Said.Message)) {
		t.Errorf("the page says %q, %q; the interface %+v", p.text("h1"), p.text(".sub"), effect)
	}
	p.accessible("before and after")
	p.tabTo("values over time")
	p.presses(kb.Home)
	p.sees("#readout", "before")
	p.presses(kb.End)
	p.sees("#readout", "after")
	p.picture("effect")

	p.do(chromedp.EmulateViewport(390, 844))
	for _, path := range []string{"/effect" + path, "/effect", "/effect?on=1999-01-01", "/differences", "/differences?finding=" + strings.ReplaceAll(said.Findings[0].ID, " ", "+")} {
		p.open(path)
		if p.text("h1") == "" {
			t.Errorf("%s has no title", path)
		}
		p.accessible(path + " on a phone")
		p.noScroll(path)
		p.picture("phone")
	}
}
