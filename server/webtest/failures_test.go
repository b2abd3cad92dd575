package webtest

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// measuredBy records first sets of new wheels at a stand: so many that pass, and so
// many that swing too far to the side.
func (p *Person) measuredBy(at time.Time, place string, pass, fail int) {
	p.Helper()
	before, of := p.Shop.Now, p.Shop.Item[models.KindWheel]
	defer func() { p.Shop.Now = before }()
	for n := range pass + fail {
		p.Shop.Now = at.Add(time.Duration(n) * time.Minute)
		made, err := p.Shop.Store.AddItemWithSerial(p.Context(), models.NewStamp(p.Shop.Owner, at.AddDate(0, 0, -1)), models.Item{ID: models.NewID(), Kind: models.KindWheel, FamilyID: of.FamilyID, ProductID: of.ProductID, Origin: "made"}, "W", 31, nil)
		p.Shop.Must(err)
		sub := p.Shop.Extremes()
		sub.Serial, sub.Place = *made.Serial, place
		if n >= pass {
			sub.Sets[0].Values = []string{"2.00", "0.00"}
		}
		if n == pass {
			sub.Sets[1].Values = []string{"3.00", "0.00"}
		}
		p.Shop.MustRecord(sub)
	}
}

// The owner asks what fails: the figures are those of the interface, each bar and
// week opens its wheels by keyboard, groups stand within or outside their limits in
// words, a bad period is said; on a tablet and on a phone, for everybody.
func TestWhatFailsIsReadAndOpened(t *testing.T) {
	for _, size := range []struct {
		name          string
		width, height int64
	}{{"tablet", 1024, 768}, {"phone", 390, 844}} {
		t.Run(size.name, func(t *testing.T) {
			p := sitDown(t, size.width, size.height)
			p.signInAs("owner")
			p.open("/failures")
			p.sees("h1", "No wheels had a first set in these days")
			p.accessible("nothing measured")
			// In two weeks of one month: groups are compared within months.
			early := time.Date(p.Shop.Now.Year(), p.Shop.Now.Month()-1, 8, 9, 0, 0, 0, time.UTC)
			p.measuredBy(early, "stand 1", 38, 2)
			p.measuredBy(early.AddDate(0, 0, 14), "stand 2", 22, 18)
			p.open("/failures")
			p.sees("h1", "Lateral run-out high fails most: 20 of 80 wheels")
			p.sees("main", "At stand 2, 18 of 40 wheels failed at the first set")
			p.picture("failures")
			p.accessible("what fails")

			text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`fetch('/api/v1/failures').then((r) => r.text())`, chromedp.EvalAwaitPromise))
			p.Shop.Must(err)
			var told struct {
				Causes []struct {
					Code  string
					Share struct {
						K, N             int
						Value, Low, High float64
					}
				}
				Weeks     []struct{ Passed struct{ K, N int } }
				Sentences []struct{ Message string }
			}
			p.Shop.Must(json.Unmarshal([]byte(text), &told))
			if len(told.Causes) != 2 || len(told.Weeks) < 2 {
				t.Fatalf("the interface tells %s", text)
			}
			rows := ask[[]string](p, `[...document.querySelectorAll('.barred tbody tr')].map((r) => r.textContent)`)
			for i, c := range told.Causes {
				for _, want := range []string{c.Code, fmt.Sprintf("%.1f", 100*c.Share.Value), fmt.Sprintf("%.1f to %.1f", 100*c.Share.Low, 100*c.Share.High), fmt.Sprintf("%d of %d", c.Share.K, c.Share.N)} {
					if !strings.Contains(rows[i], want) {
						t.Errorf("row %q lacks %q of the interface", rows[i], want)
					}
				}
			}
			weeks := ask[[]string](p, `[...document.querySelectorAll('#weeks tbody tr')].map((r) => r.textContent)`)
			for i, w := range told.Weeks {
				if want := fmt.Sprintf("%d of %d", w.Passed.K, w.Passed.N); !strings.Contains(weeks[i], want) {
					t.Errorf("week %q lacks %q of the interface", weeks[i], want)
				}
			}
			if title := p.text("h1"); title+"." != told.Sentences[0].Message {
				t.Errorf("the title is %q, the interface says %q", title, told.Sentences[0].Message)
			}
			for _, wide := range ask[[]string](p, `[...document.querySelectorAll('main *')].filter((e) => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.wide')).map((e) => e.outerHTML.slice(0, 80))`) {
				t.Errorf("beyond the edge: %s", wide)
			}

			p.tabTo("First-pass yield") // The chart, by what it is called.
			p.presses(kb.Home)
			p.sees("#readout", "38 of 40 passed")
			p.presses(kb.ArrowRight)
			p.sees("#readout", "22 of 40 passed")
			p.picture("week")
			p.presses(kb.Enter)
			p.sees("h1", "18 wheels failed at the first set")
			p.open("/failures")
			p.tabTo("W01")
			p.presses(kb.Enter)
			p.sees("h1", "20 wheels failed at the first set: lateral run-out high")
			p.sees("tbody tr", "at most")
			p.picture("items")
			p.accessible("the wheels behind a bar")

			p.open("/failures?by=cost")
			p.sees("main", "No hourly rate is given")
			p.accessible("what it costs")
			p.open("/failures?from=2031-05-12&to=2031-05-01")
			p.sees("h1", "This cannot be told")
			p.accessible("a period that ends before it begins")
		})
	}
}
