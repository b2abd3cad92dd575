package web

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// InspectionSheet is one inspection with all it holds.
type InspectionSheet struct {
	ID         string
	Title      string // "After stress relief, first reading"
	When       string
	Who        string
	Verdict    string
	Share      string // "9 of 9"
	Open       bool   // drawn open
	More       string // where the readings of one that is not drawn are to be had
	Replaced   string // by what and why, when a correction took its place
	Corrects   string // what it took the place of
	Rule       string
	RulePath   string
	Decimals   string // class of the table
	Lines      []ResultLine
	Guarded    bool
	Uncertain  bool // some result has an uncertainty
	Ticks      string
	Remarks    []string
	Conditions string
	Rim        *Rim
	Pack       *PackView
	Sets       []SetLine
	Move       string // path of the page that takes the readings to another item; empty when that is not this person's
}

// SetLine is one reading set, as it was typed.
type SetLine struct {
	Name, Method, Unit, Instrument, Due string
	Overdue                             bool
	Readings                            []ReadingCell
	Text                                string // of a tick
}

// ReadingCell is one reading with the place it was taken at.
type ReadingCell struct{ At, Value string }

// inspectionSheets lists an item's inspections: the newest standing one
// first, then the others from new to old.
func (s *site) inspectionSheets(frame Frame, v trace.ItemView) []InspectionSheet {
	latest := v.Latest()
	var sheets []InspectionSheet
	for i := len(v.Inspections) - 1; i >= 0; i-- {
		in := v.Inspections[i]
		sheet := s.inspectionSheet(v, in)
		// Everyone moves their own; who places what fits nowhere also that of others.
		if in.Inspection.SupersededBy == nil && (frame.Actor.May(models.ActPlace) || frame.Actor.May(models.ActRecord) && frame.Actor.PersonID == in.Inspection.PersonID) {
			sheet.Move = "/inspections/" + in.Inspection.ID + "/move"
		}
		if latest != nil && in.Inspection.ID == latest.Inspection.ID {
			sheet.Open = true
			sheets = append([]InspectionSheet{sheet}, sheets...)
			continue
		}
		sheets = append(sheets, sheet)
	}
	return sheets
}

func (s *site) inspectionSheet(v trace.ItemView, in models.InspectionView) InspectionSheet {
	i := in.Inspection
	sheet := InspectionSheet{ID: i.ID, Title: words.Sentence(english.Stage(i.Stage)), When: s.minute(i.MeasuredAt), Who: in.Person, Verdict: i.Verdict}
	if i.Place != "" {
		sheet.Who += ", " + i.Place
	}
	switch {
	case i.SupersededBy != nil:
		sheet.Replaced = stopped("A correction took its place" + because(v, *i.SupersededBy))
	case i.FirstSet:
		sheet.Title += ", first reading"
	case i.Recheck:
		sheet.Title += ", after it had passed"
	case i.Round > 1:
		sheet.Title += fmt.Sprintf(", round %d", i.Round)
	}
	if i.Supersedes != nil {
		sheet.Corrects = "Takes the place of an earlier one"
		if i.Reason != "" {
			sheet.Corrects += ": " + i.Reason
		}
		sheet.Corrects = stopped(sheet.Corrects)
	}
	if len(in.Results) == 0 && len(in.Sets) == 0 {
		sheet.More = itemPath(pointed(v.Item.Serial), v.Item.ID) + "?inspection=" + i.ID + "#inspection-" + i.ID
		return sheet
	}
	sheet.Open = true
	sheet.Share = shareWords(in)
	spec := in.Specification
	sheet.Rule = fmt.Sprintf("Judged by specification %d, grade %s, %s.", spec.Revision, english.Grade(spec.Grade), rulesOf(spec))
	sheet.RulePath = "/specifications/" + spec.ID
	var texts []string
	for _, l := range resultLines(in) {
		texts = append(texts, l.Value)
		if l.Tick && !l.Missed {
			continue
		}
		sheet.Guarded = sheet.Guarded || l.Accept != ""
		sheet.Uncertain = sheet.Uncertain || l.U != ""
		sheet.Lines = append(sheet.Lines, l)
	}
	sheet.Decimals = mostDecimals(texts...)
	sheet.Ticks = tickWords(resultLines(in))
	for _, r := range i.Remarks {
		sheet.Remarks = append(sheet.Remarks, sayOf(&in, r))
	}
	sheet.Conditions = conditions(i.Conditions)
	var form models.ProductForm
	if v.Form != nil {
		form = v.Form.Form
	}
	sheet.Rim = rimOf(in, form)
	if v.Item.Kind != models.KindBlock {
		sheet.Pack = packOf(in, form)
	}
	sheet.Sets = s.setLines(in, &sheet)
	return sheet
}

