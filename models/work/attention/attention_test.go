package attention_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/attention"
)

// now is a Wednesday, noon.
var now = time.Date(2031, 5, 14, 12, 0, 0, 0, time.UTC)

func ago(days int) time.Time { return now.AddDate(0, 0, -days) }

// shop is a store with what a test puts into it.
type shop struct {
	instruments     []models.Instrument
	holds           []models.HeldItem
	uncertified     []models.Uncertified
	claims          []models.Claim
	unplaced        int
	told            int // open holds that a recall, a claim or a nonconformity tells of
	nonconformities []models.NonconformityView
	settings        map[string]string
	wrong           error
}

func (s *shop) Instruments(context.Context) ([]models.Instrument, error) { return s.instruments, nil }
func (s *shop) Settings(context.Context) (map[string]string, error)      { return s.settings, nil }
func (s *shop) Defects(context.Context) (models.Defects, error)          { return models.NewDefects(nil), nil }
func (s *shop) Family(context.Context, string) (models.Family, error) {
	return models.Family{Name: "Rear wheels"}, nil
}
func (s *shop) ItemsByID(context.Context, []string) ([]models.Item, error) { return nil, nil }
func (s *shop) HoldsWaiting(context.Context) ([]models.HeldItem, error)    { return s.holds, s.wrong }
func (s *shop) CountOpenHolds(context.Context) (int, error)                { return len(s.holds) + s.told, nil }
func (s *shop) Uncertified(context.Context, int) ([]models.Uncertified, error) {
	return s.uncertified, nil
}
func (s *shop) UnansweredClaims(context.Context, int) ([]models.Claim, error) { return s.claims, nil }
func (s *shop) UnplacedWaiting(context.Context) (int, time.Time, error) {
	return s.unplaced, ago(1), nil
}
func (s *shop) OpenNonconformities(context.Context) ([]models.NonconformityView, error) {
	return s.nonconformities, nil
}
func (s *shop) OpenCorrectiveActions(context.Context) ([]models.CorrectiveActionView, error) {
	return nil, nil
}

