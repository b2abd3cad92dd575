package webtest

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// twoWeeks gives the shop 48 wheels read for the first time in the last fortnight, of
// which every fourth failed, and one of them on hold.
func (p *Person) twoWeeks() {
	p.Helper()
	now, wheel := p.Shop.Now, p.Shop.Item[models.KindWheel]
	defer func() { p.Shop.Now = now }()
	for i := range 48 {
		made, err := p.Shop.Store.AddItemWithSerial(p.Context(), models.NewStamp(p.Shop.Owner, now.AddDate(0, -1, 0)), models.Item{ID: models.NewID(), Kind: models.KindWheel, FamilyID: wheel.FamilyID, ProductID: wheel.ProductID, Origin: "made"}, "W", 31, nil)
		p.Shop.Must(err)
		p.Shop.Now = now.Add(-time.Duration(14*24-7*i) * time.Hour)
		sub := p.Shop.Extremes()
		sub.Serial = *made.Serial
		if i%4 == 0 {
			sub.Sets[0].Values = []string{"0.40", "-0.09"}
		}
		p.Shop.MustRecord(sub)
		if i == 0 {
			_, err := p.Shop.Store.AddHold(p.Context(), models.NewStamp(p.Shop.Owner, p.Shop.Now), models.Hold{ItemID: &made.ID, Code: "W19", Reason: "a step is felt at the joint, and the tyre lifts there", RaisedBy: p.Shop.Owner.PersonID})
			p.Shop.Must(err)
		}
	}
}

// By keyboard alone, on a tablet and on a phone: what needs somebody and the first act
// of it; then a week is looked back on, its picture read place by place, and its
// numbers are those of the interface.
func TestWhatNeedsYouAndTheWeek(t *testing.T) {
	for _, size := range []struct {
		name          string
		width, height int64
	}{{"tablet", 1024, 768}, {"phone", 390, 844}} {
		t.Run(size.name, func(t *testing.T) {
			p := sitDown(t, size.width, size.height)
			p.twoWeeks()
			p.signInAs("owner")
			fits := func(state string) {
				t.Helper()
				p.picture(state)
				if wide := ask[[]string](p, sideways); len(wide) > 0 {
					t.Errorf("%s scrolls sideways: %v", state, wide)
				}
				p.accessible(state)
			}
			p.open("/")
			p.tabTo("What needs you, worst first")
			p.presses(kb.Enter)
			p.sees("h1", "need")
			fits("attention")
			p.saysWhatTheInterfaceSays()
			p.tabTo("Decide")
			p.presses(kb.Enter)
			p.sees("h1", "hold") // where it is done
			p.open("/reviews")
			p.sees("h1", "No week or month")
			fits("no review")
			p.tabTo("Look back on")
			p.tabTo("Look back") // over the day, which stands at last week
			p.presses(kb.Enter)
			p.sees("h1", "The week from")
			p.sees("body", "its paper is kept")
			p.becomes(`document.querySelectorAll(".small-plot svg").length === document.querySelectorAll(".small-plot .plot").length`)
			fits("review")
			p.readsThePicture()
			p.sameNumbersAsTheInterface()
			p.tabTo("All reviews")
			p.presses(kb.Enter)
			p.sees("h1", "One review is kept")
			fits("reviews")
		})
	}
}

// saysWhatTheInterfaceSays holds the rows of the page against those of the interface.
func (p *Person) saysWhatTheInterfaceSays() {
	p.Helper()
	var list struct {
		Rows []struct{ Sentence struct{ Message string } }
	}
	p.Shop.Must(json.Unmarshal(p.fetch(p.address+"/api/v1/attention"), &list))
	shown := ask[[]string](p, `[...document.querySelectorAll(".needs h2")].map((e) => e.textContent)`)
	var want []string
	for _, row := range list.Rows {
		want = append(want, row.Sentence.Message)
	}
	if len(want) < 2 || !slices.Equal(shown, want) {
		p.Errorf("the page has\n%s\nthe interface\n%s", strings.Join(shown, "\n"), strings.Join(want, "\n"))
	}
}

// readsThePicture goes along the first picture by keyboard.
func (p *Person) readsThePicture() {
	p.Helper()
	p.tabTo("Wheels that passed their first reading")
	p.presses(kb.End)
	p.sees("#plot-0-readout", "of")
	newest := p.text("#plot-0-readout")
	p.presses(kb.ArrowLeft)
	p.becomes(fmt.Sprintf(`document.querySelector("#plot-0-readout").innerText !== %q`, newest))
	row := ask[[]string](p, `[...document.querySelectorAll("#plot-0 ~ details tbody tr:last-child td")].map((e) => e.textContent)`)
	if len(row) < 4 || !strings.HasPrefix(newest, row[0]) || !strings.Contains(newest, row[3]) || !strings.Contains(newest, row[1]+" of "+row[2]) {
		p.Errorf("the newest week reads %q, its row is %v", newest, row)
	}
}

// sameNumbersAsTheInterface holds sentences and tables of the page against the
// interface.
func (p *Person) sameNumbersAsTheInterface() {
	p.Helper()
	id := ask[string](p, `location.pathname.split("/")[2]`)
	var review struct {
		Sections []struct {
			Sentences []struct{ Message string }
			Plots     []struct{ Points []struct{ K, N *int } }
		}
	}
	p.Shop.Must(json.Unmarshal(p.fetch(p.address+"/api/v1/reviews/"+id), &review))
	var want []string
	plots := 0
	for _, section := range review.Sections {
		for _, s := range section.Sentences {
			want = append(want, s.Message)
		}
		for _, plot := range section.Plots {
			rows := ask[[][]string](p, fmt.Sprintf(`[...document.querySelectorAll("#plot-%d ~ details tbody tr")].map((r) => [...r.cells].map((c) => c.textContent))`, plots))
			for i, point := range plot.Points {
				if point.N != nil && (rows[i][1] != fmt.Sprint(*point.K) || rows[i][2] != fmt.Sprint(*point.N)) {
					p.Errorf("place %d of picture %d is %v, the interface has %d of %d", i, plots, rows[i], *point.K, *point.N)
				}
			}
			plots++
		}
	}
	shown := ask[[]string](p, `[...document.querySelectorAll(".said li")].map((e) => e.firstChild.textContent.trim())`)
	if plots == 0 || !slices.Equal(shown, want) {
		p.Errorf("%d pictures; the page says\n%s\nthe interface\n%s", plots, strings.Join(shown, "\n"), strings.Join(want, "\n"))
	}
}
