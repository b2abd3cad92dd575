package attention

import (
	"cmp"
	"context"
	"fmt"
	"runtime/debug"
	"slices"
	"strconv"
	"sync"
	"time"

	"tracewright/models"
)

// Store is what this package reads itself: open records through their indexes.
type Store interface {
	Instruments(ctx context.Context) ([]models.Instrument, error)
	Settings(ctx context.Context) (map[string]string, error)
	Defects(ctx context.Context) (models.Defects, error)
	ItemsByID(ctx context.Context, ids []string) ([]models.Item, error)
	Family(ctx context.Context, id string) (models.Family, error)
	// HoldsWaiting lists open holds that a person lifts and no open recall, claim or
	// nonconformity tells of, the oldest first.
	HoldsWaiting(ctx context.Context) ([]models.HeldItem, error)
	CountOpenHolds(ctx context.Context) (int, error)
	Uncertified(ctx context.Context, limit int) ([]models.Uncertified, error)
	// UnansweredClaims lists claims about which nobody has decided, the oldest first.
	UnansweredClaims(ctx context.Context, limit int) ([]models.Claim, error)
	UnplacedWaiting(ctx context.Context) (n int, since time.Time, err error)
	// OpenNonconformities lists those that are not closed, the oldest first.
	OpenNonconformities(ctx context.Context) ([]models.NonconformityView, error)
	OpenCorrectiveActions(ctx context.Context) ([]models.CorrectiveActionView, error)
}

// Sources are what other services have worked out. One that is nil has nothing.
type Sources struct {
	Signals func(context.Context) ([]models.ChartSignal, error) // without a cause
	Recalls func(context.Context) ([]OpenRecall, error)
	Traces  func(context.Context) ([]Traced, error)
	Checks  func(context.Context) ([]Checked, error)
	Shelf   func(context.Context) (Shelf, error)
	Lots    func(context.Context) ([]LotAsked, error)
	Seals   func() []models.Remark
	Backup  func(context.Context) (models.Backup, error)
	Keys    func(context.Context) ([]DoubtedKey, error)
	Kept    func(context.Context) (KeptLong, error)
}

// DoubtedKey is a tablet whose key seems to be in two places.
type DoubtedKey struct {
	Device, Place string
	Says          []models.Remark // what was noticed
	Since         time.Time
}

// KeptLong is how many customers are kept longer than the shop wants; there may be
// more where all that were looked for were found.
type KeptLong struct {
	Count  int
	More   bool
	Months int // without dealings, as the shop says; 0: it has no rule
}

// OpenRecall is a recall that has not ended, and how far it has come.
type OpenRecall struct {
	Number, About              string
	MadeAt                     time.Time
	Called, Notified, Answered int
}

// Traced is a gauge that was found out of tolerance, with what nobody has decided
// about.
type Traced struct {
	Instrument                      models.Instrument
	TraceID                         string
	Cause                           string
	At                              time.Time
	Judged, NoLonger, Here, Shipped int
}

// Checked is a gauge whose short check failed, or is due.
type Checked struct {
	Instrument models.Instrument
	Failed     bool
}

// Shelf is what is to be charged within a week.
type Shelf struct {
	Count, Late int
	First       string // serial or maker's number of what is due first
	Due         time.Time
}

// LotAsked is a lot that waits for somebody.
type LotAsked struct {
	Code   string
	Kind   string // quarantine, beyond, count, doubt, look
	Pieces int
	Of     int // of a look: so many pieces, 0 where nobody knows
	Since  time.Time
}

// Service gathers what needs somebody.
type Service struct {
	store Store
	from  Sources
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New returns the service; now is the clock, zone the shop's.
func New(store Store, from Sources, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, from: from, now: now, zone: zone}
}

// Everybody is the actor for whom nothing is left out, of the review.
var Everybody = models.Actor{Role: models.Owner}

const (
	larger    = 12 // rows above which the merely due fold
	eachShown = 3  // rows of one kind before the rest share one
)

// List gathers what the person may do something about.
func (s *Service) List(ctx context.Context, actor models.Actor) (List, error) {
	return s.gather(ctx, actor, s.seals, s.recalls, s.nonconformities, s.rechecksAndHolds, s.traces, s.signals, s.claims, s.lots, s.unplaced, s.correctives, s.gauges, s.checks, s.shelf, s.certificates, s.backups, s.keys, s.kept)
}

// RecallsAndTraces are the rows of that list about recalls and about gauges that were
// found out of tolerance: what may be worst, and no open record of an item tells.
func (s *Service) RecallsAndTraces(ctx context.Context, actor models.Actor) ([]Row, error) {
	list, err := s.gather(ctx, actor, s.recalls, s.traces)
	return list.Rows, err
}

// part is one kind of thing that may need somebody.
type part func(context.Context, moment) (found, error)

