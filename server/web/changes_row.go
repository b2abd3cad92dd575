package web

import (
	"fmt"
	"net/url"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/sealing"
)

// changeRow puts an entry into words.
func (s *site) changeRow(change sealing.Change, people map[string]string) ChangeRow {
	e := change.Entry
	row := ChangeRow{When: s.minute(e.At), Who: name(people, e.Actor), What: english.Change(e.Kind)}
	if e.Seq != nil {
		row.Number = written(*e.Seq)
	}
	if change.About != nil {
		row.About, row.Why = aboutSpans(*change.About), changeWhy(e.Kind, *change.About)
	} else if e.Data != nil {
		row.About = []Span{{Text: e.Subject, Mono: true}}
	}
	if e.Note != "" {
		if row.Why != "" {
			row.Why += " "
		}
		row.Why += words.Sentence(english.ChangeNote(e.Note)) + "."
	}
	return row
}

// aboutSpans names what a record is about, with a link where it has a page.
func aboutSpans(a models.ChangeSubject) []Span {
	var spans []Span
	switch {
	case a.Item != nil:
		spans = append(spans, Span{Text: words.Sentence(english.Kind(a.Item.Kind)) + " "}, Span{Text: words.Serial(a.Item.Name()), Mono: true, Path: itemPath(pointed(a.Item.Serial), a.Item.ID)})
	case a.LotCode != "":
		return []Span{{Text: "Lot "}, {Text: a.LotCode, Mono: true, Path: lotPath(a.LotCode)}}
	}
	if own := ownSpan(a); own.Text != "" {
		if len(spans) > 0 {
			spans = append(spans, Span{Text: ", "})
		}
		spans = append(spans, own)
	}
	return spans
}

// ownSpan is what a record is called by itself.
func ownSpan(a models.ChangeSubject) Span {
	span := Span{Text: a.Name}
	if a.Name == "" {
		return span
	}
	at := url.PathEscape(a.Name)
	switch a.Of {
	case "certificate":
		span = Span{Text: fmt.Sprintf("%s revision %d", a.Name, a.Revision), Mono: true, Path: fmt.Sprintf("/certificates/%s/%d", at, a.Revision)}
	case "nonconformity":
		span.Mono, span.Path = true, nonconformityPath(a.Name)
	case "corrective_action":
		span.Mono, span.Path = true, actionPath(a.Name)
	case "shipment", "claim", "recall":
		span.Mono, span.Path = true, "/"+a.Of+"s/"+at
	case "instrument", "material":
		span.Mono, span.Path = true, "/"+a.Of+"s/"+at
	case "person":
		span.Path = "/people/" + a.OfID
	case "family":
		span.Path = "/families/" + a.OfID
	case "product":
		span.Path = "/products/" + a.OfID
	case "setting":
		span = Span{Text: english.Setting(a.Name)}
	}
	return span
}

// changeWhy is the reason: what somebody typed, behind the word for its code.
func changeWhy(kind string, a models.ChangeSubject) string {
	code := ""
	switch {
	case a.Code == "":
	case kind == "hold":
		return words.Sentence(english.Defect(a.Code)) + ". " + words.Sentence(stopped(english.HoldReason(a.Code, a.Reason)))
	case kind == "hold_lift":
		code = english.HoldLift(a.Code)
	case kind == "part_removal":
		code = english.Removal(a.Code)
	case kind == "certificate_change":
		code = english.State(a.Code)
	case kind == "inspection":
		code = english.Verdict(a.Code)
	}
	if code != "" {
		code = words.Sentence(code) + ". "
	}
	return code + words.Sentence(stopped(a.Reason))
}