func listed(t *testing.T, s *shop, from attention.Sources, role models.Role) attention.List {
	t.Helper()
	list, err := attention.New(s, from, func() time.Time { return now }, func(context.Context) *time.Location { return time.UTC }).List(t.Context(), models.Actor{Role: role})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func kinds(l attention.List) string {
	var out []string
	for _, r := range l.Rows {
		out = append(out, r.Kind)
	}
	return strings.Join(out, " ")
}

func hold(id string, days int) models.HeldItem {
	item := "item " + id
	return models.HeldItem{Hold: models.Hold{ID: id, ItemID: &item, Code: "W13", RaisedAt: ago(days)}, Kind: models.KindWheel, Serial: "W31000" + id, State: models.StateHeld}
}

// busy is a shop with one thing of most kinds.
func busy() (*shop, attention.Sources) {
	away := hold("000", 3)
	away.Code, away.State = models.RecheckFailed, models.StateShipped
	s := &shop{holds: []models.HeldItem{hold("019", 20), away}, unplaced: 2, claims: []models.Claim{{Number: "CL31-00001", OpenedAt: ago(10)}},
		uncertified:     []models.Uncertified{{ItemID: "i", Serial: "W31000100", Kind: models.KindWheel, MadeAt: ago(1)}},
		nonconformities: []models.NonconformityView{{Nonconformity: models.Nonconformity{Number: "NC31-00002", Code: "W14", Severity: models.Critical, OpenedAt: ago(2)}}},
		instruments:     []models.Instrument{{ID: "a", Code: "D-1", Kind: "dial", State: models.InstrumentInUse, DueOn: "2031-05-13"}, {ID: "b", Code: "D-2", Kind: "dial", State: models.InstrumentInUse, DueOn: "2031-05-28"}, {ID: "c", Code: "D-3", Kind: "dial", State: models.InstrumentInUse, DueOn: "2031-05-29"}, {ID: "d", Code: "D-4", State: models.InstrumentOut, DueOn: "2030-01-01"}}}
	return s, attention.Sources{
		Recalls: func(context.Context) ([]attention.OpenRecall, error) {
			return []attention.OpenRecall{{Number: "R31-00001", About: "SP-1", MadeAt: ago(4), Called: 12, Notified: 9, Answered: 5}}, nil
		},
		Signals: func(context.Context) ([]models.ChartSignal, error) {
			return []models.ChartSignal{{ChartKey: models.ChartKey{FamilyID: "f", Place: "stand 2", Result: "lateral_tir"}, Rule: "beyond_limit", Since: ago(5), MeasuredAt: ago(5)}}, nil
		},
		Traces: func(context.Context) ([]attention.Traced, error) {
			return []attention.Traced{{Instrument: models.Instrument{Code: "T-1", Kind: "tension_gauge"}, TraceID: "t", Cause: models.CauseCalibration, At: ago(6), Judged: 61, NoLonger: 3, Here: 1, Shipped: 2}}, nil
		},
		Shelf: func(context.Context) (attention.Shelf, error) {
			return attention.Shelf{Count: 4, First: "P31000001", Due: now.AddDate(0, 0, 2)}, nil
		},
		Backup: func(context.Context) (models.Backup, error) { return models.Backup{Dialect: "sqlite"}, nil },
	}
}

// Safety first: the recall is older than the nonconformity. Then what has left the
// shop, by age: the claim of ten days, the gauge with wheels shipped of six, the
// recheck of three. Then what is stuck here, by age: the hold of 20 days, the signal
// of five, the gauge since yesterday, the inspections since yesterday noon. Then what is due, by
// its day: a certificate has none.
func TestWorstFirst(t *testing.T) {
	s, from := busy()
	list := listed(t, s, from, models.Owner)
	if got, want := kinds(list), "recall nonconformity claim gauge_failed recheck hold signal gauge_overdue unplaced charge gauge_due certificate"; got != want {
		t.Errorf("the order is\n%s, want\n%s", got, want)
	}
	// The title counts things: besides the others, three items of the gauge, two
	// inspections and four to be charged make 18; of the first two levels are seven.
	if list.Title.Code != "attention_title_some_cannot" || list.Title.Values["tally"] != "18" || list.Title.Values["also"] != "7" {
		t.Errorf("title %+v", list.Title)
	}
	if len(list.Notes) != 1 || list.Notes[0].Code != "attention_backup_sqlite" {
		t.Errorf("notes %+v, want how to copy the database, and no alarm", list.Notes)
	}
}

// Each row leads to one act that its person may do; what others must do is counted.
func TestFilteredByWhatThePersonMayDo(t *testing.T) {
	s, from := busy()
	things := func(l attention.List) (n int) {
		for _, r := range l.Rows {
			n += r.Count
		}
		return n
	}
	whole := listed(t, s, from, models.Owner)
	for role, want := range map[models.Role]string{
		models.Operator: "signal charge certificate",
		models.Desk:     "recall claim",
	} {
		list := listed(t, s, from, role)
		if kinds(list) != want || things(list)+list.Others != things(whole) {
			t.Errorf("%s has %s and %d others, want %s", role, kinds(list), list.Others, want)
		}
		for _, r := range list.Rows {
			if !models.Permitted(role, r.Do.Needs) || r.Do.Code == "" || r.Do.At == "" {
				t.Errorf("%s is led to %+v", role, r.Do)
			}
		}
		if len(list.Notes) != 0 {
			t.Errorf("%s is told how to copy the database", role)
		}
	}
}

// They are the rows of the whole list, in its order, and for whom the list has them.
func TestRecallsAndTracesAreThoseOfTheList(t *testing.T) {
	s, from := busy()
	service := attention.New(s, from, func() time.Time { return now }, func(context.Context) *time.Location { return time.UTC })
	for role, want := range map[models.Role]string{models.Owner: "recall gauge_failed", models.Desk: "recall", models.Operator: ""} {
		rows, err := service.RecallsAndTraces(t.Context(), models.Actor{PersonID: "p", Role: role})
		if got := kinds(attention.List{Rows: rows}); err != nil || got != want {
			t.Errorf("%s has %q, %v; want %q", role, got, err, want)
		}
	}
}

// The thirteenth row folds the gauges that are merely due; what is late stays a row
// each.
func TestMoreThanTwelveRowsFoldTheMerelyDue(t *testing.T) {
	s, from := busy()
	s.instruments = append(s.instruments, models.Instrument{ID: "e", Code: "D-5", Kind: "dial", State: models.InstrumentInUse, DueOn: "2031-05-20"})
	list := listed(t, s, from, models.Owner)
	at := slices.IndexFunc(list.Rows, func(r attention.Row) bool { return r.Kind == attention.GaugeDue })
	row := list.Rows[at]
	if len(list.Rows) != 12 || row.Says.Code != "attention_gauge_due_many" || row.Says.Values["count"] != "2" || row.Count != 2 || row.By != "2031-05-20" || row.Do.At != "gauge" || row.Do.Named != "" {
		t.Errorf("%d rows, and the gauges that are due are %+v", len(list.Rows), row)
	}
}

func TestNothingNeedsYou(t *testing.T) {
	list := listed(t, &shop{}, attention.Sources{Recalls: func(context.Context) ([]attention.OpenRecall, error) { return nil, nil }}, models.Owner)
	if list.Title.Code != "attention_title_none" || len(list.Rows) != 0 || list.Others != 0 {
		t.Errorf("%+v", list)
	}
	var fine []string
	for _, f := range list.Fine {
		fine = append(fine, f.Code)
	}
	for _, want := range []string{"attention_no_recall", "attention_no_hold", "attention_no_claim", "attention_no_overdue"} {
		if !slices.Contains(fine, want) {
			t.Errorf("fine is %v, without %s", fine, want)
		}
	}
}

// Nothing is on hold only while no hold is open: one that a recall tells of is on hold
// all the same.
func TestAHoldOfARecallIsNotNothing(t *testing.T) {
	for held, want := range map[int]bool{0: true, 1: false} {
		list := listed(t, &shop{told: held}, attention.Sources{}, models.Owner)
		if got := slices.ContainsFunc(list.Fine, func(f models.Remark) bool { return f.Code == "attention_no_hold" }); got != want {
			t.Errorf("with %d held for a recall, nothing on hold is %v", held, got)
		}
	}
}

// A gauge on its day is due and not late; 14 days ahead is announced, 15 is not.
// Holds are long from the fifteenth day on.
func TestBoundaries(t *testing.T) {
	gauge := func(day string) *shop {
		return &shop{instruments: []models.Instrument{{ID: "a", Code: "D-1", State: models.InstrumentInUse, DueOn: day}}}
	}
	for day, want := range map[string]string{"2031-05-13": "gauge_overdue", "2031-05-14": "gauge_due", "2031-05-28": "gauge_due", "2031-05-29": ""} {
		if got := kinds(listed(t, gauge(day), attention.Sources{}, models.Owner)); got != want {
			t.Errorf("due on %s: %q, want %q", day, got, want)
		}
	}
	for days, want := range map[int]string{14: "attention_hold_many", 15: "attention_hold_long"} {
		list := listed(t, &shop{holds: []models.HeldItem{hold("019", days), hold("027", 1)}}, attention.Sources{}, models.Owner)
		if got := list.Rows[0].Says.Code; got != want {
			t.Errorf("on hold for %d days: %s, want %s", days, got, want)
		}
	}
}

// Worked by hand on the calendar of May 2031: the 14th is a Wednesday. Five working
// days after Wednesday the 7th are the 8th, 9th, 12th, 13th and 14th: in time still on
// the 14th. After Tuesday the 6th they end on the 13th. After Saturday the 3rd they are
// the 5th to the 9th.
func TestAClaimIsLateAfterThePromisedWorkingDays(t *testing.T) {
	for _, c := range []struct {
		day, days string
		level     attention.Level
		due       string
	}{
		{"2031-05-07", "", attention.Due, "2031-05-14"}, {"2031-05-06", "", attention.Left, "2031-05-13"}, {"2031-05-03", "", attention.Left, "2031-05-09"},
		{"2031-05-03", "10", attention.Due, "2031-05-16"}, {"2031-05-13", "1", attention.Due, "2031-05-14"}, {"2031-05-12", "1", attention.Left, "2031-05-13"},
	} {
		opened, err := time.Parse(time.DateOnly, c.day)
		if err != nil {
			t.Fatal(err)
		}
		s := &shop{claims: []models.Claim{{Number: "CL31-00001", OpenedAt: opened.Add(17 * time.Hour)}}, settings: map[string]string{models.SettingClaimDays: c.days}}
		row := listed(t, s, attention.Sources{}, models.Owner).Rows[0]
		due := row.By
		if row.Level == attention.Left {
			due = row.Lines[0].Values["due"]
		}
		if row.Level != c.level || due != c.due {
			t.Errorf("opened on %s with %q days: level %s, promised by %s; want %s by %s", c.day, c.days, row.Level.Code(), due, c.level.Code(), c.due)
		}
	}
}

// A kind of which there is much has three rows and one for the rest.
func TestMuchOfAKindSharesARow(t *testing.T) {
	s := &shop{}
	for i := range 9 {
		s.claims = append(s.claims, models.Claim{Number: fmt.Sprint("CL31-0000", i), OpenedAt: ago(30)})
	}
	list := listed(t, s, attention.Sources{}, models.Owner)
	if len(list.Rows) != 4 || list.Rows[3].Count != 6 || list.Rows[3].Says.Code != "attention_claim_late_many" {
		t.Errorf("%d rows, the last %+v", len(list.Rows), list.Rows[len(list.Rows)-1])
	}
}

// Letting a lot out of quarantine is not for everybody who looks after lots: those wait
// for somebody else, and share a row of their own.
func TestQuarantineWaitsForWhoDecidesAboutIt(t *testing.T) {
	var list []attention.LotAsked
	for i, kind := range []string{"quarantine", "quarantine", "quarantine", "quarantine", "quarantine", "beyond", "count"} {
		list = append(list, attention.LotAsked{Code: fmt.Sprint("SP-", i), Kind: kind, Pieces: 1, Since: ago(9 - i)})
	}
	from := attention.Sources{Lots: func(context.Context) ([]attention.LotAsked, error) { return list, nil }}
	for role, want := range map[models.Role]string{
		models.Operator:  "attention_lot_beyond_one attention_lot_count_more",
		models.Inspector: "attention_lot_quarantine attention_lot_quarantine attention_lot_quarantine attention_lot_beyond_one attention_lot_count_more attention_lot_quarantine_many",
		models.Desk:      "",
	} {
		var got []string
		for _, r := range listed(t, &shop{}, from, role).Rows {
			got = append(got, r.Says.Code)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s has %v, want %s", role, got, want)
		}
	}
}

// What touches safety shares a row where there is much of it, and stays what cannot
// wait: by all that was found, not only by what it was opened for. So does what left the
// shop and failed a recheck.
func TestMuchThatCannotWaitStaysSo(t *testing.T) {
	s := &shop{}
	for i := range 6 {
		n := models.NonconformityView{Nonconformity: models.Nonconformity{Number: fmt.Sprint("NC31-0000", i), Code: "W08", Severity: models.Critical, OpenedAt: ago(30 - i)}}
		if i == 4 { // It was opened for a minor thing; a broken spoke was found since.
			n.Code, n.Severity = "W14", models.Minor
			n.Steps = []models.NonconformityStep{{MadeAt: ago(1), Found: []models.FoundDefect{{Code: "W08"}}}}
		}
		s.nonconformities = append(s.nonconformities, n)
		away := hold(fmt.Sprint("00", i), 20-i)
		away.Code, away.State = models.RecheckFailed, models.StateShipped
		s.holds = append(s.holds, away)
	}
	s.nonconformities = append(s.nonconformities, models.NonconformityView{Nonconformity: models.Nonconformity{Number: "NC31-00009", Code: "W14", Severity: models.Minor, OpenedAt: ago(1)}})
	list := listed(t, s, attention.Sources{}, models.Owner)
	var got []string
	for _, r := range list.Rows {
		got = append(got, fmt.Sprintf("%s %s %d", r.Level.Code(), r.Says.Code, r.Count))
	}
	want := []string{"safety attention_critical 1", "safety attention_critical 1", "safety attention_critical 1", "safety attention_critical_many 3",
		"left_the_shop attention_recheck 1", "left_the_shop attention_recheck 1", "left_the_shop attention_recheck 1", "left_the_shop attention_recheck_many 3", "stuck attention_nonconformity_one 1"}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	for i, since := range map[int]time.Time{3: ago(27), 7: ago(17)} {
		if r := list.Rows[i]; !r.Since.Equal(since) || r.Do.Code != "see_all" || r.Do.Named != "" {
			t.Errorf("the rest is %+v, want it since %s and all to be seen", r, since)
		}
	}
}

// The signals come with the newest point first; those that share a row have waited
// since the first of them began, which is neither the first nor the last in the list.
func TestTheRestOfTheSignalsWaitSinceTheFirstOfThem(t *testing.T) {
	from := attention.Sources{Signals: func(context.Context) ([]models.ChartSignal, error) {
		var list []models.ChartSignal
		for _, days := range []int{1, 2, 3, 4, 90, 20} {
			list = append(list, models.ChartSignal{ChartKey: models.ChartKey{FamilyID: "f", Result: "lateral_tir"}, Since: ago(days)})
		}
		return list, nil
	}}
	for _, r := range listed(t, &shop{}, from, models.Owner).Rows {
		if r.Says.Code == "attention_signal_many" {
			if r.Count != 3 || !r.Since.Equal(ago(90)) {
				t.Errorf("%d since %s, want 3 since %s", r.Count, r.Since, ago(90))
			}
			return
		}
	}
	t.Error("no row of the rest")
}

func TestWhatCannotBeReadIsNoShortList(t *testing.T) {
	s := &shop{wrong: errors.New("the disk is gone")}
	if _, err := attention.New(s, attention.Sources{}, time.Now, func(context.Context) *time.Location { return time.UTC }).List(t.Context(), models.Actor{Role: models.Owner}); err == nil {
		t.Error("a list without its holds was given as if there were none")
	}
}

// The parts run beside whoever asked, where a panic would end the program: it is an
// error instead.
func TestAPartThatPanicsIsAnError(t *testing.T) {
	from := attention.Sources{Signals: func(context.Context) ([]models.ChartSignal, error) { panic("no rows") }}
	_, err := attention.New(&shop{}, from, time.Now, func(context.Context) *time.Location { return time.UTC }).List(t.Context(), models.Actor{Role: models.Owner})
	if err == nil || !strings.Contains(err.Error(), "no rows") {
		t.Errorf("got %v, want the panic as an error", err)
	}
}
