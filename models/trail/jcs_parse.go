package trail

import (
	"errors"
	"fmt"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// parse reads one JSON value strictly. encoding/json will not do: it takes the
// last of two equal names, and puts U+FFFD for a lone surrogate and for bytes
// that are not UTF-8.
func parse(raw []byte) (node, error) {
	if !utf8.Valid(raw) {
		return nil, ErrEncoding
	}
	p := parser{raw: raw}
	value, err := p.value(0)
	if err != nil {
		return nil, fmt.Errorf("at byte %d: %w", p.at, err)
	}
	p.space()
	if p.at < len(raw) {
		return nil, fmt.Errorf("at byte %d: text behind the value: %w", p.at, ErrSyntax)
	}
	return value, nil
}

type parser struct {
	raw []byte
	at  int
}

// peek returns the next byte, 0 at the end; no JSON text holds a zero byte.
func (p *parser) peek() byte {
	if p.at < len(p.raw) {
		return p.raw[p.at]
	}
	return 0
}

func (p *parser) space() {
	for p.at < len(p.raw) {
		switch p.raw[p.at] {
		case ' ', '\t', '\n', '\r':
			p.at++
		default:
			return
		}
	}
}

// take steps over the byte c if it comes next.
func (p *parser) take(c byte) bool {
	if p.peek() != c {
		return false
	}
	p.at++
	return true
}

func (p *parser) value(depth int) (node, error) {
	if depth > deepest {
		return nil, fmt.Errorf("nested more than %d deep: %w", deepest, ErrSyntax)
	}
	p.space()
	switch c := p.peek(); {
	case c == '{':
		return p.object(depth)
	case c == '[':
		return p.array(depth)
	case c == '"':
		return p.text()
	case c == '-' || c >= '0' && c <= '9':
		return p.number()
	}
	for word, value := range map[string]node{"null": nil, "true": true, "false": false} {
		if rest := p.raw[p.at:]; len(rest) >= len(word) && string(rest[:len(word)]) == word {
			p.at += len(word)
			return value, nil
		}
	}
	return nil, ErrSyntax
}

func (p *parser) array(depth int) (node, error) {
	p.at++
	elements := []node{}
	p.space()
	if p.take(']') {
		return elements, nil
	}
	for {
		element, err := p.value(depth + 1)
		if err != nil {
			return nil, err
		}
		elements = append(elements, element)
		p.space()
		if p.take(']') {
			return elements, nil
		}
		if !p.take(',') {
			return nil, ErrSyntax
		}
	}
}

func (p *parser) object(depth int) (node, error) {
	p.at++
	o := &object{}
	p.space()
	if p.take('}') {
		return o, nil
	}
	// Equal names are found when the members are sorted, not here.
	for {
		p.space()
		if p.peek() != '"' {
			return nil, ErrSyntax
		}
		name, err := p.text()
		if err != nil {
			return nil, err
		}
		p.space()
		if !p.take(':') {
			return nil, ErrSyntax
		}
		value, err := p.value(depth + 1)
		if err != nil {
			return nil, err
		}
		o.names, o.values = append(o.names, name), append(o.values, value)
		p.space()
		if p.take('}') {
			return o, nil
		}
		if !p.take(',') {
			return nil, ErrSyntax
		}
	}
}

// number reads a number of the JSON grammar: no leading zeros, no plus before
// it, digits on both sides of the mark.
func (p *parser) number() (node, error) {
	start := p.at
	p.take('-')
	if !p.take('0') && p.digits() == 0 {
		return nil, ErrSyntax
	}
	if p.take('.') && p.digits() == 0 {
		return nil, ErrSyntax
	}
	if p.take('e') || p.take('E') {
		if !p.take('+') {
			p.take('-')
		}
		if p.digits() == 0 {
			return nil, ErrSyntax
		}
	}
	text := string(p.raw[start:p.at])
	x, err := strconv.ParseFloat(text, 64)
	if errors.Is(err, strconv.ErrRange) {
		return nil, fmt.Errorf("%s: %w", text, ErrNumberRange)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", text, ErrSyntax)
	}
	return x, nil
}

func (p *parser) digits() int {
	start := p.at
	for p.peek() >= '0' && p.peek() <= '9' {
		p.at++
	}
	return p.at - start
}

// text reads a string, from its opening quote to its closing one.
func (p *parser) text() (string, error) {
	p.at++
	var out []byte
	for p.at < len(p.raw) {
		c := p.raw[p.at]
		p.at++
		switch {
		case c == '"':
			return string(out), nil
		case c < 0x20:
			return "", fmt.Errorf("control character in a string: %w", ErrSyntax)
		case c == '\\':
			r, err := p.escape()
			if err != nil {
				return "", err
			}
			out = utf8.AppendRune(out, r)
		default:
			out = append(out, c)
		}
	}
	return "", ErrSyntax
}

// escape reads what stands behind a backslash, and the second half of a
// surrogate pair with the first.
func (p *parser) escape() (rune, error) {
	c := p.peek()
	p.at++
	switch c {
	case '"', '\\', '/':
		return rune(c), nil
	case 'b':
		return '\b', nil
	case 'f':
		return '\f', nil
	case 'n':
		return '\n', nil
	case 'r':
		return '\r', nil
	case 't':
		return '\t', nil
	case 'u':
		first, err := p.hex4()
		if err != nil || !utf16.IsSurrogate(first) {
			return first, err
		}
		if !p.take('\\') || !p.take('u') {
			return 0, ErrLoneSurrogate
		}
		second, err := p.hex4()
		if err != nil {
			return 0, err
		}
		pair := utf16.DecodeRune(first, second)
		if pair == utf8.RuneError {
			return 0, ErrLoneSurrogate
		}
		return pair, nil
	}
	return 0, ErrSyntax
}

func (p *parser) hex4() (rune, error) {
	if p.at+4 > len(p.raw) {
		return 0, ErrSyntax
	}
	unit, err := strconv.ParseUint(string(p.raw[p.at:p.at+4]), 16, 16)
	if err != nil {
		return 0, ErrSyntax
	}
	p.at += 4
	return rune(unit), nil
}
