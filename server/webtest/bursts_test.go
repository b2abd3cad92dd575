package webtest

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
)

// A gauge that types ten readings a second, with comma or point, with and
// without its unit, closed by Enter or Tab, while the server goes away and
// comes back: each lands once, in its place.
func TestBurstsOfAGauge(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	p.open("/stand?serial=" + p.Shop.Serial[models.KindWheel])
	p.sees("#ask", "highest")
	p.tabTo("every hole")
	p.presses(kb.Enter)
	p.sees("#ask", "lateral at spoke")
	var want []string
	start := time.Now()
	for i := range 36 {
		mark := []string{".", ","}[i%2]
		value := fmt.Sprintf("0%s%02d", mark, 10+i/6)
		want = append(want, value)
		p.away.Store(i >= 12 && i < 24)
		p.presses([]string{value, value + " mm", "+" + value}[i%3])
		p.presses([]string{kb.Enter, kb.Tab}[i%2])
		if i%3 == 2 {
			want[i] = "+" + value
		}
		time.Sleep(time.Until(start.Add(time.Duration(i+1) * 100 * time.Millisecond)))
	}
	p.sees("#ask", "once more")
	// A scan lands in no reading, a value posted to the stand does.
	p.types("]C0W31000066")
	p.sees("#last", "lands in no reading")
	ask[bool](p, `document.dispatchEvent(new CustomEvent('gauge-reading', {detail: {value: '0.11', unit: 'mm', instrument: '', id: 'r1'}})), document.dispatchEvent(new CustomEvent('gauge-reading', {detail: {value: '0.11', unit: 'mm', instrument: '', id: 'r1'}}))`)
	want = append(want, "0.11")
	p.sees("#ask", "radial at spoke")
	// The pedal takes what is typed, and held it takes back.
	p.presses("0.2")
	p.do(chromedp.Sleep(bounce), chromedp.KeyEvent(kb.F8))
	p.sees("#last", "Taken")
	p.sees("#line", "saved")
	drafts, err := p.Shop.Capture.Drafts(t.Context())
	p.Shop.Must(err)
	if len(drafts) != 1 {
		t.Fatalf("%d drafts, want 1", len(drafts))
	}
	lateral := drafts[0].Content.Sets[slices.IndexFunc(drafts[0].Content.Sets, func(s models.SentSet) bool { return s.Characteristic == "lateral_runout" })]
	if !slices.Equal(lateral.Values, want) {
		t.Errorf("lateral readings:\n%v, want\n%v", lateral.Values, want)
	}
	if small := ask[[]string](p, `[...document.querySelectorAll('.hands button')].filter((e) => e.offsetParent && Math.min(e.getBoundingClientRect().height, e.getBoundingClientRect().width) < 55.5 && !e.matches('.unitkey')).map((e) => e.textContent)`); len(small) > 0 {
		t.Errorf("keys under 56 px: %q", small)
	}
	p.picture("read")
}
