package ident

import "strings"

// Parts takes a normalised serial apart: its kind, the last two digits of its
// year, and its counter. A text that is no serial is ErrFormat.
func Parts(serial string) (kind Kind, year2, counter int, err error) {
	normal, err := Normalise(serial)
	if err != nil {
		return 0, 0, 0, err
	}
	year2 = int(normal[1]-'0')*10 + int(normal[2]-'0')
	for _, c := range normal[3:8] {
		counter = counter*32 + strings.IndexRune(crockford, c)
	}
	return Kind(normal[0]), year2, counter, nil
}
