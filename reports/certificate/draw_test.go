package certificate

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"tracewright/models"
)

// drawn draws one of the cases.
func drawn(t testing.TB, name string) (pdf, raw []byte, content models.CertificateContent) {
	t.Helper()
	content, options := cases()[name]()
	options.Raw, options.Signature = canonical(t, content), signature(content)
	pdf, err := Draw(content, options)
	if err != nil {
		t.Fatalf("draw %s: %v", name, err)
	}
	return pdf, options.Raw, content
}

// TestEveryCaseIsDrawn also writes the papers to the folder named by
// TRACEWRIGHT_PAPERS, for a person to look at.
func TestEveryCaseIsDrawn(t *testing.T) {
	for _, name := range slices.Sorted(maps.Keys(cases())) {
		t.Run(name, func(t *testing.T) {
			pdf, _, _ := drawn(t, name)
			// 60 000 bytes for two pages, and a part of that for each one more.
			if pages, most := bytes.Count(pdf, []byte("/Type /Page\n")), 60_000; len(pdf) > most+10_000*max(0, pages-2) || pages < 2 {
				t.Errorf("%d bytes on %d pages", len(pdf), pages)
			}
			if folder := os.Getenv("TRACEWRIGHT_PAPERS"); folder != "" {
				if err := os.WriteFile(filepath.Join(folder, name+".pdf"), pdf, 0o644); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}
