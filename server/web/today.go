package web

import (
	"context"
	"slices"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
	"tracewright/models/work/receive"
	"tracewright/models/work/stock"
)

// TodayPage answers what needs somebody now: its title counts it, its list
// has the worst first. Below stand the work that was begun and the last
// inspections.
type TodayPage struct {
	Frame
	Moment string // "Monday 24 May 2027, 07:40"
	Answer string
	Rows   []TodayRow
	Rest   []TodayRow // those behind, which a narrow page folds
	Calm   string     // what is fine
	Drafts []DraftRow
	Day    string // the day so far, in a sentence
	Recent []RecentRow
	Steps  []Step // of a shop that has not begun yet
}

// Step is one of the first things a new shop does.
type Step struct {
	Act  Act
	Says string
	Done bool
}

// TodayRow is one thing that needs somebody.
type TodayRow struct {
	Mark  Mark
	Title []Span
	Line  string
	// Evidence is the line in stretches, where it names things.
	Evidence []Span
	Since    string
	Act      Act
	Larger   bool
}

// Span is a stretch of a sentence; a serial, lot or code is set in mono.
type Span struct {
	Text string
	Mono bool
	Path string // a link when it is not empty
}

// Act is what can be done: a link, drawn as a button.
type Act struct {
	Text, Path string
	First      bool   // the page's one filled button
	Bars       bool   // a hold
	WhyNot     string // it cannot be done now, and why
	Prints     bool   // a form that counts a print and opens its paper beside the page
}

// DraftRow is an inspection that was begun and not finished.
type DraftRow struct {
	ID, Serial, What, Person, Saved string
	Continue                        string // path of its stand or bench
	Mine                            bool
}

// RecentRow is one of the last inspections.
type RecentRow struct {
	Serial, Path, Product, Stage, Verdict, Person, Place, When string
}

func (s *site) today(c *gin.Context) error {
	ctx := c.Request.Context()
	today, err := s.services.Monitor.Today(ctx)
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	page := TodayPage{Frame: s.frame(c, "Today", "/"), Moment: s.now().Format("Monday 2 January 2006, 15:04")}
	lots, err := s.lotsInDoubt(ctx)
	if err != nil {
		return err
	}
	questions, err := s.services.Receive.Questions(ctx)
	if err != nil {
		return err
	}
	claims, unanswered, err := s.claimRows(ctx, page.Frame)
	if err != nil {
		return err
	}
	held := len(today.Holds) // Those that a nonconformity stands on leave the list, and not the hold.
	critical, nonconforming, open, err := s.nonconformingRows(ctx, &today, people)
	if err != nil {
		return err
	}
	today.Holds = heldOnce(today.Holds)
	failed, due, checks, err := s.checkRows(ctx)
	if err != nil {
		return err
	}
	backups, err := s.services.Backups.State(ctx)
	if err != nil {
		return err
	}
	backupRows := s.backupRows(page.Frame, backups)
	page.Rows = s.todayRows(page.Frame, today, slices.Concat(nonconforming, failed, claims), lots, questions, people)
	wide, err := s.services.Attention.RecallsAndTraces(ctx, page.Actor)
	if err != nil {
		return err
	}
	recalled := 0
	for _, r := range wide {
		critical, recalled = append(critical, s.attentionRow(r)), recalled+r.Count
	}
	keyRows := s.keyRows(page.Frame, backups, len(today.Recent) > 0)
	page.Rows = slices.Concat(critical, backupRows, page.Rows, due, keyRows)
	for i := range page.Rows {
		page.Rows[i].Larger, page.Rows[i].Act.First = i < 3, i == 0
	}
	page.Answer, page.Calm = todayAnswer(page.Rows, today, held, recalled+len(lots)+len(questions)+unanswered+open+checks+len(backupRows)+len(keyRows)+len(s.sealRows(page.Frame)))
	for _, d := range today.Drafts {
		page.Drafts = append(page.Drafts, DraftRow{ID: d.ID, Serial: words.Serial(d.Serial), What: words.Sentence(english.Kind(d.Kind)) + ", " + english.Stage(d.Stage),
			Person: name(people, d.PersonID), Saved: s.hour(d.UpdatedAt), Continue: recordPath(d.Kind) + "?draft=" + d.ID, Mine: d.PersonID == page.Actor.PersonID})
	}
	page.fold()
	page.Day = daySoFar(today.Counts)
	for _, r := range today.Recent {
		page.Recent = append(page.Recent, RecentRow{Serial: words.Serial(r.Serial), Path: itemPath(r.Serial, r.ItemID), Product: r.Product, Stage: english.Stage(r.Stage),
			Verdict: r.Verdict, Person: r.Person, Place: r.Place, When: s.hour(r.MeasuredAt)})
	}
	if len(page.Recent) == 0 && page.Actor.May(models.ActSpecify) {
		if page.Steps, err = s.firstSteps(ctx); err != nil {
			return err
		}
	}
	return show(c, "today", page)
}

// shownFirst is how many rows a narrow page shows unfolded.
const shownFirst = 5

// fold parts the list, where what is folded is worth a tap.
func (p *TodayPage) fold() {
	if len(p.Rows) > shownFirst+1 {
		p.Rows, p.Rest = p.Rows[:shownFirst], p.Rows[shownFirst:]
	}
}

