package attention

import (
	"context"
	"strconv"

	"tracewright/models"
)

// lotDeeds are what is done about lots that wait, by why they do. Letting one out of
// quarantine is for who lifts holds.
var lotDeeds = map[string]Deed{
	"quarantine": {Code: "decide", Needs: models.ActLiftHold, At: "lot"},
	"doubt":      {Code: "open_lot", Needs: models.ActReceive, At: "block_lot"},
	"beyond":     {Code: "explain", Needs: models.ActReceive, At: "lot_explain"},
	"count":      {Code: "explain", Needs: models.ActReceive, At: "lot_explain"},
	"look":       {Code: "inspect", Needs: models.ActReceive, At: "lot_inspect"},
}

// lots are those that wait for a decision, or do not add up. Those in quarantine share
// a row among themselves: not everybody who looks after lots decides about them.
func (s *Service) lots(ctx context.Context, _ moment) (found, error) {
	out := found{needs: models.ActReceive}
	if s.from.Lots == nil {
		return out, nil
	}
	list, err := s.from.Lots(ctx)
	if err != nil {
		return out, err
	}
	var aside, others []LotAsked
	for _, l := range list {
		if l.Kind == "quarantine" {
			aside = append(aside, l)
		} else {
			others = append(others, l)
		}
	}
	out.rows = append(lotRows(aside, "attention_lot_quarantine_many", models.ActLiftHold), lotRows(others, "attention_lot_many", models.ActReceive)...)
	if len(aside) == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_quarantine")}
	}
	return out, nil
}

// lotRows are a row for each lot until there are many, and one for the rest.
func lotRows(list []LotAsked, many string, needs models.Act) []Row {
	var rows []Row
	for i, l := range list {
		if i == eachShown && len(list) > eachShown+1 {
			n := len(list) - i
			return append(rows, Row{Kind: Lot, Level: Stuck, Count: n, Says: models.NewRemark(many, "count", strconv.Itoa(n)), Do: Deed{Code: "see_all", Needs: needs, At: "lot"}})
		}
		deed := lotDeeds[l.Kind]
		deed.Named = l.Code
		row := Row{Kind: Lot, Level: Stuck, Since: l.Since, Count: 1, Do: deed, Says: models.NewRemark("attention_lot_"+l.Kind, "lot", l.Code, "count", strconv.Itoa(max(l.Pieces, -l.Pieces)), "n", strconv.Itoa(l.Of))}
		switch {
		case l.Kind == "count" && l.Pieces > 0:
			row.Says.Code = "attention_lot_count_more"
		case l.Kind == "beyond" && l.Pieces == 1:
			row.Says.Code = "attention_lot_beyond_one"
		}
		if l.Kind == "look" && (l.Pieces == 0 || l.Of == 0) {
			row.Says.Code = "attention_lot_look_open"
		}
		if l.Kind == "quarantine" || l.Kind == "doubt" {
			row.Lines = []models.Remark{models.NewRemark("attention_lot_" + l.Kind + "_line")}
		}
		rows = append(rows, row)
	}
	return rows
}
