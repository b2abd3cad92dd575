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
	"tracewright/models/work/claims"
	"tracewright/models/work/trace"
)

// OthersPage says how many of the items like one came back, beside what others do
// at equal age.
type OthersPage struct {
	Frame
	Serial, Item, Answer string
	Says                 []string
	Rows                 []OthersRow
	Few                  []OthersRow // counts alone
}

// OthersRow is one group.
type OthersRow struct {
	Name     []Span
	Count    string // "7 of 212"
	Share    string // "3.3 %"
	Interval string // "1.3 to 6.7 %"
	Expected string // "1.9"
	Note     string
	Mark     Mark
}

func (s *site) others(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := s.services.Trace.Glance(ctx, c.Param("serial"), "")
	if err != nil {
		return err
	}
	var lots []models.Lot
	for _, p := range v.Parts {
		if p.Lot != nil && !slices.ContainsFunc(lots, func(l models.Lot) bool { return l.ID == p.Lot.ID }) {
			lots = append(lots, *p.Lot)
		}
	}
	found, err := s.services.Claims.Others(ctx, v.Item, lots)
	if err != nil {
		return err
	}
	return show(c, "others", s.othersPage(s.frame(c, "Others like "+words.Serial(v.Item.Name()), ""), v, found))
}

func (s *site) othersPage(frame Frame, v trace.ItemView, found claims.Others) OthersPage {
	kinds := english.Kinds(v.Item.Kind)
	page := OthersPage{Frame: frame, Serial: words.Serial(v.Item.Name()), Item: itemPath(pointed(v.Item.Serial), v.Item.ID), Answer: "No group of others comes back more often than the rest"}
	compared, most := 0, 0.0
	for _, g := range found.Groups {
		row := othersRow(v, g)
		if g.Few {
			page.Few = append(page.Few, row)
			continue
		}
		compared++
		page.Rows = append(page.Rows, row)
		if g.More && g.AtLeast > most {
			most = g.AtLeast
			page.Answer = fmt.Sprintf("%s %s came back; %s were to be expected", row.Count, groupWords(v, g), row.Expected)
			if g.Expected < 1 {
				page.Answer = fmt.Sprintf("%s %s came back; less than one was to be expected", row.Count, groupWords(v, g))
			}
		}
	}
	if compared == 0 {
		page.Answer = "Too few " + kinds + " like this have left the shop to compare"
	}
	page.Says = []string{
		"Only returns that this shop was told of count. Each group is counted without this one; a claim that found no fault counts for nothing.",
		"Expected is how many of the group would have come back by now, if at each age since shipment as many did as of all others of the family. The interval of the share is exact, at 95 %.",
	}
	if compared > 1 {
		page.Says = append(page.Says, fmt.Sprintf("%s groups are compared, and they share items. “More” is said only where a group has more than its part of all returns, with room for how few they are and for how many groups are looked at. It says where to look, not why.", words.Sentence(spelled(compared))))
	}
	return page
}

// groupWords says what a group has in common: "with lot SP-0931".
func groupWords(v trace.ItemView, g claims.Group) string {
	switch g.Same {
	case claims.SameLot:
		return "with lot " + g.Name
	case claims.SamePlace:
		return "first measured at " + g.Name
	case claims.SameMonth:
		if t, err := time.Parse("2006-01", g.Name); err == nil {
			return "made in " + t.Format("January 2006")
		}
	}
	if v.Product != nil {
		return "of " + v.Product.Name
	}
	return "of the same product"
}

func othersRow(v trace.ItemView, g claims.Group) OthersRow {
	row := OthersRow{Name: []Span{{Text: words.Sentence(groupWords(v, g))}}, Count: english.Of(g.Back, g.Units)}
	if g.Same == claims.SameLot {
		row.Name = []Span{{Text: "With lot "}, {Text: g.Name, Mono: true, Path: lotPath(g.Name)}}
	}
	switch {
	case g.Units == 0:
		row.Count = "no other one has left the shop yet"
		return row
	case g.Few && g.Units < claims.FewUnits:
		row.Note = "too few to compare"
		return row
	case g.Few:
		row.Note = "too few others to compare with"
		return row
	}
	row.Share = percent(float64(g.Back)/float64(g.Units)) + " %"
	row.Interval = percent(g.Low) + " to " + percent(g.High) + " %"
	row.Expected = strconv.FormatFloat(math.Round(g.Expected*10)/10, 'f', 1, 64)
	if g.Beyond > 0 {
		row.Note = plural(g.Beyond, "is", "are") + " older than any of the others: past their age none is expected"
	}
	row.Mark = Mark{"ring", "As the others", "none"}
	if g.More {
		row.Mark = Mark{"square", "More", "fail"}
	}
	return row
}

// percent is a share with one decimal: "3.3".
func percent(share float64) string { return strconv.FormatFloat(100*share, 'f', 1, 64) }
