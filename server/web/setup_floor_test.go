package web

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/gauges"
)

func sampleFloorSetup(frame Frame) FloorSetupPage {
	page, err := floorSetupPage(frame, []gauges.InstrumentView{
		{Instrument: models.Instrument{Code: "L-14", Name: "Dial indicator", Unit: "mm", RangeLow: "-5", RangeHigh: "5", Resolution: "0.01", State: models.InstrumentInUse}},
		{Instrument: models.Instrument{Code: "L-9", Name: "Dial indicator", Unit: "mm", State: "retired"}},
	})
	if err != nil {
		panic(err) // the texts of its symbols are constants
	}
	return page
}

// The serial of the sheet is taken for one by a stand, and is nobody's.
func TestTheTestSerialIsGoodAndNobodys(t *testing.T) {
	serial := testSerial()
	if got, err := ident.Normalise("]C0" + serial); err != nil || got != serial {
		t.Errorf("a stand reads %q as %q: %v", serial, got, err)
	}
	if _, year, _, err := ident.Parts(serial); err != nil || year != 0 {
		t.Errorf("%s is of year %d: %v, want 0", serial, year, err)
	}
}

// A symbol keeps its proportions and its quiet zone: 21 modules of the smallest
// QR code and four on each side (ISO/IEC 18004, 5.3.8), and for Code 128 eleven
// modules a character, start and check included, thirteen for the stop, and ten
// on each side (ISO/IEC 15417, 4.2 and 4.6).
func TestSymbolsHaveTheirSize(t *testing.T) {
	page := sampleFloorSetup(Frame{})
	if len(page.Symbols) != 3 {
		t.Fatalf("%d symbols, want 3", len(page.Symbols))
	}
	qr, bars := page.Symbols[0], page.Symbols[1]
	if qr.Width != 21+8 || qr.Height != 21+8 {
		t.Errorf("QR code %d by %d, want 29", qr.Width, qr.Height)
	}
	if (bars.Width-20-13)%11 != 0 || bars.Width <= 20+13+11*2 {
		t.Errorf("Code 128 is %d modules wide: without quiet zones and stop no multiple of 11", bars.Width)
	}
	if !strings.HasPrefix(qr.Path, "M4 4h7v1h-7z") {
		t.Errorf("the finder does not begin after the quiet zone: %.40s", qr.Path)
	}
	for _, g := range page.Gauges {
		if g.Code == "L-9" {
			t.Error("a gauge that is out of use can be tried")
		}
	}
}

func TestTrustPageShowsTheFingerprint(t *testing.T) {
	der := []byte("a certificate")
	body, err := renderPage("trust", trustPage(Frame{}, der, "shop.local:8443", true))
	if err != nil {
		t.Fatal(err)
	}
	want := fmt.Sprintf("%X", sha256.Sum256(der))
	page := string(body)
	if !strings.Contains(strings.ReplaceAll(page, " ", ""), want) || !strings.Contains(page, want[:4]+" "+want[4:8]+" ") {
		t.Errorf("the page lacks %s in groups of four", want)
	}
	for _, want := range []string{`href="/trust/authority.crt"`, `href="https://shop.local:8443/"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	bare, err := renderPage("trust", trustPage(Frame{}, nil, "shop.local", true))
	if err != nil || strings.Contains(string(bare), "authority.crt") {
		t.Errorf("without an authority: %v, a certificate offered: %v", err, strings.Contains(string(bare), "authority.crt"))
	}
}
