package pdf

import (
	"fmt"

	"github.com/boombuler/barcode/qr"
)

// smallestModule is the least width of a QR module that a phone reads from
// paper with certainty, in mm (common practice).
const smallestModule = 0.4

// QR draws a QR code (ISO/IEC 18004), level M, as filled rectangles, runs of
// dark modules joined. Its upper left corner is at x, y, its side at most size
// mm without the quiet zone of four modules, which the caller leaves white.
// It returns the side that was drawn.
func (d *Document) QR(x, y, size float64, text string) float64 {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		// Auto tries the shorter forms; text outside Latin-1 needs this one.
		code, err = qr.Encode(text, qr.M, qr.Unicode)
	}
	if err != nil {
		d.fail(fmt.Errorf("QR code of %d characters: %w", len(text), err))
		return 0
	}
	n := code.Bounds().Dx()
	module := size / float64(n)
	if module < smallestModule {
		d.fail(fmt.Errorf("QR code of %d characters: modules of %.2f mm are too small to read", len(text), module))
		return 0
	}
	d.raw("q " + colour(Ink, "rg"))
	for row := range n {
		for column := 0; column < n; {
			run := 0
			for column+run < n && dark(code.At(column+run, row).RGBA()) {
				run++
			}
			if run > 0 {
				// A hair of overlap downward hides the seams that some readers show.
				d.raw(d.rectangle(x+float64(column)*module, y+float64(row)*module, float64(run)*module, module*1.02))
			}
			column += max(run, 1)
		}
	}
	d.raw("f Q")
	return size
}

func dark(r, _, _, _ uint32) bool { return r < 0x8000 }
