package web

import (
	"time"

	"tracewright/models"
)

// samplePrints are a label, a hub mark and a certificate that were printed.
func samplePrints() []models.LabelPrint {
	return []models.LabelPrint{{What: models.LabelItem, SubjectID: "i1", Size: "62x29", N: 1, PrintedBy: "p2", PrintedAt: sampleNow},
		{What: models.LabelHub, SubjectID: "i1", Size: "sheet_5x13", Place: 7, N: 2, PrintedBy: "p1", PrintedAt: sampleNow.Add(time.Hour)},
		{What: models.PrintCertificate, SubjectID: "c2", N: 1, PrintedBy: "p1", PrintedAt: sampleNow.Add(2 * time.Hour)}}
}

// sampleLabelled is a wheel's page with its prints.
func sampleLabelled(s *site, frame Frame) ItemPage {
	v := sampleWheel()
	v.Prints = samplePrints()
	page := s.itemPage(frame, v, nil)
	s.labelled(&page, v, "62x29")
	return page
}

// sampleLabels is the page that prints a label, empty, of an item and of a roll.
func sampleLabels(s *site, frame Frame) []any {
	people := map[string]string{"p1": "Johanna Thorne", "p2": "Inge Okarra"}
	f := newForm(func(string) string { return "62x29" }, models.Invalid("place", "place_on_sheet", "most", "65"))
	roll := models.LabelPrint{What: models.PrintRoll, Size: "25x15", N: 88, First: "W27000018", Last: "W27000993", PrintedBy: "p1", PrintedAt: sampleNow}
	size := f.field(Field{Name: "size", Label: "Label", Kind: "select", Choices: labelSizes()})
	place := f.field(Field{Name: "place", Label: "First free place of a sheet"})
	return []any{LabelPage{Frame: frame},
		LabelPage{Frame: frame, About: "W26-00005-1", Mono: true, Title: "Print its label", Says: "The same number every time.", Printed: s.printedLines(labelsAmong(samplePrints()), people), Fields: []Field{size, place}, Problems: f.summary()},
		LabelPage{Frame: frame, About: "W27-00001-8 to W27-00099-3", Title: "Print the labels of this roll", Printed: s.printedLines([]models.LabelPrint{roll}, people)}}
}
