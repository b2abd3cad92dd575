package webtest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models/work/build"
)

// aDay is how long a pack of these walks rests.
const aDay = 26 * time.Hour

// A pack of four blocks from its blocks to the certificate, by scanner and the
// bursts of a meter: scanned into place, built, charged; rested overnight, read,
// judged, released.
func TestAPackOfFourByScannerAndMeter(t *testing.T) {
	p := sitDown(t, 1024, 768)
	now := p.earlier(aDay)
	numbers := []string{"Q2-0987", "Q2-0992", "Q2-0974", "Q2-1003"}
	p.blocksOf(numbers...)
	serial := p.packOf(1, 4)
	p.signIn()

	// The pack comes to the bench by its label, its blocks by theirs.
	p.open("/bench")
	p.sees("#hint", "its last 5")
	p.types("]d1" + serial)
	p.sees("#ask", "Scan or type block")
	p.types("]C0"+numbers[0], "]C0"+numbers[0])
	p.sees("#last", "is block 1 already")
	for _, n := range numbers[1:] {
		p.types("]C0" + n)
	}
	p.sees("#ask", "lot")
	p.enters(1)

	// Built: each step by one press, one taken back and done again.
	p.sees("#ask", "Blocks joined")
	p.sees("#rim", "short circuit")
	p.types("12.88")
	p.sees("#last", "No reading belongs to a step")
	p.types(serial)
	p.sees("#last", "That is a serial")
	p.types("]C0" + numbers[0])
	p.sees("#last", "That is a scan")
	p.types("]d1" + serial)
	p.sees("#last", "That is a serial; Enter alone says")
	p.picture("building")
	for _, next := range []string{"Soldered", "Polarity", "Insulated"} {
		p.enters(1)
		p.sees("#ask", next)
	}
	p.tool("undo")
	p.sees("#last", "Taken back")
	p.sees("#third", "taken back by The operator")
	p.ticksOff("Polarity")
	p.sees("#third", "No charge recorded")
	p.sees("#rim", "hydrogen")
	p.sees("#line", "saved")
	p.picture("built")

	// An Enter too many, as that of the last step, begins no charge and ends none.
	p.enters(3)
	p.sees("#list", "Is it on one now?")
	p.picture("one too many")
	p.presses(kb.Escape)
	p.sees("#third", "No charge recorded")

	// Charged, with the current at the end.
	p.types("CH-2")
	p.sees("#ask", "Off the")
	p.picture("charging")
	p.enters(3)
	p.sees("#list", "On the charger for less than a minute. Is it off again?")
	p.types("2")
	p.sees("#ask", "Off the")
	p.offAtOnce("0.19 A")
	p.sees("#ask", "Rests")
	p.sees("#third", "provisional from")
	p.sees("#line", "saved")
	p.picture("rests")

	// The next day.
	now()
	p.signIn()
	p.open("/bench?serial=" + serial)
	p.sees("#third", "Rested 26 h 0 min")
	p.sees("#ask", "how long")
	p.picture("rested")
	p.types("9")
	p.sees("#list", "26.0 h ago")
	p.types("1") // by the record
	p.sees("#ask", "charger")
	p.presses("n")
	p.types("0", "23.4", "12.871 V", "12,858 V", "12.866 V", "12.884 V", "9.62 mOhm", "9.41", "9.55", "9.70", "51.472")
	p.sees("#third", "may be judged")
	p.sees("#ask", "Ticked list")
	p.enters(1)
	p.sees("#last", "Passes")
	p.picture("verdict")

	item, err := p.Shop.Store.ItemBySerial(t.Context(), serial)
	p.Shop.Must(err)
	sheet, err := p.Shop.App.Services.Build.Sheet(t.Context(), item.ID)
	p.Shop.Must(err)
	for _, s := range sheet.Steps {
		if !s.Done || s.Person != "The operator" {
			t.Errorf("step %s: done %v by %q", s.Code, s.Done, s.Person)
		}
	}
	if len(sheet.History) != 8 {
		t.Errorf("%d ticks and undoings, want 8", len(sheet.History))
	}
	if c := sheet.Rest.Charge; c == nil || c.Charger != "CH-2" || c.End == nil || c.End.EndCurrent != "0.19" {
		t.Errorf("charge: %+v", c)
	}
	made, err := p.Shop.Store.InspectionsOf(t.Context(), item.ID)
	p.Shop.Must(err)
	if len(made) != 1 || made[0].Conditions.RestHours != "26.0" {
		t.Fatalf("stored: %+v, want one inspection with the recorded rest", made)
	}
	for _, r := range made[0].Remarks {
		if r.Code == "rest_contradicts" {
			t.Errorf("remark: %+v", r)
		}
	}
	p.release()
}

