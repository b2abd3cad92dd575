package webtest

import (
	"testing"

	"github.com/chromedp/chromedp"

	"tracewright/models"
)

// Whoever goes back in the browser and sends the same once more has done it once.
func TestBackAndSentAgain(t *testing.T) {
	p := sitDown(t, 1024, 768)
	p.signInAs("inspector")
	path := "/items/" + p.Shop.Serial[models.KindWheel]
	sends := func() {
		p.sees("h1", "on hold")
		ask[bool](p, `(document.querySelector('[name=code]').value = 'other', document.querySelector('[name=reason]').value = 'it ticks', document.querySelector('[name=reason]').form.requestSubmit(), true)`)
		p.sees("body", "it ticks")
		p.sees("h1", "On hold")
	}
	p.open(path + "/hold")
	sends()
	p.do(chromedp.NavigateBack())
	sends()
	held := func() int {
		holds, err := p.Shop.Store.HoldsOf(t.Context(), p.Shop.Item[models.KindWheel].ID)
		p.Shop.Must(err)
		return len(holds)
	}
	if n := held(); n != 1 {
		t.Errorf("gone back to and sent again there are %d holds", n)
	}
	p.open(path + "/hold")
	sends()
	if n := held(); n != 2 {
		t.Errorf("from a page opened anew there are %d holds, want the second", n)
	}
}
