package webtest

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// ofAPI reads an answer of the interface, as who looks at the page.
func ofAPI[T any](p *Person, path string) T {
	p.Helper()
	text := ask[string](p, `(() => { const r = new XMLHttpRequest(); r.open("GET", `+strconv.Quote("/api/v1"+path)+`, false); r.send(); return r.responseText; })()`)
	var out T
	if err := json.Unmarshal([]byte(text), &out); err != nil {
		p.Fatalf("%s: %v: %.300s", path, err, text)
	}
	return out
}

type sharedShape struct {
	K, N     int
	Interval *struct{ Low, High float64 }
}

// within says that nothing is wider than the window.
func (p *Person) within(state string) {
	p.Helper()
	if wide := ask[string](p, `document.documentElement.scrollWidth > document.documentElement.clientWidth ? [...document.querySelectorAll("main *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".wide")).map((e) => e.tagName + "." + e.className).slice(0, 5).join(" ") || "the page" : ""`); wide != "" {
		p.picture("wide")
		p.Errorf("%s is wider than the window: %s", state, wide)
	}
}

var goodSizes = [][2]int64{{1024, 768}, {390, 844}}

// The owner asks how good the lateral run-out is, without a mouse: from the list of all
// results to the one, its bars read by arrow keys, and the same figures as the interface.
func TestHowGoodByKeyboard(t *testing.T) {
	for _, size := range goodSizes {
		t.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(t *testing.T) {
			p := sitDown(t, size[0], size[1])
			h := p.Shop
			for i := range 30 {
				sub := h.Extremes()
				sub.Serial, sub.Place = *h.AnotherWheel().Serial, "stand 1"
				sub.Sets[0].Values = []string{fmt.Sprintf("0.%02d", 12+i*7%13), "-0.05"}
				if i == 5 {
					sub.Sets[0].Values[0] = "2.9"
				}
				h.MustRecord(sub)
			}
			p.signInAs("owner")
			p.open("/how-good")
			p.sees("h1", "beyond its limits most: 1 of 30")
			p.picture("all")
			p.accessible("every result")
			p.within("every result")
			p.tabTo("Lateral run-out, full reading")
			for ask[string](p, `document.activeElement.tagName`) != "A" { // The list of results has it too.
				p.tabTo("Lateral run-out, full reading")
			}
			p.presses(kb.Enter)
			p.sees("h1", "1 of 30 lie above")
			api := ofAPI[struct {
				Beyond    sharedShape
				Histogram struct {
					First, Width float64
					Counts       []int
				}
				Rounds    sharedShape
				Sentences []struct{ Message string }
			}](p, "/how-good/lateral_tir?family="+*h.Item[models.KindWheel].FamilyID)
			if api.Beyond.K != 1 || api.Beyond.N != 30 || api.Rounds.N != 30 {
				t.Errorf("the interface has %+v", api.Beyond)
			}
			for _, said := range api.Sentences {
				if text := strings.TrimSuffix(said.Message, "."); !strings.Contains(p.text("main"), text) {
					t.Errorf("the page does not say %q", said.Message)
				}
			}
			p.becomes(`document.querySelector("#plot svg") !== null`)
			p.accessible("one result")
			p.within("one result")
			p.picture("one")
			p.tabTo("Histogram of")
			p.presses(kb.Home)
			p.sees("#readout", fmt.Sprintf("first readings %d", api.Histogram.Counts[0]))
			p.presses(kb.End)
			p.sees("#readout", "beyond the limit")
			p.picture("read")
			p.tabTo("The 1 beyond the limit")
			p.presses(" ")
			p.tabTo("W31-")
			p.presses(kb.Enter)
			p.sees("main", "2.9")
		})
	}
}

// The owner asks what comes back: a lot stands out, its curve is read by arrow keys,
// and a number leads to the claims behind it. No customer stands anywhere.
func TestWhatComesBackByKeyboard(t *testing.T) {
	for _, size := range goodSizes {
		t.Run(fmt.Sprintf("%dx%d", size[0], size[1]), func(t *testing.T) {
			p := sitDown(t, size[0], size[1])
			h := p.Shop
			at := h.Now.AddDate(0, 0, -300) // Ten columns of ages are more than a phone shows.
			stamp := models.NewStamp(h.Owner, at)
			lot := models.Lot{ID: models.NewID(), Code: "SP-0931", Material: "spokes", Quantity: 9000, ReceivedAt: at, ReceivedBy: h.Owner.PersonID}
			h.Must(h.Store.AddLot(t.Context(), stamp, lot))
			var ids []string
			for i := range 80 {
				wheel := h.AnotherWheel()
				if i < 40 {
					h.Must(h.Store.ChangeParts(t.Context(), models.NewStamp(h.Owner, at.Add(-time.Hour)), wheel.ID, nil, []models.FittedPart{{Role: "spokes_a", Place: "A", LotID: &lot.ID, Quantity: 18}}))
				}
				ids = append(ids, wheel.ID)
			}
			_, err := h.Store.AddShipment(t.Context(), stamp, 31, models.Shipment{Items: append([]string{}, ids...), Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}})
			h.Must(err)
			for i, id := range ids {
				if i < 40 && i%4 == 0 || i >= 40 && i%20 == 0 {
					_, err := h.Store.AddClaim(t.Context(), models.NewStamp(h.Owner, at.AddDate(0, 0, 20+i)), 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{Words: "a secret of the customer", Salt: models.NewID()}, []models.ClaimEvent{{ID: models.NewID(), What: models.ClaimLinked, ItemID: &id}})
					h.Must(err)
				}
			}
			p.signInAs("owner")
			p.open("/returns")
			p.sees("h1", "12 of 80 that left")
			p.sees("main", "10 of 40 with lot SP-0931 came back")
			p.becomes(`document.querySelector("#plot svg") !== null`)
			p.picture("all")
			p.accessible("what comes back")
			p.within("what comes back")
			p.tabTo("Look at it")
			p.presses(kb.Enter)
			p.sees("h1", "10 of 40 that left with lot SP-0931")
			api := ofAPI[struct {
				Back  sharedShape
				Curve []struct{ Survival float64 }
				Rest  []struct{ Survival float64 }
			}](p, "/returns?lot=SP-0931&family="+*h.Item[models.KindWheel].FamilyID)
			if api.Back.K != 10 || api.Back.N != 40 || len(api.Curve) == 0 || len(api.Rest) == 0 {
				t.Fatalf("the interface has %+v, %d and %d points", api.Back, len(api.Curve), len(api.Rest))
			}
			p.becomes(`document.querySelector("#plot svg") !== null`)
			p.accessible("a lot")
			p.within("a lot")
			p.tabTo("Share of lot SP-0931")
			p.presses(kb.End)
			p.sees("#readout", fmt.Sprintf("lot SP-0931 %.2f %%", 100*(1-api.Curve[len(api.Curve)-1].Survival)))
			p.sees("#readout", "all others")
			p.picture("lot")
			p.open("/returns")
			p.tabTo("The claims")
			p.presses(kb.Enter)
			p.sees("h1", "Twelve items came back")
			p.accessible("the claims behind it")
			p.within("the claims behind it")
			if strings.Contains(p.text("main"), "secret") {
				t.Error("the words of a customer stand on the page")
			}
		})
	}
}
