package webtest

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tracewright/models"
	"tracewright/reports/pdf"
)

// film writes a short film of a still symbol on white paper, as a camera would
// see it, and says where it lies: uncompressed grey (YUV4MPEG2, its luma plane
// carries the symbol), each module a few pixels wide.
func film(t *testing.T, symbol pdf.Symbol) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "seen.y4m")
	shoot(t, name, symbol)
	return name
}

func shoot(t *testing.T, name string, symbol pdf.Symbol) {
	t.Helper()
	const width, height = 640, 480
	module := 10
	for len(symbol[0])*module > width-80 || (len(symbol) > 1 && len(symbol)*module > height-80) {
		module--
	}
	tall := module
	if len(symbol) == 1 {
		tall = 200
	}
	luma := bytes.Repeat([]byte{235}, width*height)
	left, top := (width-len(symbol[0])*module)/2, (height-len(symbol)*tall)/2
	for y, row := range symbol {
		for x, dark := range row {
			if !dark {
				continue
			}
			for j := range tall {
				from := (top+y*tall+j)*width + left + x*module
				copy(luma[from:from+module], bytes.Repeat([]byte{16}, module))
			}
		}
	}
	chroma := bytes.Repeat([]byte{128}, width*height/2)
	file, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	w := bufio.NewWriter(file)
	fmt.Fprintf(w, "YUV4MPEG2 W%d H%d F10:1 Ip A1:1 C420mpeg2\n", width, height)
	for range 10 {
		fmt.Fprint(w, "FRAME\n")
		w.Write(luma)
		w.Write(chroma)
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
}

func seeing(film string) []chromedp.ExecAllocatorOption {
	return []chromedp.ExecAllocatorOption{chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-file-for-fake-video-capture", film)}
}

// The symbols as the product prints them, held before the camera of the set-up
// page. W0000001K is the serial of the set-up sheet.
func TestCameraReadsWhatIsPrinted(t *testing.T) {
	for _, c := range []struct {
		name, aim string
		draw      func(string) (pdf.Symbol, error)
	}{
		{"QR code", "]Q1", pdf.QRSymbol},
		{"Code 128", "]C0", pdf.Code128Symbol},
		{"Data Matrix", "]d1", pdf.DataMatrixSymbol},
	} {
		t.Run(c.name, func(t *testing.T) {
			symbol, err := c.draw("W0000001K")
			if err != nil {
				t.Fatal(err)
			}
			p := sitDown(t, 1024, 768, seeing(film(t, symbol))...)
			p.signIn()
			p.open("/setup")
			p.touches("Try the camera")
			p.sees("[data-what=camera]", "Heard")
			p.sees("#answer", "Scan: W00-00001-K")
			p.sees("#answer", c.aim)
			p.cameraIsOff("#seen")
		})
	}
}

// A camera that sees nothing is off again on Escape, and when it was refused
// the page says so.
func TestCameraIsOffOnEscape(t *testing.T) {
	p := sitDown(t, 390, 844, seeing(film(t, pdf.Symbol{{false}}))...)
	p.signIn()
	p.open("/setup")
	p.touches("Try the camera")
	p.sees("#answer", "Looking")
	p.presses(kb.Escape)
	p.sees("#answer", "Camera off")
	p.cameraIsOff("#seen")
	ask[bool](p, `(navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('no', 'NotAllowedError')), true)`)
	p.touches("Try the camera")
	p.sees("#answer", "not allowed")
	p.sees("[data-what=camera]", "Not here")
}

// A wheel's label before the tablet's camera opens the wheel, and the camera is
// off again; so is one that saw nothing when the page goes out of sight.
func TestCameraOpensAWheelAtTheStand(t *testing.T) {
	for _, size := range [][2]int64{{1024, 768}, {390, 844}} {
		seen := film(t, pdf.Symbol{{false}})
		p := sitDown(t, size[0], size[1], seeing(seen)...)
		p.signIn()
		p.open("/stand")
		p.sees("#hint", "its last 5")
		ask[bool](p, `(() => { globalThis.lent = []; const m = navigator.mediaDevices, lend = m.getUserMedia.bind(m); m.getUserMedia = async (w) => { const s = await lend(w); lent.push(s); return s }; return true })()`)
		p.touches("Camera")
		p.sees("#seen", "Hold the code")
		p.picture(fmt.Sprintf("camera %d", size[0]))
		if small := ask[[]string](p, `[...document.querySelectorAll('#seen button, #under button')].filter((e) => e.getBoundingClientRect().height < 56).map((e) => e.innerText)`); len(small) > 0 {
			t.Errorf("%d wide: under 56 px high: %v", size[0], small)
		}
		ask[bool](p, `(Object.defineProperty(document, 'visibilityState', { configurable: true, value: 'hidden' }), document.dispatchEvent(new Event('visibilitychange')), delete document.visibilityState)`)
		p.misses("#seen", "Hold")
		serial := p.Shop.Serial[models.KindWheel]
		symbol, err := pdf.QRSymbol(serial)
		if err != nil {
			t.Fatal(err)
		}
		shoot(t, seen, symbol)
		p.touches("Camera")
		p.sees("#ask", "highest")
		if lent := ask[[]string](p, `lent.flatMap((s) => s.getTracks().map((t) => t.readyState))`); len(lent) != 2 || lent[0] != "ended" || lent[1] != "ended" || !ask[bool](p, `document.getElementById('seen').hidden`) {
			t.Errorf("%d wide: the camera, lent twice, is %v", size[0], lent)
		}
		if !ask[bool](p, `document.activeElement.id === "capture"`) {
			t.Errorf("%d wide: the field does not wait for a reading", size[0])
		}
	}
}

// Chosen on the set-up page, found at the stand: hands mirrored, another key as
// the pedal, and tones that sound only while they are on.
func TestSetUpKeepsHowAPersonLikesIt(t *testing.T) {
	for _, size := range [][2]int64{{1024, 768}, {390, 844}} {
		p := sitDown(t, size[0], size[1])
		p.signIn()
		p.open("/setup")
		p.sees("#ways", "Keys at the floor pages")
		p.sees("#pedal-key", "F8")
		choose := func(id, value string) {
			ask[bool](p, `(() => { const e = document.getElementById('`+id+`'); e.value = '`+value+`'; e.dispatchEvent(new Event('change')); return e.value === '`+value+`' })()`)
		}
		choose("hands", "left")
		choose("pedal", "F9")
		p.sees("#kept", "Kept")
		p.sees("#pedal-key", "F9")
		p.presses(kb.F8)
		p.sees("#answer", "Not the pedal")
		p.presses(kb.F9)
		p.sees("#answer", "Pedal: take")
		ask[bool](p, `(document.getElementById("ways").scrollIntoView(), true)`)
		p.picture(fmt.Sprintf("ways %d", size[0]))
		if small := ask[[]string](p, `[...document.querySelectorAll('#ways button, #ways select')].filter((e) => e.getBoundingClientRect().height < 56).map((e) => e.id)`); len(small) > 0 {
			t.Errorf("%d wide: under 56 px high: %v", size[0], small)
		}
		if ask[bool](p, `document.documentElement.scrollWidth > innerWidth`) {
			t.Errorf("%d wide: the page scrolls sideways", size[0])
		}
		serial := p.Shop.Serial[models.KindWheel]
		p.open("/stand?serial=" + serial)
		p.sees("#ask", "highest")
		// Left-handed: Take is left of the keypad on a tablet, left of the field on a phone.
		if !ask[bool](p, `(() => { const x = (id) => document.getElementById(id).getBoundingClientRect().x; return innerWidth > 899 ? x('take') < x('pad') && x('pad') < x('tools') && x('tools') < x('sets') : x('take') < x('capture') })()`) {
			t.Errorf("%d wide: the hands are not mirrored", size[0])
		}
		p.picture(fmt.Sprintf("left %d", size[0]))
		p.presses("0,13")
		p.presses(kb.F8)
		p.sees("#last", "0.13")
		p.presses(kb.F9)
		p.sees("#last", "spoke")
		if ask[bool](p, `document.documentElement.scrollWidth > innerWidth`) {
			t.Errorf("%d wide: the stand scrolls sideways", size[0])
		}
	}
}

func (p *Person) cameraIsOff(video string) {
	p.Helper()
	if on := ask[bool](p, `(() => { const v = document.querySelector("`+video+`"); return Boolean(v && (v.srcObject || !v.hidden)) })()`); on {
		p.Error("the camera is still on")
	}
}
