package models

import "time"

func encodingsOfLabels(at time.Time) []encoding {
	return []encoding{
		{LabelPrint{ID: "l1", What: LabelItem, SubjectID: "i1", Size: "62x29", N: 2, PrintedBy: "p1", PrintedAt: at},
			`{"id":"l1","n":2,"printed_at":"2031-05-12T12:03:02.007Z","printed_by":"p1","size":"62x29","subject":"i1","what":"item"}`},
		{LabelPrint{ID: "l2", What: PrintRoll, SubjectID: "r1", Size: "sheet_5x13", Place: 14, N: 40, First: "W31000012", Last: "W3100001G", PrintedBy: "p1", PrintedAt: at},
			`{"first":"W31000012","id":"l2","last":"W3100001G","n":40,"place":14,"printed_at":"2031-05-12T12:03:02.007Z","printed_by":"p1","size":"sheet_5x13","subject":"r1","what":"roll"}`},
		{LabelPrint{ID: "l3", What: PrintCertificate, SubjectID: "c1", N: 1, PrintedBy: "p1", PrintedAt: at},
			`{"id":"l3","n":1,"printed_at":"2031-05-12T12:03:02.007Z","printed_by":"p1","subject":"c1","what":"certificate"}`},
	}
}
