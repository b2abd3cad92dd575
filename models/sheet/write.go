package sheet

import (
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"strings"
)

// MediaType is that of a list, as it is sent (RFC 7111).
const MediaType = "text/csv; charset=utf-8"

// Form is how a list is written.
type Form struct {
	Comma        rune
	DecimalComma bool
}

// The two forms that spreadsheets open without asking, by the language they are
// set to.
var (
	Commas     = Form{Comma: ','}
	Semicolons = Form{Comma: ';', DecimalComma: true}
)

// FormNamed gives a form by its name: commas, which an empty one means too, or
// semicolons.
func FormNamed(name string) (Form, bool) {
	switch name {
	case "", "commas":
		return Commas, true
	case "semicolons":
		return Semicolons, true
	}
	return Form{}, false
}

// Writer writes a list, a row at a time.
type Writer struct {
	to   io.Writer
	csv  *csv.Writer
	form Form
}

// NewWriter begins a list. Flush ends it.
func NewWriter(to io.Writer, form Form) *Writer {
	return &Writer{to: to, form: form}
}

// Row writes one row; no cell of it is a formula.
func (w *Writer) Row(cells ...string) error {
	if w.csv == nil {
		if _, err := io.WriteString(w.to, byteOrderMark); err != nil { // Spreadsheets know UTF-8 by it.
			return fmt.Errorf("begin a list: %w", err)
		}
		w.csv = csv.NewWriter(w.to)
		w.csv.Comma = w.form.Comma
	}
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = Inert(c)
	}
	if err := w.csv.Write(out); err != nil {
		return fmt.Errorf("write a row: %w", err)
	}
	return nil
}

// Number is a decimal as this list writes it.
func (w *Writer) Number(text string) string {
	if w.form.DecimalComma {
		return strings.Replace(text, ".", ",", 1)
	}
	return text
}

// Flush sees everything off.
func (w *Writer) Flush() error {
	if w.csv == nil {
		return nil
	}
	w.csv.Flush()
	if err := w.csv.Error(); err != nil {
		return fmt.Errorf("write a list: %w", err)
	}
	return nil
}

// formula finds where a cell, or what another program may take for one, begins
// like a formula: OWASP, CSV Injection. Behind the mark of another setting, and on
// a further line, a new cell may begin.
var (
	formula  = regexp.MustCompile(`(^['" ]*)([=+@＝＋－＠\t\r-])|([,;\t\r\n]['"\s]*)([=+@＝＋－＠-])`)
	negative = regexp.MustCompile(`^-\d+([.,]\d+)?$`)
	inert    = regexp.MustCompile(`(^['" ]*)'([=+@＝＋－＠\t\r-])|([,;\t\r\n]['"\s]*)'([=+@＝＋－＠-])`)
)

// Inert is a cell that no spreadsheet takes for a formula: an apostrophe stands
// before what would make it one. A cell that is wholly a negative number stays as
// it is, for it is worth no more than itself and shall be added up; one with a plus
// may be a telephone number, which a spreadsheet would cut.
func Inert(cell string) string {
	if !strings.ContainsAny(cell, "=+@＝＋－＠\t\r-") || negative.MatchString(cell) {
		return cell
	}
	return formula.ReplaceAllString(cell, "$1$3'$2$4")
}

// live takes off the apostrophes of Inert, and nothing else.
func live(cell string) string {
	if !strings.Contains(cell, "'") {
		return cell
	}
	return inert.ReplaceAllString(cell, "$1$3$2$4")
}