// RestFrom is the number of the first row that is folded.
func (p TodayPage) RestFrom() int { return len(p.Rows) + 1 }

// people gives the names of everybody by their ids.
func (s *site) people(ctx context.Context) (map[string]string, error) {
	list, err := s.services.Access.People(ctx)
	if err != nil {
		return nil, err
	}
	return models.NamesOf(list), nil
}

// todayRows lists what needs somebody, worst first: a log that is not sealed as it
// should be, holds, others (nonconformities, corrective actions that are late, gauges whose
// check failed, claims without an answer), lots of blocks in doubt, lots that wait for a decision or do not add up, work that has no place,
// gauges past their day, gauges soon due.
func (s *site) todayRows(frame Frame, today monitor.Today, others []TodayRow, lots []stock.Doubted, questions []receive.Question, people map[string]string) []TodayRow {
	rows := s.sealRows(frame)
	rows = append(rows, s.holdRows(frame, today.Holds, people)...)
	rows = append(rows, others...)
	for _, d := range lots {
		rows = append(rows, s.doubtRow(d))
	}
	rows = append(rows, s.lotRows(frame, questions, people)...)
	if n := len(today.Unplaced); n > 0 {
		row := TodayRow{Mark: Mark{"triangle", "Unplaced", "care"}, Line: "Each is kept whole until someone says where it belongs.",
			Title: []Span{{Text: counted(n, "inspection has", "inspections have") + " no place yet"}}, Since: "since " + s.day(today.Unplaced[0].ReceivedAt)}
		row.Act = Act{Text: "Settle", Path: "/unplaced"}
		rows = append(rows, row)
	}
	for _, d := range today.Due {
		i := d.Instrument
		row := TodayRow{Title: []Span{{Text: words.Sentence(english.Instrument(i.Kind)) + " "}, {Text: i.Code, Mono: true}}, Act: Act{Text: "Open the gauge", Path: "/instruments/" + i.Code}}
		place := i.Place
		if place != "" {
			place += ". "
		}
		switch {
		case d.Overdue:
			row.Mark = Mark{"triangle", "Gauge", "care"}
			row.Title = append(row.Title, Span{Text: " was due for calibration on " + words.Date(i.DueOn)})
			row.Line = words.Sentence(place) + "Readings with it are kept, and flagged."
		default:
			row.Mark = Mark{"clock", "Gauge", "none"}
			row.Title = append(row.Title, Span{Text: " is due for calibration " + inDays(d.Days)})
			row.Line = words.Sentence(place) + "Due on " + words.Date(i.DueOn) + "."
		}
		rows = append(rows, row)
	}
	return rows
}

// todayAnswer is the title, and the sentence that says what is fine. What waits is told
// to everybody, and each thing counted; what needs one person is another list's question. Of the open holds, held in all, those are
// not in the list that a nonconformity stands on.
func todayAnswer(rows []TodayRow, today monitor.Today, held, others int) (answer, calm string) {
	urgent := 0
	for _, r := range rows {
		if r.Mark.Tone != "none" {
			urgent++
		}
	}
	// Holds, claims, lots and gauges to be checked share a row where there are many, and
	// inspections without a place always do; the title counts each.
	things := len(today.Holds) + others + len(today.Unplaced) + len(today.Due)
	switch {
	case things == 0:
		answer = "Nothing waits in the shop"
	case urgent == 0:
		answer = "Nothing is late; " + counting(things, "thing comes up", "things come up")
	default:
		answer = counted(things, "thing waits in the shop", "things wait in the shop")
	}
	var fine []string
	if held == 0 {
		fine = append(fine, "nothing on hold")
	}
	if len(today.Unplaced) == 0 {
		fine = append(fine, "no inspection without a place")
	}
	late := false
	for _, d := range today.Due {
		late = late || d.Overdue
	}
	if !late {
		fine = append(fine, "no gauge past its day")
	}
	if len(fine) > 0 {
		calm = words.Sentence(english.Join(fine)) + "."
		if len(rows) > 0 {
			calm = "Nothing else: " + english.Join(fine) + "."
		}
	}
	return answer, calm
}

// daySoFar says what the day brought: "14 inspections of wheels and 6 of packs; 17 of
// 20 passed." A wheel that was read three times is three of them.
func daySoFar(counts []models.DayCount) string {
	byKind, passed, all := map[string]int{}, 0, 0
	for _, d := range counts {
		byKind[d.Kind] += d.Count
		all += d.Count
		if d.Verdict == models.VerdictPass {
			passed += d.Count
		}
	}
	if all == 0 {
		return "No inspection yet today."
	}
	var parts []string
	for _, k := range []string{models.KindWheel, models.KindPack, models.KindBlock} {
		if n := byKind[k]; n > 0 {
			of := " of " + english.Kind(k) + "s"
			if n == 1 {
				of = " of a " + english.Kind(k)
			}
			if len(parts) == 0 {
				parts = append(parts, plural(n, "inspection", "inspections")+of)
			} else {
				parts = append(parts, words.Thousands(n)+of)
			}
		}
	}
	return "Today so far: " + english.Join(parts) + "; " + english.Of(passed, all) + " passed."
}
