package web

import (
	"strconv"
	"time"

	"tracewright/models/words"
	"tracewright/models/work/monitor"
	"tracewright/server/httpx"
)

// chartTable is the points of a chart with their lines and signals, those of the asked
// run rules among them, for a spreadsheet.
func (s *site) chartTable(page *ChartPage, v monitor.ChartView) httpx.Table {
	shown := firstOf(page.Heads.Shown, words.Unit(v.Unit))
	height := func(names ...string) (columns []httpx.TableColumn) {
		for _, name := range names {
			columns = append(columns, httpx.TableColumn{Name: name, Unit: shown, Number: true})
		}
		return columns
	}
	t := httpx.Table{Name: "chart " + v.Query.Result + " " + s.now().Format(time.DateOnly), Columns: []httpx.TableColumn{{Name: "measured at"}, {Name: "serial"}, {Name: "product"}, {Name: "place"}}}
	switch v.Grouped {
	case monitor.ByWeek:
		t.Columns = append(t.Columns, httpx.TableColumn{Name: "week from"}, httpx.TableColumn{Name: "no", Number: true}, httpx.TableColumn{Name: "read", Number: true})
	case monitor.ByLot:
		t.Columns = append(t.Columns, httpx.TableColumn{Name: "lot"}, httpx.TableColumn{Name: "blocks", Number: true})
	}
	t.Columns = append(t.Columns, httpx.TableColumn{Name: english.Result(v.Query.Result), Unit: words.Unit(v.Unit), Number: true})
	t.Columns = append(t.Columns, height("shown", "centre", "lower limit", "upper limit", "smoothed mean", "its lower limit", "its upper limit")...)
	if page.Heads.Within != "" {
		t.Columns = append(t.Columns, height("spread within the lot", "its centre", "its lower limit", "its upper limit")...)
	}
	t.Columns = append(t.Columns, httpx.TableColumn{Name: "signal"})
	for _, ph := range v.Phases {
		for i := ph.From; i < ph.To; i++ {
			p, at := v.Points[i], i-ph.From
			row := []string{p.MeasuredAt.In(s.zone()).Format("2006-01-02 15:04"), words.Serial(p.Serial), v.Products[p.ProductID], p.Place}
			switch v.Grouped {
			case monitor.ByWeek:
				row = append(row, p.Group, strconv.Itoa(p.Count), strconv.Itoa(p.Size))
			case monitor.ByLot:
				row = append(row, p.Group, strconv.Itoa(p.Size))
			}
			row = append(row, p.Value, heightAt(ph.Values.Points, at))
			lines := [][]float64{ph.Values.Centre, ph.Values.Low, ph.Values.High, ph.Smoothed.Points, ph.Smoothed.Low, ph.Smoothed.High}
			if page.Heads.Within != "" {
				lines = append(lines, ph.Within.Points, ph.Within.Centre, ph.Within.Low, ph.Within.High)
			}
			for _, line := range lines {
				if ph.Limits.Facts.NoLimits { // There is no line: the points stand alone.
					line = nil
				}
				row = append(row, heightAt(line, at))
			}
			t.Rows = append(t.Rows, append(row, page.Table[len(page.Table)-1-i].Signal))
		}
	}
	return t
}

// heightAt is a height of a line to six digits, empty where there is none.
func heightAt(line []float64, at int) string {
	if at < 0 || at >= len(line) {
		return ""
	}
	x, err := strconv.ParseFloat(strconv.FormatFloat(line[at], 'g', 6, 64), 64)
	if err != nil { // Six digits of a number are one.
		return ""
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}
