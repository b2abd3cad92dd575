package web

import (
	"regexp"
	"strings"
	"testing"
)

var figureCell = regexp.MustCompile(`<td class="n(?: quiet)?" data-k="([^"]+)">(?:<s>)?([^<]*)`)

// No figure of a gauge study or a budget stands without its unit or its per cent;
// what is only counted has none.
func TestFiguresOfStudiesHaveTheirUnits(t *testing.T) {
	counted := map[string]bool{"readings": true, "degrees of freedom": true}
	looked := map[string]int{}
	pages := studyPages(sampleSite(), sampleFrame("Gauge studies", "/studies"))
	for _, name := range []string{"study", "budget", "budgets", "budget_form"} {
		for i, page := range pages[name] {
			body, err := renderPage(name, page)
			if err != nil {
				t.Fatal(err)
			}
			for _, cell := range figureCell.FindAllStringSubmatch(string(body), -1) {
				of, text := cell[1], cell[2]
				if counted[of] {
					continue
				}
				looked[of]++
				if !strings.HasSuffix(text, "mm") && !strings.HasSuffix(text, "%") {
					t.Errorf("%s, sample %d: %s is %q, without a unit", name, i, of, text)
				}
			}
		}
	}
	for _, of := range []string{"lowest", "highest", "mean", "read", "standard deviation", "share of all variance", "six times it, of the tolerance", "standard uncertainty", "share of the variance", "uncertainty"} {
		if looked[of] == 0 {
			t.Errorf("no page shows %s", of)
		}
	}
}
