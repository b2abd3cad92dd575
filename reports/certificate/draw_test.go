package certificate

import (
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
			if len(pdf) > 60_000 {
				t.Errorf("%d bytes, want less than 60 000", len(pdf))
			}
			if folder := os.Getenv("TRACEWRIGHT_PAPERS"); folder != "" {
				if err := os.WriteFile(filepath.Join(folder, name+".pdf"), pdf, 0o644); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}
