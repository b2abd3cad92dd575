package attention

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
)

const (
	// dueSoonDays is how many days ahead a calibration is announced, and
	// chargeSoonDays a charge. Common practice, no source.
	dueSoonDays    = 14
	chargeSoonDays = 7
	// mostUncertified is how far what waits for its certificate is counted.
	mostUncertified = 500
)

// ChargeSoonDays is how many days ahead the list looks at the shelf.
const ChargeSoonDays = chargeSoonDays

// gauges are those past their calibration day, and those that come to it.
func (s *Service) gauges(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActCalibrate}
	all, err := s.store.Instruments(ctx)
	if err != nil {
		return out, err
	}
	soon := at.now.In(at.zone).AddDate(0, 0, dueSoonDays).Format(time.DateOnly)
	var overdue, due []models.Instrument
	for _, i := range all {
		switch {
		case i.State != models.InstrumentInUse || i.DueOn == "" || i.DueOn > soon:
		case i.OverdueOn(at.day):
			overdue = append(overdue, i)
		default:
			due = append(due, i)
		}
	}
	byDay := func(a, b models.Instrument) int { return strings.Compare(a.DueOn, b.DueOn) }
	slices.SortStableFunc(overdue, byDay)
	slices.SortStableFunc(due, byDay)
	row := func(i models.Instrument, kind string, level Level) Row {
		r := Row{Kind: kind, Level: level, Count: 1, Do: Deed{Code: "calibrate", Needs: models.ActCalibrate, At: "calibrate", Named: i.Code},
			Says: models.NewRemark("attention_"+kind, "instrument_kind", i.Kind, "instrument", i.Code, "due", i.DueOn)}
		if i.Place != "" {
			r.Lines = []models.Remark{models.NewRemark("attention_gauge_place", "place", i.Place)}
			r.Lines = append(r.Lines, spare(all, i, at.day)...)
		}
		if level == Due {
			r.By = i.DueOn
		} else {
			r.Since, _ = models.ReadDay(i.DueOn, at.zone)
		}
		return r
	}
	for n, i := range overdue {
		if n == eachShown && len(overdue) > eachShown+1 {
			r := row(i, GaugeOverdue, Stuck)
			r.Count, r.Lines = len(overdue)-n, nil
			r.Says, r.Do = models.NewRemark("attention_gauge_overdue_many", "count", strconv.Itoa(r.Count)), Deed{Code: "see_all", Needs: models.ActCalibrate, At: "gauge"}
			out.rows = append(out.rows, r)
			break
		}
		out.rows = append(out.rows, row(i, GaugeOverdue, Stuck))
	}
	for _, i := range due {
		out.rows = append(out.rows, row(i, GaugeDue, Due))
	}
	if len(overdue) == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_overdue")}
	}
	return out, nil
}

// spare names another gauge of the same kind at the same place that is in date.
func spare(all []models.Instrument, of models.Instrument, day string) []models.Remark {
	for _, i := range all {
		if i.ID != of.ID && i.Kind == of.Kind && i.Place == of.Place && i.State == models.InstrumentInUse && i.DueOn > of.DueOn && !i.OverdueOn(day) {
			return []models.Remark{models.NewRemark("attention_gauge_spare", "instrument", i.Code)}
		}
	}
	return nil
}

// checks are the short checks of gauges: a failed one a row each, those due today
// one.
func (s *Service) checks(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActRecord}
	if s.from.Checks == nil {
		return out, nil
	}
	list, err := s.from.Checks(ctx)
	if err != nil {
		return out, err
	}
	var due []models.Instrument
	for _, c := range list {
		if !c.Failed {
			due = append(due, c.Instrument)
			continue
		}
		out.rows = append(out.rows, Row{Kind: CheckFailed, Level: Stuck, Count: 1, Do: Deed{Code: "open_gauge", Needs: models.ActRecord, At: "check", Named: c.Instrument.Code},
			Says: models.NewRemark("attention_check_failed", "instrument_kind", c.Instrument.Kind, "instrument", c.Instrument.Code), Lines: []models.Remark{models.NewRemark("attention_check_failed_line")}})
	}
	if len(due) == 0 {
		return out, nil
	}
	row := Row{Kind: CheckDue, Level: Due, By: at.day, Count: len(due), Do: Deed{Code: "see_all", Needs: models.ActRecord, At: "gauge"}, Says: models.NewRemark("attention_check_due_many", "count", strconv.Itoa(len(due)))}
	if len(due) == 1 {
		row.Says, row.Do = models.NewRemark("attention_check_due_one", "instrument_kind", due[0].Kind, "instrument", due[0].Code), Deed{Code: "open_gauge", Needs: models.ActRecord, At: "check", Named: due[0].Code}
	}
	for _, i := range due[:min(len(due), namedInLine)] {
		if len(due) > 1 {
			row.Lines = append(row.Lines, models.NewRemark("attention_instrument", "instrument", i.Code))
		}
	}
	out.rows = append(out.rows, row)
	return out, nil
}

