package pdf

import (
	"strings"
	"testing"
	"time"
)

// A word that is longer than many pages is broken in one go along it: each letter is
// measured with its line, not with all that follow. A word of 300,000 letters took
// minutes otherwise, and takes less than a second so.
func TestALongWordIsBrokenInOneGo(t *testing.T) {
	for _, letter := range []string{"x", "ä"} {
		word, began := strings.Repeat(letter, 300_000), time.Now()
		lines := (Style{Font: Sans(), Size: 9}).Wrap(word, 100)
		if took := time.Since(began); took > 10*time.Second {
			t.Errorf("%q: %s", letter, took)
		}
		if strings.Join(lines, "") != word || len(lines) < 1000 {
			t.Errorf("%q: %d lines hold something else", letter, len(lines))
		}
	}
}
