package label

import (
	"errors"
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/reports/pdf"
)

// rules are what a symbol needs to be read with certainty. Quiet zones are
// those of ISO/IEC 18004, 16022 and 15417; least modules are common practice: a
// phone reads a QR code of 0.4 mm, a marked hub a Data Matrix of 0.3 mm, and
// 0.25 mm is two dots of a label printer with 203 dots an inch.
type rules struct {
	symbol string
	encode func(string) (pdf.Symbol, error)
	quiet  int     // modules left white on each side
	least  float64 // mm
	most   float64 // mm; more gains nothing
	serial int     // modules across that any serial of nine characters fits in
}

var symbols = []rules{
	{models.SymbolQR, pdf.QRSymbol, 4, pdf.LeastQRModule, 1.0, 21},
	{models.SymbolDataMatrix, pdf.DataMatrixSymbol, 1, 0.3, 0.6, 14},
	{models.SymbolCode128, pdf.Code128Symbol, 10, 0.25, 0.5, 134},
}

func rulesOf(symbol string) (rules, error) {
	for _, r := range symbols {
		if r.symbol == symbol {
			return r, nil
		}
	}
	return rules{}, models.Invalid("symbol", "unknown_choice", "typed", models.Shortened(symbol))
}

// placed is a symbol on a label: its own modules, and how wide each is. Height
// is that of a module, or of the bars of a linear code.
type placed struct {
	rules
	code          pdf.Symbol
	x, y          float64
	width, height float64
}

// encoded is a code that is not placed yet, with the modules that are reserved
// for it across: serials of one kind and size are then all drawn alike.
type encoded struct {
	rules
	code     pdf.Symbol
	reserved int
}

func encode(r rules, c models.LabelContent) (encoded, error) {
	code, err := r.encode(c.Code)
	if err == nil && !ascii(c.Code) {
		// Readers guess how other letters were written, and some guess wrong.
		err = errors.New("not all of its characters are ASCII")
	}
	if err != nil {
		return encoded{}, fmt.Errorf("%w: %w", refused("label_symbol_cannot_hold", "symbol", r.symbol, "code", c.Code), err)
	}
	e := encoded{r, code, code.Columns()}
	if c.Kind != models.LabelLot {
		e.reserved = max(e.reserved, r.serial)
	}
	return e, nil
}

func ascii(text string) bool {
	return strings.IndexFunc(text, func(r rune) bool { return r < 0x20 || r > 0x7e }) < 0
}

// across is how many modules it takes with its quiet zones.
func (e encoded) across() float64 { return float64(e.reserved + 2*e.quiet) }

// module is the width of a module that fills a space, and whether it is enough.
func (e encoded) module(space float64) (float64, bool) {
	m := min(space/e.across(), e.most)
	return m, m >= e.least-tolerance
}

// tooSmall says that a label has no room for a symbol.
func (e encoded) tooSmall(size models.LabelSize, got float64) error {
	return refused("label_symbol_too_small", "label_size", size.Code, "symbol", e.symbol, "got", fmt.Sprintf("%.2f", got), "least", fmt.Sprintf("%.2f", e.least))
}

// refused is a reason why a label is not drawn.
func refused(code string, values ...string) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, values...)}}
}
