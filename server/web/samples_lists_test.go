package web

import (
	"tracewright/models"
	"tracewright/models/work/lists"
)

// listPages are the pages of lists: for each kind one to begin with, one with
// problems, one that can be taken in, and one that cannot be read.
func listPages(owner Frame) map[string][]any {
	bare := filled(map[string]string{})
	reason := bare.field(Field{Name: "reason", Label: "Why you look"})
	out := map[string][]any{"lists": {ListsPage{Frame: owner}, listsPageOf(owner, bare, nil), listsPageOf(owner, bare, &reason)}}
	for _, kind := range lists.Kinds() {
		if kind.In == "" {
			continue
		}
		faults, good, unread, known := listInOf(owner, kind), listInOf(owner, kind), listInOf(owner, kind), listInOf(owner, kind)
		faults.looked(lists.Report{Rows: 12, New: 9, Text: "code;material\n</textarea><b>", Problems: []lists.Problem{{Row: 1, Column: "qantity", Code: "list_heading_near", Values: map[string]string{"name": "quantity"}}, {Row: 4, Column: "quantity", Code: "list_not_whole", Values: map[string]string{"typed": "18,5"}}},
			Notes: []models.Remark{models.NewRemark("list_windows_1252"), models.NewRemark("list_column_left_out", "name", "price")}})
		good.looked(lists.Report{Rows: 12, New: 9, Same: 3, Given: 2, Digest: "ab", Text: "code\n1", Heads: []string{"code"}, First: [][]string{{"1"}}})
		unread.looked(lists.Report{Problems: []lists.Problem{{Code: "list_no_text"}}})
		known.looked(lists.Report{Rows: 3, Same: 3})
		out["list_in"] = append(out["list_in"], listInOf(owner, kind), faults, good, unread, known)
	}
	return out
}
