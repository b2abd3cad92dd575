package web

import (
	"slices"
	"strconv"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/failures"
	"tracewright/server/httpx"
)

// Tables of what fails, as ?as=csv&table= names them.
const (
	tableCauses = "causes"
	tableCosts  = "costs" // of one ?currency=
	tableWeeks  = "weeks"
	tableGroups = "groups"
	tableMonths = "months"
	tableLater  = "later"
)

// failuresTableLink is where a table of the page is a spreadsheet.
func failuresTableLink(v failures.View, table string, more ...string) string {
	return failuresLink(failuresPath, v, append([]string{"as", "csv", "table", table}, more...)...)
}

// shareColumns head what shareCells holds.
func shareColumns(of, among, share string) []httpx.TableColumn {
	return []httpx.TableColumn{{Name: of, Number: true}, {Name: among, Number: true}, {Name: share, Unit: "%", Number: true}, {Name: "95 % from", Unit: "%", Number: true}, {Name: "95 % to", Unit: "%", Number: true}}
}

func shareCells(s failures.Share) []string {
	cells := []string{strconv.Itoa(s.K), strconv.Itoa(s.N), "", "", ""}
	if s.N > 0 {
		cells[2], cells[3], cells[4] = failures.Percent(s.Value), failures.Percent(s.Low), failures.Percent(s.High)
	}
	return cells
}

// failuresTable is one table of the page as a spreadsheet opens it.
func failuresTable(v failures.View, book models.Defects, which, currency string) (httpx.Table, error) {
	text := func(names ...string) []httpx.TableColumn {
		out := make([]httpx.TableColumn, len(names))
		for i, n := range names {
			out[i].Name = n
		}
		return out
	}
	number := func(name, unit string) httpx.TableColumn {
		return httpx.TableColumn{Name: name, Unit: unit, Number: true}
	}
	severity := func(s models.Severity) string {
		if s == "" {
			return ""
		}
		return english.Severity(string(s))
	}
	t := httpx.Table{Name: "what fails " + which + " " + v.Query.From + " to " + v.Query.To}
	switch which {
	case tableCauses:
		t.Columns = append(text("code", "cause", "severity"), shareColumns("failed", "first sets", "share")...)
		for _, c := range v.Causes {
			t.Rows = append(t.Rows, append([]string{c.Code, faultName(book, c.Code), severity(c.Severity)}, shareCells(c.Share)...))
		}
	case tableCosts:
		if currency == "" && len(v.Costs) > 0 {
			currency = v.Costs[0].Currency
		}
		i := slices.IndexFunc(v.Costs, func(c failures.Cost) bool { return c.Currency == currency })
		if i < 0 && currency != "" {
			return t, models.Invalid("currency", "unknown_choice", "typed", models.Shortened(currency))
		}
		t.Columns = append(text("code", "cause", "severity"), number("claims", ""), number("claimed", currency), number("at the stand", "min"), number("together", currency), number("95 % from", currency), number("95 % to", currency))
		if i < 0 {
			break
		}
		for _, r := range v.Costs[i].Rows {
			row := []string{r.Code, faultName(book, r.Code), severity(r.Severity), strconv.Itoa(r.Claims), r.Amount, strconv.FormatFloat(r.Minutes, 'f', 0, 64), failures.Money(r.Total), "", ""}
			if r.Interval {
				row[7], row[8] = failures.Money(r.Low), failures.Money(r.High)
			}
			t.Rows = append(t.Rows, row)
		}
	case tableWeeks:
		t.Columns = append(text("week of"), shareColumns("passed", "first sets", "yield")...)
		t.Columns = append(t.Columns, number("limit below", english.Kinds(v.Kind)), number("limit above", english.Kinds(v.Kind)), httpx.TableColumn{Name: "signal"})
		for _, w := range v.Weeks {
			row := append(append([]string{w.Monday}, shareCells(w.Share)...), "", "", "")
			if w.Limited {
				row[6], row[7] = strconv.Itoa(w.Low), strconv.Itoa(w.High)
			}
			switch w.Signal {
			case "low":
				row[8] = "below its limits"
			case "high":
				row[8] = "above its limits"
			}
			t.Rows = append(t.Rows, row)
		}
	case tableGroups:
		t.Columns = append(text("by", "name"), number("failed", ""), number("first sets", ""), number("expected", ""), number("95 % from", ""), number("95 % to", ""), number("all groups from", ""), number("all groups to", ""), httpx.TableColumn{Name: "signal"})
		for _, c := range v.Cuts {
			row := func(g failures.Group) []string {
				return []string{cutTitles[c.By].head, g.Name, strconv.Itoa(g.K), strconv.Itoa(g.N)}
			}
			for _, g := range c.Groups {
				signal := map[string]string{"high": "more than its mix gives", "low": "fewer than its mix gives"}[g.Signal]
				t.Rows = append(t.Rows, append(row(g), strconv.FormatFloat(g.Expected, 'f', 1, 64), strconv.Itoa(g.Low), strconv.Itoa(g.High), strconv.Itoa(g.Least), strconv.Itoa(g.Most), signal))
			}
			for _, g := range c.Few {
				t.Rows = append(t.Rows, append(row(g), "", "", "", "", "", "too few to compare"))
			}
		}
	case tableMonths:
		t.Columns = append(text("first read in"), number("passed", ""), number("rounds each", ""), number("minutes each", "min"))
		t.Columns = append(t.Columns, shareColumns("need a second round", "of", "share")...)
		for _, m := range v.Months {
			rounds, minutes := tookEach(m.Took)
			t.Rows = append(t.Rows, append([]string{v.Part(m.Month), strconv.Itoa(m.Finished), rounds, minutes}, shareCells(m.Again)...))
		}
	case tableLater:
		t.Columns = append(text("code", "what", "severity"), number("nonconformities", ""), number("claims", ""))
		for _, l := range v.Later {
			t.Rows = append(t.Rows, []string{l.Code, words.Sentence(faultName(book, l.Code)), severity(l.Severity), strconv.Itoa(l.Nonconformities), strconv.Itoa(l.Claims)})
		}
	default:
		return t, models.Invalid("table", "unknown_choice", "typed", models.Shortened(which))
	}
	return t, nil
}
