package web

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/shelf"
)

// ShelfPage says what to charge today, and what stands there.
type ShelfPage struct {
	Frame
	Counts   string // "41 packs, 23 loose blocks", and the day
	Answer   string
	Next     string // what goes out first, and what must be done before
	All      string // label of the one action; empty when there is nothing
	Least    string // at which charge the line stands
	Groups   []ShelfGroup
	Whole    string // address of the whole shelf where a group is looked at by itself
	Cautions []string
	Assumed  string // what stands in for temperatures that are not known
}

// ShelfRow is one pack or loose block.
type ShelfRow struct {
	Mark           Mark
	Day            string
	Serial, Path   string
	Product        string
	Place, Warmth  string
	Percent        string // charge now; empty where it is not known
	Bar, Line      string // lengths in the drawing
	Ready          string
	Carriage       string // of lithium: what keeps it from going as it is
	Set, Why, Read string
	Out, Made      string
	ID             string // what Charge is sent for; empty where there is nothing to charge
	End            string // address of the form that ends its charge
}

func (s *site) shelf(c *gin.Context) error {
	look, err := s.services.Shelf.Look(c.Request.Context())
	if err != nil {
		return err
	}
	return show(c, "shelf", s.shelfPage(s.frame(c, "Shelf", "/shelf"), look, shelfAsk{c.Query("group"), pageFrom(c.Query("from"))}))
}

func (s *site) shelfPage(frame Frame, look shelf.Look, ask shelfAsk) ShelfPage {
	page := ShelfPage{Frame: frame, Least: "70 %", Answer: "Nothing to charge today", Counts: shelfCounts(look) + " · " + look.Day.Format("Monday 2 January")}
	for _, rows := range [][]*shelf.Row{look.Today, look.Soon, look.Later} {
		if len(rows) > 0 {
			page.Least = strconv.FormatFloat(rows[0].SoCMin, 'f', -1, 64) + "\u00a0%"
			break
		}
	}
	later := firstDue(look)
	switch n := len(look.Today); {
	case n > 0:
		page.Answer = "Charge " + spelled(n) + " " + packsOrBlocks(look.Today) + " today"
		if n > 1 {
			page.All = "Charge all " + spelled(n)
		}
	case later != nil:
		page.Answer += "; next on " + s.shortDay(later.Due, look.Day)
	}
	page.Next = s.nextOut(look)
	if look.Packs+look.Blocks > 0 {
		switch {
		case look.Assumed:
			page.Assumed = "No shelf’s temperature is known: 25\u00a0°C is assumed."
		case anyRow(look, func(r *shelf.Row) bool { return !r.TempKnown }):
			page.Assumed = "Where a place’s own temperature is not known, that of " + look.Warmest + ", the warmest, stands in."
		}
		page.Cautions = []string{"Charge now is an estimate from the last rested reading and the shelf’s temperature.", english.Caution("hydrogen"), english.Caution("short_circuit")}
		if anyRow(look, func(r *shelf.Row) bool { return r.AirMaxPct > 0 }) {
			page.Cautions = append(page.Cautions, english.Caution("lithium_not_as_charged"))
		}
		page.Cautions = append(page.Cautions, english.Caution("makers_data_first"))
	}
	page.Groups = s.shelfGroups(look, ask)
	if ask.Group != "" {
		page.Whole = "/shelf"
	}
	return page
}

func firstDue(look shelf.Look) *shelf.Row {
	for _, rows := range [][]*shelf.Row{look.Soon, look.Later} {
		if len(rows) > 0 {
			return rows[0]
		}
	}
	return nil
}

func anyRow(look shelf.Look, is func(*shelf.Row) bool) bool {
	return slices.ContainsFunc([][]*shelf.Row{look.Today, look.Soon, look.Waiting, look.Later}, func(rows []*shelf.Row) bool { return slices.ContainsFunc(rows, is) })
}

func packsOrBlocks(rows []*shelf.Row) string {
	blocks := 0
	for _, r := range rows {
		if r.Item.Kind == models.KindBlock {
			blocks++
		}
	}
	one, many := "pack", "packs"
	switch {
	case blocks == len(rows):
		one, many = "block", "blocks"
	case blocks > 0:
		return "packs and blocks"
	}
	if len(rows) == 1 {
		return one
	}
	return many
}

