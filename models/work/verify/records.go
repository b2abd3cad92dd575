package verify

import (
	"maps"
	"slices"

	"tracewright/models"
	"tracewright/models/trail"
)

// named is a record as entries call it.
type named struct{ kind, subject string }

// aboutLog are the entries that speak of no record: what they say is in them.
var aboutLog = []string{trail.KindGenesis, trail.KindKeyEnrolled, trail.KindKeyRetired}

// records judges the subjects whose newest entry is among these.
func (w *walk) records(entries []models.TrailEntry) error {
	here, subjects := map[string]bool{}, make([]string, 0, len(entries))
	for _, e := range entries {
		if slices.Contains(aboutLog, e.Kind) {
			continue
		}
		here[e.ID] = true
		subjects = append(subjects, e.Subject)
	}
	if len(subjects) == 0 {
		return nil
	}
	slices.Sort(subjects)
	all, err := w.store.Entries(slices.Compact(subjects))
	if err != nil {
		return err
	}
	history := map[named][]models.TrailEntry{}
	for _, e := range all {
		key := named{e.Kind, e.Subject}
		history[key] = append(history[key], e)
	}
	due := map[string][]string{} // kind -> subjects
	for _, e := range entries {
		of := history[named{e.Kind, e.Subject}]
		if here[e.ID] && of[len(of)-1].ID == e.ID {
			due[e.Kind] = append(due[e.Kind], e.Subject)
		}
	}
	for _, kind := range slices.Sorted(maps.Keys(due)) {
		if err := w.kind(kind, due[kind], history); err != nil {
			return err
		}
	}
	return nil
}

// kind judges subjects of one kind.
func (w *walk) kind(name string, subjects []string, history map[named][]models.TrailEntry) error {
	kind, known := w.kinds[name]
	if !known {
		for _, subject := range subjects {
			of := history[named{name, subject}]
			w.report.note(Finding{Code: UnknownKind, Kind: name, Subject: subject, Entry: &of[len(of)-1]})
		}
		return nil
	}
	records, err := w.store.Records(name, subjects)
	if err != nil {
		return err
	}
	stored := map[string][]models.StoredRecord{}
	for _, r := range records {
		_, subject, _ := r.TrailName()
		stored[subject] = append(stored[subject], r)
	}
	for _, subject := range subjects {
		if err := w.subject(kind, subject, history[named{name, subject}], stored[subject]); err != nil {
			return err
		}
	}
	return nil
}

// subject holds the records of one subject against its entries, by their
// digests. An entry without its record beside a record without its entry is a
// record that was edited.
func (w *walk) subject(kind models.RecordKind, subject string, entries []models.TrailEntry, records []models.StoredRecord) error {
	newest := entries[len(entries)-1]
	missing := map[string]models.TrailEntry{}
	switch {
	case kind.Erasable && newest.Note == models.NoteErased:
	case kind.InPlace:
		missing[newest.Digest] = newest
	default:
		for _, e := range entries {
			missing[e.Digest] = e
		}
	}
	extra := 0
	for _, r := range records {
		w.report.Records++
		digest, err := models.Digest(r)
		if err != nil {
			return err
		}
		if _, vouched := missing[digest]; vouched {
			delete(missing, digest)
		} else {
			extra++
		}
		if !r.Intact {
			w.report.note(Finding{Code: Content, Kind: kind.Name, Subject: subject, Entry: &newest})
		}
	}
	for _, e := range entries { // In their order.
		if m, lacks := missing[e.Digest]; !lacks || m.ID != e.ID {
			continue
		}
		code := Gone
		if extra > 0 {
			code = Edited
			extra--
		}
		w.report.note(Finding{Code: code, Kind: kind.Name, Subject: subject, Entry: &e})
	}
	for range extra {
		w.report.note(Finding{Code: Unentered, Kind: kind.Name, Subject: subject})
	}
	return nil
}
