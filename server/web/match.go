package web

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/pack"
	"tracewright/models/words"
	"tracewright/models/work/stock"
	"tracewright/server/httpx"
)

// MatchPage confirms a match block by block: which one to scan now, what the
// last scan was, how good the choice is, and each pack with its reason.
type MatchPage struct {
	Frame
	Path         string
	Product      string
	Stock        string // "23 in stock"
	Ask          string // "Scan for pack 2, position 3"; empty where all is scanned
	Expected     string
	Where        string // where it stands
	Last         *LastScan
	Refused      []string // why the last scan was not taken
	Typed        string   // what was scanned then
	Override     string   // the reason given with it
	Answer       string
	Cost         []string
	Packs        []MatchRow
	Left, Out    []WhyNot
	Keep         string // label of the key; Ready says whether it may be pressed
	Ready, Ended bool
	Made         []MadePack
	Tone         string // of what became of the scan: taken, refused
	Scales       [2]string
	Caution      string
}

// LastScan is the block confirmed last.
type LastScan struct{ Block, Place, Count string }

// MatchRow is one pack.
type MatchRow struct {
	Name           string
	Mark           Mark
	Now            bool
	Slots          []MatchSlot
	Volts, Ohms    Strip
	Spread, Reason string
	Grade          Mark // where it is not A in both
	Lots           string
}

// MatchSlot is one place.
type MatchSlot struct {
	At, Block, Whole string
	In, Now          bool
	Other            string // the one proposed, where another lies there
}

// Strip shows the values of a pack among those of the stock.
type Strip struct {
	BandX, BandW float64
	Ticks, Dots  []float64
	From, To     float64
	Text         string
	Label        string
}

// WhyNot are blocks in no pack for one reason.
type WhyNot struct{ Blocks, Why string }

// MadePack is a pack that the match became.
type MadePack struct{ Serial, Path, Record string }

func (s *site) match(c *gin.Context) error { return s.showMatch(c, http.StatusOK, nil) }

