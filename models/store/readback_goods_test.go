package store_test

import (
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackGoods is the part of TestEveryRecordReadsBack that goods in leaves
// behind.
func readBackGoods(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	seeded := must(s.Material(ctx, "rim"))
	seeded.ChangedAt = seeded.ChangedAt.UTC()
	same(t, "a seeded material", seeded, models.Material{Code: "rim", Name: "rims", Roles: []string{"rim"}, Unit: "pieces", ChangedAt: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), ChangedBy: "system"})
	glue := models.Material{Code: "glue", Name: "glue Ω", Roles: []string{}, Unit: "tubes", Plan: models.LotPlan{Kind: models.PlanZero, Bad: "20", Risk: "10.0"}, Least: 3, ChangedAt: moment, ChangedBy: by}
	h.Must(s.AddMaterial(ctx, stamp, glue))
	if err := s.AddMaterial(ctx, stamp, glue); !errors.Is(err, models.ErrConflict) {
		t.Errorf("a material twice: %v", err)
	}
	same(t, "material", must(s.Material(ctx, "glue")), glue)
	glue.Name, glue.Roles, glue.Plan, glue.Least = "glues", []string{"rim"}, models.LotPlan{Kind: models.PlanSingle, Level: "II", AQL: "1.0"}, 0
	leave := func(m *models.Material) error { *m = glue; return nil }
	same(t, "as it is changed", must(s.ChangeMaterial(ctx, stamp, "glue", leave)), glue)
	same(t, "changed material", must(s.Material(ctx, "glue")), glue)
	_, err := s.ChangeMaterial(ctx, stamp, "gold", leave)
	notFound(t, "a material nobody has", err)
	if _, err := s.ChangeMaterial(ctx, stamp, "glue", func(m *models.Material) error { m.Name = "no"; return models.ErrStale }); !errors.Is(err, models.ErrStale) {
		t.Errorf("a refused change: %v", err)
	}
	same(t, "material after a refusal", must(s.Material(ctx, "glue")), glue)

	lots := []models.Lot{{ID: models.NewID(), Code: "GL-1", Material: "glue", Supplier: "Klebewerk Ω", Quantity: 9, ReceivedAt: moment, ReceivedBy: by}, {ID: models.NewID(), Code: "GL-2", Material: "glue", Supplier: "Klebewerk Ω", ReceivedAt: moment, ReceivedBy: by}}
	for _, l := range lots {
		h.Must(s.AddLot(ctx, stamp, l))
	}
	named := 0
	for _, x := range must(s.Suppliers(ctx)) {
		if x.Name == "Klebewerk Ω" {
			named++
			same(t, "supplier", x, models.Supplier{Name: "Klebewerk Ω", AddedAt: stamp.At, AddedBy: by})
		}
	}
	same(t, "a supplier of two lots", named, 1)
	same(t, "lots of a material", must(s.NewestLots(ctx, "glue", 9)), lots)
	same(t, "no more than asked for", len(must(s.NewestLots(ctx, "", 1))), 1)

	lot := lots[0].ID
	check := models.LotCheck{ID: models.NewID(), LotID: lot, Plan: glue.Plan, Lot: 9, Size: 3, Accept: 1, Looked: 3, Bad: []models.DefectCount{{Code: "W13", Count: 2}}, Verdict: models.CheckRejected, Note: "dry", CheckedBy: by, CheckedAt: moment}
	follows := models.LotDecision{ID: models.NewID(), LotID: lot, Decision: models.LotQuarantine, CheckID: &check.ID, DecidedBy: by, DecidedAt: moment}
	h.Must(s.AddLotCheck(ctx, stamp, check, &follows))
	back := models.LotDecision{ID: models.NewID(), LotID: lot, Decision: models.LotReturn, Quantity: 2, Reason: "dry", DecidedBy: by, DecidedAt: moment.Add(time.Hour)}
	same(t, "lots in quarantine", must(s.LotsInQuarantine(ctx)), []models.LotDecision{follows})
	h.Must(s.AddLotDecision(ctx, stamp, back))
	same(t, "lots that were looked at", must(s.LotsLookedAt(ctx, []string{lot, lots[1].ID})), []string{lot})
	same(t, "no lot in quarantine", len(must(s.LotsInQuarantine(ctx))), 0)
	same(t, "newest decisions", must(s.NewestLotDecisions(ctx, []string{lot, lots[1].ID})), map[string]models.LotDecision{lot: back})
	scrap := models.LotScrap{ID: models.NewID(), LotID: lot, Quantity: 1, Code: "other", Reason: "fell", ScrappedBy: by, ScrappedAt: moment}
	h.Must(s.AddLotScrap(ctx, stamp, scrap))
	count := models.LotCount{ID: models.NewID(), LotID: lot, Counted: 4, Expected: 6, CountedBy: by, CountedAt: moment}
	h.Must(s.AddLotCount(ctx, stamp, count))
	same(t, "a count that differs", must(s.UnexplainedCounts(ctx)), []models.LotCount{count})
	why := models.LotExplanation{ID: models.NewID(), LotID: lot, CountID: &count.ID, Difference: -2, Reason: "lent", ExplainedBy: by, ExplainedAt: moment}
	h.Must(s.AddLotExplanation(ctx, stamp, why))
	same(t, "explanations", must(s.LotExplanations(ctx, []string{lot})), []models.LotExplanation{why})
	same(t, "no count that differs", len(must(s.UnexplainedCounts(ctx))), 0)
	bin := models.Lot{ID: models.NewID(), Code: "BIN-7", Material: "glue", ReceivedAt: moment, ReceivedBy: by}
	mix := models.LotMix{ID: models.NewID(), MixID: bin.ID, LotID: lot, Quantity: 3, MixedBy: by, MixedAt: moment}
	via := models.LotMix{ID: models.NewID(), MixID: lots[1].ID, LotID: lot, ViaID: &bin.ID, MixedBy: by, MixedAt: moment}
	h.Must(s.AddLotMixes(ctx, stamp, &bin, []models.LotMix{mix, via}))
	if err := s.AddLotMixes(ctx, stamp, &bin, nil); !errors.Is(err, models.ErrConflict) {
		t.Errorf("a bin whose code is taken: %v", err)
	}
	same(t, "records of the lot", must(s.LotRecords(ctx, lot)), models.LotRecords{Checks: []models.LotCheck{check}, Decisions: []models.LotDecision{follows, back}, Scraps: []models.LotScrap{scrap}, Counts: []models.LotCount{count},
		Explanations: []models.LotExplanation{why}, Contents: []models.LotMix{}, Bins: []models.LotMix{mix, via}})
	same(t, "records of the bin", must(s.LotRecords(ctx, bin.ID)).Contents, []models.LotMix{mix})
	same(t, "totals", must(s.LotTotals(ctx, []string{lot, bin.ID})), map[string]models.LotTotals{lot: {LotID: lot, Scrapped: 1, Returned: 2, Mixed: 3}, bin.ID: {LotID: bin.ID, PutIn: 3}})
	same(t, "stops", must(s.LotStops(ctx, []string{bin.ID})), []models.LotStop{{LotID: bin.ID, Code: "GL-1", Decision: models.LotReturn}})

	file := models.File{Hash: "ab34567890123456789012345678901234567890123456789012345678901234", MediaType: models.MediaPDF, Bytes: []byte("%PDF-\x00\xff"), CreatedAt: moment}
	paper := models.Attachment{ID: models.NewID(), SubjectKind: models.SubjectLot, SubjectID: lot, FileHash: file.Hash, Name: "Lieferschein Ω.pdf", Note: "n", Salt: "s", AddedBy: by, AddedAt: moment}
	h.Must(s.AddAttachment(ctx, stamp, paper, file))
	other := paper
	other.ID, other.SubjectKind, other.SubjectID, other.AddedAt = models.NewID(), models.SubjectLotCheck, check.ID, moment.Add(time.Second)
	h.Must(s.AddAttachment(ctx, stamp, other, file)) // the same bytes are there already
	if err := s.AddAttachment(ctx, stamp, models.Attachment{ID: models.NewID(), SubjectKind: models.SubjectLot, SubjectID: lot, FileHash: file.Hash}, file); !errors.Is(err, models.ErrConflict) {
		t.Errorf("a paper twice on one record: %v", err)
	}
	want := models.AttachmentView{Attachment: paper, MediaType: models.MediaPDF, Size: 7}
	same(t, "paper", must(s.Attachment(ctx, paper.ID)), want)
	same(t, "papers", must(s.Attachments(ctx, models.SubjectLot, []string{lot, check.ID})), []models.AttachmentView{want})
	same(t, "its file", must(s.File(ctx, file.Hash)), file)
	_, err = s.Attachment(ctx, models.NewID())
	notFound(t, "a paper that is not there", err)

	for _, subject := range []string{"glue", "Klebewerk Ω", check.ID, follows.ID, back.ID, scrap.ID, count.ID, why.ID, bin.ID, mix.ID, via.ID, paper.ID} {
		if len(must(s.TrailOf(ctx, []string{subject}, 9))) == 0 {
			t.Errorf("%s left no trail entry", subject)
		}
	}
	if entries := must(s.TrailOf(ctx, []string{"Klebewerk Ω"}, 9)); len(entries) != 1 {
		t.Errorf("a supplier of two lots left %d entries", len(entries))
	}
}
