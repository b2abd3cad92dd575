package wheel

import (
	"cmp"
	"math"
	"slices"
)

// More causes of a contradiction that Explain weighs, beside those of Learn and
// OtherFlank.
const (
	AsListed     = "as_listed"     // the turns as the list said
	WrongSide    = "wrong_side"    // each turn on the spoke next to it, which is of the other side
	ReadSwapped  = "sides_swapped" // the readings: side B read as side A
	StartedAside = "wrong_start"   // the readings: counted from another spoke
)

// Before is a wheel as it was read before some turns were made.
type Before struct {
	Lateral, Radial []float64 // mm
	Tension         []float64 // N
	// ZeroKept says that both lateral sets are referred to the same zero (by
	// the dish gauge): only then does the mean of the change say something.
	ZeroKept bool
}

// Hypothesis is one explanation of what was read after some turns.
type Hypothesis struct {
	Cause   string
	Spokes  int     // with ShiftedSpoke and StartedAside, by how many spokes; with WrongSide, 1 or -1
	Change  Changed // what the readings would have changed by
	Lateral float64 // correlation of that with what they did change by, -1 to 1
	Radial  float64
	Tension float64
	Fit     float64 // mean of those of the channels that tell something
	Left    float64 // what it leaves unexplained: the least is the best explanation
}

// Explain weighs what may have happened between two readings of a wheel with
// some turns made between them, the best explanation first. With x the turns, A
// the influence and (l, r, T) the readings before, the readings after would
// have been
//
//	as listed           l + A_l x, r + A_r x, T + A_T x
//	wrong direction     with -x
//	wrong side          with x made on spokes j+1, and on j-1
//	wrong spoke         with x made on spokes j+2, j-2, j+4, j-4: the next ones of the side
//	sides swapped       as listed, but the lateral reversed and the tensions of each pair exchanged
//	other flank         as listed, but the lateral reversed
//	started aside       as listed, but every reading 1 or 2 spokes on
//	slipped gauge       as listed, with a step c in one run-out from a station s on
//
// A rim may well be half as stiff as assumed, so that in each channel the
// turns' part is scaled by the factor of 0.4 to 1.5 that fits best. Explanations
// are ordered by what is then left of the n readings of each channel,
//
//	n/2 ln(sum(rest^2)/n + s^2) summed + k/2 ln n,   s^2 = 2 noise^2 + (0.1 rms of the change)^2
//
// which is the criterion of Schwarz (Annals of Statistics 6, 1978) for normal
// errors, k the figures fitted beside the factors: two of a slip. The tenth of
// the change stands for nipples that are not turned quite as asked. Correlation
// is about zero, sum(p o)/sqrt(sum(p^2) sum(o^2)); radial changes are compared
// about their means, and lateral ones too where the zero of the gauge was not
// kept or does not survive the explanation; in the order lateral changes count
// about their means throughout. The list of causes is that of what
// goes wrong at a stand, common practice.
func Explain(influence Influence, turns []float64, before, after Before, noise Noise) ([]Hypothesis, error) {
	made, err := influence.Of(turns)
	if err != nil {
		return nil, err
	}
	for _, set := range []struct {
		field  string
		values []float64
	}{{"lateral_before", before.Lateral}, {"radial_before", before.Radial}, {"tension_before", before.Tension},
		{"lateral_after", after.Lateral}, {"radial_after", after.Radial}, {"tension_after", after.Tension}} {
		if len(set.values) != len(turns) {
			return nil, fieldf(set.field, "%d values for %d spokes", len(set.values), len(turns))
		}
		if err := allFinite(set.field, set.values); err != nil {
			return nil, err
		}
	}
	e := explanation{before: before, noise: noise, zeroKept: before.ZeroKept && after.ZeroKept,
		observed: Changed{Lateral: minus(after.Lateral, before.Lateral), Radial: minus(after.Radial, before.Radial), Tension: minus(after.Tension, before.Tension)}}
	e.weigh(made)
	e.add(story{cause: AsListed, turned: made, zeroKept: true})
	for _, t := range []struct {
		cause  string
		spokes int
		turns  []float64
	}{
		{WrongDirection, 0, scaledBy(turns, -1)},
		{WrongSide, 1, moved(turns, 1)}, {WrongSide, -1, moved(turns, -1)},
		{ShiftedSpoke, 2, moved(turns, 2)}, {ShiftedSpoke, -2, moved(turns, -2)},
		{ShiftedSpoke, 4, moved(turns, 4)}, {ShiftedSpoke, -4, moved(turns, -4)},
	} {
		change, err := influence.Of(t.turns)
		if err != nil {
			return nil, err
		}
		e.add(story{cause: t.cause, spokes: t.spokes, turned: change, zeroKept: true})
	}
	e.misread(made)
	e.slipped(made)
	slices.SortStableFunc(e.list, func(a, b Hypothesis) int { return cmp.Compare(a.Left, b.Left) })
	return e.list, nil
}