// shelf is what is to be charged within a week.
func (s *Service) shelf(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActRecord}
	if s.from.Shelf == nil {
		return out, nil
	}
	look, err := s.from.Shelf(ctx)
	if err != nil {
		return out, err
	}
	if look.Count == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_charge")}
		return out, nil
	}
	row := Row{Kind: Charge, Level: Due, Count: look.Count, By: look.Due.Format(time.DateOnly), Do: Deed{Code: "plan_charger", Needs: models.ActRecord, At: "shelf"},
		Says: models.NewRemark(plural("attention_charge", look.Count), "count", strconv.Itoa(look.Count), "serial", look.First), Lines: []models.Remark{models.NewRemark("attention_charge_first", "due", look.Due.Format(time.DateOnly))}}
	if look.Late > 0 {
		row.Level, row.Since, row.By = Stuck, time.Date(look.Due.Year(), look.Due.Month(), look.Due.Day(), 0, 0, 0, 0, at.zone), ""
		row.Lines = []models.Remark{models.NewRemark(plural("attention_charge_late", look.Count), "k", strconv.Itoa(look.Late), "n", strconv.Itoa(look.Count))}
	}
	out.rows = []Row{row}
	return out, nil
}

// certificates are wheels and packs that passed and have none.
func (s *Service) certificates(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActRelease}
	list, err := s.store.Uncertified(ctx, mostUncertified)
	if err != nil {
		return out, err
	}
	if len(list) == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_certificate")}
		return out, nil
	}
	oldest := list[0]
	for _, u := range list {
		if u.MadeAt.Before(oldest.MadeAt) || u.MadeAt.Equal(oldest.MadeAt) && u.ItemID < oldest.ItemID {
			oldest = u
		}
	}
	n := len(list)
	row := Row{Kind: Certificate, Level: Due, Count: n, Since: oldest.MadeAt, Do: Deed{Code: "see_waiting", Needs: models.ActRelease, At: "in_work"},
		Says: models.NewRemark(plural("attention_certificate", n), "count", strconv.Itoa(n), "serial", oldest.Serial, "item_kind", oldest.Kind), Lines: []models.Remark{models.NewRemark("attention_certificate_oldest", "serial", oldest.Serial, "date", at.dayOf(oldest.MadeAt))}}
	switch n {
	case 1:
		row.Do.Code, row.Do.At, row.Do.Named = "sign", "release", oldest.Serial
		row.Lines = []models.Remark{models.NewRemark("attention_certificate_made", "date", at.dayOf(oldest.MadeAt))}
	case mostUncertified:
		row.Says.Code = "attention_certificate_most"
	}
	out.rows = []Row{row}
	return out, nil
}

// lateBackup is how old the newest copy of the database may be.
const lateBackup = 48 * time.Hour

// backups says how old the newest copy of the database is. Where the program keeps
// none it says how a person makes one, and where they lie in the clear that they do: a
// line, and no alarm, for nothing has failed.
func (s *Service) backups(ctx context.Context, at moment) (found, error) {
	out := found{needs: models.ActManagePeople}
	if s.from.Backup == nil {
		return out, nil
	}
	b, err := s.from.Backup(ctx)
	switch {
	case err != nil:
		return out, err
	case len(b.Trouble) > 0:
		row := Row{Kind: Backup, Level: Stuck, Count: 1, Since: b.LastGood, Says: b.Trouble[0], Lines: b.Trouble[1:], Do: Deed{Code: "see_backups", Needs: models.ActManagePeople, At: "backup"}}
		out.rows = []Row{row}
	case !b.Kept:
		out.notes = []models.Remark{models.NewRemark("attention_backup_" + b.Dialect)}
	case b.LastGood.IsZero() || at.now.Sub(b.LastGood) > lateBackup:
		row := Row{Kind: Backup, Level: Stuck, Count: 1, Since: b.LastGood, Says: models.NewRemark("attention_backup_late"), Do: Deed{Code: "see_backups", Needs: models.ActManagePeople, At: "backup"}}
		if b.LastGood.IsZero() {
			row.Says = models.NewRemark("attention_backup_never")
		}
		out.rows = []Row{row}
	default:
		out.fine = []models.Remark{models.NewRemark("attention_backup_good", "date", at.dayOf(b.LastGood))}
	}
	if b.Clear != nil {
		out.notes = append(out.notes, *b.Clear)
	}
	return out, nil
}
