package ident

import (
	"errors"
	"regexp"
	"strings"
)

// What a scanned or typed text turns out to be, by its form alone.
const (
	ScanSerial      = "serial"      // of the form of ours, check character and all
	ScanMisread     = "misread"     // of that form, but a character is wrong
	ScanCertificate = "certificate" // the code on the paper of one of our certificates
	ScanGS1         = "gs1"         // a supplier's code in GS1's element strings
	ScanArticle     = "article"     // the article number of a trade good
	ScanLink        = "link"        // a web address
	ScanText        = "text"        // anything else: a lot's code, a maker's number
)

// Scan is a text that came from a scanner or a hand, told apart by its form.
type Scan struct {
	What        string
	Text        string // without prefix and line end
	Scanned     bool   // it carries a symbology prefix, so no hand typed it
	Serial      string // stored form: of a serial, or of the certificate's item
	Certificate string // number/revision
	Elements    []Element
	Damaged     error // why a GS1 string cannot be read, see [Elements]
}

// paper is what stands in the code of a certificate whose shop has no public
// address: serial, number with revision, hash.
var paper = regexp.MustCompile(`^(\S{9}) (C\d\d-\d{5}/\d+) [0-9a-f]{64}$`)

var link = regexp.MustCompile(`^(?i)https?://\S+$`)

// Recognise tells what a text is. Symbology prefixes (ISO/IEC 15424) are
// understood: a GS1 element string is known by its prefix, by a separator in it, or
// by identifiers in brackets; without any of them it is only digits and letters.
func Recognise(typed string) Scan {
	whole := strings.TrimSpace(typed)
	s := Scan{What: ScanText, Text: strings.TrimSpace(WithoutPrefix(whole))}
	s.Scanned = s.Text != whole
	serial, err := Normalise(whole)
	switch {
	case err == nil:
		s.What, s.Serial = ScanSerial, serial
		return s
	case errors.Is(err, ErrCheck):
		s.What = ScanMisread
		return s
	}
	if m := paper.FindStringSubmatch(s.Text); m != nil {
		if serial, err := Normalise(m[1]); err == nil {
			s.What, s.Serial, s.Certificate = ScanCertificate, serial, m[2]
			return s
		}
	}
	if gs1Prefixed(whole) || gs1Bracketed(s.Text) || strings.Contains(s.Text, groupSeparator) {
		s.What = ScanGS1
		s.Elements, s.Damaged = Elements(whole)
		return s
	}
	switch {
	case link.MatchString(s.Text):
		s.What = ScanLink
	case isArticle(s.Text):
		s.What = ScanArticle
	}
	return s
}

// Foreign says that a text only looks like GS1's, and begins with no identifier
// known here: some print codes of their own so.
func (s Scan) Foreign() bool {
	var at *ElementError
	return errors.As(s.Damaged, &at) && at.AI == "" && at.Value == s.Text
}

// MakersNumber is the maker's number in what was scanned: of a GS1 code the serial
// in it. One that holds none, or cannot be read, stays as it was scanned: it is no
// number.
func MakersNumber(scanned string) string {
	s := Recognise(scanned)
	if s.What != ScanGS1 || s.Foreign() {
		return WithoutPrefix(scanned)
	}
	if number := ElementOf(s.Elements, "21"); s.Damaged == nil && number != "" {
		return number
	}
	return scanned
}

// gs1Prefixed says whether a scanner says that it read GS1's own data: Code
// 128, Data Matrix and QR code with FNC1, and DataBar.
func gs1Prefixed(scanned string) bool {
	for _, prefix := range []string{"]C1", "]d2", "]Q3", "]e0"} {
		if strings.HasPrefix(scanned, prefix) {
			return true
		}
	}
	return false
}

// gs1Bracketed says whether a text begins with a known identifier in brackets.
func gs1Bracketed(text string) bool {
	behind, bracketed := strings.CutPrefix(text, "(")
	ai, _, closed := strings.Cut(behind, ")")
	id, known := identifierOf(ai)
	return bracketed && closed && known && id.ai == ai
}

// isArticle says whether a text is an article number of 8, 12, 13 or 14 digits
// with its check digit.
func isArticle(text string) bool {
	switch len(text) {
	case 8, 12, 13, 14:
		check, ok := Article(text[:len(text)-1])
		return ok && check == text[len(text)-1:]
	}
	return false
}

// Problem says by code and values, name by name, why a scan is not the serial
// that is wanted. A lot's code and a maker's number have no form of their own:
// whoever knows the records looks for them first.
func (s Scan) Problem() (code string, values []string) {
	switch s.What {
	case ScanMisread:
		return "serial_check", []string{"serial", s.Text}
	case ScanCertificate:
		return "scan_certificate", []string{"number", s.Certificate, "serial", s.Serial}
	case ScanGS1:
		elements := make([]string, len(s.Elements))
		for i, e := range s.Elements {
			elements[i] = e.AI + "=" + e.Value
		}
		if len(elements) == 0 {
			return "scan_gs1_damaged", []string{"typed", s.Text}
		}
		return "scan_gs1", []string{"elements", strings.Join(elements, "\n")}
	case ScanArticle:
		return "scan_article", []string{"number", s.Text}
	case ScanLink:
		return "scan_link", []string{"address", s.Text}
	}
	return "serial_form", []string{"serial", s.Text}
}