// gather asks the parts, worst first. They know nothing of each other, and most of
// their time is the database's.
func (s *Service) gather(ctx context.Context, actor models.Actor, parts ...part) (List, error) {
	at := moment{now: s.now()}
	at.zone = s.zone(ctx)
	at.day = at.now.In(at.zone).Format(time.DateOnly)
	all, errs := make([]found, len(parts)), make([]error, len(parts))
	var wait sync.WaitGroup
	for i, part := range parts {
		wait.Go(func() {
			// Nobody above this goroutine would catch a panic, and it would end the program.
			defer func() {
				if cause := recover(); cause != nil {
					errs[i] = fmt.Errorf("panic: %v\n%s", cause, debug.Stack())
				}
			}()
			all[i], errs[i] = part(ctx, at)
		})
	}
	wait.Wait()
	list := List{At: at.now}
	for i, f := range all {
		if errs[i] != nil {
			return List{}, fmt.Errorf("what needs attention: %w", errs[i])
		}
		for _, row := range f.rows {
			if actor.May(row.Do.Needs) {
				list.Rows = append(list.Rows, row)
			} else {
				list.Others += row.Count
			}
		}
		for _, fine := range f.fine {
			if actor.May(f.needs) {
				list.Fine = append(list.Fine, fine)
			}
		}
		if actor.May(f.needs) {
			list.Notes = append(list.Notes, f.notes...)
		}
	}
	slices.SortStableFunc(list.Rows, worstFirst)
	if len(list.Rows) > larger {
		list.Rows = folded(list.Rows)
	}
	list.Title = title(list)
	return list, nil
}

// found is what one part of the list gives: its rows, or that there is nothing.
type found struct {
	rows  []Row
	fine  []models.Remark
	notes []models.Remark
	needs models.Act // of fine and notes
}

type moment struct {
	now  time.Time
	zone *time.Location
	day  string // today in the shop
}

// days is how many whole days of the shop's calendar have passed since a moment.
func (m moment) days(since time.Time) int {
	from, _ := time.Parse(time.DateOnly, since.In(m.zone).Format(time.DateOnly))
	to, _ := time.Parse(time.DateOnly, m.day)
	return int(to.Sub(from).Hours() / 24)
}

func (m moment) dayOf(t time.Time) string { return t.In(m.zone).Format(time.DateOnly) }

// worstFirst orders by level, then what is due by its day, the rest by age.
func worstFirst(a, b Row) int {
	if c := cmp.Compare(a.Level, b.Level); c != 0 {
		return c
	}
	if a.Level == Due {
		return cmp.Compare(cmp.Or(a.By, "~"), cmp.Or(b.By, "~")) // "~" sorts after every day.
	}
	switch {
	case a.Since.IsZero() || b.Since.IsZero():
		return cmp.Compare(zero(a.Since), zero(b.Since))
	default:
		return a.Since.Compare(b.Since)
	}
}

func zero(t time.Time) int {
	if t.IsZero() {
		return 1
	}
	return 0
}

// folded puts the merely due of one kind into one row.
func folded(rows []Row) []Row {
	var out []Row
	at := map[string]int{}
	for _, r := range rows {
		first, seen := at[r.Kind]
		if r.Level != Due || !seen {
			if r.Level == Due {
				at[r.Kind] = len(out)
			}
			out = append(out, r)
			continue
		}
		f := &out[first]
		f.Count += r.Count
		f.Says = models.NewRemark("attention_"+r.Kind+"_many", "count", strconv.Itoa(f.Count))
		f.Lines = nil
		f.Do.Named, f.Do.Under, f.Do.Query, f.Do.At, f.Do.Code = "", "", nil, listOf[r.Kind], "see_all"
	}
	return out
}

// listOf is where all of a kind that folds are listed.
var listOf = map[string]string{GaugeDue: "gauge", Claim: "claim", Lot: "lot", Certificate: "in_work", Charge: "shelf", CheckDue: "gauge", Corrective: "corrective_action"}

// title counts the things, not the rows: many of a kind share one.
func title(l List) models.Remark {
	n, worst := 0, 0
	for _, r := range l.Rows {
		n += r.Count
		if r.Level <= Left {
			worst += r.Count
		}
	}
	late := slices.ContainsFunc(l.Rows, func(r Row) bool { return r.Level < Due })
	code := "attention_title_none"
	switch {
	case n == 0:
	case !late:
		code, worst = plural("attention_title_due", n), n
	case worst == 0:
		code = plural("attention_title", n)
	case worst == n:
		code = plural("attention_title_now", n)
	case worst == 1:
		code = "attention_title_one_cannot"
	default:
		code = "attention_title_some_cannot"
	}
	return models.NewRemark(code, "tally", strconv.Itoa(n), "also", strconv.Itoa(worst))
}

// plural is the code for one, or for many, of something.
func plural(code string, n int) string {
	if n == 1 {
		return code + "_one"
	}
	return code + "_many"
}