func (s *site) showMatch(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	v, err := s.services.Stock.Match(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	page := s.matchPage(s.frame(c, "Match blocks into packs", "/blocks"), v)
	if problem != nil {
		page.Tone, page.Typed, page.Override = "refused", strings.TrimSpace(c.PostForm("block")), strings.TrimSpace(c.PostForm("override"))
		page.Refused = reasonsOf(problem)
	}
	if at, open := v.Next(); open && !page.Ended {
		id, _ := v.At(at)
		if page.Where, _, err = s.services.Shelf.Stands(ctx, id); err != nil {
			return err
		}
	}
	return send(c, status, "match", page)
}

// reasonsOf are the sentences of a problem or a refusal.
func reasonsOf(err error) []string {
	var invalid *models.InvalidError
	if errors.As(err, &invalid) {
		var list []string
		for _, p := range invalid.Problems {
			list = append(list, english.Say(p.Code, english.Readable(p.Values)))
		}
		return list
	}
	return newForm(func(string) string { return "" }, err).loose
}

func (s *site) placeInMatch(c *gin.Context) error {
	id := c.Param("id")
	_, err := s.services.Stock.Confirm(c.Request.Context(), httpx.Actor(c), id, c.PostForm("block"), stock.Slot{}, c.PostForm("override"))
	if answerable(err) {
		return s.showMatch(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/match/"+id, "")
}

func (s *site) keepMatch(c *gin.Context) error {
	id := c.Param("id")
	_, err := s.services.Stock.Keep(c.Request.Context(), httpx.Actor(c), id)
	if answerable(err) {
		return s.showMatch(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/match/"+id, "")
}

func (s *site) matchPage(frame Frame, v stock.View) MatchPage {
	c := v.Content
	p := MatchPage{Frame: frame, Path: "/match/" + v.ID, Product: v.Product.Name + ", " + v.Model.Name, Ended: v.End != nil, Stock: plural(len(c.Input), "block", "blocks") + " offered",
		Caution: english.Caution("short_circuit") + " " + english.Caution("makers_data_first")}
	p.Answer, p.Cost = matchAnswer(v)
	tails := tailsOf(v)
	at, open := v.Next()
	open = open && !p.Ended
	if open {
		id, _ := v.At(at)
		p.Ask, p.Expected = "Scan for pack "+strconv.Itoa(at.Pack)+", "+positionWords(v, at), blockName(v.Items[id])
	}
	p.Last = lastScan(v)
	if p.Last != nil {
		p.Tone = "taken"
	}
	p.Scales = [2]string{words.Quantity(strconv.FormatInt(c.Rules.ScaleMV, 10), "mV"), milliohm(c.Rules.ScaleUohm)}
	for i := range c.Packs {
		p.Packs = append(p.Packs, matchRow(v, i, tails, open && at.Pack == i+1, at))
	}
	p.Left, p.Out = whyNot(c.Left), whyNot(c.NotOffered)
	p.Keep, p.Ready = keepWords(v)
	for _, item := range v.Made {
		serial := words.Serial(item.Name())
		p.Made = append(p.Made, MadePack{serial, itemPath(pointed(item.Serial), item.ID), "/bench?serial=" + serial})
	}
	return p
}

// matchAnswer says what came out, and how good it is.
func matchAnswer(v stock.View) (string, []string) {
	c := v.Content
	size := spelled(c.Strings * c.Blocks)
	answer := counted(len(c.Packs), "pack of "+size, "packs of "+size)
	if n := len(c.Left); n > 0 {
		answer += ", " + spelled(n) + " left"
	}
	cost := strconv.FormatFloat(c.Cost, 'f', 2, 64)
	how := "Cost: spread over " + words.Quantity(strconv.FormatInt(c.Rules.ScaleMV, 10), "mV") + " plus spread over " + milliohm(c.Rules.ScaleUohm) + ". Ticks: the stock."
	switch bound := strconv.FormatFloat(c.Bound, 'f', 2, 64); {
	case c.Picked:
		return answer, []string{"Picked by hand: costs " + cost + ".", how}
	case c.Exact:
		return answer, []string{"Costs " + cost + "; no choice of as many packs costs less.", how}
	case !c.GapKnown:
		return answer, []string{"Costs " + cost + "; nothing can cost less than " + bound + ".", how}
	default:
		gap := strconv.FormatFloat(math.Ceil(c.GapPct), 'f', 0, 64) + "\u00a0%"
		return answer, []string{"Costs " + cost + "; nothing can cost less than " + bound + ": gap at most " + gap + ". " + strconv.Itoa(len(c.Input)) + " blocks are too many to try every way.", how}
	}
}

func positionWords(v stock.View, at stock.Slot) string {
	position := v.Position(at)
	if v.Content.Strings > 1 {
		return fmt.Sprintf("string %d, position %d", position.String, position.Place)
	}
	return fmt.Sprintf("position %d", position.Place)
}

func lastScan(v stock.View) *LastScan {
	if len(v.Placements) == 0 {
		return nil
	}
	last := slices.MaxFunc(v.Placements, func(a, b models.MatchPlacement) int { return strings.Compare(a.ID, b.ID) })
	return &LastScan{blockName(v.Items[last.ItemID]), "pack " + strconv.Itoa(last.Pack) + ", " + positionWords(v, stock.Slot{Pack: last.Pack, Place: last.Place}), fmt.Sprintf("%d of %d scanned", len(v.Placements), v.Places())}
}

// keepWords is the label of the last key.
func keepWords(v stock.View) (string, bool) {
	switch open := v.Places() - len(v.Placements); {
	case v.End != nil && v.End.Kept:
		return "Kept", false
	case v.End != nil:
		return "Dropped: " + v.End.Reason, false
	case open > 0:
		return "Keep: " + strconv.Itoa(open) + " to scan", false
	}
	if n := len(v.Content.Packs); n > 1 {
		return "Keep " + spelled(n) + " packs", true
	}
	return "Keep the pack", true
}

func matchRow(v stock.View, i int, tails map[string]string, current bool, at stock.Slot) MatchRow {
	g := v.Content.Packs[i]
	row := MatchRow{Name: "Pack " + strconv.Itoa(i+1), Now: current, Spread: quantityOf(g.RangeMV, g.RangeUohm), Reason: english.Matched(g.Reason), Grade: gradeMark(g)}
	if g.Lots > 1 {
		row.Lots = plural(g.Lots, "lot", "lots") + ", same date code"
		if g.Days > 0 {
			row.Lots = plural(g.Lots, "lot", "lots") + ", made " + plural(int(g.Days), "day", "days") + " apart"
		}
	}
	in := 0
	for k := range g.Blocks {
		here := stock.Slot{Pack: i + 1, Place: k + 1}
		id, placed := v.At(here)
		position := v.Position(here)
		slot := MatchSlot{At: strconv.Itoa(position.Place), Block: tails[id], Whole: blockName(v.Items[id]), In: placed != nil, Now: current && at == here}
		if v.Content.Strings > 1 {
			slot.At = fmt.Sprintf("%d.%d", position.String, position.Place)
		}
		if placed != nil {
			in++
			if g.Blocks[k] != id {
				slot.Other = "instead of " + blockName(v.Items[g.Blocks[k]])
			}
		}
		row.Slots = append(row.Slots, slot)
	}
	switch {
	case in == len(g.Blocks):
		row.Mark = Mark{"tick", "scanned", "pass"}
	case current:
		row.Mark = Mark{"", "scanning", "note"}
	default:
		row.Mark = Mark{"square", "to scan", "none"}
	}
	row.Volts = stripOf(v, g, func(m stock.Measured) int64 { return m.MV }, v.Content.Rules.ScaleMV, "V", 3)
	row.Ohms = stripOf(v, g, func(m stock.Measured) int64 { return m.Uohm }, v.Content.Rules.ScaleUohm, "mohm", 2)
	return row
}

// gradeMark says where a pack is not of grade A in both.
func gradeMark(g stock.Group) Mark {
	switch {
	case g.ByVoltage == pack.GradeReject || g.ByResistance == pack.GradeReject:
		return Mark{"cross", "beyond the limits", "fail"}
	case g.ByVoltage == pack.GradeB || g.ByResistance == pack.GradeB:
		return Mark{"triangle", "grade B", "care"}
	}
	return Mark{}
}

const stripWidth = 236.0

// stripOf lays a pack's values among those of the stock; the band is as wide as
// the range that costs one.
func stripOf(v stock.View, g stock.Group, of func(stock.Measured) int64, scale int64, unit string, decimals int) Strip {
	var all, mine []int64
	for _, m := range v.Content.Input {
		all = append(all, of(m))
		if slices.Contains(g.Blocks, m.Item) {
			mine = append(mine, of(m))
		}
	}
	low, high := slices.Min(all), slices.Max(all)
	wide := math.Max(float64(high-low), float64(scale))
	from := float64(low) - (wide-float64(high-low))/2
	at := func(x float64) float64 { return math.Round((14+(x-from)/wide*(stripWidth-28))*10) / 10 }
	s := Strip{From: at(float64(slices.Min(mine))), To: at(float64(slices.Max(mine)))}
	for _, x := range all {
		s.Ticks = append(s.Ticks, at(float64(x)))
	}
	for _, x := range mine {
		s.Dots = append(s.Dots, at(float64(x)))
	}
	middle := float64(slices.Min(mine)+slices.Max(mine)) / 2
	left, right := math.Max(0, at(middle-float64(scale)/2)), math.Min(stripWidth, at(middle+float64(scale)/2))
	s.BandX, s.BandW = left, math.Round((right-left)*10)/10
	text := func(x int64) string { return strconv.FormatFloat(float64(x)/1000, 'f', decimals, 64) }
	s.Text = text(slices.Min(mine)) + " to " + words.Quantity(text(slices.Max(mine)), unit)
	s.Label = s.Text
	return s
}

// tailsOf are the last characters of each block's name that tell it from the
// others, at least four.
func tailsOf(v stock.View) map[string]string {
	names := map[string][]rune{}
	longest := 0
	for id, item := range v.Items {
		names[id] = []rune(blockName(item))
		longest = max(longest, len(names[id]))
	}
	tail := func(r []rune, n int) string { return string(r[max(0, len(r)-n):]) }
	for n := 4; ; n++ {
		out, seen := map[string]string{}, map[string]bool{}
		for id, r := range names {
			out[id] = tail(r, n)
			seen[out[id]] = true
		}
		if len(seen) == len(names) || n >= longest {
			return out
		}
	}
}

// namedWhy is how many blocks are named that one reason keeps out; of more the
// number is said.
const namedWhy = 4

// whyNot gathers blocks that are in no pack by what is against them: by what is
// against their lot where there is such, by the first reason otherwise; with it, that
// newer ones were taken.
func whyNot(list []stock.Left) []WhyNot {
	var order []string
	names := map[string][]string{}
	for _, l := range list {
		if len(l.Reasons) == 0 {
			continue
		}
		reason := l.Reasons[0]
		if i := slices.IndexFunc(l.Reasons, func(r models.Remark) bool { return r.Code == "lot_suspect" }); i >= 0 {
			reason = l.Reasons[i]
		}
		why := lowered(strings.TrimSuffix(say(reason), "."))
		if i := slices.IndexFunc(l.Reasons, func(r models.Remark) bool { return r.Code == "left_out_of_turn" }); i > 0 {
			why += ", " + lowered(strings.TrimSuffix(say(l.Reasons[i]), "."))
		}
		if names[why] == nil {
			order = append(order, why)
		}
		names[why] = append(names[why], l.Name)
	}
	out := make([]WhyNot, len(order))
	for i, why := range order {
		out[i] = WhyNot{Blocks: strings.Join(names[why], ", "), Why: why}
		if n := len(names[why]); n > namedWhy {
			out[i].Blocks = plural(n, "block", "blocks")
		}
	}
	return out
}
