package web

import (
	"io/fs"
	"path"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
)

func floorPages() map[string]FloorPage {
	at := Frame{Actor: models.Actor{PersonID: "p1", Name: "Ines Okarra", Role: models.Operator, DeviceID: "d1", Place: "stand 2"}}
	blocks, err := blocksInPage(at, blocksGiven{Models: []givenModel{{ID: "m1", Name: `Corbel "4S"`, Chemistry: "agm", Cells: 6}}})
	if err != nil {
		panic(err)
	}
	return map[string]FloorPage{
		"blocks_in": blocks,
		"stand":     standPage(at, "W26000051", ""),
		"bench":     benchPage(at, "", "0193f0c0-0000-7000-8000-000000000001"),
	}
}

// TestFloorPagesRender draws both pages and checks what the modules and a
// screen reader need of them.
func TestFloorPagesRender(t *testing.T) {
	for name, page := range floorPages() {
		t.Run(name, func(t *testing.T) {
			body, err := renderPage(name, page)
			if err != nil {
				t.Fatal(err)
			}
			html := string(body)
			// Each id is a region that floor-view.js paints.
			for _, id := range []string{"floor", "serial", "what", "stage", "line", "ask", "last", "third", "rim", "open", "capture", "says", "unit", "hint", "take", "under", "pad", "list", "tools", "sets", "live"} {
				if n := strings.Count(html, ` id="`+id+`"`); n != 1 {
					t.Errorf("id %q stands %d times, not once", id, n)
				}
			}
			for _, want := range []string{`for="capture"`, `aria-live="polite"`, `data-person-id="p1"`, `data-place="stand 2"`, `aria-label="rub out"`, `<noscript>`, `lang="en"`} {
				if !strings.Contains(html, want) {
					t.Errorf("the page lacks %s", want)
				}
			}
			// The content policy forbids inline script and style.
			for _, bad := range []string{" style=", "<style", "javascript:", " onclick="} {
				if strings.Contains(html, bad) {
					t.Errorf("the page carries %q", bad)
				}
			}
			if inline := regexp.MustCompile(`<script[^>]*>[^<]`).FindString(html); inline != "" {
				t.Errorf("inline script: %s", inline)
			}
		})
	}
}

// TestFloorPageEscapes puts markup into what comes from the address.
func TestFloorPageEscapes(t *testing.T) {
	body, err := renderPage("stand", standPage(Frame{}, `"><script>x</script>`, `'`))
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(body), "<script>x") {
		t.Error("a serial in the address became markup")
	}
}

// TestModulesImportWhatIsThere follows every import of the floor's modules: a
// missing one would only show in a browser.
func TestModulesImportWhatIsThere(t *testing.T) {
	imports := regexp.MustCompile(`(?m)^(?:import|export)[^;]*? from '(\./[^']+)';`)
	exported := regexp.MustCompile(`(?m)^export (?:async )?(?:function|const|class) (\w+)`)
	named := regexp.MustCompile(`(?m)^import \{([^}]+)\} from '(\./[^']+)';`)
	seen := 0
	files, err := fs.Glob(packedFiles, "static/*.js")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if base := path.Base(file); !strings.HasPrefix(base, "floor") && !strings.HasPrefix(base, "stand") && !strings.HasPrefix(base, "bench") && !strings.HasPrefix(base, "setup") && base != "office-lock.js" {
			continue
		}
		source, err := fs.ReadFile(packedFiles, file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range imports.FindAllStringSubmatch(string(source), -1) {
			seen++
			if _, err := fs.Stat(packedFiles, path.Join("static", m[1])); err != nil {
				t.Errorf("%s imports %s: %v", file, m[1], err)
			}
		}
		for _, m := range named.FindAllStringSubmatch(string(source), -1) {
			target, err := fs.ReadFile(packedFiles, path.Join("static", m[2]))
			if err != nil {
				continue // said above
			}
			have := map[string]bool{}
			for _, e := range exported.FindAllStringSubmatch(string(target), -1) {
				have[e[1]] = true
			}
			for _, name := range strings.Split(m[1], ",") {
				name, _, _ = strings.Cut(strings.TrimSpace(name), " as ")
				if name != "" && !have[name] {
					t.Errorf("%s imports %s, which %s does not export", file, name, m[2])
				}
			}
		}
	}
	if seen == 0 {
		t.Error("no import was followed")
	}
}
