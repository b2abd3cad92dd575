package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

var (
	// ErrNoText says that the bytes are no text: the file of a spreadsheet, a
	// picture, or an encoding that is not known here.
	ErrNoText = errors.New("no text")
	// ErrTooManyRows says that there are more rows than were asked for.
	ErrTooManyRows = errors.New("too many rows")
)

// Fault is what is wrong with a row; its cells are not known then.
type Fault string

// The faults.
const (
	FaultQuote Fault = "sheet_quote"      // a quotation mark stands where none may
	FaultOpen  Fault = "sheet_quote_open" // one is never closed: the rest of the text lies in this cell
	FaultTorn  Fault = "sheet_torn"       // a character in it is no UTF-8, in a text that is
)

// Row is one row. Cells have no blanks around them, and there is no empty one at
// the end.
type Row struct {
	Number int // as a spreadsheet counts
	Cells  []string
	Fault  Fault
}

// Sheet is a list as it was read.
type Sheet struct {
	Rows        []Row // those that are not empty
	Text        string
	Comma       rune // between cells
	Windows1252 bool // the bytes were no UTF-8 and were read as that
	torn        bool // they were UTF-8, damaged: U+FFFD stands where they are not
}

const byteOrderMark = "\ufeff"

// Read reads a list of at most so many rows, the heading counted. Cells stand
// between tabs, semicolons or commas, by what the first row holds or a line before
// it says, and may stand in quotation marks. Errors: ErrNoText, ErrTooManyRows.
func Read(raw []byte, mostRows int) (Sheet, error) {
	var s Sheet
	if bytes.IndexByte(raw, 0) >= 0 {
		return s, ErrNoText
	}
	switch {
	case utf8.Valid(raw):
	case tornUTF8(raw):
		s.torn, raw = true, bytes.ToValidUTF8(raw, []byte(string(utf8.RuneError)))
	default:
		decoded, err := charmap.Windows1252.NewDecoder().Bytes(raw)
		if err != nil || bytes.ContainsRune(decoded, utf8.RuneError) {
			return s, ErrNoText
		}
		s.Windows1252, raw = true, decoded
	}
	s.Text = unixLines(strings.TrimPrefix(string(raw), byteOrderMark))
	mark, rows, said := saidSeparator(s.Text)
	if !said {
		mark = separator(rows)
	}
	s.Comma = mark
	return s, s.split(rows, mostRows)
}

// tornUTF8 says of bytes that are no UTF-8 whether they were meant to be: they begin
// with its mark, or hold more whole signs than are broken. One that is broken off by the
// end is not held against them.
func tornUTF8(raw []byte) bool {
	if bytes.HasPrefix(raw, []byte(byteOrderMark)) {
		return true
	}
	whole, broken := 0, 0
	for len(raw) > 0 {
		r, size := utf8.DecodeRune(raw)
		switch {
		case size > 1:
			whole += speaksForUTF8(raw[0], raw[1:size])
		case r == utf8.RuneError && utf8.FullRune(raw):
			broken++
		case r == utf8.RuneError:
			size = len(raw)
		}
		raw = raw[size:]
	}
	return whole > broken
}

// speaksForUTF8 weighs a whole sign by what its bytes would be in Windows-1252. A letter
// before closing marks is as good there, as in „Gruß“ and « Réglé »: nothing. What begins
// with Â or Ã is every accented letter of the west in UTF-8, and hardly anything there
// before a mark: one; before anything else, as Ã¼ for ü, nothing at all: two.
func speaksForUTF8(first byte, rest []byte) int {
	weight := 1
	if first <= 0xc3 {
		weight++
	}
	for _, b := range rest {
		if strings.IndexByte(closing1252, b) < 0 {
			return weight
		}
	}
	return weight - 1
}

// closing1252 are the marks of Windows-1252 that may follow a letter: quotation marks, an
// ellipsis, dashes and the blank that breaks no line.
const closing1252 = "\x82\x84\x85\x8b\x91\x92\x93\x94\x96\x97\x9b\xa0\xab\xbb"

// saidSeparator reads a first line like sep=; that says what stands between cells,
// and gives what follows. A spreadsheet takes it for itself and shows no row of it.
func saidSeparator(text string) (mark rune, rows string, said bool) {
	line, rest, _ := strings.Cut(text, "\n")
	for _, mark := range []rune{'\t', ';', ','} {
		if strings.EqualFold(strings.Trim(line, `"`), "sep="+string(mark)) {
			return mark, rest, true
		}
	}
	return 0, text, false
}

// unixLines ends every line in one way, so that the same list is the same text
// from wherever it comes.
func unixLines(text string) string {
	return strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
}

// separator is the mark that stands between cells of the first row: a tab before a
// semicolon before a comma.
func separator(text string) rune {
	text = strings.TrimLeft(text, "\n")
	seen := map[rune]bool{}
	quoted := false
	for _, r := range text {
		if r == '"' {
			quoted = !quoted
		}
		if r == '\n' && !quoted {
			break
		}
		seen[r] = seen[r] || !quoted
	}
	for _, mark := range []rune{'\t', ';'} {
		if seen[mark] {
			return mark
		}
	}
	return ','
}

func (s *Sheet) split(text string, most int) error {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.TrimLeadingSpace = s.Comma, -1, s.Comma != '\t'
	for number := 1; ; number++ {
		at := int(r.InputOffset())
		for at < len(text) && text[at] == '\n' { // The reader passes over empty lines; a spreadsheet counts them.
			at++
			number++
		}
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		row := Row{Number: number}
		var misquoted *csv.ParseError
		switch {
		case err == nil && s.torn && strings.ContainsRune(strings.Join(cells, ""), utf8.RuneError):
			row.Fault = FaultTorn
		case err == nil:
			row.Cells = trimmed(cells)
		case !errors.As(err, &misquoted):
			return fmt.Errorf("read row %d: %w", number, err)
		case strings.Count(text[at:r.InputOffset()], `"`)%2 == 1 && int(r.InputOffset()) == len(text):
			row.Fault = FaultOpen
		default:
			row.Fault = FaultQuote
		}
		if row.Fault == "" && len(row.Cells) == 0 {
			continue
		}
		if len(s.Rows) == most {
			return ErrTooManyRows
		}
		s.Rows = append(s.Rows, row)
	}
}

// trimmed takes the blanks around cells and the empty cells at the end away.
func trimmed(cells []string) []string {
	last := 0
	for i, c := range cells {
		if cells[i] = live(strings.TrimSpace(c)); cells[i] != "" {
			last = i + 1
		}
	}
	return cells[:last]
}
