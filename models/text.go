package models

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// LongestReason is how long a text may be that says why something is done.
const LongestReason = 500

// Line adds a problem where a text of one line has more than so many characters, or
// holds what nobody sees.
func (e *InvalidError) Line(field, text string, most int) { e.bounded(field, text, most, false) }

// Lines is Line for a text of several lines.
func (e *InvalidError) Lines(field, text string, most int) { e.bounded(field, text, most, true) }

func (e *InvalidError) bounded(field, text string, most int, lines bool) {
	switch {
	case utf8.RuneCountInString(text) > most:
		e.Add(field, "too_long", "most", fmt.Sprint(most))
	case Unprinted(text, lines):
		e.Add(field, "not_printed")
	}
}

// Reason adds a problem where a text that says why is not there, or is no text.
func (e *InvalidError) Reason(field, text string) {
	if text == "" {
		e.Add(field, "reason_needed")
	}
	e.Lines(field, text, LongestReason)
}

// unprinted are the characters that are not printed, and those that turn the direction
// of what is: control, format, private use, and separators of lines and paragraphs.
var unprinted = []*unicode.RangeTable{unicode.Cc, unicode.Cf, unicode.Co, unicode.Cs, unicode.Zl, unicode.Zp}

// Unprinted says whether a text holds what nobody sees. Breaks of lines and tabs are
// fine where it may have several lines, and joiners between two letters or pictures:
// some scripts are written wrongly without them.
func Unprinted(text string, lines bool) bool {
	if !utf8.ValidString(text) {
		return true
	}
	before := ' '
	for i, r := range text {
		switch {
		case lines && (r == '\n' || r == '\r' || r == '\t'):
		case r == '\u200c' || r == '\u200d':
			if after, _ := utf8.DecodeRuneInString(text[i+utf8.RuneLen(r):]); !joins(before) || !joins(after) {
				return true
			}
		case unicode.In(r, unprinted...):
			return true
		}
		before = r
	}
	return false
}

func joins(r rune) bool { return r != utf8.RuneError && unicode.In(r, unicode.L, unicode.M, unicode.S) }

// Trimmed is a text without the space around it, and nothing where no character of it
// can be seen.
func Trimmed(text string) string {
	seen := func(r rune) bool {
		return !unicode.IsSpace(r) && !unicode.In(r, unprinted...) && !unicode.In(r, unicode.M, unicode.Other_Default_Ignorable_Code_Point)
	}
	if !strings.ContainsFunc(text, seen) {
		return ""
	}
	return strings.TrimSpace(text)
}
