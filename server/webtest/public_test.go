package webtest

import (
	"encoding/json"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tracewright/models"
	"tracewright/server/servertest"
)

// A buyer with a phone and no camera types the code from the paper, wrongly and
// then rightly; the browser gives the page its look, which its policy allows by
// the hash of the style alone.
func TestABuyerLooksACertificateUp(t *testing.T) {
	p := sitDown(t, 390, 844)
	s := p.Shop
	strangers := httptest.NewServer(s.App.Public)
	t.Cleanup(strangers.Close)
	s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(s.Owner, s.Now), models.SettingPublicAddress, "https://shop.example"))
	s.MustRecord(s.Extremes())
	c, err := s.App.Services.Release.Issue(t.Context(), models.Actor{PersonID: s.People[servertest.Owner].ID, Name: "The owner", Role: models.Owner}, s.Item[models.KindWheel].ID, "")
	s.Must(err)
	var content models.CertificateContent
	s.Must(json.Unmarshal([]byte(c.Content), &content))

	p.address = strangers.URL
	p.open("/")
	p.sees("h1", "Look a certificate up")
	p.accessible("the form for strangers")
	p.do(chromedp.Focus("#code"))
	p.types(strings.Replace(strings.ToLower(content.Token()), "-", " ", 1)[1:])
	p.sees("h1", "No certificate has this code")
	p.accessible("no such certificate")
	p.do(chromedp.Focus("#code"))
	p.types(strings.ToLower(strings.ReplaceAll(content.Token(), "-", " ")))
	p.sees("h1", content.Number)
	p.sees(".tell", "In force")
	p.accessible("a certificate as strangers see it")
	if colour := ask[string](p, `getComputedStyle(document.querySelector('header')).backgroundColor`); colour != "rgb(20, 32, 44)" {
		t.Errorf("the page is without its look: its head is %s", colour)
	}
	if wide := ask[bool](p, `document.documentElement.scrollWidth > innerWidth`); wide {
		t.Error("the page scrolls sideways")
	}
	p.picture("a certificate as strangers see it")
}
