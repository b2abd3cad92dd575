package main

import (
	"net/http/cookiejar"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The story of the gauge as somebody reads it: the register names a gauge that is
// out of use; its page tells of the calibration that failed; one click from there
// leads to what it had measured, the second to the serials that are shipped.
func TestTheGaugeStoryIsTwoClicksLong(t *testing.T) {
	if testing.Short() {
		t.Skip("invents a shop")
	}
	demo := startDemo(t, demoCommand{Folder: filepath.Join(t.TempDir(), "demo"), wheels: 500, packs: 10})
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	link := func(page, pattern string) string {
		t.Helper()
		found := regexp.MustCompile(pattern).FindStringSubmatch(page)
		if found == nil {
			t.Fatalf("no link %s in:\n%.2000s", pattern, page)
		}
		return demo.address + found[1]
	}
	browse(t, jar, demo.address)
	register := browse(t, jar, demo.address+"/instruments")
	gauge := browse(t, jar, link(register, `href="(/instruments/T-32)"`))
	for _, says := range []string{"Found out of tolerance on", "Out of use", "Left out of tolerance", "reference of the laboratory"} {
		if !strings.Contains(gauge, says) {
			t.Errorf("the page of the gauge does not say %q", says)
		}
	}
	sets := browse(t, jar, link(gauge, `href="(/instruments/T-32/traces/[0-9a-f-]+)"`))
	if !strings.Contains(sets, "when it was last good") || !strings.Contains(sets, "without the error") {
		t.Errorf("the first click does not show the sets:\n%.2000s", sets)
	}
	shipped := browse(t, jar, link(sets, `href="(/instruments/T-32/traces/[0-9a-f-]+\?show=shipped)"`))
	rows := regexp.MustCompile(`<tr><td><a class="mono" href="(/items/W[^"]+)">`).FindAllStringSubmatch(shipped, -1)
	if len(rows) == 0 {
		t.Fatalf("the second click shows no serial:\n%.2000s", shipped)
	}
	for _, row := range rows[:min(len(rows), 3)] {
		item := browse(t, jar, demo.address+row[1])
		if !strings.Contains(item, "T-32") || !strings.Contains(strings.ToLower(item), "shipped") {
			t.Errorf("%s is not shipped, or was not measured with the gauge", row[1])
		}
	}
	if err := demo.stop(); err != nil {
		t.Fatal(err)
	}
}
