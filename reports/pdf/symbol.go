package pdf

import (
	"fmt"
	"image/color"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/code128"
	"github.com/boombuler/barcode/datamatrix"
	"github.com/piglig/go-qr"
)

// Symbol is a printed code as dark modules, row by row, for whoever draws it
// elsewhere than on a [Document]. A linear code has one row. The quiet zone
// around it is left to the drawer: four modules at a QR code, one at a Data
// Matrix, ten at Code 128.
type Symbol [][]bool

// Columns is how many modules the symbol is wide.
func (s Symbol) Columns() int {
	if len(s) == 0 {
		return 0
	}
	return len(s[0])
}

// QRSymbol is a QR code (ISO/IEC 18004), level M, or a higher one where that
// takes no larger symbol.
func QRSymbol(text string) (Symbol, error) {
	code, err := go_qr.EncodeText(text, go_qr.Medium)
	if err != nil {
		return nil, fmt.Errorf("QR code of %d characters: %w", len(text), err)
	}
	size := code.Size()
	rows := make(Symbol, size)
	for y := range rows {
		rows[y] = make([]bool, size)
		for x := range rows[y] {
			rows[y][x] = code.Module(x, y)
		}
	}
	return rows, nil
}

// DataMatrixSymbol is a square Data Matrix (ISO/IEC 16022, ECC 200) of plain
// ASCII text.
func DataMatrixSymbol(text string) (Symbol, error) {
	if !plain(text) {
		return nil, fmt.Errorf("data matrix of %d characters: not all of them are ASCII", len(text))
	}
	code, err := datamatrix.Encode(text)
	if err != nil {
		return nil, fmt.Errorf("data matrix of %d characters: %w", len(text), err)
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

// Symbol draws a symbol as filled rectangles, runs of dark modules joined: its
// upper left corner at x, y, each module width by height mm.
func (d *Document) Symbol(x, y, width, height float64, s Symbol, c color.RGBA) {
	d.raw("q " + colour(c, "rg"))
	for row, cells := range s {
		// A hair of overlap downward hides the seams that some readers show.
		overlap := 1.0
		if row+1 < len(s) {
			overlap = 1.02
		}
		for column := 0; column < len(cells); {
			run := 0
			for column+run < len(cells) && cells[column+run] {
				run++
			}
			if run > 0 {
				d.raw(d.rectangle(x+float64(column)*width, y+float64(row)*height, float64(run)*width, height*overlap))
			}
			column += max(run, 1)
		}
	}
	d.raw("f Q")
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

func dark(r, _, _, _ uint32) bool { return r < 0x8000 }
