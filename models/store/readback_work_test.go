package store_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackWork is the second half of TestEveryRecordReadsBack: what the work
// leaves behind.
func readBackWork(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx := h.Store, t.Context()
	sub := h.Extremes()
	sub.Sets[0].Moments = []int64{0, 1500}
	draft := models.Draft{ID: models.NewID(), Version: 1, Serial: h.Serial[models.KindWheel], Kind: models.KindWheel, Stage: models.AfterRelief, PersonID: h.Operator.PersonID, Content: sub,
		CreatedAt: moment, UpdatedAt: moment}
	must(s.SaveDraft(ctx, draft, 0))
	same(t, "draft", must(s.Draft(ctx, draft.ID)), draft)
	h.Must(s.CloseDraft(ctx, draft.ID, moment))
	draft.ClosedAt = pointer(moment)
	same(t, "closed draft", must(s.Draft(ctx, draft.ID)), draft)

	out := h.MustRecord(sub)
	view := must(s.InspectionView(ctx, out.Inspection.ID))
	// The digest covers every field of inspection, sets and results but the derived ones.
	if v, w := view.Inspection, out.Inspection; v.Round != w.Round || v.FirstSet != w.FirstSet || v.SupersededBy != nil || len(view.Sets) != 11 {
		t.Errorf("derived fields read back as %d %v %v with %d sets", v.Round, v.FirstSet, v.SupersededBy, len(view.Sets))
	}
	digest := must(models.Digest(models.RecordedInspection{Inspection: view.Inspection, Sets: view.Sets, Results: view.Results}))
	entries := must(s.TrailOf(ctx, []string{out.Inspection.ID}, 5))
	if len(entries) != 1 || entries[0].Digest != digest || entries[0].Kind != "inspection" || entries[0].Seq != nil {
		t.Errorf("trail of the inspection: %+v, want one unsealed entry of %s", entries, digest)
	}

	part := h.EveryHole()
	part.Serial = *h.AnotherWheel().Serial
	part.Sets[0].Values, part.Sets[0].Masks = part.Sets[0].Values[1:], []models.Mask{{Index: models.Spoke(0), Reason: models.MaskOther, Note: "sticker"}}
	for i := range 35 {
		part.Sets[0].Index = append(part.Sets[0].Index, models.Spoke(i+1))
	}
	masked := must(s.InspectionView(ctx, h.MustRecord(part).Inspection.ID))
	lateral := masked.Sets[slices.IndexFunc(masked.Sets, func(s models.ReadingSet) bool { return s.Code == "lateral_runout" })]
	same(t, "masks", lateral.Masks, part.Sets[0].Masks)
	digest = must(models.Digest(models.RecordedInspection{Inspection: masked.Inspection, Sets: masked.Sets, Results: masked.Results}))
	if entries := must(s.TrailOf(ctx, []string{masked.Inspection.ID}, 5)); len(entries) != 1 || entries[0].Digest != digest {
		t.Errorf("trail of a masked inspection: %+v, want one entry of %s", entries, digest)
	}
	// Two took turns at the wheel: each set keeps its own person.
	turns := models.NewInspection{Inspection: masked.Inspection, Sets: slices.Clone(masked.Sets), Results: masked.Results, StateBefore: models.StateInProcess}
	turns.Inspection.ID, turns.Inspection.ItemID, turns.Sets[0].PersonID = models.NewID(), h.AnotherWheel().ID, h.Owner.PersonID
	if _, _, err := s.AddInspection(ctx, stamp, turns); err != nil {
		t.Fatal(err)
	}
	shared := must(s.InspectionView(ctx, turns.Inspection.ID))
	for n, set := range shared.Sets {
		if want := turns.Sets[n].PersonID; set.PersonID != want || (n == 0) != (want == h.Owner.PersonID) {
			t.Errorf("set %d of the wheel that two took turns at was taken by %q, want %q", n, set.PersonID, want)
		}
	}
	digest = must(models.Digest(models.RecordedInspection{Inspection: view.Inspection, Sets: view.Sets, Results: view.Results}))

	hold := must(s.AddHold(ctx, stamp, models.Hold{ID: models.NewID(), ItemID: &out.Item.ID, Code: "W01", Reason: "r", RaisedBy: h.Operator.PersonID, RaisedAt: moment}))
	lift := models.HoldLift{HoldID: hold.ID, Code: "corrected", Reason: "done", LiftedBy: h.Owner.PersonID, LiftedAt: moment}
	h.Must(s.LiftHold(ctx, stamp, lift))
	same(t, "hold with its lift", must(s.HoldsOf(ctx, out.Item.ID)), []models.HoldView{{Hold: hold, Lift: &lift}})

	certificate := must(s.AddCertificate(ctx, stamp, 31, out.Item.ID, func(number string, revision int, _ *models.Certificate) (models.Certificate, error) {
		return models.Certificate{ID: models.NewID(), Number: number, Revision: revision, ItemID: out.Item.ID, InspectionID: out.Inspection.ID, Content: `{"a":"<&\u2028"}`, ContentHash: "h", TokenHash: &digest,
			Signature: pointer(strings.Repeat("5a", 64)), KeyID: pointer("k1"), IssuedBy: h.Owner.PersonID, IssuedAt: moment}, nil
	}))
	same(t, "certificate", must(s.CertificateByNumber(ctx, certificate.Number, 1)), certificate)
	same(t, "certificate by its token", must(s.CertificateByToken(ctx, digest)), certificate)
	same(t, "public certificates", must(s.PublicCertificates(ctx, "", 5)), []models.Certificate{certificate})
	same(t, "public certificates after the last", must(s.PublicCertificates(ctx, digest, 5)), []models.Certificate{})
	same(t, "certificate in force", must(s.CertificateInForce(ctx, out.Item.ID)), certificate)
	change := models.CertificateChange{CertificateID: certificate.ID, State: models.Void, Reason: "v", ChangedBy: h.Owner.PersonID, ChangedAt: moment}
	h.Must(s.VoidCertificate(ctx, stamp, change))
	same(t, "void certificate", must(s.CertificatesOf(ctx, out.Item.ID)), []models.CertificateView{{Certificate: certificate, State: models.Void, Change: &change}})
	file := models.File{Hash: digest, MediaType: "application/pdf", Bytes: []byte{0, 1, 255}, CreatedAt: moment}
	paper := models.CertificatePaper{CertificateID: certificate.ID, State: models.Void, FileHash: file.Hash, DrawnAt: moment}
	h.Must(s.KeepPaper(ctx, paper, file))
	h.Must(s.KeepPaper(ctx, paper, file))
	same(t, "paper", must(s.Paper(ctx, certificate.ID, models.Void)), paper)
	same(t, "file", must(s.File(ctx, file.Hash)), file)

	unplaced := models.Unplaced{ID: models.NewID(), Content: sub, SentHash: "s", Cause: models.NewRemark("unknown_serial", "serial", "x"), PersonID: h.Operator.PersonID, OffsetMS: -7, ReceivedAt: moment}
	h.Must(s.AddUnplaced(ctx, stamp, unplaced))
	same(t, "unplaced", must(s.Unplaced(ctx, unplaced.ID)), unplaced)
	settlement := models.UnplacedSettlement{UnplacedID: unplaced.ID, InspectionID: &out.Inspection.ID, Reason: "r", SettledBy: h.Owner.PersonID, SettledAt: moment}
	h.Must(s.SettleUnplaced(ctx, stamp, settlement))
	if err := s.SettleUnplaced(ctx, stamp, settlement); !errors.Is(err, models.ErrConflict) {
		t.Errorf("settled twice: %v", err)
	}
	if _, err := s.Unplaced(ctx, unplaced.ID); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("a settled one still waits: %v", err)
	}

	readBackTurns(t, h, stamp, out.Inspection)
	readBackShelf(t, h, stamp)
	readBackLabels(t, h, stamp)
	readBackStock(t, h, stamp)
	readBackShipping(t, h, stamp)
	readBackGoods(t, h, stamp)
	readBackRecalls(t, h, stamp)
	readBackClaims(t, h, stamp)
	readBackNonconforming(t, h, stamp)
	readBackCorrective(t, h, stamp)
	readBackCharts(t, h, stamp, out.Inspection)

	sessions := s.Sessions(func() time.Time { return moment })
	h.Must(sessions.CommitCtx(ctx, "token", []byte{1, 0, 2}, moment.Add(time.Minute)))
	data, found, err := sessions.FindCtx(ctx, "token")
	h.Must(err)
	same(t, "session", data, []byte{1, 0, 2})
	if _, found2, _ := s.Sessions(func() time.Time { return moment.Add(time.Hour) }).FindCtx(ctx, "token"); !found || found2 {
		t.Errorf("session found %v, after it ran out %v", found, found2)
	}
	h.Must(sessions.DeleteCtx(ctx, "token"))
	if _, found, _ := sessions.FindCtx(ctx, "token"); found {
		t.Error("an ended session is found")
	}
}
