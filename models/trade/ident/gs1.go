package ident

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Element is one value of a GS1 element string, by its application identifier:
// 01 the article, 10 the lot, 11 the day of production, 21 the serial.
type Element struct{ AI, Value string }

// What can be wrong with an element string.
var (
	ErrGS1Form  = errors.New("not a GS1 element string")
	ErrGS1Check = errors.New("the check digit of an article number does not fit")
	ErrGS1Date  = errors.New("not a date as YYMMDD")
	ErrGS1Alone = errors.New("a lot or serial needs its article beside it")
)

// ElementError says which element of a string is wrong. Where the identifier
// itself is not known, AI is empty and Value is what stands in its place.
type ElementError struct {
	Element
	Err error
}

func (e *ElementError) Error() string {
	if e.AI == "" {
		return fmt.Sprintf("%.20q: %v", e.Value, e.Err)
	}
	return fmt.Sprintf("(%s)%.40s: %v", e.AI, e.Value, e.Err)
}

func (e *ElementError) Unwrap() error { return e.Err }

func wrong(ai, value string, err error) error { return &ElementError{Element{ai, value}, err} }

// identifier says how a value is made. Fixed ones need no separator behind them.
type identifier struct {
	ai       string
	least    int
	most     int
	digits   bool
	fixed    bool // predefined length (GS1 General Specifications, 7.8.5)
	date     bool
	article  bool // begins with an article number of 14 digits
	separate bool // stands only beside 01 or 8006
}

// The identifiers that goods of a workshop carry (GS1 General Specifications,
// chapter 3; GS1 Barcode Syntax Dictionary).
var identifiers = []identifier{
	{ai: "00", least: 18, most: 18, digits: true, fixed: true},
	{ai: "01", least: 14, most: 14, digits: true, fixed: true, article: true},
	{ai: "02", least: 14, most: 14, digits: true, fixed: true, article: true},
	{ai: "10", least: 1, most: 20, separate: true},
	{ai: "11", least: 6, most: 6, digits: true, fixed: true, date: true},
	{ai: "12", least: 6, most: 6, digits: true, fixed: true, date: true},
	{ai: "13", least: 6, most: 6, digits: true, fixed: true, date: true},
	{ai: "15", least: 6, most: 6, digits: true, fixed: true, date: true},
	{ai: "16", least: 6, most: 6, digits: true, fixed: true, date: true},
	{ai: "17", least: 6, most: 6, digits: true, fixed: true, date: true},
	{ai: "20", least: 2, most: 2, digits: true, fixed: true},
	{ai: "21", least: 1, most: 20, separate: true},
	{ai: "240", least: 1, most: 30},
	{ai: "241", least: 1, most: 30},
	{ai: "30", least: 1, most: 8, digits: true},
	{ai: "37", least: 1, most: 8, digits: true},
	{ai: "400", least: 1, most: 30},
	{ai: "8006", least: 18, most: 18, digits: true, article: true},
}

// groupSeparator stands behind a value of no predefined length (FNC1).
const groupSeparator = "\x1d"

// Elements takes a GS1 element string apart, as a scanner sends it or with its
// identifiers in brackets. Only identifiers that goods of a workshop carry are
// known.
//
// The error is an [ElementError] unless nothing was scanned, and wraps
// [ErrGS1Form], [ErrGS1Check], [ErrGS1Date] or [ErrGS1Alone].
func Elements(scanned string) ([]Element, error) {
	rest := strings.TrimPrefix(WithoutPrefix(strings.TrimSpace(scanned)), groupSeparator)
	bracketed := strings.HasPrefix(rest, "(")
	var elements []Element
	for rest != "" {
		id, value, after, err := nextElement(rest, bracketed)
		if err != nil {
			return nil, err
		}
		if err := id.check(value); err != nil {
			return nil, wrong(id.ai, value, err)
		}
		elements, rest = append(elements, Element{id.ai, value}), after
	}
	if len(elements) == 0 {
		return nil, ErrGS1Form
	}
	if err := together(elements); err != nil {
		return nil, err
	}
	return elements, nil
}

