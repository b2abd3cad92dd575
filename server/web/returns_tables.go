package web

import (
	"fmt"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models/work/returns"
	"tracewright/server/httpx"
)

// returnsTable is one table of the page of returns, for a spreadsheet: months of
// shipment with what came back at each age, all months by age, the curve, lots, what
// is expected, or every family.
func returnsTable(c *gin.Context, v returns.View, families []returns.FamilyLine, materials map[string]string) (httpx.Table, error) {
	which := c.DefaultQuery("table", "months")
	t := httpx.Table{Name: "returns " + which + " " + v.Today}
	percent := func(p float64) string { return fmt.Sprintf("%.2f", 100*p) }
	expected := func(e returns.Excess) string {
		if !e.Known {
			return ""
		}
		return fmt.Sprintf("%.1f", e.Expected)
	}
	more := func(e returns.Excess) string {
		if e.More {
			return "more"
		}
		return ""
	}
	number := func(name, unit string) httpx.TableColumn {
		return httpx.TableColumn{Name: name, Unit: unit, Number: true}
	}
	switch which {
	case "months":
		t.Columns = []httpx.TableColumn{{Name: "shipped in"}, number("left", ""), number("back", ""), number("expected", ""), {Name: "against the others"}}
		oldest := -1
		for _, m := range v.Months {
			oldest = max(oldest, monthIndex(v.AsOf)+1-monthIndex(m.Month))
		}
		for age := 0; age <= oldest; age++ {
			t.Columns = append(t.Columns, number("back at age "+strconv.Itoa(age), "months"))
		}
		for _, m := range v.Months {
			row := []string{m.Month, strconv.Itoa(m.N), strconv.Itoa(m.K), expected(m.Excess), more(m.Excess)}
			for age := 0; age <= oldest; age++ {
				cell := "" // It has not come yet.
				if monthIndex(m.Month)+age <= monthIndex(v.AsOf)+1 {
					cell = strconv.Itoa(m.Returns[age])
				}
				row = append(row, cell)
			}
			t.Rows = append(t.Rows, row)
		}
	case "ages":
		t.Columns = []httpx.TableColumn{number("age", "months"), number("at risk", ""), number("back", ""), number("of those", "%"), number("from", "%"), number("to", "%"), number("up to this age", "%"), number("up to this age, from", "%"), number("up to this age, to", "%")}
		for _, a := range v.Ages {
			row := []string{strconv.Itoa(a.Age), strconv.Itoa(a.AtRisk), strconv.Itoa(a.Returns), percent(a.Hazard), percent(a.HazardBounds.Low), percent(a.HazardBounds.High), percent(a.Cumulative)}
			if a.Bounded {
				row = append(row, percent(a.Bounds.Low), percent(a.Bounds.High))
			}
			t.Rows = append(t.Rows, row)
		}
	case "curve":
		t.Columns = []httpx.TableColumn{number("in service", "months"), number("at risk", ""), number("came back", "%"), number("from", "%"), number("to", "%")}
		if v.Rest != nil {
			t.Columns = append(t.Columns, number("others", "%"))
		}
		if v.Curve == nil {
			break
		}
		for _, p := range pointsOf(v.Curve, v.Until) {
			row := []string{fmt.Sprintf("%.1f", p.Age), strconv.Itoa(p.AtRisk), fmt.Sprintf("%.2f", p.Share), "", ""}
			if p.Low != nil {
				row[3], row[4] = fmt.Sprintf("%.2f", *p.Low), fmt.Sprintf("%.2f", *p.High)
			}
			if v.Rest != nil {
				row = append(row, fmt.Sprintf("%.2f", shareAt(pointsOf(v.Rest, v.Until), p.Age)))
			}
			t.Rows = append(t.Rows, row)
		}
	case "lots":
		t.Columns = append(append([]httpx.TableColumn{{Name: "lot"}, {Name: "material"}}, sharedColumns("back", "left")...), number("expected", ""), httpx.TableColumn{Name: "against the others"})
		for _, l := range v.Lots {
			row := append([]string{l.Lot.Code, firstOf(materials[l.Lot.Material], l.Lot.Material)}, sharedCells(l.K, l.N, l.Interval.Low, l.Interval.High, l.Few)...)
			t.Rows = append(t.Rows, append(row, expected(l.Excess), more(l.Excess)))
		}
	case "ahead":
		t.Columns = []httpx.TableColumn{number("within", "months"), number("returns", ""), number("mean from", ""), number("mean to", ""), number("counted from", ""), number("counted to", ""), number("cost", ""), number("cost from", ""), number("cost to", ""), {Name: "currency"}}
		for _, a := range v.Ahead {
			row := []string{strconv.Itoa(a.Months), "", "", "", strconv.Itoa(a.Low), strconv.Itoa(a.High)}
			if a.Known {
				row[1], row[2], row[3] = fmt.Sprintf("%.1f", a.Expected), fmt.Sprintf("%.1f", a.Mean.Low), fmt.Sprintf("%.1f", a.Mean.High)
			}
			for _, cost := range a.Costs {
				low, high := "", ""
				if cost.Bounded {
					low, high = fmt.Sprintf("%.0f", cost.Low), fmt.Sprintf("%.0f", cost.High)
				}
				t.Rows = append(t.Rows, append(row[:6:6], fmt.Sprintf("%.0f", cost.Expected), low, high, cost.Currency))
			}
			if len(a.Costs) == 0 {
				t.Rows = append(t.Rows, row)
			}
		}
	case "families":
		t.Columns = append([]httpx.TableColumn{{Name: "family"}, {Name: "of"}}, sharedColumns("back", "left")...)
		for _, l := range families {
			t.Rows = append(t.Rows, append([]string{l.Family.Name, english.Kinds(l.Family.Kind)}, sharedCells(l.Share.K, l.Share.N, l.Share.Interval.Low, l.Share.Interval.High, l.Share.Few)...))
		}
	default:
		return t, unknownTable(c)
	}
	return t, nil
}