// nextOut says which pack goes first and what must be done before it may.
func (s *site) nextOut(look shelf.Look) string {
	r := look.Next
	if r == nil {
		return ""
	}
	says := "Next out is " + words.Serial(r.Item.Name()) + ", made " + dateNear(dayOf(r.Made.In(s.zone())), look.Day)
	rest := strconv.FormatFloat(r.Rest, 'f', -1, 64) + "\u00a0h"
	ready := s.services.Now().Add(time.Duration(r.Rest*float64(time.Hour)) + 12*time.Hour).In(s.zone())
	switch {
	case r.AirMaxPct > 0 && r.State == shelf.Discharged:
		return says + ": it was discharged; charge it to no more than its carrier takes, let it rest " + rest + " and read it."
	case r.AirMaxPct > 0 && (r.SoCPct == nil || *r.SoCPct > r.AirMaxPct):
		return says + ": it may not ship by air as charged; " + lowered(english.Caution("lithium_transport"))
	case r.State == shelf.Charging:
		return says + ": it is on the charger; let it rest " + rest + " then, and read it."
	case r.State == shelf.Resting:
		return says + ": it rests until " + s.minute(r.Opens) + "; read it then."
	case r.State == shelf.ToRead, r.State == shelf.NeverRead:
		return says + ": read it before it ships."
	case r.State == shelf.Discharged || r.TooLow || !r.Due.After(look.Day) && r.ReadyUntil.IsZero() || !r.ReadyUntil.IsZero() && r.ReadyUntil.Before(look.Day):
		return says + ": charge it first, let it rest " + rest + " and read it, then it may ship on " + ready.Format("Monday") + "."
	case !r.Due.After(look.Day): // for its health; by its voltage it may go
		return says + ": it may ship as it stands until " + s.shortDay(r.ReadyUntil, look.Day) + "; if it stays, charge it today."
	case !r.ReadyUntil.IsZero():
		return says + ": it may ship as it stands until " + s.shortDay(r.ReadyUntil, look.Day) + "."
	}
	return says + "."
}

// shortName is what a row calls an item whose product stands beside it: a block
// its number alone.
func shortName(i models.Item) string {
	if i.MakerNumber != nil {
		return *i.MakerNumber
	}
	return words.Serial(i.Name())
}

func (s *site) shelfRow(r *shelf.Row, today time.Time, care bool) ShelfRow {
	out := ShelfRow{Serial: shortName(r.Item), Path: itemPath(pointed(r.Item.Serial), r.Item.ID), Product: r.Product, Place: r.Place, Made: "made " + dateNear(dayOf(r.Made.In(s.zone())), today),
		Warmth: degrees(r.TempC)}
	if !r.TempKnown {
		out.Warmth += ", assumed"
	}
	if r.Place == "" {
		out.Place = "no place"
	}
	out.Carriage = carriage(r)
	if r.Item.Kind == models.KindBlock {
		out.Made = "came in " + dateNear(dayOf(r.Made.In(s.zone())), today)
	}
	if r.Out > 0 {
		out.Out = strconv.Itoa(r.Out)
	}
	switch r.Stop {
	case shelf.Held:
		out.Made = "on hold, " + out.Made
	case shelf.NotPassed:
		out.Made = "not passed, " + out.Made
	case shelf.CameBack:
		out.Made = "came back, " + out.Made
	}
	if r.Reading != nil {
		out.Read = "read " + dateNear(dayOf(r.Reading.MeasuredAt.In(s.zone())), today) + ", " + strconv.FormatFloat(r.Reading.OCV25, 'f', 3, 64) + "\u00a0V"
		if r.Item.Kind != models.KindBlock {
			out.Read += " a block"
		}
	}
	if r.State != shelf.Standing {
		return s.waitingRow(out, r)
	}
	out.Day = s.shortDay(r.Due, today)
	if out.Mark = dueMark(r.DaysLeft); care {
		out.ID = r.Item.ID
	}
	if r.SoCPct != nil {
		out.Percent = strconv.FormatFloat(math.Round(*r.SoCPct), 'f', 0, 64)
		out.Bar, out.Line = barAt(*r.SoCPct), barAt(r.SoCMin)
	}
	switch {
	case r.TooLow && r.Item.Kind == models.KindBlock:
		out.Ready = "too low for a pack"
	case r.TooLow:
		out.Ready = "too low to ship"
	case r.ReadyUntil.IsZero():
	case r.ReadyUntil.Before(today) && r.Item.Kind == models.KindBlock:
		out.Ready = "too low for a pack since " + dateNear(r.ReadyUntil, today)
	case r.ReadyUntil.Before(today):
		out.Ready = "too low to ship since " + dateNear(r.ReadyUntil, today)
	case r.Item.Kind == models.KindBlock:
		out.Ready = "for a pack until " + dateNear(r.ReadyUntil, today)
	default:
		out.Ready = "may ship until " + dateNear(r.ReadyUntil, today)
	}
	falls := "falls"
	if r.SoCPct != nil && *r.SoCPct <= r.SoCMin {
		falls = "fell"
	}
	switch r.DueBy {
	case shelf.ByCharge:
		out.Set, out.Why = "charge", fmt.Sprintf(", %s to %g\u00a0%%", falls, r.SoCMin)
	case shelf.ByAge:
		out.Set, out.Why = "age", fmt.Sprintf(", %d days at %s", r.IntervalDays, degrees(r.TempC))
	case shelf.ByReady:
		out.Set, out.Why = "shipping limit", ", "+s.wantedFor(r, today)
	}
	return out
}

