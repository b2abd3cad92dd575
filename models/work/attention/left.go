package attention

import (
	"context"
	"strconv"
	"time"

	"tracewright/models"
)

// seals are what is wrong with the log of changes itself: while it is not sealed, no
// certificate may be believed.
func (s *Service) seals(context.Context, moment) (found, error) {
	out := found{needs: models.ActManagePeople}
	if s.from.Seals == nil {
		return out, nil
	}
	for _, r := range s.from.Seals() {
		out.rows = append(out.rows, Row{Kind: Seal, Level: Safety, Count: 1, Says: models.NewRemark("attention_seal"), Lines: []models.Remark{r}, Do: Deed{Code: "see_changes", Needs: models.ActManagePeople, At: "change"}})
	}
	if len(out.rows) == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_seal")}
	}
	return out, nil
}

// recalls are those that have not ended.
func (s *Service) recalls(ctx context.Context, _ moment) (found, error) {
	out := found{needs: models.ActShip}
	if s.from.Recalls == nil {
		return out, nil
	}
	list, err := s.from.Recalls(ctx)
	if err != nil {
		return out, err
	}
	for i, r := range list {
		if i == eachShown && len(list) > eachShown+1 {
			out.rows = append(out.rows, Row{Kind: Recall, Level: Safety, Count: len(list) - i, Since: list[len(list)-1].MadeAt, Says: models.NewRemark("attention_recall_many", "count", strconv.Itoa(len(list)-i)), Do: Deed{Code: "see_all", Needs: models.ActShip, At: "recall"}})
			break
		}
		row := Row{Kind: Recall, Level: Safety, Since: r.MadeAt, Count: 1, Do: Deed{Code: "record_response", Needs: models.ActShip, At: "recall", Named: r.Number},
			Says:  models.NewRemark("attention_recall", "recall", r.Number, "about", r.About, "k", strconv.Itoa(r.Answered), "n", strconv.Itoa(r.Called)),
			Lines: []models.Remark{models.NewRemark("attention_recall_told", "k", strconv.Itoa(r.Notified), "n", strconv.Itoa(r.Called))}}
		switch {
		case r.Called == 0: // Nothing of it had left the shop.
			row.Level, row.Says, row.Lines = Stuck, models.NewRemark("attention_recall_here", "recall", r.Number, "about", r.About), nil
			row.Do.Code = "open"
		case r.Answered == r.Called: // All have answered: what is left is to end it.
			row.Level, row.Do.Code = Left, "open"
		}
		out.rows = append(out.rows, row)
	}
	if len(list) == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_recall")}
	}
	return out, nil
}

// traces are gauges that were found out of tolerance, with items about which nobody
// has decided.
func (s *Service) traces(ctx context.Context, _ moment) (found, error) {
	out := found{needs: models.ActCalibrate}
	if s.from.Traces == nil {
		return out, nil
	}
	list, err := s.from.Traces(ctx)
	if err != nil {
		return out, err
	}
	for _, t := range list {
		level, line := Stuck, "attention_gauge_here"
		if t.Shipped > 0 {
			level, line = Left, "attention_gauge_shipped"
		}
		n := t.Here + t.Shipped
		out.rows = append(out.rows, Row{Kind: GaugeFailed, Level: level, Since: t.At, Count: n, Do: Deed{Code: plural("review", n), Needs: models.ActCalibrate, At: "trace", Named: t.Instrument.Code, Under: t.TraceID},
			Says:  models.NewRemark("attention_gauge_"+t.Cause, "instrument_kind", t.Instrument.Kind, "instrument", t.Instrument.Code),
			Lines: []models.Remark{models.NewRemark(line, "n", strconv.Itoa(t.Judged), "count", strconv.Itoa(t.NoLonger), "left", strconv.Itoa(n), "k", strconv.Itoa(t.Shipped))}})
	}
	return out, nil
}

// mostClaims is how far claims without an answer are counted.
const mostClaims = 500

// claims are those about which nobody has decided: what is over the promised days a
// row each, those that are in time one.
func (s *Service) claims(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActClaims}
	open, err := s.store.UnansweredClaims(ctx, mostClaims)
	if err != nil {
		return out, err
	}
	if len(open) == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_claim")}
		return out, nil
	}
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return out, err
	}
	promised := models.UsualClaimDays
	if n, err := strconv.Atoi(settings[models.SettingClaimDays]); err == nil {
		promised = n
	}
	var late, others []models.Claim
	for _, c := range open {
		if promisedBy(c.OpenedAt.In(at.zone), promised) < at.day {
			late = append(late, c)
		} else {
			others = append(others, c)
		}
	}
	var ids []string
	for _, c := range late[:min(len(late), eachShown+1)] {
		if c.ItemID != nil {
			ids = append(ids, *c.ItemID)
		}
	}
	items, err := s.store.ItemsByID(ctx, ids)
	if err != nil {
		return out, err
	}
	for i, c := range late {
		if i == eachShown && len(late) > eachShown+1 {
			n := len(late) - i
			out.rows = append(out.rows, Row{Kind: Claim, Level: Left, Count: n, Since: c.OpenedAt, Says: models.NewRemark("attention_claim_late_many", "count", strconv.Itoa(n)), Do: Deed{Code: "see_all", Needs: models.ActClaims, At: "claim"}})
			break
		}
		serial := ""
		for _, x := range items {
			if c.ItemID != nil && x.ID == *c.ItemID {
				serial = x.Name()
			}
		}
		code := "attention_claim_late"
		if serial == "" {
			code = "attention_claim_late_unnamed"
		}
		out.rows = append(out.rows, Row{Kind: Claim, Level: Left, Since: c.OpenedAt, Count: 1, Do: Deed{Code: "answer", Needs: models.ActClaims, At: "claim", Named: c.Number},
			Says:  models.NewRemark(code, "claim", c.Number, "serial", serial, "item_kind", c.Kind, "days", strconv.Itoa(at.days(c.OpenedAt))),
			Lines: []models.Remark{models.NewRemark(plural("attention_claim_promised", promised), "count", strconv.Itoa(promised), "due", promisedBy(c.OpenedAt.In(at.zone), promised))}})
	}
	if n := len(others); n > 0 {
		row := Row{Kind: Claim, Level: Due, Count: n, By: promisedBy(others[0].OpenedAt.In(at.zone), promised), Says: models.NewRemark("attention_claim_many", "count", strconv.Itoa(n)), Do: Deed{Code: "see_all", Needs: models.ActClaims, At: "claim"}}
		if n == 1 {
			row.Says, row.Do.Code, row.Do.Named = models.NewRemark("attention_claim_one", "claim", others[0].Number), "answer", others[0].Number
		}
		row.Lines = []models.Remark{models.NewRemark(plural("attention_claim_promise", promised), "count", strconv.Itoa(promised))}
		out.rows = append(out.rows, row)
	}
	return out, nil
}

// promisedBy is the last day on which an answer is in time: so many working days,
// Monday to Friday, after the day of the claim. Holidays are not known here.
func promisedBy(opened time.Time, days int) string {
	day := time.Date(opened.Year(), opened.Month(), opened.Day(), 12, 0, 0, 0, time.UTC)
	for days > 0 {
		day = day.AddDate(0, 0, 1)
		if w := day.Weekday(); w != time.Saturday && w != time.Sunday {
			days--
		}
	}
	return day.Format(time.DateOnly)
}
