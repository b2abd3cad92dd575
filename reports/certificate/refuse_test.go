package certificate

import (
	"errors"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/reports/pdf/pdftest"
)

func TestDrawRefuses(t *testing.T) {
	for name, spoil := range map[string]func(c *models.CertificateContent, o *Options){
		"no number":                 func(c *models.CertificateContent, _ *Options) { c.Number = "" },
		"no serial":                 func(c *models.CertificateContent, _ *Options) { c.Item.Serial = "" },
		"no issuer":                 func(c *models.CertificateContent, _ *Options) { c.Issuer.Name = "" },
		"no time of issue":          func(c *models.CertificateContent, _ *Options) { c.IssuedAt = "soon" },
		"a state there is not":      func(_ *models.CertificateContent, o *Options) { o.State = "lost" },
		"a spoke that is not there": func(c *models.CertificateContent, _ *Options) { c.Readings[0].Index[3] = models.Spoke(99) },
		"a spoke of the other side": func(c *models.CertificateContent, _ *Options) { c.Readings[3].Index[0] = models.Spoke(1) },
		"a reading that is not a number": func(c *models.CertificateContent, _ *Options) {
			c.Readings[0].Values = append([]string{"1.2.3"}, lateral36[1:]...)
		},
	} {
		t.Run(name, func(t *testing.T) {
			content, options := cases()["wheel-36"]()
			spoil(&content, &options)
			options.Raw, options.Signature = canonical(t, content), signature(content)
			if pdf, err := Draw(content, options); err == nil || pdf != nil {
				t.Errorf("drawn, error %v", err)
			}
		})
	}
}

// The paper is drawn from what is attached to it, or not at all.
func TestDrawRefusesOtherContentThanIsAttached(t *testing.T) {
	content, options := cases()["wheel-36"]()
	options.Raw, options.Signature = canonical(t, content), signature(content)
	for name, raw := range map[string][]byte{
		"nothing attached":    nil,
		"no JSON":             []byte("{"),
		"another value":       []byte(strings.Replace(string(options.Raw), `"shown":"0.24"`, `"shown":"0.14"`, 1)),
		"another serial":      []byte(strings.Replace(string(options.Raw), "W26001728", "W26001736", 1)),
		"a trailing zero cut": []byte(strings.Replace(string(options.Raw), `"0.50"`, `"0.5"`, 1)),
	} {
		t.Run(name, func(t *testing.T) {
			changed := options
			changed.Raw = raw
			if _, err := Draw(content, changed); !errors.Is(err, ErrContent) {
				t.Errorf("error %v, want ErrContent", err)
			}
		})
	}
}

// Whatever a person typed, the paper comes out, whole and legible.
func TestOddTextIsPrinted(t *testing.T) {
	for name, text := range map[string]string{
		"line breaks and tabs": "one\ntwo\r\nthree\tfour\x00five",
		"no spaces":            strings.Repeat("x", 400),
		"many words":           strings.Repeat("many words ", 90),
		"letters no font has":  "車輪 😀 שלום مرحبا",
		"wide letters":         strings.Repeat("W", 120),
		"marks":                strings.Repeat("é", 30) + " (brackets) \\back {brace} [square] <tag> & \"quote\"",
		"nothing":              "",
	} {
		t.Run(name, func(t *testing.T) {
			c := packOf("C26-00306", 2, 2)
			c.Reason = text
			c.Issuer.Address, c.Issuer.Place = text, text
			c.Item.Product, c.Item.Family, c.Specification.Of, c.Specification.Grade = text, text, text, "own"
			c.Item.Pack.BlockModel, c.Item.Pack.Rate = text, text
			c.Inspection.Conditions.Note = text
			c.MeasuredBy.Name, c.ReleasedBy.Name = text, text
			for i := range c.Parts {
				c.Parts[i].Lot, c.Parts[i].Number = text, text
			}
			c.Parts = append(c.Parts, models.CertificatePart{Role: "harness", Lot: text, Description: text, Number: text, Place: text, Quantity: 2})
			for i := range c.Instruments {
				c.Instruments[i].Code, c.Instruments[i].Certificate, c.Instruments[i].Overdue = text, text, true
			}
			pdf, err := Draw(c, Options{Raw: canonical(t, c), Signature: signature(c), State: models.Void, Reason: text, ChangedOn: "2027-03-12"})
			if err != nil {
				t.Fatal(err)
			}
			words, wide, high := pdftest.Words(t, pdf)
			for i, w := range words {
				if w.Right > wide-left/25.4*72+1 || w.Left < left/25.4*72-1 || w.Foot > high-17 || w.Top < 17 {
					t.Errorf("%s leaves the page", w)
				}
				for _, other := range words[:i] {
					if w.Overlap(other) > 0.4 {
						t.Fatalf("%s lies over %s", w, other)
					}
				}
			}
			said := strings.Contains(pdftest.Text(t, pdf), "A sign that this paper’s letters lack is printed as “?”")
			if lacks := name == "letters no font has"; said != lacks {
				t.Errorf("the remark on missing letters stands there: %v, want %v", said, lacks)
			}
		})
	}
}

// A kind without a drawing of its own, and a content with next to nothing.
func TestSparseContentIsDrawn(t *testing.T) {
	c := base("C26-00400")
	c.Item = models.CertificateItem{Kind: models.KindKit, Serial: "K26000104"}
	c.Specification.Rule = "simple"
	c.Verdict = models.VerdictIncomplete
	c.ReleasedBy = models.CertificatePerson{}
	pdf, err := Draw(c, Options{Raw: canonical(t, c), Signature: signature(c)})
	if err != nil {
		t.Fatal(err)
	}
	text := pdftest.Text(t, pdf)
	for _, want := range []string{"The inspection of this kit is not complete.", "K26-00010-4", "so no statement is made", "not recorded"} {
		if !strings.Contains(text, want) {
			t.Errorf("the paper does not say %q", want)
		}
	}
}

// A failed item's paper has no green on it; a passed one's has.
func TestFailedPaperHasNoGreen(t *testing.T) {
	green := "0.000 0.420 0.329" // the colour of a pass as the page's operators write it
	for name, want := range map[string]bool{"wheel-36": true, "wheel-failing": false} {
		content, options := cases()[name]()
		options.Raw, options.Signature, options.Plain = canonical(t, content), signature(content), true
		pdf, err := Draw(content, options)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(string(pdf), green); got != want {
			t.Errorf("%s: green on the paper: %v, want %v", name, got, want)
		}
	}
}
