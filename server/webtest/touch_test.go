package webtest

import (
	"context"
	"fmt"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"

	"tracewright/models"
)

// touches puts a finger on each button in turn, found by its words or label
// among those in sight.
func (p *Person) touches(words ...string) {
	p.Helper()
	for _, word := range words {
		at := ask[[]float64](p, fmt.Sprintf(`((w) => {
			const shown = (e) => (e.getAttribute('aria-label') ?? e.innerText).trim().replace(/\s+/g, ' ');
			const all = [...document.querySelectorAll('button, a')].filter((e) => e.checkVisibility() && !e.disabled);
			const e = all.find((e) => shown(e) === w) ?? all.find((e) => shown(e).startsWith(w));
			e?.scrollIntoView({block: 'nearest', inline: 'nearest'});
			const r = e?.getBoundingClientRect();
			return r ? [r.x + r.width / 2, r.y + r.height / 2] : [];
		})(%s)`, strconv.Quote(word)))
		if len(at) != 2 {
			p.picture("failed")
			p.Fatalf("nothing to touch that says %q; the page says %s", word, p.text("body"))
		}
		p.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, t, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchStart, TouchPoints: []*input.TouchPoint{{X: at[0], Y: at[1]}}})
			if err == nil {
				_, err = cdp.Call(ctx, t, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: input.DispatchTouchEventTypeTouchEnd, TouchPoints: []*input.TouchPoint{}})
			}
			return chromedp.Void{}, err
		})
		time.Sleep(40 * time.Millisecond) // a finger is slower
	}
}

// keyed touches a value on the keypad, then Take.
func (p *Person) keyed(value string) {
	p.Helper()
	for _, c := range value {
		switch c {
		case '-':
			p.touches("change sign")
		case '.':
			p.touches("point or comma")
		default:
			p.touches(string(c))
		}
	}
	time.Sleep(bounce)
	p.touches("Take")
}

// A wheel by touch alone on a tablet: keypad, sign, ticked list, and the way to
// every hole and back.
func TestWheelByTouch(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true})
		return chromedp.Void{}, err
	})
	p.signIn()
	p.open("/stand?serial=" + p.Shop.Serial[models.KindWheel])
	p.sees("#ask", "highest")
	p.keyed("0.13")
	p.keyed("9")
	p.sees("#ask", "lowest")
	p.touches("Measure every hole")
	p.sees("#ask", "lateral at spoke")
	p.keyed("0.1")
	p.sees("#ask", "2")
	p.touches("By extremes")
	p.sees("#ask", "lowest")
	for _, value := range []string{"-0.09", "28", "0.12", "17", "-0.14", "3", "67.4", "67.8", "1085", "1120", "1062", "1011", "1038", "1004"} {
		p.keyed(value)
	}
	p.sees("#ask", "Ticked list")
	p.picture("list")
	time.Sleep(bounce)
	p.touches("Yes to the rest")
	p.sees("#last", "Passes")
	p.picture("verdict")
	view := p.onlyView(models.KindWheel)
	got := map[string]string{}
	for _, set := range view.Sets {
		got[set.Code+" "+set.Method] = fmt.Sprint(set.Values)
	}
	for set, want := range map[string]string{"lateral_runout extremes": "[0.13 -0.09]", "radial_runout extremes": "[0.12 -0.14]", "dish whole": "[67.4 67.8]", "tension_a sample": "[1085 1120 1062]"} {
		if got[set] != want {
			t.Errorf("%s: %s, want %s", set, got[set], want)
		}
	}
}