// outdone is by how much less another explanation must leave than the turns as
// listed for the list to be contradicted by it: over a simulated stand of 98
// wheels turned as listed it was at most 10, for nine in ten of those with a
// mistake at least 50. Our own choice, in between.
const outdone = 30

// Outdone says that another explanation fits so much better than the turns as
// listed that these are not to be believed, even where every channel by itself
// is near enough to what was predicted: turns of a few spokes further along
// move a rim that is off centre nearly as those of the list do.
func Outdone(list []Hypothesis) bool {
	for _, h := range list {
		if h.Cause == AsListed {
			return h.Left-list[0].Left > outdone
		}
	}
	return false
}

// explanation gathers hypotheses about one pair of readings.
type explanation struct {
	before   Before
	observed Changed
	noise    Noise
	zeroKept bool
	tells    [3]bool // whether lateral, radial and tension changed, or were to, by more than noise
	list     []Hypothesis
}

// weigh finds the channels that tell something: by the list or by the readings
// they changed by more than three times the noise of a difference.
func (e *explanation) weigh(listed Changed) {
	for i, c := range []struct {
		p, o  []float64
		noise float64
	}{
		{listed.Lateral, e.observed.Lateral, e.noise.RunOutMM},
		{centred(listed.Radial), centred(e.observed.Radial), e.noise.RunOutMM},
		{listed.Tension, e.observed.Tension, e.noise.TensionN},
	} {
		e.tells[i] = math.Max(rms(c.p), rms(c.o)) > 3*math.Sqrt2*c.noise
	}
}

// story is a hypothesis as it is told: the readings change by aside, whatever
// was turned, and by what the turns do as it is read.
type story struct {
	cause    string
	spokes   int
	aside    *Changed
	turned   Changed
	zeroKept bool // the mean of the lateral change still says something
	figures  int  // fitted beside the factors
}

// add weighs one.
func (e *explanation) add(s story) {
	h := Hypothesis{Cause: s.cause, Spokes: s.spokes}
	n := len(s.turned.Tension)
	aside := Changed{make([]float64, n), make([]float64, n), make([]float64, n)}
	if s.aside != nil {
		aside = *s.aside
	}
	h.Change = Changed{plusAll(aside.Lateral, s.turned.Lateral), plusAll(aside.Radial, s.turned.Radial), plusAll(aside.Tension, s.turned.Tension)}
	asIs := func(v []float64) []float64 { return v }
	lateral := asIs
	if !s.zeroKept || !e.zeroKept {
		lateral = centred
	}
	var sum float64
	told := 0
	for i, c := range []struct {
		into                  *float64
		aside, turned, change []float64
		noise                 float64
		about                 func([]float64) []float64
	}{
		{&h.Lateral, aside.Lateral, s.turned.Lateral, e.observed.Lateral, e.noise.RunOutMM, lateral},
		{&h.Radial, aside.Radial, s.turned.Radial, e.observed.Radial, e.noise.RunOutMM, centred},
		{&h.Tension, aside.Tension, s.turned.Tension, e.observed.Tension, e.noise.TensionN, asIs},
	} {
		a, t, o := c.about(c.aside), c.about(c.turned), c.about(c.change)
		best := plusAll(a, scaledBy(t, factor(t, minus(o, a))))
		*c.into = aboutZero(best, o)
		if i == 0 {
			// An explanation that takes the mean away has less to explain: all
			// are ordered by the shape alone.
			a, t, o = centred(a), centred(t), centred(o)
			best = plusAll(a, scaledBy(t, factor(t, minus(o, a))))
		}
		h.Left += float64(n) / 2 * math.Log(square(rms(minus(o, best)))+2*square(c.noise)+square(rms(o)/10)+vanishing)
		if e.tells[i] {
			sum += *c.into
			told++
		}
	}
	h.Left += float64(s.figures) / 2 * math.Log(float64(n))
	if told > 0 {
		h.Fit = sum / float64(told)
	}
	e.list = append(e.list, h)
}

// factor scales a prediction to what was seen, within what a rim may differ by.
func factor(predicted, seen []float64) float64 {
	var pp, po float64
	for i, p := range predicted {
		pp += p * p
		po += p * seen[i]
	}
	if f := po / pp; finite(f) {
		return math.Max(LeastScale, math.Min(MostScale, f))
	}
	return 1
}

