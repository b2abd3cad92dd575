package web

import (
	"errors"
	"time"

	"tracewright/models"
	"tracewright/models/work/sealing"
)

// changesPages are the log of changes with nothing, sealed and well, and with
// everything that can be wrong.
func changesPages(s *site, owner Frame) []any {
	at := time.Date(2027, 5, 24, 7, 40, 0, 0, time.UTC)
	seq, data := int64(35483), "{}"
	people := map[string]string{"p1": "Inge Okarra"}
	wheel := models.Item{ID: "i1", Kind: models.KindWheel, Serial: text("W26000051")}
	page := ChangesPage{Frame: owner, Filters: changeFilters(filled(nil), []models.Person{{ID: "p1", Name: "Inge Okarra"}}, []string{"hold", "inspection"}),
		Out: []Field{filled(nil).field(Field{Name: "sealed_from", Label: "Sealed from", Kind: "date"})}}
	for _, c := range []sealing.Change{
		{Entry: models.TrailEntry{At: at, Actor: "p1", Kind: "hold_lift", Seq: &seq}, About: &models.ChangeSubject{Item: &wheel, Code: "corrected", Reason: "trued <again>"}},
		{Entry: models.TrailEntry{At: at, Actor: "p1", Kind: "certificate"}, About: &models.ChangeSubject{Item: &wheel, Of: "certificate", Name: "C27-00012", Revision: 2}},
		{Entry: models.TrailEntry{At: at, Actor: "system", Kind: "person", Note: "pin_set"}, About: &models.ChangeSubject{Of: "person", OfID: "p1", Name: "Inge Okarra"}},
		{Entry: models.TrailEntry{At: at, Actor: "system", Kind: "key_enrolled", Subject: "12be03046ae7c126", Data: &data, Seq: &seq}},
		{Entry: models.TrailEntry{At: at, Actor: "p1", Kind: "lot_scrap", Seq: &seq}, About: &models.ChangeSubject{LotCode: "SP/1"}},
	} {
		page.Rows = append(page.Rows, s.changeRow(c, people))
	}
	well := page
	well.Older, well.Newest, well.Cut = "/changes?before=x", "/changes?", "Looked at back to 3 May."
	well.Answer, well.Doubts, well.Facts = s.sealed(sealing.State{Begun: true, Log: "l", Sealed: 35484, Newest: &models.Checkpoint{Size: 35000, At: at}, Keys: make([]models.ServerKey, 1), KeyID: "12be03046ae7c126", KeysIn: "/srv/shop.keys", CopyTo: "/mnt/away"})
	ill, wrong := page, errors.New("the disk is full")
	ill.Answer, ill.Doubts, ill.Facts = s.sealed(sealing.State{Begun: true, Sealed: 3, Waiting: 2, CopyTo: "/mnt/away", NotSealed: wrong, NotSigned: wrong, NotCopied: wrong, ClockBehind: time.Hour})
	return []any{ChangesPage{Frame: owner, None: "No change like that."}, well, ill}
}
