package web

import (
	"fmt"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/words"
	"tracewright/models/work/goodness"
	"tracewright/server/httpx"
)

// unknownTable refuses a table that a page has not got.
func unknownTable(c *gin.Context) error {
	return models.Invalid("table", "unknown_choice", "typed", models.Shortened(c.Query("table")))
}

// sharedColumns are k of n with the share and its interval, as [sharedCells] fills them.
func sharedColumns(k, n string) []httpx.TableColumn {
	return []httpx.TableColumn{{Name: k, Number: true}, {Name: n, Number: true}, {Name: "share", Unit: "%", Number: true}, {Name: "from", Unit: "%", Number: true}, {Name: "to", Unit: "%", Number: true}}
}

func sharedCells(k, n int, low, high float64, few bool) []string {
	cells := []string{strconv.Itoa(k), strconv.Itoa(n), "", "", ""}
	if !few && n > 0 {
		cells[2], cells[3], cells[4] = shareShown(float64(k)/float64(n)), shareShown(low), shareShown(high)
	}
	return cells
}

// resultsTable is every result of a family for a spreadsheet.
func (s *site) resultsTable(o goodness.Overview) httpx.Table {
	t := httpx.Table{Name: "how good " + s.now().Format(time.DateOnly), Columns: append([]httpx.TableColumn{{Name: "result"}, {Name: "unit"}, {Name: "lower limit", Number: true}, {Name: "upper limit", Number: true}}, sharedColumns("beyond", "read")...)}
	for _, l := range o.Results {
		row := []string{english.Result(l.Result), words.Unit(l.Limit.Unit), l.Limit.Low, l.Limit.High}
		switch {
		case l.Ticked || l.Limits > 1: // A tick has no limits, and several are not one.
			row[2], row[3] = "", ""
		case l.Limits == 1:
			row[2], row[3] = l.Judged.Low, l.Judged.High
		}
		t.Rows = append(t.Rows, append(row, sharedCells(l.Share.K, l.Share.N, l.Share.Interval.Low, l.Share.Interval.High, l.Share.Few)...))
	}
	return t
}

// howGoodTable is one table of the page of a result: its histogram, the items beyond
// the limit, or blocks by lot.
func (s *site) howGoodTable(c *gin.Context, v goodness.View) (httpx.Table, error) {
	unit := words.Unit(v.Unit)
	which := c.DefaultQuery("table", "histogram")
	if v.Ticked && which == "histogram" { // It has none.
		which = "beyond"
	}
	t := httpx.Table{Name: "how good " + v.Query.Result + " " + which + " " + s.now().Format(time.DateOnly)}
	lots := func(l *goodness.Lots, mean, unit string, decimals int) {
		t.Columns = []httpx.TableColumn{{Name: "lot"}, {Name: "blocks", Number: true}, {Name: mean, Unit: unit, Number: true}, {Name: "against the others"}}
		if l == nil {
			return
		}
		for _, row := range l.Rows {
			apart := ""
			if row.Apart {
				apart = map[string]string{"high": "above", "low": "below"}[row.Side]
			}
			t.Rows = append(t.Rows, []string{row.Lot, strconv.Itoa(row.N), fmt.Sprintf("%.*f", decimals, row.Mean), apart})
		}
	}
	switch which {
	case "histogram":
		t.Columns = []httpx.TableColumn{{Name: "above", Unit: unit, Number: true}, {Name: "up to", Unit: unit, Number: true}, {Name: "first readings", Number: true}}
		if v.Final != nil {
			t.Columns = append(t.Columns, httpx.TableColumn{Name: "certified", Number: true})
		}
		t.Columns = append(t.Columns, httpx.TableColumn{Name: "limit"})
		var page HowGoodPage
		if v.Share.N > 0 {
			s.drawHowGood(&page, v)
		}
		for _, b := range page.Bins {
			row := []string{b.From, b.To, strconv.Itoa(b.First)}
			if v.Final != nil {
				row = append(row, strconv.Itoa(b.Last))
			}
			beyond := ""
			if b.Beyond {
				beyond = "beyond"
			}
			t.Rows = append(t.Rows, append(row, beyond))
		}
	case "beyond":
		if v.Ticked {
			t.Columns = []httpx.TableColumn{{Name: "measured at"}, {Name: "serial"}}
			for _, p := range v.Beyond {
				t.Rows = append(t.Rows, []string{p.MeasuredAt.In(s.zone()).Format("2006-01-02 15:04"), words.Serial(p.Serial)})
			}
			break
		}
		t.Columns = []httpx.TableColumn{{Name: "measured at"}, {Name: "serial"}, {Name: english.Result(v.Query.Result), Unit: unit, Number: true}, {Name: "lower limit", Unit: unit, Number: true}, {Name: "upper limit", Unit: unit, Number: true}}
		for _, p := range v.Beyond {
			t.Rows = append(t.Rows, []string{p.MeasuredAt.In(s.zone()).Format("2006-01-02 15:04"), words.Serial(p.Serial), conformity.ShownText(p.Value, v.Decimals, "", ""), p.Low, p.High})
		}
	case "lots":
		lots(v.Lots, "mean", unit, v.Decimals+1)
	case "falls":
		lots(v.Falls, "mean fall", words.Unit("mV")+" a day", 3)
	default:
		return t, unknownTable(c)
	}
	return t, nil
}