// carriage is what keeps a lithium row from being carried as it is; the note of
// the page says the rest.
func carriage(r *shelf.Row) string {
	most := strconv.FormatFloat(r.AirMaxPct, 'f', -1, 64) + "\u00a0%"
	switch {
	case r.AirMaxPct == 0:
		return ""
	case r.Form != nil && r.Form.TestSummary == "":
		return "no test summary: ask the carrier"
	case r.SoCPct != nil && *r.SoCPct > r.AirMaxPct:
		return "not by air as charged, over " + most
	}
	return "by air up to " + most
}

func (s *site) waitingRow(out ShelfRow, r *shelf.Row) ShelfRow {
	switch r.State {
	case shelf.Charging:
		out.Mark, out.Day, out.End = Mark{"clock", "on the charger", "note"}, "since "+s.momentNear(r.Charge.StartedAt), "/charges/"+r.Charge.ID+"/end"
	case shelf.Resting:
		out.Mark, out.Day = Mark{"clock", "rests", "note"}, "until "+s.momentNear(r.Opens)
	case shelf.ToRead:
		out.Mark, out.Day = Mark{"triangle", "read it", "care"}, "since "+s.momentNear(r.Opens)
	case shelf.Discharged:
		out.Mark, out.Day, out.ID = Mark{"triangle", "charge it", "care"}, "discharged on "+dateNear(dayOf(r.Discharge.End.EndedAt.In(s.zone())), dayOf(s.now())), r.Item.ID
	case shelf.NeverRead:
		out.Mark, out.Day = Mark{"triangle", "read it", "care"}, "never read at rest"
	case shelf.Dead:
		out.Mark, out.Day = Mark{"cross", "set it aside", "fail"}, "below where its model is scrap"
	}
	return out
}

func dueMark(days int) Mark {
	switch {
	case days < 0:
		return Mark{"cross", plural(-days, "day late", "days late"), "fail"}
	case days == 0:
		return Mark{"triangle", "today", "care"}
	case days <= shelf.SoonDays:
		return Mark{"square", "in " + plural(days, "day", "days"), "none"}
	}
	return Mark{"tick", "in " + plural(days, "day", "days"), "pass"}
}

// barWidth is the length of a full bar, in pixels.
const barWidth = 150.0

func barAt(pct float64) string { return strconv.FormatFloat(pct/100*barWidth, 'f', 1, 64) }

// dayOf is a local moment's day, as midnight UTC.
func dayOf(local time.Time) time.Time {
	y, m, d := local.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

func shelfCounts(look shelf.Look) string {
	packs := plural(look.Packs, "pack", "packs")
	if look.Blocks == 0 {
		return packs
	}
	return packs + ", " + plural(look.Blocks, "loose block", "loose blocks")
}

// dateNear is a day without its weekday: "13 Nov", with its year where it is
// another.
func dateNear(day, today time.Time) string {
	if day.Year() == today.Year() {
		return day.Format("2\u00a0Jan")
	}
	return day.Format("2\u00a0Jan\u00a02006")
}

// momentNear is a moment of these days: "10:40", "Thu 26 Nov, 10:40".
func (s *site) momentNear(t time.Time) string {
	local := t.In(s.zone())
	if dayOf(local).Equal(dayOf(s.now())) {
		return local.Format("15:04")
	}
	return local.Format("Mon 2 Jan, 15:04")
}

// wantedFor says what a pack is to be ready for: a day, an order, or both.
func (s *site) wantedFor(r *shelf.Row, today time.Time) string {
	switch {
	case r.Order == "":
		return "wanted " + s.wantedDay(r.Wanted, today)
	case r.Wanted == "":
		return "for order " + r.Order
	}
	return "for order " + r.Order + ", " + s.wantedDay(r.Wanted, today)
}

func (s *site) wantedDay(wanted string, today time.Time) string {
	day, err := time.Parse(time.DateOnly, wanted)
	if err != nil {
		return wanted
	}
	return dateNear(day, today)
}

// degrees is a temperature in whole degrees.
func degrees(c float64) string { return strconv.FormatFloat(math.Round(c), 'f', 0, 64) + "\u00a0°C" }

// shortDay is a day near today: "Fri 13 Nov", with its year where it is
// another.
func (s *site) shortDay(day, today time.Time) string {
	if day.Year() == today.Year() {
		return day.Format("Mon 2 Jan")
	}
	return day.Format("Mon 2 Jan 2006")
}
