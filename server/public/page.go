package public

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"

	"tracewright/models/words"
	"tracewright/models/work/lookup"
)

//go:embed style.css
var style string

//go:embed page.html
var pageText string

var pageTemplate = template.Must(template.New("page").Parse(pageText))

// policy lets a page load nothing at all and have no look but its own: the
// style stands in the page, so that a page is one file, and is known by its
// hash. The form asks this server alone.
var policy = "default-src 'none'; style-src 'sha256-" + hashOf(style) + "'; form-action 'self'; base-uri 'none'"

func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return base64.StdEncoding.EncodeToString(sum[:])
}

// speech is the language that a page speaks: that of the paper, or of the shop's
// papers.
type speech struct{ words *words.Catalogue }

// say gives words of the catalogue; values follow as pairs of name and value.
func (in speech) say(code string, values ...string) string {
	filled := map[string]string{}
	for i := 0; i+1 < len(values); i += 2 {
		filled[values[i]] = values[i+1]
	}
	return in.words.Say(code, filled)
}

// page is one of the few there are: a certificate, or a title with what is told
// below it and a form.
type page struct {
	in          speech
	Shop        string
	Address     string // of the shop, whom one may ask
	Title       string
	Certificate *certificatePage
	Told        []string
	Form        string // where the form leads; empty where there is none
}

// The pages beside a certificate's. form is empty in a page that is a file:
// nobody would answer it.

func askPage(shop lookup.Shop, form string) page {
	how := "public.ask_how"
	if form == "" {
		how = "public.ask_address"
	}
	return told(shop, "public.ask", form, how, "public.without_code")
}

func missingPage(shop lookup.Shop, form string) page {
	return told(shop, "public.not_found", form, "public.not_found_why", "public.without_code")
}

// The pages that are shown without asking the database for anything.

func tooManyPage() page {
	return told(lookup.Shop{}, "public.too_many", "", "public.too_many_why")
}

func unansweredPage() page {
	return told(lookup.Shop{}, "public.unanswered", "", "public.unanswered_why")
}

func told(shop lookup.Shop, title, form string, codes ...string) page {
	in := speech{words.In(shop.Language)}
	p := page{in: in, Shop: shop.Name, Address: shop.Address, Title: in.say(title), Form: form}
	for _, code := range codes {
		p.Told = append(p.Told, in.say(code))
	}
	return p
}

// Language, Words, Policy and Style stand on every page.

func (p page) Language() string { return p.in.words.Language() }

// Words gives those of a code that takes no values.
func (p page) Words(code string) string { return p.in.say(code) }

func (page) Policy() string { return policy }

func (page) Style() template.HTML { return template.HTML("<style>" + style + "</style>") }

func (p page) render() ([]byte, error) {
	var out bytes.Buffer
	if err := pageTemplate.Execute(&out, p); err != nil {
		return nil, fmt.Errorf("render a public page: %w", err)
	}
	return out.Bytes(), nil
}
