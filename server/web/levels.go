package web

import (
	"encoding/json"
	"slices"
	"time"

	"tracewright/models/words"
	"tracewright/server/httpx"
)

// mostLevelPoints is how many values a picture of two levels takes, the newest: as
// many as a table on a page bears.
const mostLevelPoints = 3000

// LevelPlot is the picture of two levels and the table of the same: values over
// time, those of one part of the work, or of after a change, apart from all others.
type LevelPlot struct {
	Data     string
	Describe string
	Value    string // what the column of values is called, with its unit
	Rows     []LevelRow
	Older    bool   // there are older values than it takes
	Title    string // Value without its unit
	Unit     string // as people read it
	Table    string // address of the table for spreadsheets
}

// table is the values as a spreadsheet opens them.
func (p *LevelPlot) table(name string) httpx.Table {
	when := "measured"
	if p.Data == "" {
		when = "shipped"
	}
	t := httpx.Table{Name: name, Columns: []httpx.TableColumn{{Name: when}, {Name: "item"}, {Name: "part"}, {Name: p.Title, Unit: p.Unit, Number: p.Data != ""}}}
	for _, r := range p.Rows {
		t.Rows = append(t.Rows, []string{r.At, r.Serial, r.Part, r.Value})
	}
	return t
}

// LevelRow is one value as a row, the newest first.
//
// At is When as a spreadsheet reads it.
type LevelRow struct{ When, At, Serial, Path, Part, Value string }

// levelPoint is one value to be drawn.
type levelPoint struct {
	at           time.Time
	serial, item string
	value        float64
	in           bool
}

// levelLine is a level, or a drift, from one moment to another; levelBand is its
// interval.
type (
	levelLine struct {
		from, to time.Time
		y0, y1   float64
		in       bool
	}
	levelBand struct {
		from, to  time.Time
		low, high float64
	}
)

// levelData is what the module draws; it lies in a data- attribute. Times are those
// of the shop's clock on the wall, so that a script without its zone shows its days.
type levelData struct {
	Title    string       `json:"title"`
	Behind   string       `json:"behind"` // the unit as it stands behind a value
	Decimals int          `json:"decimals"`
	Names    [2]string    `json:"names"` // of the part, and of all others
	Moment   int64        `json:"moment,omitempty"`
	Points   [][3]float64 `json:"points"` // moment, value, 1 for the part
	Lines    []lineShape  `json:"lines"`
	Bands    []bandShape  `json:"bands"`
}

type lineShape struct {
	X0 int64   `json:"x0"`
	X1 int64   `json:"x1"`
	Y0 float64 `json:"y0"`
	Y1 float64 `json:"y1"`
	In bool    `json:"in"`
}

type bandShape struct {
	X0   int64   `json:"x0"`
	X1   int64   `json:"x1"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// levelPlot makes the picture; unit is a code, names are those of the part and of
// all others.
func (s *site) levelPlot(title, unit string, decimals int, names [2]string, points []levelPoint, lines []levelLine, bands []levelBand, moment time.Time) *LevelPlot {
	p := &LevelPlot{Value: title, Title: title, Unit: words.Unit(unit)}
	if symbol := p.Unit; symbol != "" {
		p.Value += ", " + symbol
	}
	slices.SortStableFunc(points, func(a, b levelPoint) int { return a.at.Compare(b.at) })
	if len(points) > mostLevelPoints {
		points, p.Older = points[len(points)-mostLevelPoints:], true
	}
	data := levelData{Title: p.Value, Behind: words.Quantity("0", unit)[1:], Decimals: decimals, Names: names, Points: make([][3]float64, len(points)), Lines: []lineShape{}, Bands: []bandShape{}}
	if !moment.IsZero() {
		data.Moment = s.wall(moment)
	}
	values := make([]float64, len(points))
	for i, x := range points {
		values[i] = x.value
	}
	values = drawn(values)
	p.Rows = make([]LevelRow, len(points))
	for i, x := range points {
		part := names[1]
		data.Points[i] = [3]float64{float64(s.wall(x.at)), values[i], 0}
		if x.in {
			part, data.Points[i][2] = names[0], 1
		}
		p.Rows[len(points)-1-i] = LevelRow{When: s.minute(x.at), At: x.at.In(s.zone()).Format(time.DateTime), Serial: words.Serial(firstOf(x.serial, x.item)), Path: itemPath(x.serial, x.item), Part: part, Value: words.Number(fixed(x.value, decimals))}
	}
	for _, l := range lines {
		data.Lines = append(data.Lines, lineShape{s.wall(l.from), s.wall(l.to), l.y0, l.y1, l.in})
	}
	for _, b := range bands {
		data.Bands = append(data.Bands, bandShape{s.wall(b.from), s.wall(b.to), b.low, b.high})
	}
	p.Describe = words.Sentence(plural(len(points), "value", "values")) + " over time: " + names[0] + " as filled diamonds, " + names[1] + " as open circles. Left and right arrow keys go from value to value, page keys to the other part, Enter opens the item; the table below holds the same."
	// A picture of numbers and text cannot fail to encode.
	raw, _ := json.Marshal(data)
	p.Data = string(raw)
	return p
}

// wall is a moment in milliseconds as the clock on the shop's wall would be in UTC.
func (s *site) wall(t time.Time) int64 {
	_, offset := t.In(s.zone()).Zone()
	return t.UnixMilli() + int64(offset)*1000
}
