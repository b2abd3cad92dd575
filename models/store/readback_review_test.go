package store_test

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/trail"
	"tracewright/models/work/worktest"
)

// readBackReviews is the part of TestEveryRecordReadsBack that a week looked back on
// leaves behind.
func readBackReviews(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	content, paper := `{"form":1,"shop":"Ω <&>"}`, []byte("%PDF of a review")
	r := models.Review{ID: models.NewID(), Period: models.ReviewWeek, FirstDay: "2031-05-12", Edition: 1, Content: content, ContentHash: trail.Digest([]byte(content)), MadeAt: moment, MadeBy: by}
	file := models.File{Hash: trail.Digest(paper), MediaType: "application/pdf", Bytes: paper, CreatedAt: moment}
	added := must(s.AddReview(ctx, stamp, r, file))
	r.FileHash = file.Hash
	same(t, "review", added, r)
	same(t, "review by its key", must(s.Review(ctx, r.ID)), r)
	same(t, "its paper", must(s.File(ctx, r.FileHash)).Bytes, paper)
	if !r.Intact() {
		t.Error("a review whose content was hashed is not intact")
	}
	again := r
	again.ID = models.NewID()
	if _, err := s.AddReview(ctx, stamp, again, file); !errors.Is(err, models.ErrConflict) {
		t.Errorf("the same edition twice: %v", err)
	}
	again.Edition = 2
	must(s.AddReview(ctx, stamp, again, file)) // of the same bytes
	month := again
	month.ID, month.Period, month.FirstDay, month.Edition = models.NewID(), models.ReviewMonth, "2031-05-01", 1
	must(s.AddReview(ctx, stamp, month, file))
	same(t, "the newest edition", must(s.NewestReview(ctx, models.ReviewWeek, "2031-05-12")).ID, again.ID)
	if _, err := s.NewestReview(ctx, models.ReviewWeek, "2031-05-19"); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("a week that nobody looked back on: %v", err)
	}
	bare := again
	bare.Content = ""
	list := must(s.Reviews(ctx, 10))
	if len(list) != 3 || list[2].ID != month.ID {
		t.Fatalf("%d reviews, %+v", len(list), list)
	}
	same(t, "the first of the list", list[0], bare)
	// The same paper hangs on a record too, and is erased there: the review keeps it.
	hung := models.Attachment{ID: models.NewID(), SubjectKind: models.SubjectLot, SubjectID: models.NewID(), FileHash: file.Hash, Name: "week.pdf", Salt: "NaCl"}
	h.Must(s.AddAttachment(ctx, stamp, hung, file))
	h.Must(s.EraseAttachment(ctx, stamp, hung.ID))
	same(t, "its paper, erased elsewhere", must(s.File(ctx, r.FileHash)).Bytes, paper)
	h.Must(s.Freeze(ctx, func(f *store.Frozen) error {
		uses := must(f.FileUses([]string{file.Hash}))
		if len(uses) != 3 || !slices.Contains(uses, models.FileUse{Kind: "review", Subject: r.ID, FileHash: file.Hash}) {
			t.Errorf("a review's paper is kept by %+v, want three reviews", uses)
		}
		return nil
	}))
	if len(must(s.TrailOf(ctx, []string{r.ID}, 9))) == 0 {
		t.Error("a review left no trail entry")
	}
}
