package certificate

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"tracewright/models"
	"tracewright/reports/pdf/pdftest"
)

func eachCase(t *testing.T, check func(t *testing.T, pdf, raw []byte, content models.CertificateContent)) {
	for _, name := range slices.Sorted(maps.Keys(cases())) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			pdf, raw, content := drawn(t, name)
			check(t, pdf, raw, content)
		})
	}
}

func TestNoTwoWordsOverlapAndNoneLeavesThePage(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, _ []byte, _ models.CertificateContent) {
		words, wide, high := pdftest.Words(t, pdf)
		const touch = 0.4 // points that boxes may share: they are wider than the ink
		marginX, marginY := left/25.4*72-1, 6/25.4*72
		for i, w := range words {
			if w.Left < marginX || w.Right > wide-marginX || w.Top < marginY || w.Foot > high-marginY {
				t.Errorf("%s leaves the margin of the page of %.0f by %.0f points", w, wide, high)
			}
			for _, other := range words[:i] {
				if w.Overlap(other) > touch {
					t.Errorf("%s lies over %s", w, other)
				}
			}
		}
	})
}

func TestSmallestTypeIsEightPoints(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, _ []byte, _ models.CertificateContent) {
		words, _, _ := pdftest.Words(t, pdf)
		for _, w := range words {
			// A box is as high as ascent and descent: 1.3 times the size in Sans and
			// Mono alike. Upright text is as wide.
			if side := math.Min(w.Foot-w.Top, w.Right-w.Left); utf8.RuneCountInString(w.Text) > 3 && side < 8*1.29 {
				t.Errorf("%s is set smaller than 8 points", w)
			}
		}
	})
}

func TestAttachmentIsTheContent(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, raw []byte, content models.CertificateContent) {
		files := pdftest.Attachments(t, pdf)
		name := fmt.Sprintf("certificate-%s-%d.json", content.Number, content.Revision)
		want := map[string][]byte{name: raw}
		if content.Version >= models.ContentSigned {
			want[strings.TrimSuffix(name, ".json")+".signature.json"] = []byte(`{"key":"d75a980182b10ab7","signature":"` + strings.Repeat("5a", 64) + `"}`)
		}
		if !maps.EqualFunc(files, want, bytes.Equal) {
			t.Errorf("attached: %v, want %v with their bytes", slices.Collect(maps.Keys(files)), slices.Collect(maps.Keys(want)))
		}
	})
}

func TestQRSaysWhatItShould(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, raw []byte, content models.CertificateContent) {
		want := content.CheckAt
		if want == "" {
			want = fmt.Sprintf("%s %s/%d %x", content.Item.Serial, content.Number, content.Revision, sha256.Sum256(raw))
		}
		got := pdftest.QR(t, pdf, len(pdftest.PageTexts(t, pdf)))
		if len(got) != 1 || got[0] != want {
			t.Errorf("QR says %q, want %q", got, want)
		}
	})
}

func TestFileIsSound(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, _ []byte, _ models.CertificateContent) { pdftest.Sound(t, pdf) })
}

func TestFontsAreEmbeddedAndReadable(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, _ []byte, _ models.CertificateContent) {
		for _, f := range pdftest.Fonts(t, pdf) {
			if !f.Embedded || !f.Unicode {
				t.Errorf("font %s: embedded %v, readable %v", f.Name, f.Embedded, f.Unicode)
			}
		}
	})
}

func TestEveryPageNamesTheCertificateAndItsPlace(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, raw []byte, content models.CertificateContent) {
		pages := pdftest.PageTexts(t, pdf)
		sum := fmt.Sprintf("%x", sha256.Sum256(raw))
		fingerprint := "content " + sum[:4] + " " + sum[4:8] + " " + sum[8:12] + " " + sum[12:16]
		named, counted, only, end := "Certificate %s, revision %d, serial", "page %d of %d", "Results relate only to the item identified here.", "End of certificate %s, revision %d"
		if content.Language == "de" {
			fingerprint = strings.Replace(fingerprint, "content", "Inhalt", 1)
			named, counted, only, end = "Prüfbescheinigung %s, Revision %d, Seriennummer", "Seite %d von %d", "Die Ergebnisse gelten nur für den hier bezeichneten Prüfling.", "Ende der Prüfbescheinigung %s, Revision %d"
		}
		for i, page := range pages {
			for _, want := range []string{fmt.Sprintf(named, content.Number, content.Revision), fmt.Sprintf(counted, i+1, len(pages)), only, fingerprint} {
				if !strings.Contains(page, want) {
					t.Errorf("page %d does not say %q", i+1, want)
				}
			}
		}
		end = fmt.Sprintf(end, content.Number, content.Revision)
		if all := strings.Join(pages, " "); strings.Count(all, end) != 1 || !strings.Contains(pages[len(pages)-1], end) {
			t.Errorf("%q does not stand once, on the last page", end)
		}
	})
}

func TestSameContentSameBytes(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, _ []byte, content models.CertificateContent) {
		for range 3 {
			again, _, _ := drawn(t, strings.TrimPrefix(t.Name(), "TestSameContentSameBytes/"))
			if !bytes.Equal(pdf, again) {
				t.Fatalf("%s drawn again differs", content.Number)
			}
		}
	})
}

// What a certificate must not claim.
func TestNoClaimsAreMade(t *testing.T) {
	eachCase(t, func(t *testing.T, pdf, _ []byte, _ models.CertificateContent) {
		text := " " + strings.ToLower(pdftest.Text(t, pdf)) + " "
		for _, claim := range []string{"accredited", "accreditation", "calibration certificate", " 3.1 ", "en 10204", "iso/iec 17025", "compliant", "akkreditiert", "kalibrierzertifikat", "prüfzeugnis", "normgerecht"} {
			if strings.Contains(text, claim) {
				t.Errorf("the paper says %q", claim)
			}
		}
	})
}

// However much stands above, the last page has the code and the way to check it
// beside the end.
func TestTheEndStandsWithTheCode(t *testing.T) {
	lengths := map[int]bool{}
	for remarks := range 9 {
		content := wheelGuarded()
		content.Remarks = slices.Repeat(content.Remarks, remarks)
		pdf, err := Draw(content, Options{Raw: canonical(t, content), Signature: signature(content)})
		if err != nil {
			t.Fatal(err)
		}
		pages := pdftest.PageTexts(t, pdf)
		lengths[len(pages)] = true
		if last := pages[len(pages)-1]; !strings.Contains(last, "End of certificate") || !strings.Contains(last, "How to check") {
			t.Errorf("with %d remarks the last page says: %s", remarks, last)
		}
	}
	if len(lengths) < 2 {
		t.Errorf("no page was ever too full: %v", lengths)
	}
}
