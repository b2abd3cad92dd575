package words

import (
	"strings"
	"testing"

	"tracewright/models"
)

// How good asks whether all of a time was in control, and a chart how it stands now:
// after a drift that is over both are right, and the words say which is which.
func TestThePromiseIsAboutAllTheTime(t *testing.T) {
	for _, count := range []string{"1", "3"} {
		text := In("en").Remark(models.NewRemark("good_no_promise", "count", count))
		if !strings.Contains(text, "throughout this time") || !strings.Contains(text, count) || strings.Contains(text, "1 signals") {
			t.Errorf("%s: %q", count, text)
		}
	}
}
