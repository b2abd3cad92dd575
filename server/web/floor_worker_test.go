package web

import (
	"path"
	"slices"
	"strings"
	"testing"
)

// TestFloorWorkerKeepsWhatThePagesLoad holds the worker's list against the
// pages' own text and every module that one of their modules imports.
func TestFloorWorkerKeepsWhatThePagesLoad(t *testing.T) {
	script, err := floorWorkerScript()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(string(script), `const VERSION = "`+assets.hash+`";`) {
		t.Errorf("the worker begins %.60q, not with its version", script)
	}
	kept := floorFiles()
	for name, page := range floorPages() {
		body, err := renderPage(name, page)
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range strings.Split(string(body), "/static/"+assets.hash+"/")[1:] {
			file, _, _ := strings.Cut(part, `"`)
			if !slices.Contains(kept, file) {
				t.Errorf("%s loads %s, which the worker does not keep", name, file)
			}
		}
	}
	for _, name := range kept {
		if path.Ext(name) != ".js" {
			continue
		}
		body, err := assets.files[name].Plain()
		if err != nil {
			t.Fatal(err)
		}
		for _, part := range strings.Split(string(body), "'./")[1:] {
			file, _, _ := strings.Cut(part, "'")
			if !slices.Contains(kept, file) {
				t.Errorf("%s imports %s, which the worker does not keep", name, file)
			}
		}
	}
}