// The same without a scanner, on a phone and without the network for a while:
// numbers typed, steps by touch, sent in order when the office is back.
func TestAPackWithoutScannerOrNetwork(t *testing.T) {
	p := sitDown(t, 390, 844)
	now := p.earlier(aDay)
	p.blocksOf("a-1", "a-2")
	serial := p.packOf(1, 2)
	p.signIn()
	p.open("/bench?serial=" + serial)
	p.sees("#ask", "block")
	p.types("a-9")
	p.sees("#last", "No block has the number a-9")
	p.types("a-1", "a-2")
	p.sees("#ask", "lot")
	p.enters(1)
	p.sees("#ask", "Blocks joined")
	p.picture("building")
	p.accessible("building on a phone")
	p.forGloves("building on a phone")
	p.sees("#line", "saved")
	p.workerTakesOver()
	p.away.Store(true)
	for _, step := range []string{"Soldered or bolted: done", "Blocks joined in their order: done", "Soldered or bolted: take back", "Soldered or bolted: done"} {
		p.touches(step)
		time.Sleep(bounce)
	}
	p.sees("#line", "4 waiting")
	p.sees("#list", "kept here")
	p.do(chromedp.Reload())
	p.sees("#ask", "Polarity")
	p.sees("#line", "4 waiting")
	p.ticksOff("Polarity")
	p.enters(1)
	p.sees("#list", "Is it on one now?")
	p.types("1") // on a charger without a name
	p.sees("#ask", "Off the")
	p.offAtOnce("0,2") // begun and ended, still without the network
	p.sees("#ask", "Rests")
	p.picture("resting-away")
	p.accessible("rest on a phone")
	p.forGloves("rest on a phone")
	p.away.Store(false)
	ask[bool](p, `dispatchEvent(new Event("online"))`)
	p.misses("#line", "waiting")
	item, err := p.Shop.Store.ItemBySerial(t.Context(), serial)
	p.Shop.Must(err)
	sheet, err := p.Shop.App.Services.Build.Sheet(t.Context(), item.ID)
	p.Shop.Must(err)
	var order []string
	for _, e := range sheet.History {
		order = append(order, fmt.Sprint(e.Step, e.Done))
	}
	if got, want := strings.Join(order, " "), "solderedtrue joinedtrue solderedfalse solderedtrue polaritytrue insulatedtrue wrappedtrue labelledtrue"; got != want {
		t.Errorf("in the office: %s, want %s", got, want)
	}
	if c := sheet.Rest.Charge; c == nil || c.End == nil || c.End.EndCurrent != "0.2" {
		t.Errorf("charge: %+v", c)
	}

	now()
	p.signIn()
	p.open("/bench?serial=" + serial)
	p.sees("#ask", "how long")
	p.enters(1) // the recorded rest
	p.sees("#ask", "charger")
	time.Sleep(bounce)
	p.touches("No")
	p.keyed("0")
	p.keyed("77") // Fahrenheit, offered and not converted by itself
	p.sees("#list", "It would be 25.0 °C")
	p.types("1")
	p.sees("#ask", "Voltage at block")
	for _, v := range []string{"12.88", "12.86"} {
		p.keyed(v)
	}
	p.keyed("0.0141") // ohm
	p.sees("#list", "0.0141 Ω")
	p.picture("ohm")
	if asked := p.text("#list"); !strings.Contains(asked, "0.0141 mΩ") {
		t.Errorf("only one unit is offered: %s", asked)
	}
	p.touches("1 0.0141 Ω")
	p.sees("#last", "Taken")
	p.keyed("0.0139")
	p.keyed("25.742")
	p.sees("#ask", "Ticked list")
	time.Sleep(bounce)
	p.touches("Yes to the rest")
	p.sees("#last", "Passes")
	p.picture("verdict")
	made, err := p.Shop.Store.InspectionsOf(t.Context(), item.ID)
	p.Shop.Must(err)
	if len(made) != 1 {
		t.Fatalf("%d inspections", len(made))
	}
	view, err := p.Shop.Store.InspectionView(t.Context(), made[0].ID)
	p.Shop.Must(err)
	for _, set := range view.Sets {
		switch set.Code {
		case "block_resistance":
			if set.Unit != "ohm" || fmt.Sprint(set.Values) != "[0.0141 0.0139]" {
				t.Errorf("resistance kept as %v %s, want as typed, in ohm", set.Values, set.Unit)
			}
		case "block_temperature":
			if fmt.Sprint(set.Values) != "[25.0]" {
				t.Errorf("temperature %v", set.Values)
			}
		}
	}
}

// What the bench will not take as it comes, in one sitting.
func TestWhatTheBenchRefuses(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signIn()
	p.onTheChargerAndSwapped()
	p.stringsApart()
}

