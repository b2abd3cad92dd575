package pdf

import "fmt"

// LeastQRModule is the least width of a QR module that a phone reads from
// paper with certainty, in mm (common practice).
const LeastQRModule = 0.4

// QR draws a QR code (ISO/IEC 18004), level M. Its upper left corner is at x,
// y, its side at most size mm without the quiet zone of four modules, which the
// caller leaves white. It returns the side that was drawn.
func (d *Document) QR(x, y, size float64, text string) float64 {
	code, err := QRSymbol(text)
	if err != nil {
		d.fail(err)
		return 0
	}
	module := size / float64(code.Columns())
	if module < LeastQRModule {
		d.fail(fmt.Errorf("QR code of %d characters: modules of %.2f mm are too small to read", len(text), module))
		return 0
	}
	d.Symbol(x, y, module, module, code, Ink)
	return size
}