// misread adds the explanations in which the turns were made and the readings
// are not what they seem.
func (e *explanation) misread(made Changed) {
	as := func(read func(b Changed) Changed) (aside *Changed, turned Changed) {
		was := read(Changed{e.before.Lateral, e.before.Radial, e.before.Tension})
		return &Changed{minus(was.Lateral, e.before.Lateral), minus(was.Radial, e.before.Radial), minus(was.Tension, e.before.Tension)}, read(made)
	}
	aside, turned := as(func(b Changed) Changed { return Changed{scaledBy(b.Lateral, -1), b.Radial, b.Tension} })
	e.add(story{cause: OtherFlank, aside: aside, turned: turned})
	aside, turned = as(func(b Changed) Changed { return Changed{scaledBy(b.Lateral, -1), b.Radial, exchanged(b.Tension)} })
	e.add(story{cause: ReadSwapped, aside: aside, turned: turned})
	for _, by := range []int{1, -1, 2, -2} {
		aside, turned = as(func(b Changed) Changed {
			return Changed{moved(b.Lateral, by), moved(b.Radial, by), moved(b.Tension, by)}
		})
		e.add(story{cause: StartedAside, spokes: by, aside: aside, turned: turned, zeroKept: true})
	}
}

// exchanged gives each spoke the value of its pair on the other side.
func exchanged(values []float64) []float64 {
	out := slices.Clone(values)
	for j := range out {
		if j^1 < len(out) {
			out[j] = values[j^1]
		}
	}
	return out
}

// slipped adds a step in one run-out.
func (e *explanation) slipped(made Changed) {
	none := func() []float64 { return make([]float64, len(made.Tension)) }
	e.add(story{cause: SlippedGauge, aside: &Changed{step(minus(e.observed.Lateral, made.Lateral)), none(), none()}, turned: made, zeroKept: true, figures: 2})
	e.add(story{cause: SlippedGauge, aside: &Changed{none(), step(minus(e.observed.Radial, made.Radial)), none()}, turned: made, zeroKept: true, figures: 2})
}

// step gives the step that comes nearest to a row of values: nothing before
// a station, c from it on, where c is the mean of what follows less that of
// what comes before, and the station the one that leaves least. Least squares,
// textbook.
func step(values []float64) []float64 {
	n := len(values)
	best, at, size := math.Inf(1), n, 0.0
	for s := 1; s < n; s++ {
		early, late := average(values[:s]), average(values[s:])
		left := 0.0
		for i, v := range values {
			if i >= s {
				left += square(v - late)
			} else {
				left += square(v - early)
			}
		}
		if left < best {
			best, at, size = left, s, late-early
		}
	}
	out := make([]float64, n)
	for i := at; i < n; i++ {
		out[i] = size
	}
	return out
}

func square(x float64) float64 { return x * x }

// aboutZero is the correlation about zero, 0 where either is nothing.
func aboutZero(p, o []float64) float64 {
	var pp, po, oo float64
	for i := range p {
		pp += p[i] * p[i]
		po += p[i] * o[i]
		oo += o[i] * o[i]
	}
	r := po / math.Sqrt(pp) / math.Sqrt(oo)
	if !finite(r) {
		return 0
	}
	return r
}

// moved puts the value of each spoke on the one so many further.
func moved(values []float64, by int) []float64 {
	n := len(values)
	out := make([]float64, n)
	for j, v := range values {
		out[((j+by)%n+n)%n] = v
	}
	return out
}

func scaledBy(values []float64, by float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = by * v
	}
	return out
}

func minus(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range out {
		out[i] = a[i] - b[i]
	}
	return out
}

func plusAll(a, b []float64) []float64 { return minus(a, scaledBy(b, -1)) }

// Telling gives the spokes at which two explanations differ most, to be read
// again: at least a few spokes apart, the changes weighed like those of a task
// (0.10 mm like 50 N).
func Telling(a, b Hypothesis, count int) []int {
	n := len(a.Change.Lateral)
	differs := func(j int) float64 {
		task := DefaultTask()
		return math.Abs(a.Change.Lateral[j]-b.Change.Lateral[j])/task.LateralScale + math.Abs(a.Change.Tension[j]-b.Change.Tension[j])/task.TensionScale
	}
	order := make([]int, n)
	for j := range order {
		order[j] = j
	}
	slices.SortStableFunc(order, func(x, y int) int {
		switch {
		case differs(x) > differs(y):
			return -1
		case differs(x) < differs(y):
			return 1
		}
		return 0
	})
	chosen := []int{}
	for _, j := range order {
		if len(chosen) == count {
			break
		}
		far := true
		for _, c := range chosen {
			far = far && apartDeg(360*float64(j)/float64(n), 360*float64(c)/float64(n)) >= 60
		}
		if far {
			chosen = append(chosen, j)
		}
	}
	slices.Sort(chosen)
	return chosen
}
