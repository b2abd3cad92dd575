package store_test

import (
	"errors"
	"fmt"
	"sync"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// A photo is left with a claim of nobody who was erased: it would show their things, and
// be erased with nobody.
func TestNoPhotoIsLeftOfACustomerWhoIsGone(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx, stamp := h.Store, t.Context(), models.NewStamp(h.Owner, h.Now)
		claimOf := func(customer string) string {
			return must(s.AddClaim(ctx, stamp, 31, models.Claim{Kind: models.KindWheel, Product: "a blue one", Customer: customer}, models.ClaimWords{Words: "It ticks", Salt: "NaCl"}, nil)).ID
		}
		n := 0
		photo := func(claim string) func() error {
			n++
			hash := fmt.Sprintf("%064x", n)
			return func() error {
				return s.AddAttachment(ctx, stamp, models.Attachment{ID: models.NewID(), SubjectKind: models.SubjectClaim, SubjectID: claim, FileHash: hash, Name: "quay.jpg", Salt: "KCl"},
					models.File{Hash: hash, MediaType: models.MediaJPEG, Bytes: []byte(hash)})
			}
		}
		left := func(claim string) int { return len(must(s.Attachments(ctx, models.SubjectClaim, []string{claim}))) }
		refused := func(err error) bool {
			var invalid *models.InvalidError
			return errors.As(err, &invalid) && len(invalid.Problems) == 1 && invalid.Problems[0].Field == "file" && invalid.Problems[0].Code == "claim_customer_gone"
		}
		gone := models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn"}
		h.Must(s.AddCustomer(ctx, stamp, gone))
		claim, nobodys := claimOf(gone.ID), claimOf("")
		h.Must(photo(claim)())
		h.Must(photo(nobodys)())
		h.Must(s.EraseCustomer(ctx, stamp, gone.ID))
		if err := photo(claim)(); !refused(err) || left(claim) != 0 {
			t.Errorf("a photo for a claim of somebody erased: %v, %d are left", err, left(claim))
		}
		if err := photo(nobodys)(); err != nil || left(nobodys) != 2 {
			t.Errorf("a photo for a claim of nobody known: %v, %d are left", err, left(nobodys))
		}
		// At the same moment: whichever comes first, none is left.
		for range 12 {
			c := models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn"}
			h.Must(s.AddCustomer(ctx, stamp, c))
			claim := claimOf(c.ID)
			var wait sync.WaitGroup
			for range 3 {
				add := photo(claim)
				wait.Go(func() {
					if err := add(); err != nil && !refused(err) {
						t.Error(err)
					}
				})
			}
			wait.Go(func() { h.Must(s.EraseCustomer(ctx, stamp, c.ID)) })
			wait.Wait()
			if n := left(claim); n != 0 {
				t.Errorf("%d photos are left", n)
			}
		}
	})
}
