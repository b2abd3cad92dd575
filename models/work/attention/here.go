package attention

import (
	"context"
	"strconv"
	"time"

	"tracewright/models"
)

const (
	// longHeld is how many days a hold may be open before it is said. Common
	// practice, no source.
	longHeld = 14
	// namedInLine is how many things a line of evidence names.
	namedInLine = 3
)

// rechecksAndHolds are the open holds: of what is with its owner and failed a
// recheck a row each until there are many, of all that is here one.
func (s *Service) rechecksAndHolds(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActLiftHold}
	holds, err := s.store.HoldsWaiting(ctx)
	if err != nil {
		return out, err
	}
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return out, err
	}
	var away, here []models.HeldItem
	for _, h := range holds {
		if h.Code == models.RecheckFailed && h.Away() {
			away = append(away, h)
		} else {
			here = append(here, h)
		}
	}
	for i, h := range away {
		if i == eachShown && len(away) > eachShown+1 {
			out.rows = append(out.rows, Row{Kind: Recheck, Level: Left, Since: h.RaisedAt, Count: len(away) - i, Do: Deed{Code: "see_all", Needs: models.ActLiftHold, At: "hold"}, Says: models.NewRemark("attention_recheck_many", "count", strconv.Itoa(len(away)-i))})
			break
		}
		out.rows = append(out.rows, Row{Kind: Recheck, Level: Left, Since: h.RaisedAt, Count: 1, Do: Deed{Code: "decide", Needs: models.ActLiftHold, At: "hold", Named: h.ID},
			Says: models.NewRemark("attention_recheck", "serial", h.Name(), "item_kind", h.Kind, "state", h.State), Lines: []models.Remark{models.NewRemark("attention_recheck_results", "code", h.Code, "reason", h.Reason)}})
	}
	if len(here) == 0 {
		// Some may be told by the recall, claim or nonconformity that they are of.
		if n, err := s.store.CountOpenHolds(ctx); err != nil || n > 0 {
			return out, err
		}
		out.fine = []models.Remark{models.NewRemark("attention_no_hold")}
		return out, nil
	}
	out.rows = append(out.rows, held(here, defects, at))
	return out, nil
}

// held is the one row of what is on hold here.
func held(holds []models.HeldItem, defects models.Defects, at moment) Row {
	row := Row{Kind: Held, Level: Stuck, Since: holds[0].RaisedAt, Do: Deed{Code: "decide", Needs: models.ActLiftHold, At: "hold"}}
	seen, long := map[string]bool{}, 0
	for _, h := range holds {
		key := h.Lot
		if h.ItemID != nil {
			key = *h.ItemID
		}
		if seen[key] {
			continue
		}
		seen[key] = true
		if at.days(h.RaisedAt) > longHeld {
			long++
		}
		if len(row.Lines) < namedInLine {
			row.Lines = append(row.Lines, heldLine(h, defects, at))
		}
	}
	row.Count = len(seen)
	values := []string{"count", strconv.Itoa(row.Count), "k", strconv.Itoa(long), "days", strconv.Itoa(longHeld)}
	switch {
	case row.Count == 1:
		h := holds[0]
		row.Says, row.Lines = models.NewRemark("attention_hold_one", "fault", fault(defects, h.Code, h.RaisedAt), "serial", h.Name(), "item_kind", h.Kind), []models.Remark{models.NewRemark("attention_hold_reason", "code", h.Code, "reason", h.Reason)}
		if h.Lot != "" {
			row.Says = models.NewRemark("attention_hold_lot", "fault", fault(defects, h.Code, h.RaisedAt), "lot", h.Lot)
		}
		row.Do.Named = h.ID
	case long == row.Count:
		row.Says = models.NewRemark("attention_hold_all_long", values...)
	case long > 0:
		row.Says = models.NewRemark("attention_hold_long", values...)
	default:
		row.Says = models.NewRemark("attention_hold_many", values...)
	}
	return row
}

func heldLine(h models.HeldItem, defects models.Defects, at moment) models.Remark {
	code, values := "attention_held", []string{"serial", h.Name(), "fault", fault(defects, h.Code, h.RaisedAt), "age", strconv.Itoa(at.days(h.RaisedAt))}
	if h.Lot != "" {
		code, values[0], values[1] = "attention_held_lot", "lot", h.Lot
	}
	return models.NewRemark(code, values...)
}

