package store

import (
	"context"
	"slices"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// mostLookedAt bounds how many entries a page of changes looks at when it is
// asked by more than one index can answer.
const mostLookedAt = 5000

// Changes lists entries, newest first. It reads backwards along one index, and
// where a second condition leaves much out it stops after some thousand entries
// and says so.
func (s *Store) Changes(ctx context.Context, q models.ChangeQuery) (models.ChangePage, error) {
	var page models.ChangePage
	var asked []clause.Expression // what leaves most out first: its index leads
	if len(q.Subjects) > 0 {
		subjects := make([]any, len(q.Subjects))
		for i, s := range q.Subjects {
			subjects[i] = s
		}
		asked = append(asked, clause.IN{Column: "subject", Values: subjects})
	}
	if q.Actor != "" {
		asked = append(asked, clause.Eq{Column: "actor", Value: q.Actor})
	}
	if q.Kind != "" {
		asked = append(asked, clause.Eq{Column: "kind", Value: q.Kind})
	}
	lead := s.read.WithContext(ctx).Model(&models.TrailEntry{})
	if len(asked) > 0 {
		lead = lead.Where(asked[0])
	}
	lead = during(lead, q)
	found := lead
	if len(asked) > 1 {
		found = s.read.WithContext(ctx).Table("(?) AS e", lead.Order("at DESC, id DESC").Limit(mostLookedAt)).Where(clause.And(asked[1:]...))
	}
	if err := found.Order("at DESC, id DESC").Limit(q.Limit + 1).Scan(&page.Entries).Error; err != nil {
		return page, fault(err, "list changes")
	}
	if len(page.Entries) > q.Limit {
		last := page.Entries[q.Limit-1]
		page.Entries, page.Next = page.Entries[:q.Limit], models.ChangeKey{At: last.At, ID: last.ID}
		return page, nil
	}
	if len(asked) < 2 {
		return page, nil
	}
	var edge []models.TrailEntry // the last that was looked at, if there may be more behind
	if err := lead.Select("at, id").Order("at DESC, id DESC").Offset(mostLookedAt - 1).Limit(1).Find(&edge).Error; err != nil {
		return page, fault(err, "list changes")
	}
	if len(edge) > 0 {
		page.Next, page.Cut = models.ChangeKey{At: edge[0].At, ID: edge[0].ID}, true
	}
	return page, nil
}

func during(tx *gorm.DB, q models.ChangeQuery) *gorm.DB {
	if !q.From.IsZero() {
		tx = tx.Where("at >= ?", models.Moment(q.From))
	}
	if !q.To.IsZero() {
		tx = tx.Where("at < ?", models.Moment(q.To))
	}
	if !q.Before.Zero() {
		tx = tx.Where("(at, id) < (?, ?)", models.Moment(q.Before.At), q.Before.ID)
	}
	return tx.Session(&gorm.Session{})
}

// ChangeKinds lists the kinds of record that leave entries, but the log's own.
func (s *Store) ChangeKinds() []string {
	kinds := make([]string, len(recordKinds))
	for i, k := range recordKinds {
		kinds[i] = k.Name
	}
	return kinds
}

// belongsTo are members of a record that name another record of that kind, which
// is asked where the record itself names no item and no lot.
var belongsTo = []string{"hold", "certificate", "charge", "inspection", "claim", "recall", "order", "shipment", "nonconformity", "corrective_action", "product", "family"}

// ChangeSubjects tells what the records of entries are about, by the entry's id,
// in a few statements for each kind among them. An entry whose record is gone,
// or is the log itself, has none.
func (s *Store) ChangeSubjects(ctx context.Context, entries []models.TrailEntry) (map[string]models.ChangeSubject, error) {
	look := &subjects{tx: s.read.WithContext(ctx), found: map[recordKey][]models.Recorded{}}
	var wanted []recordKey
	for _, e := range entries {
		wanted = append(wanted, recordKey{e.Kind, e.Subject})
	}
	if err := look.read(wanted); err != nil {
		return nil, fault(err, "read what changes are about")
	}
	var owners []recordKey
	for i, key := range wanted {
		if owner, has := owner(key, look.says(key, entries[i].Digest)); has {
			owners = append(owners, owner)
		}
	}
	if err := look.read(owners); err != nil {
		return nil, fault(err, "read what changes are about")
	}
	out := map[string]models.ChangeSubject{}
	items, lots := map[string][]string{}, map[string][]string{} // id -> entries
	for _, e := range entries {
		key := recordKey{e.Kind, e.Subject}
		says := look.says(key, e.Digest)
		if says == nil {
			continue
		}
		about := models.ChangeSubject{Of: e.Kind, OfID: e.Subject, Name: nameIn(e.Kind, says), Code: textIn(says, codeIn[e.Kind]), Reason: textIn(says, "reason", reasonIn[e.Kind])}
		about.Revision, _ = says["revision"].(int)
		item, lot := belonging(key, says)
		if owner, has := owner(key, says); has {
			says := look.says(owner, "")
			item, lot = belonging(owner, says)
			about.Of, about.OfID, about.Name = owner.kind, owner.subject, nameIn(owner.kind, says)
			about.Revision, _ = says["revision"].(int)
		}
		if item != "" {
			items[item] = append(items[item], e.ID)
		} else if lot != "" {
			lots[lot] = append(lots[lot], e.ID)
		}
		out[e.ID] = about
	}
	return out, fault(look.place(out, items, lots), "read what changes are about")
}

// recordKey names a record as entries do.
type recordKey struct{ kind, subject string }

// subjects reads records by what their entries call them.
type subjects struct {
	tx    *gorm.DB
	found map[recordKey][]models.Recorded
}

// says is what a record's encoding says. Of several revisions under one key it
// is the one that an entry of that digest spoke of, or else none.
func (l *subjects) says(key recordKey, digest string) map[string]any {
	found := l.found[key]
	if len(found) == 1 {
		return found[0].Canonical()
	}
	for _, r := range found {
		if d, err := models.Digest(r); err == nil && d == digest {
			return r.Canonical()
		}
	}
	return nil
}

func (l *subjects) read(keys []recordKey) error {
	by := map[string][]string{}
	for _, k := range keys {
		if _, there := l.found[k]; !there && !slices.Contains(by[k.kind], k.subject) {
			by[k.kind] = append(by[k.kind], k.subject)
		}
	}
	for _, kind := range recordKinds {
		asked := by[kind.Name]
		if len(asked) == 0 {
			continue
		}
		records := kind.records
		if kind.Name == "inspection" { // Its readings say nothing here.
			records = inspectionsAlone
		}
		stored, err := records(l.tx, asked)
		if err != nil {
			return err
		}
		for _, r := range stored {
			_, subject, _ := r.TrailName()
			key := recordKey{kind.Name, subject}
			l.found[key] = append(l.found[key], r.Recorded)
		}
	}
	return nil
}

func inspectionsAlone(tx *gorm.DB, ids []string) ([]models.StoredRecord, error) {
	rows, err := rowsOf[models.Inspection](tx, "id", ids)
	out := make([]models.StoredRecord, len(rows))
	for i, r := range rows {
		out[i] = models.StoredRecord{Recorded: models.RecordedInspection{Inspection: r}}
	}
	return out, err
}

// owner is the record that one belongs to.
func owner(key recordKey, says map[string]any) (recordKey, bool) {
	if item, lot := belonging(key, says); item+lot != "" || nameIn(key.kind, says) != "" {
		return recordKey{}, false
	}
	if kind := subjectKind[textIn(says, "subject_kind", "what")]; kind != "" && textIn(says, "subject") != "" {
		return recordKey{kind, textIn(says, "subject")}, true
	}
	for _, of := range belongsTo {
		if id := textIn(says, of); id != "" && of != key.kind {
			return recordKey{of, id}, true
		}
	}
	return recordKey{}, false
}

// subjectKind is the kind of record that a paper or photo hangs on, or that was
// printed, by the word for it.
var subjectKind = map[string]string{
	models.SubjectLot: "lot", models.SubjectLotCheck: "lot_check", models.SubjectClaim: "claim", models.SubjectCalibration: "calibration_report", models.SubjectNonconformity: "nonconformity",
	models.LabelItem: "item", models.LabelHub: "item", models.LabelBox: "shipment", models.PrintCertificate: "certificate",
}

// belonging are the keys of the item and of the lot that a record is, or names. A
// step of a nonconformity names its lot by the code.
func belonging(key recordKey, says map[string]any) (item, lot string) {
	switch key.kind {
	case "item", "block_receipt":
		return key.subject, ""
	case "lot":
		return "", key.subject
	case "nonconformity_step":
		return "", ""
	}
	return textIn(says, "item"), textIn(says, "lot")
}

// place puts items and codes of lots where they belong.
func (l *subjects) place(out map[string]models.ChangeSubject, items, lots map[string][]string) error {
	found, err := rowsOf[models.Item](l.tx, "id", keysOf(items))
	if err != nil {
		return err
	}
	for _, item := range found {
		for _, id := range items[item.ID] {
			about := out[id]
			about.Item = &item
			out[id] = about
		}
	}
	known, err := rowsOf[models.Lot](l.tx, "id", keysOf(lots))
	for _, lot := range known {
		for _, id := range lots[lot.ID] {
			about := out[id]
			about.LotCode = lot.Code
			out[id] = about
		}
	}
	return err
}

func keysOf[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	return keys
}

// textIn is the first of some members that says something.
func textIn(says map[string]any, names ...string) string {
	for _, name := range names {
		if text, ok := says[name].(string); ok && text != "" {
			return text
		}
	}
	return ""
}

// codeIn is the member that says why, or what came of it, where there is a word
// for it.
var codeIn = map[string]string{"hold": "code", "hold_lift": "code", "part_removal": "code", "certificate_change": "state", "inspection": "verdict"}

// reasonIn is the member that says why as somebody typed it, where it is not
// called reason.
var reasonIn = map[string]string{"nonconformity": "note", "nonconformity_step": "note", "corrective_action_step": "note"}

// nameIn is what a record is called by.
func nameIn(kind string, says map[string]any) string {
	switch kind {
	case "lot", "instrument", "material":
		return textIn(says, "code")
	}
	return textIn(says, "number", "name", "ref")
}
