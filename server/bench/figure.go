package bench

// What is measured.
const (
	Capture = "capture" // inspections a second, against raw inserts of the same rows
	Steady  = "steady"  // the slowest hundredth at 80 % of that, against the middle one
	Drafts  = "drafts"  // drafts saved a second
	Look    = "look-up" // whole items a second, against the same statements by the database's own client
	Queue   = "queue"   // how long a tablet's queue takes while others capture
	Start   = "start"   // how long a start on the database takes
	Idle    = "idle"    // resident memory of a server that nobody asks
	Binary  = "binary"  // size of the program
)

// What a rate is held against.
const (
	ByPgbench = "pgbench"
	ByDriver  = "driver"
	Median    = "median"
)

// Figure is one thing that was measured. Ratios alone travel to another machine.
type Figure struct {
	Database   string  `json:"database,omitempty"` // sqlite or postgresql; empty: it concerns neither
	Name       string  `json:"name"`
	Value      float64 `json:"value"`
	Unit       string  `json:"unit"`
	Against    float64 `json:"against,omitempty"`
	With       string  `json:"with,omitempty"`       // what it is held against
	Statements int     `json:"statements,omitempty"` // of a look-up
	Ratio      float64 `json:"ratio,omitempty"`
	// Target bounds the ratio where there is one, else the value.
	Target float64 `json:"target,omitempty"`
	Least  bool    `json:"at_least,omitempty"` // the target is the least that is wanted, else the most
	Met    *bool   `json:"met,omitempty"`      // nil: it has no target
}

func (f *Figure) bounded() float64 {
	if f.Ratio != 0 {
		return f.Ratio
	}
	return f.Value
}

func (f *Figure) atLeast(target float64) {
	met := f.bounded() >= target
	f.Target, f.Least, f.Met = target, true, &met
}

func (f *Figure) atMost(target float64) {
	met := f.bounded() <= target
	f.Target, f.Least, f.Met = target, false, &met
}

// Report is everything that one run found.
type Report struct {
	Seconds float64  `json:"seconds"` // each rate was measured for
	CPUs    int      `json:"cpus"`
	Figures []Figure `json:"figures"`
	Advice  []Advice `json:"advice"`
}

// Advice is how many stands a database carries here.
type Advice struct {
	Database string `json:"database"`
	Stands   int    `json:"stands"`
	Rate     Stand  `json:"a_stand"`
}

// Stand is what one stand asks of a server while somebody works at it without a
// pause.
type Stand struct {
	Minutes float64 `json:"minutes"` // from one inspection to the next
	Drafts  int     `json:"drafts"`  // saved meanwhile
	Looks   int     `json:"looks"`   // items opened meanwhile
}

// DefaultStand reads a wheel at every hole in six minutes. A page saves its
// draft once a second at most while readings come in: a hundred and eight of
// them, and the ticked list.
var DefaultStand = Stand{Minutes: 6, Drafts: 120, Looks: 2}

// reserve is the share of what was measured that stands may take: charts, pages
// of the office, a backup and a rush want the rest.
const reserve = 0.5

// carried is how many such stands fit: each takes the server for as long as its
// requests do at the rates that were measured.
func carried(s Stand, captures, drafts, looks float64) int {
	busy := 1/captures + float64(s.Drafts)/drafts + float64(s.Looks)/looks
	return int(reserve * s.Minutes * 60 / busy)
}
