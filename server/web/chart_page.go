package web

// ChartPage is a control chart. Its title says what the process does; the
// points, limits and signals are the evidence. No limit of a specification
// runs through it: a chart is not a verdict.
type ChartPage struct {
	Frame
	Open     []OpenChart // watched charts with signals that nobody has explained
	About    string      // what is charted, small above the title
	Answer   string
	Sub      string
	Bands    []string // what has to be said before anything is read off
	Pickers  []Field
	Rules    []ChartRule
	Asked    bool // rules were asked for
	Problem  string
	Choose   []Link // what to choose instead of what cannot be drawn
	Drawn    bool   // there is something to draw
	Data     string
	Key      string // of the chart, as the stream of changes names it
	Describe string // the picture in words
	Cause    *CauseForm
	Signals  []SignalLine
	Facts    []ChartFact
	Why      string // why this chart and this scale
	Wolf     string // how often it cries wolf
	Products []ChartProduct
	Together string // what the products did, as a heading
	Others   []Link // the same from another side
	Phases   []ChartPhase
	Events   []ChartEventLine
	Happened *ChartForm
	Baseline *ChartForm
	Table    []ChartRow
	Heads    ChartHeads
	Older    string // there are older points than are shown
	Ways     []Link // table, baseline, CSV
}

// ChartRule is a run rule that may be asked for.
type ChartRule struct {
	Code, Text string
	On         bool
}

// ChartForm is a form of the page, with the hidden key of the chart.
type ChartForm struct {
	Path     string
	About    string
	Open     bool
	Hidden   [][2]string
	Fields   []Field
	Problems Problems
}

// CauseForm asks for the cause of the newest open signal.
type CauseForm struct {
	ChartForm
	Title, Note string
}

// SignalLine is a point that the process by itself would hardly give.
type SignalLine struct {
	Serial, Path, When, Words string
	Causes                    []string
	Settled                   bool
	Ask                       string // address of the page that asks for its cause
}

// ChartFact is something the chart has to admit about itself.
type ChartFact struct{ Label, Value, Means string }

// ChartProduct is what one product of a chart did.
type ChartProduct struct{ Name, Path, N, Now string }

// ChartPhase is a stretch with limits of its own, in words.
type ChartPhase struct{ From, Words string }

// ChartEventLine is something that happened.
type ChartEventLine struct{ When, Words string }

// ChartHeads are the headings of the table that depend on the chart.
type ChartHeads struct{ Value, Shown, Smoothed, Within string }

// ChartRow is one point as a row.
type ChartRow struct {
	Serial, Path, When, Place, Value, Shown, Smoothed, Within, Signal string
	Name                                                              string // by which a form takes the point, where that is not its serial
}

// controlData is what the chart's module draws; it lies in a data- attribute. The
// points themselves, their serials and words, it reads from the table, so that
// nothing is sent twice. A line has one height, or one a point.
type controlData struct {
	Unit     string          `json:"unit"`   // of the axis
	Behind   string          `json:"behind"` // the unit as it stands behind a value
	Title    string          `json:"title"`
	Decimals int             `json:"decimals"`
	Values   []float64       `json:"values"`
	Phases   []controlPhase  `json:"phases"`
	Signals  []controlSignal `json:"signals"`
	Events   []controlEvent  `json:"events"`
	Accepted []controlAccept `json:"accepted"` // limits of the specification: an arrow at the edge
	One      string          `json:"one"`      // wheel
	Within   *controlWithin  `json:"within,omitempty"`
}

// controlWithin is the strip of the spread within lots, drawn below. Its heights are
// those of the points; the limits, of the phases they are within.
type controlWithin struct {
	Title    string        `json:"title"`
	Unit     string        `json:"unit"`
	Decimals int           `json:"decimals"`
	Values   []float64     `json:"values"`
	Phases   []withinPhase `json:"phases"`
}

type withinPhase struct {
	From   int       `json:"from"`
	To     int       `json:"to"`
	Centre []float64 `json:"centre"`
	Low    []float64 `json:"low,omitempty"`
	High   []float64 `json:"high"`
}

type controlPhase struct {
	From     int       `json:"from"`
	To       int       `json:"to"`
	Words    string    `json:"words"`
	Base     []int     `json:"base,omitempty"` // first and last point of the baseline, where both are shown
	Smoothed []float64 `json:"smoothed,omitempty"`
	Centre   []float64 `json:"centre,omitempty"`
	Low      []float64 `json:"low,omitempty"`
	High     []float64 `json:"high,omitempty"`
	SlowLow  []float64 `json:"slowLow,omitempty"`
	SlowHigh []float64 `json:"slowHigh,omitempty"`
}

type controlSignal struct {
	Point    int    `json:"point"`
	First    int    `json:"first"`
	Last     int    `json:"last"`
	Smoothed bool   `json:"smoothed"`
	Within   bool   `json:"within,omitempty"`
	Settled  bool   `json:"settled"`
	Open     bool   `json:"open"`
	Covered  bool   `json:"covered"`
	Words    string `json:"words"`
	Short    string `json:"short"`
}

type controlEvent struct {
	Before int    `json:"before"` // index of the first point after it
	Words  string `json:"words"`
}

type controlAccept struct {
	Value float64 `json:"value"`
	Words string  `json:"words"`
}
