package webtest

import (
	"bytes"
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/server/servertest"
)

// What a scanner, a gauge and a pedal send, typed as they type, and what the
// page says a stand makes of it; at a tablet and at a phone.
func TestSetUpSaysWhatArrives(t *testing.T) {
	for _, size := range [][2]int64{{1024, 768}, {390, 844}} {
		p := sitDown(t, size[0], size[1])
		p.signIn()
		p.open("/setup")
		p.sees("h1", "Does the stand hear it")
		// Nobody has touched the page: a scanner would not either.
		p.types("]C0W0000001K")
		p.sees("#answer", "Scan: W00-00001-K")
		p.sees("#keys", "Enter")
		p.sees("[data-what=scanner]", "Heard")
		p.types("]C020260012")
		p.sees("#answer", "Refused: no serial")
		p.types("-0,12")
		p.sees("#answer", "Reading: −0.12 mm")
		p.sees("[data-what=gauge]", "Heard")
		p.presses("0.3")
		p.presses(kb.Tab) // some gauges end so
		p.sees("#answer", "Reading: 0.3 mm")
		p.types("W00000015")
		p.sees("#answer", "misread")
		p.presses(kb.F8)
		p.sees("#answer", "Pedal: take")
		p.sees("[data-what=pedal]", "Heard")
		// Chosen by hand: a gauge whose range keeps a bare number out.
		ask[bool](p, `(() => { const a = document.getElementById('awaits'); const o = [...a.options].find((o) => o.dataset.code && o.dataset.high); if (o) { a.value = o.value; o.selected = true; } return !!o })()`)
		p.types("20260012")
		p.sees("#answer", "Re")
		p.picture("set up")
		if wide := ask[bool](p, `document.documentElement.scrollWidth > innerWidth`); wide {
			t.Errorf("%d wide: the page scrolls sideways", size[0])
		}
		if small := ask[[]string](p, `[...document.querySelectorAll('main button, main select, main input')].filter((e) => e.getBoundingClientRect().height < 56).map((e) => e.id)`); len(small) > 0 {
			t.Errorf("%d wide: under 56 px high: %v", size[0], small)
		}
	}
}

// A program with a key of its own posts, and the page of an enrolled tablet at
// the same stand hears each reading once.
func TestAStandHearsItsGauge(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.open("/signin")
	if !ask[bool](p, `document.activeElement.name === "login"`) {
		p.tabTo("Login")
	}
	p.presses("owner")
	p.tabTo("Password")
	p.types(servertest.Password)
	p.sees("nav", "Record a wheel")
	p.open("/devices")
	p.tabTo("Name of the interface")
	p.presses("Dial interface")
	p.tabTo("Place of work")
	p.types("stand 7")
	p.sees("h2", "The key of Dial interface")
	key := strings.TrimSpace(p.text("#key"))
	p.standsAt("stand 7")
	p.open("/stand")
	p.sees("#ask", "wheel")
	ask[bool](p, `(globalThis.got = [], document.addEventListener('gauge-reading', (e) => got.push(e.detail)), true)`)

	first := models.NewID()
	for deadline := 0; p.post(t, key, object{"id": first, "value": "-0,12", "unit": "mm"})["pages"] == float64(0); deadline++ {
		if deadline > 100 {
			t.Fatal("the page never listened")
		}
		first = models.NewID() // the page was not there yet, and hears only what comes
	}
	sent := []string{first}
	for range 20 {
		id := models.NewID()
		p.post(t, key, object{"id": id, "value": "0.10", "unit": "mm"})
		p.post(t, key, object{"id": id, "value": "0.10", "unit": "mm"}) // the gauge's program was not sure
		sent = append(sent, id)
	}
	heard := func() []string { return ask[[]string](p, `got.map((r) => r.id)`) }
	for range 200 {
		if len(heard()) >= len(sent) {
			break
		}
	}
	if got := heard(); !slices.Equal(got, sent) {
		t.Errorf("heard %d readings, want %d, once and in order\n%v\n%v", len(got), len(sent), got, sent)
	}
	if got := ask[string](p, `JSON.stringify(got[0])`); got != `{"value":"-0,12","unit":"mm","instrument":"","id":"`+first+`"}` {
		t.Errorf("the first reading as the page has it: %s", got)
	}
	p.gaugesOfPacksAndBlocks(t, key)
}

// gaugesOfPacksAndBlocks: a posted voltage is taken at the bench and where blocks
// come in, as at the stand.
func (p *Person) gaugesOfPacksAndBlocks(t *testing.T, key string) {
	t.Helper()
	p.comesToTheReadings()
	p.types("0", "23.4")
	p.sees("#ask", "Voltage at block")
	p.posted(t, key, "12.874")
	p.sees("#rim", "12.874")

	p.blockModel()
	p.open("/blocks/in")
	p.sees("dialog[open]", "What holds for all of them")
	p.presses("72")
	p.tabTo("Temperature")
	p.types("23")
	p.sees("#ask", "number")
	p.sees("#tools", "Camera")
	p.types("H12-1")
	p.sees("#ask", "Voltage of")
	p.posted(t, key, "12.881")
	p.sees("#last", "12.881")
	p.sees("#ask", "Resistance of")
}

// posted sends one voltage, once a page listens.
func (p *Person) posted(t *testing.T, key, volts string) {
	t.Helper()
	for tries := 0; p.post(t, key, object{"id": models.NewID(), "value": volts, "unit": "V"})["pages"] == float64(0); tries++ {
		if tries > 100 {
			t.Fatal("the page never listened")
		}
	}
}

// post sends a reading as a gauge's program does.
func (p *Person) post(t *testing.T, key string, body object) object {
	t.Helper()
	raw, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	r, err := http.NewRequest(http.MethodPost, p.address+"/api/v1/stands/stand%207/readings", bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Authorization", "Bearer "+key)
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	var out object
	if err := json.NewDecoder(answer.Body).Decode(&out); err != nil || answer.StatusCode != http.StatusAccepted {
		t.Fatalf("a reading: %d %v, %v", answer.StatusCode, out, err)
	}
	return out
}
