package web

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/words"
	"tracewright/models/work/stock"
)

// ScreeningPage is the screening of one lot of blocks: what each lost between two
// readings at rest, against its lot and the model's limit.
type ScreeningPage struct {
	Frame
	Code, Model string
	Mark        Mark
	Answer      string
	Reasons     []string // to doubt the whole lot
	Facts       []Fact
	Plots       []LossPlot // by the width they are drawn for; none where nothing can be compared
	Flagged     []LossRow
	Rest        []LossRow
	NotCompared []LossRow
	Acts        []Act
}

// LossRow is a block with its loss.
type LossRow struct {
	Name, Path string
	First      string // voltage and day
	Second     string
	Days       string
	Loss, Z    string
	Mark       Mark
	Why        []string
	Aside      bool
}

func (s *site) blockLot(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := s.services.Stock.Screen(ctx, c.Param("lot"))
	if err != nil {
		return err
	}
	return show(c, "blocks_lot", s.screeningPage(s.frame(c, "Lot "+v.Lot, "/blocks"), v))
}

func (s *site) screeningPage(frame Frame, v stock.Screening) ScreeningPage {
	page := ScreeningPage{Frame: frame, Code: v.Lot, Model: v.Model.Name, Mark: lotMark(v), Answer: lotAnswer(v)}
	for _, r := range v.Reasons {
		page.Reasons = append(page.Reasons, say(r))
	}
	page.Facts = s.screeningFacts(v)
	losses := slices.Clone(v.Losses)
	slices.SortStableFunc(losses, func(a, b stock.Loss) int { return cmp.Compare(b.MVDay, a.MVDay) })
	for _, l := range losses {
		if row := s.lossRow(l); l.Flagged {
			page.Flagged = append(page.Flagged, row)
		} else {
			page.Rest = append(page.Rest, row)
		}
	}
	for _, n := range v.NotCompared {
		page.NotCompared = append(page.NotCompared, LossRow{Name: blockName(n.Block.Item), Path: itemPath(pointed(n.Block.Item.Serial), n.Block.Item.ID), Why: []string{say(n.Why)}})
	}
	page.Plots = lossPlots(v, losses)
	page.Acts = lotActs(frame, v)
	return page
}

func lotAnswer(v stock.Screening) string {
	switch {
	case len(v.Losses) == 0 && v.Blocks == 0:
		return "No block of this lot was taken in"
	case len(v.Losses) == 0:
		return "No block of it has two readings that can be compared yet"
	case v.Flagged == 0:
		return "All " + strconv.Itoa(len(v.Losses)) + " compared hold their charge"
	}
	return english.Of(v.Flagged, len(v.Losses)) + " compared lose charge"
}

func lotActs(frame Frame, v stock.Screening) []Act {
	if !frame.Actor.May(models.ActRecord) {
		return nil
	}
	var loose, flagged int
	count := func(b models.StockBlock, bad bool) {
		if aside := b.Disposition != nil && b.Disposition.Decision == models.Quarantine; aside || b.Fitted {
			return
		}
		loose++
		if bad {
			flagged++
		}
	}
	for _, l := range v.Losses {
		count(l.Block, l.Flagged)
	}
	for _, n := range v.NotCompared {
		count(n.Block, false)
	}
	query := "?lot=" + url.QueryEscape(v.Lot)
	var acts []Act
	if flagged > 0 {
		acts = append(acts, Act{Text: "Set aside the " + strconv.Itoa(flagged) + " flagged", Path: "/blocks/set-aside" + query + "&flagged=yes", First: len(v.Reasons) == 0})
	}
	if loose > 0 && loose > flagged {
		acts = append(acts, Act{Text: "Set aside all " + strconv.Itoa(loose), Path: "/blocks/set-aside" + query, First: len(v.Reasons) > 0, Bars: true})
	}
	if frame.Actor.May(models.ActReceive) && v.Model.ID != "" {
		acts = append(acts, Act{Text: "Read again", Path: "/blocks/in" + query + "&stage=" + models.SecondReading + "&model=" + url.QueryEscape(v.Model.ID), First: len(acts) == 0})
	}
	return acts
}

func (s *site) screeningFacts(v stock.Screening) []Fact {
	middle := func(label string, value float64, decimals int, unit string, known bool, line string) Fact {
		f := Fact{Label: label, None: "not known"}
		if known {
			f.None, f.Value = "", words.Quantity(strconv.FormatFloat(value, 'f', decimals, 64), unit)
			if line != "" {
				f.Lines = []Span{{Text: line}}
			}
		}
		return f
	}
	compared := english.Of(len(v.Losses), v.Blocks) + " compared"
	if len(v.Others) > 0 {
		compared += ", of " + strconv.Itoa(1+len(v.Others)) + " models, each by itself: the middles are of " + v.Model.Name
	}
	facts := []Fact{{Label: "Blocks", Value: strconv.Itoa(v.Blocks), Lines: []Span{{Text: compared}}},
		middle("Middle voltage as it came", v.Rule.MedianOCV, 3, "V", v.Rule.OCVKnown, ""),
		middle("Middle resistance", v.Rule.MedianResistance, 2, "mohm", v.Rule.ResistanceKnown, ratioWords(v)),
		{Label: "Middle loss", None: "not known"}, {Label: "Flagged", None: "none compared"}}
	if len(v.Losses) > 0 {
		facts[3] = Fact{Label: "Middle loss", Value: mvDay(v.Median) + " mV a day", Lines: []Span{{Text: "a step of the meter makes " + strconv.FormatFloat(v.Step, 'f', 2, 64)}}}
		facts[4] = Fact{Label: "Flagged", Value: english.Of(v.Flagged, len(v.Losses))}
		if most, ok := kinds.BlockLimit(v.Form, "lot_flagged_max_pct"); ok {
			facts[4].Lines = []Span{{Text: "more than " + most.String() + " % doubts the lot"}}
		}
	}
	return facts
}

func ratioWords(v stock.Screening) string {
	if !v.Rule.RatioIsKnown {
		return ""
	}
	return strconv.FormatFloat(v.Rule.Ratio, 'f', 2, 64) + " times the model’s"
}

func (s *site) lossRow(l stock.Loss) LossRow {
	b := l.Block
	row := LossRow{Name: blockName(b.Item), Path: itemPath(pointed(b.Item.Serial), b.Item.ID), Loss: mvDay(l.MVDay), Z: words.Number(strconv.FormatFloat(l.Z, 'f', 1, 64)), Days: strconv.FormatFloat(l.Days, 'f', 1, 64),
		First: words.Quantity(l.First.Read, "V") + ", " + s.day(l.First.MeasuredAt), Second: words.Quantity(l.Second.Read, "V") + ", " + s.day(l.Second.MeasuredAt)}
	if l.Flagged {
		row.Mark = Mark{"square", "Flagged", "fail"}
	}
	if d := b.Disposition; d != nil {
		switch {
		case d.Decision == models.Quarantine:
			row.Mark, row.Aside = Mark{"bars", "Set aside", "hold"}, true
		case d.DecidedAt.After(l.Second.MeasuredAt):
			row.Why = append(row.Why, "Released on "+s.day(d.DecidedAt)+": "+english.Disposition(d.Code)+".")
		}
	}
	for _, r := range l.Why {
		row.Why = append(row.Why, say(r))
	}
	return row
}

func limitMV(v stock.Screening, code string) float64 {
	d, ok := kinds.BlockLimit(v.Form, code)
	if !ok {
		return 0
	}
	return d.Float()
}