func nextElement(rest string, bracketed bool) (id identifier, value, after string, err error) {
	if bracketed {
		ai, behind, ok := strings.Cut(strings.TrimPrefix(rest, "("), ")")
		id, known := identifierOf(ai)
		if !ok || !known || len(id.ai) != len(ai) {
			return id, "", "", wrong("", rest, ErrGS1Form)
		}
		value = behind
		if i := strings.IndexByte(behind, '('); i >= 0 {
			value, after = behind[:i], behind[i:]
		}
		return id, value, after, nil
	}
	id, known := identifierOf(rest)
	if !known {
		return id, "", "", wrong("", rest, ErrGS1Form)
	}
	rest = rest[len(id.ai):]
	if id.fixed {
		if len(rest) < id.most {
			return id, "", "", wrong(id.ai, rest, ErrGS1Form)
		}
		return id, rest[:id.most], strings.TrimPrefix(rest[id.most:], groupSeparator), nil
	}
	value, after, _ = strings.Cut(rest, groupSeparator)
	return id, value, after, nil
}

// identifierOf finds the identifier that a text begins with. None of those
// known begins with another.
func identifierOf(text string) (identifier, bool) {
	for _, id := range identifiers {
		if strings.HasPrefix(text, id.ai) {
			return id, true
		}
	}
	return identifier{}, false
}

func (id identifier) check(value string) error {
	if len(value) < id.least || len(value) > id.most || id.digits && !consistsOf(value, digits) || strings.ContainsFunc(value, func(r rune) bool { return r < 0x21 || r > 0x7e }) {
		return ErrGS1Form
	}
	if id.article {
		if check, ok := Article(value[:13]); !ok || check != value[13:14] {
			return ErrGS1Check
		}
		if piece, total := value[14:], ""; len(piece) == 4 {
			piece, total = piece[:2], piece[2:]
			if piece == "00" || piece > total {
				return ErrGS1Form
			}
		}
	}
	if id.date && !isDate(value) {
		return ErrGS1Date
	}
	return nil
}

// isDate accepts a day 00: the month alone is known. Of a February it accepts 29 days:
// which century it means, [GS1Day] knows.
func isDate(yymmdd string) bool {
	month, _ := strconv.Atoi(yymmdd[2:4])
	day, _ := strconv.Atoi(yymmdd[4:])
	days := []int{31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	return month >= 1 && month <= 12 && day <= days[month-1]
}

// together refuses what may not stand alone, or not beside each other.
func together(elements []Element) error {
	has := map[string]bool{}
	for _, e := range elements {
		if has[e.AI] {
			return wrong(e.AI, e.Value, ErrGS1Form)
		}
		has[e.AI] = true
	}
	for _, id := range identifiers {
		if id.separate && has[id.ai] && !has["01"] && !has["8006"] {
			return wrong(id.ai, ElementOf(elements, id.ai), ErrGS1Alone)
		}
	}
	if has["01"] && has["8006"] {
		return wrong("8006", ElementOf(elements, "8006"), ErrGS1Form)
	}
	return nil
}

// ElementOf is the value of an identifier, empty where it is not there.
func ElementOf(elements []Element, ai string) string {
	for _, e := range elements {
		if e.AI == ai {
			return e.Value
		}
	}
	return ""
}

// GS1Day writes a date of a string, YYMMDD, as YYYY-MM-DD, or YYYY-MM where the
// month alone is known. The century is the one that brings it within 49 years
// behind and 50 before the year that it is now (GS1 General Specifications, 7.12). It
// is empty where that year has no such day.
func GS1Day(yymmdd string, now int) string {
	year, err := strconv.Atoi(yymmdd[:2])
	if err != nil {
		return ""
	}
	year += now / 100 * 100
	switch ahead := year - now; {
	case ahead >= 51:
		year -= 100
	case ahead <= -50:
		year += 100
	}
	if yymmdd[4:] == "00" {
		return fmt.Sprintf("%04d-%s", year, yymmdd[2:4])
	}
	day := fmt.Sprintf("%04d-%s-%s", year, yymmdd[2:4], yymmdd[4:])
	if _, err := time.Parse(time.DateOnly, day); err != nil {
		return ""
	}
	return day
}
