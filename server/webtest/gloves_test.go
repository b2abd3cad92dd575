package webtest

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/build"
)

// Forms that are filled in at the shelf, the bench or beside a match are pressed
// with gloves: 56 px, as on the floor pages.
func TestFormsOfTheFloorForGloves(t *testing.T) {
	p := sitDown(t, 1024, 768)
	model, _ := p.blockModel()
	p.cameIn(model, 2)
	p.signIn()
	serial := p.Shop.Serial[models.KindPack]
	p.Shop.Must(p.Shop.App.Services.Shelf.Place(t.Context(), p.Shop.Operator, serial, "rack C 1", time.Time{}))
	_, err := p.Shop.App.Services.Build.Tick(t.Context(), p.Shop.Operator, serial, build.NewTick{Step: "joined", Done: true})
	p.Shop.Must(err)
	for _, path := range []string{"/match", "/items/" + serial, "/items/" + serial + "/place", "/shelf/temperature", "/blocks/set-aside?block=" + p.block("H12-1")} {
		p.open(path)
		p.sees("main", "")
		if n := ask[int](p, `document.querySelectorAll('.gloves button').length`); n == 0 {
			t.Errorf("%s: nothing to press", path)
		}
		for _, small := range ask[[]string](p, `[...document.querySelectorAll('.gloves :is(button, input:not([type=hidden], [type=checkbox]), select, .act, .check)')].filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 56).map((e) => (e.name || e.textContent.trim()) + ' ' + e.getBoundingClientRect().height)`) {
			t.Errorf("%s: too small for a glove: %s", path, small)
		}
	}
}
