package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/words"
	"tracewright/models/work/gauges"
	"tracewright/reports/pdf"
	"tracewright/server/httpx"
)

// FloorSetupPage prints the sheet a scanner is set up by, and shows what
// scanner, gauge, pedal and camera send to a page and what a stand makes of it.
type FloorSetupPage struct {
	Frame
	Symbols []TestSymbol
	Serial  string // that the symbols carry
	Gauges  []SetupGauge
}

// TestSymbol is a printed code to be scanned at the page.
type TestSymbol struct {
	Kind, Text string
	Means      string // what a stand that awaits a reading makes of it
	Width      int    // in modules, with the quiet zone
	Height     int
	Path       string // dark modules, as the path of a drawing
}

// SetupGauge is a gauge that may be tried.
type SetupGauge struct {
	Code, Name, Unit      string
	Low, High, Resolution string
}

// testSerial is a serial with a good check character that no item of a shop
// has: it is of the year 2000, before the first of them.
func testSerial() string {
	serial, _ := ident.Allocate(ident.Wheel, 0, 1)
	return serial
}

// testDigits are no number of an article: the code has no check digit of one.
const testDigits = "20260012"

func (s *site) floorSetupRoutes() []httpx.Route {
	return []httpx.Route{{Method: http.MethodGet, Path: "/setup", Act: models.ActLook, Handler: s.floorSetup}}
}

func (s *site) floorSetup(c *gin.Context) error {
	instruments, err := s.services.Gauges.Instruments(c.Request.Context())
	if err != nil {
		return err
	}
	page, err := floorSetupPage(s.frame(c, "Scanner, gauge, pedal", "/setup"), instruments)
	if err != nil {
		return err
	}
	httpx.AllowDecoder(c)
	return show(c, "setup_floor", page)
}

func floorSetupPage(frame Frame, instruments []gauges.InstrumentView) (FloorSetupPage, error) {
	page := FloorSetupPage{Frame: frame, Serial: words.Serial(testSerial())}
	for _, v := range instruments {
		if i := v.Instrument; i.State == models.InstrumentInUse && i.Unit != "" {
			page.Gauges = append(page.Gauges, SetupGauge{Code: i.Code, Name: i.Code + ", " + i.Name, Unit: i.Unit, Low: i.RangeLow, High: i.RangeHigh, Resolution: i.Resolution})
		}
	}
	for _, t := range []struct {
		kind, text, means string
		draw              func(string) (pdf.Symbol, error)
		quiet, height     int
	}{
		{"QR code", testSerial(), "A scan: it opens the wheel and lands in no reading.", pdf.QRSymbol, 4, 0},
		{"Code 128", testSerial(), "The same, as a bar code.", pdf.Code128Symbol, 10, 34},
		{"Code 128", testDigits, "With the prefix a scan that is no serial, and refused. Without the prefix it looks like a number: then only the gauge’s range keeps it out.", pdf.Code128Symbol, 10, 34},
	} {
		symbol, err := t.draw(t.text)
		if err != nil {
			return FloorSetupPage{}, err
		}
		page.Symbols = append(page.Symbols, symbolDrawn(symbol, TestSymbol{Kind: t.kind, Text: t.text, Means: t.means, Height: t.height}, t.quiet))
	}
	return page, nil
}

// qrDrawn is a QR code of a text, within the quiet zone of ISO/IEC 18004.
func qrDrawn(text string) (TestSymbol, error) {
	symbol, err := pdf.QRSymbol(text)
	if err != nil {
		return TestSymbol{}, fmt.Errorf("draw a QR code: %w", err)
	}
	const quiet = 4 // modules
	return symbolDrawn(symbol, TestSymbol{}, quiet), nil
}

// symbolDrawn puts a symbol's dark modules into one path, runs of them joined. A
// linear one is made as high as asked for.
func symbolDrawn(symbol pdf.Symbol, t TestSymbol, quiet int) TestSymbol {
	var path strings.Builder
	high := 1
	if len(symbol) == 1 {
		high = t.Height
	}
	for y, row := range symbol {
		for x := 0; x < len(row); {
			run := 0
			for x+run < len(row) && row[x+run] {
				run++
			}
			if run > 0 {
				fmt.Fprintf(&path, "M%d %dh%dv%dh-%dz", x+quiet, y*high+quiet, run, high, run)
			}
			x += max(run, 1)
		}
	}
	t.Path, t.Width, t.Height = path.String(), len(symbol[0])+2*quiet, len(symbol)*high+2*quiet
	return t
}