// because finds the reason of the correction with this id.
func because(v trace.ItemView, id string) string {
	for _, in := range v.Inspections {
		if in.Inspection.ID == id && in.Inspection.Reason != "" {
			return ": " + in.Inspection.Reason
		}
	}
	return ""
}

func conditions(c models.Conditions) string {
	var parts []string
	add := func(text string) { parts = append(parts, text) }
	if c.TemperatureC != "" {
		add(words.Quantity(c.TemperatureC, "degC"))
	}
	if c.RestHours != "" {
		add("rested " + c.RestHours + " h")
	}
	if c.OnCharger {
		add("a charger was connected")
	}
	if c.LoadA != "" && c.LoadA != "0" {
		add("a current of " + words.Number(c.LoadA) + " A was flowing")
	}
	if c.Tyre != "" {
		add("tyre " + c.Tyre)
	}
	if c.Note != "" {
		add("“" + c.Note + "”")
	}
	if len(parts) == 0 {
		return ""
	}
	return words.Sentence(english.Join(parts)) + "."
}

// setLines are the readings as typed, one line a set; remarks of the sets join
// those of the inspection.
func (s *site) setLines(in models.InspectionView, sheet *InspectionSheet) []SetLine {
	var lines []SetLine
	for _, set := range in.Sets {
		l := SetLine{Name: words.Sentence(english.Characteristic(set.Code)), Method: english.Method(set.Method), Unit: words.Unit(set.Unit)}
		if set.Manner != "" {
			l.Method += ", " + english.Manner(set.Manner)
		}
		if set.InstrumentID != nil {
			for _, i := range in.Instruments {
				if i.ID == *set.InstrumentID {
					l.Instrument = i.Code
					// A calibration made since says nothing about what was read.
					if i.DueOn != "" && i.CalibratedOn <= in.Inspection.MeasuredAt.In(s.zone()).Format("2006-01-02") {
						l.Due = words.Date(i.DueOn)
					}
				}
			}
		}
		for _, r := range set.Remarks {
			if r.Code == "instrument_overdue" {
				l.Due, l.Overdue = words.Date(r.Values["due"]), true
			}
			sheet.Remarks = append(sheet.Remarks, l.Name+": "+say(r))
		}
		if c, ok := in.Specification.Characteristic(set.Code); ok && c.Form != models.Measured && len(set.Values) > 0 {
			l.Text = english.Choice(set.Values[0])
			lines = append(lines, l)
			continue
		}
		for j, value := range set.Values {
			l.Readings = append(l.Readings, ReadingCell{At: readingAt(set, j), Value: words.Number(value)})
		}
		lines = append(lines, l)
	}
	return lines
}

// readingAt says where a reading was taken, as the people at the stand count.
func readingAt(set models.ReadingSet, j int) string {
	if set.Code == "dish" && len(set.Values) == 2 {
		return []string{"side A", "side B"}[min(j, 1)]
	}
	prefix := ""
	if set.Method == models.Extremes {
		prefix = []string{"highest", "lowest"}[min(j, 1)]
	}
	if j >= len(set.Index) {
		return prefix
	}
	at := set.Index[j]
	switch {
	case at.IsBlock() && at.Place == 0:
		return fmt.Sprintf("string %d", at.String)
	case at.IsBlock():
		return at.Shown()
	case set.Method == models.Whole:
		return ""
	case set.Method == models.EveryHole && j > 0 && at.Place == 0:
		return "1 again"
	case prefix != "":
		return prefix + ", spoke " + at.Shown()
	}
	return at.Shown()
}
