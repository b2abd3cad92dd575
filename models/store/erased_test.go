package store_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// What is erased stands in none of the files of an SQLite database: neither in
// the space that a record left, nor in pages that were freed, nor in the log of
// the newest changes.
func TestWhatIsErasedIsInNoFile(t *testing.T) {
	dsn := storetest.SQLite(t)
	s := storetest.Open(t, dsn)
	if _, err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	h := worktest.On(t, s)
	ctx, stamp := t.Context(), models.NewStamp(h.Owner, moment)
	// Enough of them that whole pages are freed.
	var customers []string
	for range 40 {
		c := models.Customer{ID: models.NewRandomID(), Name: "Quendolyn Ostrava", Address: strings.Repeat("Heronsgate 4\n", 40), Phone: "555 0142"}
		h.Must(s.AddCustomer(ctx, stamp, c))
		must(s.ChangeCustomer(ctx, stamp, c.ID, func(c *models.Customer) error { c.Phone = "555 0999"; return nil }))
		must(s.Customer(ctx, stamp, c.ID, "she rang from the marina"))
		customers = append(customers, c.ID)
	}
	claim := must(s.AddClaim(ctx, stamp, 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{Words: strings.Repeat("Squeaked at the ferry. ", 300), Salt: "NaCl"}, nil))
	photo := models.Attachment{ID: models.NewID(), SubjectKind: models.SubjectClaim, SubjectID: claim.ID, FileHash: strings.Repeat("0a", 32), Name: "quay.jpg", Note: "At the lighthouse", Salt: "KCl"}
	h.Must(s.AddAttachment(ctx, stamp, photo, models.File{Hash: photo.FileHash, MediaType: models.MediaJPEG, Bytes: []byte(strings.Repeat("a face, smiling. ", 3000))}))
	said := func() (found []string) {
		files, err := filepath.Glob(strings.TrimPrefix(dsn, "sqlite:") + "*")
		h.Must(err)
		for _, file := range files {
			raw, err := os.ReadFile(file)
			h.Must(err)
			for _, text := range []string{"Ostrava", "Heronsgate", "555 0142", "555 0999", "ferry", "lighthouse", "smiling", "marina"} {
				if bytes.Contains(raw, []byte(text)) {
					found = append(found, text+" in "+filepath.Base(file))
				}
			}
		}
		return found
	}
	if len(said()) < 8 {
		t.Fatalf("before it is erased only %v is found: this test looks in the wrong place", said())
	}
	for _, id := range customers {
		h.Must(s.EraseCustomer(ctx, stamp, id))
	}
	h.Must(s.EraseClaimWords(ctx, stamp, claim.ID))
	h.Must(s.EraseAttachment(ctx, stamp, photo.ID))
	if found := said(); len(found) > 0 {
		t.Errorf("after it is erased there is %v", found)
	}
}