// onTheChargerAndSwapped: a block that is in another pack, a voltage read on the
// charger, and blocks whose order the taps contradict.
func (p *Person) onTheChargerAndSwapped() {
	p.Helper()
	serial := p.packOf(1, 4)
	p.blocksOf("b-1", "b-2", "b-3", "B-4", "c-1", "d-1")
	p.made("/blocks/set-aside", object{"blocks": []string{"d-1"}, "code": "damaged"})
	other := p.packOf(1, 1)
	p.fits(other, "c-1")
	p.open("/bench?serial=" + serial)
	p.sees("#ask", "block")
	p.types("c-1")
	p.sees("#last", "c-1 is in "+other[:3]+"-"+other[3:8]+"-"+other[8:]+" already")
	p.types("d-1")
	p.sees("#last", "d-1 is set aside: it goes into no pack until it is released")
	p.types("b-1", "b-2", "b-3", "b-4") // the last one's maker writes it large
	p.sees("#ask", "lot")
	p.sees("#rim", "B-4")
	p.enters(1)
	p.sees("#ask", "Blocks joined")
	p.tool("readings")
	p.sees("#ask", "how long")
	p.types("26")
	p.presses("y")
	p.sees("#third", "On the charger: no reading")
	p.types("0", "23.5", "12.88")
	p.sees("#last", "12.88 V on the charger: take it off and let it rest")
	p.picture("on-the-charger")
	p.accessible("refused on the charger")
	p.forGloves("refused on the charger")
	// Off it: the same reading is taken, a negative one with its sign.
	p.tool("off")
	p.sees("#ask", "how long")
	p.types("26")
	p.sees("#ask", "charger")
	p.presses("n")
	p.sees("#ask", "Voltage at block")
	p.types("12.885", "-12.852")
	p.sees("#rim", "−12.852")
	p.tool("undo")
	p.types("12.852", "12.839", "12.870")
	p.sees("#ask", "Resistance")
	p.tool("taps")
	p.sees("#ask", "From pack minus to behind")
	p.types("12.884", "25.722", "38.575", "51.446") // blocks 2 and 3 the other way round
	p.sees("#list", "blocks 2 and 3 swapped")
	p.picture("swap")
	p.accessible("a swap")
	p.forGloves("a swap")
	p.types("1")
	p.sees("#ask", "Scan or type block")
	p.types("b-3", "b-2")
	p.sees("#line", "saved")
	drafts, err := p.Shop.Capture.Drafts(p.Context())
	p.Shop.Must(err)
	places := map[string]string{}
	for _, part := range drafts[0].Content.Parts {
		places[part.Place] = part.Number
	}
	if places["1.2"] != "b-3" || places["1.3"] != "b-2" {
		p.Errorf("blocks: %v", places)
	}
	if note := drafts[0].Content.Conditions.Note; !strings.Contains(note, "12.884; 25.722; 38.575; 51.446") {
		p.Errorf("the taps are not on record: %q", note)
	}
}

// stringsApart: two strings 0.3 V apart are not joined at the bench either, with
// the network or without it. The pack is a fresh label, which its first step
// makes an item.
func (p *Person) stringsApart() {
	p.Helper()
	label, _ := p.made("/rolls", object{"kind": "pack", "count": 3, "product": p.packProduct(2, 3)})["serials"].([]any)[0].(string)
	serial := strings.ReplaceAll(label, "-", "")
	p.open("/bench?serial=" + serial)
	p.sees("#ask", "block")
	p.enters(7) // six numbers and the lot are not known
	for _, step := range []string{"Blocks joined", "Soldered", "Polarity", "Insulated", "Wrapped", "Labelled", "One fuse"} {
		p.sees("#ask", step)
		p.enters(1)
	}
	p.sees("#ask", "string 1")
	p.away.Store(true)
	p.types("38.60", "38.90")
	p.sees("#last", "The strings differ by 0.30 V, more than the 0.15 V allowed")
	p.picture("apart")
	if ask[bool](p, `document.querySelector('#last').scrollHeight > document.querySelector('#last').clientHeight + 1`) {
		p.Errorf("the reason does not fit its place")
	}
	p.away.Store(false)
	p.types("38.60", "38.70")
	p.sees("#ask", "Onto the")
	sheet := p.built(serial, build.StringsJoined)
	// On the charger by the record, and somebody says that it is not.
	p.types("CH-2")
	p.sees("#ask", "Off the")
	p.tool("readings")
	p.sees("#ask", "how long")
	p.types("26")
	p.sees("#ask", "charger")
	p.presses("n")
	p.sees("#list", "By the record it is on CH-2 since")
	p.types("1")
	p.sees("#ask", "Off the")
	if last := sheet.Steps[len(sheet.Steps)-1]; fmt.Sprint(last.Volts) != "[38.60 38.70]" {
		p.Errorf("joined: %+v", last)
	}
}
