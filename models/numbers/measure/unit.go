package measure

import (
	"errors"
	"fmt"
	"strings"
)

// ErrUnit is returned for an unknown unit, and for a conversion between units
// of different quantities.
var ErrUnit = errors.New("unit does not fit")

// Unit names what a number counts, by a code of plain letters that is stored
// and sent; [Unit.Symbol] is what people read.
type Unit string

// The units readings and results may have.
const (
	MM            Unit = "mm"
	Micrometre    Unit = "um"
	Inch          Unit = "in"
	Newton        Unit = "N"
	KilogramForce Unit = "kgf"
	PoundForce    Unit = "lbf"
	Volt          Unit = "V"
	Millivolt     Unit = "mV"
	Ohm           Unit = "ohm"
	Milliohm      Unit = "mohm"
	Microohm      Unit = "uohm"
	Siemens       Unit = "S"
	Celsius       Unit = "degC"
	Hour          Unit = "h"
	Percent       Unit = "%"
	One           Unit = "1"
	Degree        Unit = "deg"
	Ampere        Unit = "A"
	AmpereHour    Unit = "Ah"
	Gram          Unit = "g"
	Division      Unit = "div" // of a gauge's own scale: only its table says what it means
)

// unitEntry is one line of the table of units. A value in the unit times
// perBase gives the value in the base unit of its quantity.
type unitEntry struct {
	unit      Unit
	quantity  string
	perBase   string
	symbol    string
	spellings string // What people type besides the code and the symbol, space between.
}

// units is the table of every unit. Factors are exact by definition: 1 in =
// 25.4 mm and 1 lb = 0.45359237 kg (international yard and pound agreement,
// 1959), standard acceleration 9.80665 m/s2 (3rd CGPM, 1901), hence 1 lbf =
// 0.45359237 x 9.80665 N = 4.4482216152605 N.
// Spellings are listed one by one, since m and M, s and S mean other things.
// Code points are written out where two look alike: micro U+00B5 and mu U+03BC,
// omega U+03A9 and the ohm sign U+2126.
var units = []unitEntry{
	{MM, "length", "1", "mm", "MM Mm"},
	{Micrometre, "length", "0.001", "\u00b5m", "\u03bcm"},
	{Inch, "length", "25.4", "in", `IN In inch "`},
	{Newton, "force", "1", "N", "n"},
	{KilogramForce, "force", "9.80665", "kgf", "KGF Kgf kp"},
	{PoundForce, "force", "4.4482216152605", "lbf", "LBF Lbf"},
	{Volt, "voltage", "1", "V", "v"},
	{Millivolt, "voltage", "0.001", "mV", "mv"},
	{Ohm, "resistance", "1", "\u03a9", "\u2126 Ohm"},
	{Milliohm, "resistance", "0.001", "m\u03a9", "m\u2126 mOhm"},
	{Microohm, "resistance", "0.000001", "\u00b5\u03a9", "\u03bc\u03a9 \u00b5\u2126 \u03bc\u2126 u\u03a9 \u00b5ohm \u03bcohm uOhm"},
	{Siemens, "conductance", "1", "S", ""},
	{Celsius, "temperature", "1", "\u00b0C", "C \u00b0c \u2103"},
	{Hour, "time", "1", "h", "H"},
	{Percent, "ratio", "0.01", "%", ""},
	{One, "ratio", "1", "", ""},
	{Degree, "angle", "1", "\u00b0", ""},
	{Ampere, "current", "1", "A", "a"},
	{AmpereHour, "charge", "1", "Ah", "AH ah"},
	{Gram, "mass", "1", "g", ""},
	{Division, "scale", "1", "div", "divs DIV Div"},
}

func lookUp(u Unit) (unitEntry, error) {
	for _, entry := range units {
		if entry.unit == u {
			return entry, nil
		}
	}
	return unitEntry{}, fmt.Errorf("%q: %w", shorten(string(u)), ErrUnit)
}

// Units returns the code of every unit.
func Units() []Unit {
	codes := make([]Unit, len(units))
	for i, entry := range units {
		codes[i] = entry.unit
	}
	return codes
}

// Known reports whether u is a unit of this package.
func (u Unit) Known() bool {
	_, err := lookUp(u)
	return err == nil
}

// Symbol returns the unit as people read it: "mΩ", "°C"; nothing for a plain
// number. An unknown unit is shown by its code.
func (u Unit) Symbol() string {
	entry, err := lookUp(u)
	if err != nil {
		return string(u)
	}
	return entry.symbol
}

// ParseUnit reads a unit as typed: its code, its symbol, or a spelling that
// cannot mean anything else. The error wraps [ErrUnit].
func ParseUnit(typed string) (Unit, error) {
	text := strings.TrimSpace(typed)
	for _, entry := range units {
		if entry.unit == One {
			continue // A plain number is written without a unit.
		}
		if text == string(entry.unit) || text == entry.symbol {
			return entry.unit, nil
		}
		for spelling := range strings.FieldsSeq(entry.spellings) {
			if text == spelling {
				return entry.unit, nil
			}
		}
	}
	return "", fmt.Errorf("%q: %w", shorten(typed), ErrUnit)
}