// fault is what is wrong: the shop's own name of it, or the code of a shipped one.
func fault(defects models.Defects, code string, at time.Time) string {
	if name := defects.At(code, at).Name; name != "" {
		return name
	}
	return code
}

// signals are the points of watched charts for which nobody gave a cause.
func (s *Service) signals(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActRecord}
	if s.from.Signals == nil {
		return out, nil
	}
	list, err := s.from.Signals(ctx)
	if err != nil {
		return out, err
	}
	if len(list) == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_signal")}
		return out, nil
	}
	for i, g := range list {
		query := map[string]string{"family": g.FamilyID, "result": g.Result}
		for name, value := range map[string]string{"place": g.Place, "product": g.ProductID} {
			if value != "" {
				query[name] = value
			}
		}
		if i == eachShown && len(list) > eachShown+1 {
			since := g.Since // They come with the newest point first; one of the others may have begun before.
			for _, other := range list[i:] {
				if other.Since.Before(since) {
					since = other.Since
				}
			}
			out.rows = append(out.rows, Row{Kind: Signal, Level: Stuck, Count: len(list) - i, Since: since, Says: models.NewRemark("attention_signal_many", "count", strconv.Itoa(len(list)-i)), Do: Deed{Code: "see_charts", Needs: models.ActRecord, At: "chart"}})
			break
		}
		family, err := s.store.Family(ctx, g.FamilyID)
		if err != nil {
			return out, err
		}
		code := "attention_signal"
		if g.Place != "" {
			code = "attention_signal_at"
		}
		if g.Rule == "smoothed_mean" {
			code += "_drift"
		}
		out.rows = append(out.rows, Row{Kind: Signal, Level: Stuck, Count: 1, Since: g.Since, Do: Deed{Code: "give_cause", Needs: models.ActRecord, At: "chart", Query: query, Named: g.Name()},
			Says:  models.NewRemark(code, "result", g.Result, "place", g.Place, "date", at.dayOf(g.Since)),
			Lines: []models.Remark{models.NewRemark("attention_signal_point", "serial", g.Serial, "date", at.dayOf(g.MeasuredAt), "family", family.Name)}})
	}
	return out, nil
}

// unplaced are inspections that nobody has given a place.
func (s *Service) unplaced(ctx context.Context, _ moment) (found, error) {
	out := found{needs: models.ActPlace}
	n, since, err := s.store.UnplacedWaiting(ctx)
	if err != nil {
		return out, err
	}
	if n == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_unplaced")}
		return out, nil
	}
	out.rows = []Row{{Kind: Unplaced, Level: Stuck, Since: since, Count: n, Says: models.NewRemark(plural("attention_unplaced", n), "count", strconv.Itoa(n)), Lines: []models.Remark{models.NewRemark("attention_unplaced_line")}, Do: Deed{Code: "settle", Needs: models.ActPlace, At: "unplaced"}}}
	return out, nil
}

// correctives are the corrective actions whose day has passed.
func (s *Service) correctives(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActImprove}
	open, err := s.store.OpenCorrectiveActions(ctx)
	if err != nil {
		return out, err
	}
	var late []models.CorrectiveActionView
	for _, v := range open {
		if v.Overdue(at.day) {
			late = append(late, v)
		}
	}
	if len(late) == 0 {
		return out, nil
	}
	row := Row{Kind: Corrective, Level: Stuck, Count: len(late), Do: Deed{Code: "see_all", Needs: models.ActImprove, At: "corrective_action"}, Says: models.NewRemark("attention_corrective_action_many", "count", strconv.Itoa(len(late)))}
	for _, v := range late {
		if day, err := models.ReadDay(v.DueBy(), at.zone); err == nil && (row.Since.IsZero() || day.Before(row.Since)) {
			row.Since = day
		}
	}
	if v := late[0]; len(late) == 1 {
		row.Says = models.NewRemark("attention_corrective_action_"+v.State, "corrective", v.Number, "due", v.DueBy())
		row.Do.Code, row.Do.Named = "open", v.Number
		row.Lines = []models.Remark{models.NewRemark("attention_note", "note", noted(v.Stated().Problem))}
	}
	out.rows = []Row{row}
	return out, nil
}

// longestNote is how much of what somebody wrote stands in a line of evidence.
const longestNote = 110

func noted(text string) string {
	if letters := []rune(text); len(letters) > longestNote {
		return string(letters[:longestNote]) + "…"
	}
	return text
}
