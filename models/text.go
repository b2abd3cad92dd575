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
// of what is: control, format, private use, what is no character, and separators of
// lines and paragraphs.
var unprinted = []*unicode.RangeTable{unicode.Cc, unicode.Cf, unicode.Co, unicode.Cs, unicode.Zl, unicode.Zp, unicode.Noncharacter_Code_Point}

// idle are the characters that nobody sees and that do no work in what is typed here:
// they come along with what is pasted out of letters and lists.
var idle = &unicode.RangeTable{R16: []unicode.Range16{
	{Lo: 0x00ad, Hi: 0x00ad, Stride: 1}, // a place to break a word
	{Lo: 0x061c, Hi: 0x061c, Stride: 1}, // marks of direction
	{Lo: 0x200b, Hi: 0x200b, Stride: 1}, // a space of no width
	{Lo: 0x200e, Hi: 0x200f, Stride: 1},
	{Lo: 0x202a, Hi: 0x202e, Stride: 1}, // turns of direction
	{Lo: 0x2060, Hi: 0x2060, Stride: 1}, // a word joiner
	{Lo: 0x2066, Hi: 0x2069, Stride: 1}, // turns of direction
	{Lo: 0xfeff, Hi: 0xfeff, Stride: 1}, // the mark at the head of a file
}, LatinOffset: 1}

// Unprinted says whether a text holds what nobody sees. Breaks of lines and tabs are
// fine where it may have several lines, joiners between two characters that are seen,
// since some scripts are written wrongly without them, and the tags of a flag.
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
		case isTag(r) && (before == blackFlag || isTag(before)):
		case unicode.In(r, unprinted...):
			return true
		}
		before = r
	}
	return false
}

func joins(r rune) bool {
	return r != utf8.RuneError && unicode.In(r, unicode.L, unicode.M, unicode.N, unicode.P, unicode.S)
}

// blackFlag is the picture that the tags behind it make the flag of a country.
const blackFlag = '\U0001F3F4'

func isTag(r rune) bool { return r >= 0xe0020 && r <= 0xe007f }

// Trimmed is a text as a record keeps it: without the space around it and without the
// characters that do no work, and nothing where no character of it can be seen.
func Trimmed(text string) string {
	seen := func(r rune) bool {
		return !unicode.IsSpace(r) && !unicode.In(r, unprinted...) && !unicode.In(r, unicode.M, unicode.Other_Default_Ignorable_Code_Point)
	}
	if !strings.ContainsFunc(text, seen) {
		return ""
	}
	if utf8.ValidString(text) { // What is no text stays so, and is refused.
		text = strings.Map(func(r rune) rune {
			if unicode.Is(idle, r) {
				return -1
			}
			return r
		}, text)
	}
	return strings.TrimSpace(text)
}

// OneLine is [Trimmed] on one line: breaks and runs of space are one space.
func OneLine(text string) string { return strings.Join(strings.Fields(Trimmed(text)), " ") }
