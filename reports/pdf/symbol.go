package pdf

import (
	"fmt"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/qr"
)

// Symbol is a printed code as dark modules, row by row, for whoever draws it
// elsewhere than on a [Document]. A linear code has one row. The quiet zone
// around it is left to the drawer: four modules at a QR code, ten at Code 128.
type Symbol [][]bool

// QRSymbol is a QR code (ISO/IEC 18004), level M.
func QRSymbol(text string) (Symbol, error) {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return nil, fmt.Errorf("QR code of %d characters: %w", len(text), err)
	}
	return modules(code), nil
}

// Code128Symbol is a linear code (ISO/IEC 15417), with its check character.
func Code128Symbol(text string) (Symbol, error) {
	code, err := code128.Encode(text)
	if err != nil {
		return nil, fmt.Errorf("code 128 of %d characters: %w", len(text), err)
	}
	return modules(code)[:1], nil
}

func modules(code barcode.Barcode) Symbol {
	size := code.Bounds()
	rows := make(Symbol, size.Dy())
	for y := range rows {
		rows[y] = make([]bool, size.Dx())
		for x := range rows[y] {
			rows[y][x] = dark(code.At(x, y).RGBA())
		}
	}
	return rows
}
