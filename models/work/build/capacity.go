package build

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// NewTest is a discharge at constant current as it was logged.
type NewTest struct {
	Started      time.Time
	TemperatureC string // at the start
	ReferenceC   string // that the rated capacity holds at; empty is 25
	Log          models.CapacityLog
}

// Tested is a capacity test with what follows from its log.
type Tested struct {
	models.CapacityTest
	Content   models.CapacityLog
	CurrentA  float64 // of the whole pack
	Blocks    []TestedBlock
	Weakest   int // place of the first block at its cut-off; 0 when none reached it
	AcceptPct float64
	Accepted  bool
	InRange   bool // the start lay where the correction is good, 15 to 35 degrees
}

// TestedBlock is one block: what it gave until its own cut-off.
type TestedBlock struct {
	Place   int
	Reached bool // its cut-off; otherwise it gave at least this
	Hours   float64
	pack.Capacity
}

// mostUneven is how far a current may wander from its middle and still count as
// constant. Common practice, no source.
const mostUneven = 0.05

// AddCapacityTest records a discharge. Cut-off, coefficient and acceptance are
// the defaults of the block's class and are kept with the test.
func (s *Service) AddCapacityTest(ctx context.Context, actor models.Actor, named string, in NewTest) (Tested, error) {
	sheet, _, err := s.subject(ctx, named)
	if err != nil {
		return Tested{}, err
	}
	invalid := &models.InvalidError{}
	t := models.CapacityTest{ID: models.NewID(), ItemID: sheet.Item.ID, StartedAt: in.Started, CoefPerK: "0"}
	if t.StartedAt.IsZero() || t.StartedAt.After(s.now().Add(5*time.Minute)) {
		invalid.Add("started_at", "ahead_of_clock")
	}
	t.TemperatureC = degree(invalid, "temperature_c", in.TemperatureC)
	if t.ReferenceC = strings.TrimSpace(in.ReferenceC); t.ReferenceC == "" {
		t.ReferenceC = "25"
	}
	t.ReferenceC = degree(invalid, "reference_c", t.ReferenceC)
	if sheet.Form == nil || sheet.Form.CapacityAh == "" {
		invalid.Add("item", "no_rated_capacity")
	} else {
		t.RatedAh = sheet.Form.CapacityAh
		class := pack.ClassFor(pack.Chemistry(sheet.Form.Chemistry), sheet.Form.Cells, 0)
		if t.CutOffV, err = pack.Limit(class, "cut_off_v"); err != nil {
			t.CutOffV = "2.75" // Li-ion: makers give 2.75 to 3.0.
		}
		if coef, err := pack.Limit(class, "capacity_coef_per_k"); err == nil {
			t.CoefPerK = coef
		}
		checkLog(invalid, in.Log, sheet.Form.Strings*sheet.Form.Blocks)
	}
	if err := invalid.OrNil(); err != nil {
		return Tested{}, err
	}
	log, err := json.Marshal(in.Log)
	if err != nil {
		return Tested{}, fmt.Errorf("write the log: %w", err)
	}
	sum := sha256.Sum256(log)
	t.Log, t.LogHash = string(log), hex.EncodeToString(sum[:])
	tested, err := evaluated(t, *sheet.Form)
	if err != nil {
		return Tested{}, err
	}
	return tested, s.store.AddCapacityTest(ctx, models.NewStamp(actor, s.now()), t)
}

func degree(invalid *models.InvalidError, field, typed string) string {
	d, err := measure.ParseReading(typed)
	switch {
	case strings.TrimSpace(typed) == "":
		invalid.Add(field, "missing")
	case err != nil:
		invalid.Add(field, "not_a_number", "typed", shortened(typed))
	case d.Float() < -40 || d.Float() > 60:
		invalid.Add(field, "no_shelf_temperature", "typed", shortened(typed))
	default:
		return d.String()
	}
	return ""
}

// checkLog refuses a log that no capacity follows from.
func checkLog(invalid *models.InvalidError, log models.CapacityLog, blocks int) {
	if len(log.Hours) < 2 {
		invalid.Add("log", "log_too_short")
		return
	}
	if len(log.Hours) > mostRows {
		invalid.Add("log", "log_rows", "most", strconv.Itoa(mostRows))
		return
	}
	if len(log.Volts) != blocks {
		invalid.Add("log", "log_blocks", "got", strconv.Itoa(len(log.Volts)), "want", strconv.Itoa(blocks))
		return
	}
	columns := append([][]string{log.Hours, log.Amps}, log.Volts...)
	read := make([][]float64, len(columns))
	for c, column := range columns {
		if len(column) != len(log.Hours) {
			invalid.Add("log", "log_uneven")
			return
		}
		for i, text := range column {
			x, err := strconv.ParseFloat(text, 64)
			if err != nil || math.IsNaN(x) || math.Abs(x) > 1e6 {
				invalid.Add("log", "log_number", "line", strconv.Itoa(i+1), "typed", shortened(text))
				return
			}
			read[c] = append(read[c], x)
		}
	}
	mean := middle(read[1])
	for i := range read[0] {
		switch {
		case i > 0 && read[0][i] <= read[0][i-1]:
			invalid.Add("log", "log_time_back", "line", strconv.Itoa(i+1))
			return
		case mean == 0 || math.Abs(read[1][i]-mean) > mostUneven*math.Abs(mean):
			invalid.Add("log", "log_current", "line", strconv.Itoa(i+1))
			return
		}
	}
}

func middle(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}

// evaluated computes each block: the hours until its voltage first falls below
// its cut-off, between two rows in proportion, and from them Ah = I t, corrected
// to the reference temperature (pack.Discharge). The current of the log is the
// whole pack's: strings side by side are taken to share it evenly.
func evaluated(t models.CapacityTest, form models.PackForm) (Tested, error) {
	out := Tested{CapacityTest: t, AcceptPct: 95}
	if err := json.Unmarshal([]byte(t.Log), &out.Content); err != nil {
		return Tested{}, fmt.Errorf("read the log of test %s: %w", t.ID, err)
	}
	if text, err := pack.Limit(pack.ClassFor(pack.Chemistry(form.Chemistry), form.Cells, 0), "capacity_min_pct"); err == nil {
		if pct, err := strconv.ParseFloat(text, 64); err == nil {
			out.AcceptPct = pct
		}
	}
	figures := map[string]float64{}
	for name, text := range map[string]string{"rated": t.RatedAh, "cut": t.CutOffV, "coef": t.CoefPerK, "ref": t.ReferenceC, "temp": t.TemperatureC} {
		d, err := measure.ParseReading(text)
		if err != nil {
			return Tested{}, fmt.Errorf("figure %s of test %s: %w", name, t.ID, err)
		}
		figures[name] = d.Float()
	}
	hours, amps := floats(out.Content.Hours), floats(out.Content.Amps)
	out.CurrentA = math.Abs(middle(amps))
	share := out.CurrentA / float64(max(1, form.Strings))
	first := math.Inf(1)
	for b, column := range out.Content.Volts {
		block := TestedBlock{Place: b + 1}
		block.Hours, block.Reached = until(hours, floats(column), figures["cut"])
		var err error
		block.Capacity, err = pack.Discharge{CurrentA: share, Hours: block.Hours, TempC: figures["temp"], CoefPerK: figures["coef"], ReferenceC: figures["ref"], RatedAh: figures["rated"]}.Corrected()
		if err != nil {
			return Tested{}, models.Invalid("log", "log_gives_nothing", "place", strconv.Itoa(b+1))
		}
		if block.Reached && block.Hours < first {
			first, out.Weakest = block.Hours, block.Place
		}
		out.Blocks = append(out.Blocks, block)
		out.InRange = block.InRange
	}
	out.Accepted = true
	for _, b := range out.Blocks {
		out.Accepted = out.Accepted && b.PctOfRated >= out.AcceptPct-1e-9
	}
	return out, nil
}

// until gives the hours from the first row until a voltage falls below the
// cut-off, or all of them.
func until(hours, volts []float64, cutOff float64) (float64, bool) {
	for i, v := range volts {
		if v >= cutOff {
			continue
		}
		if i == 0 {
			return 0, true
		}
		share := (volts[i-1] - cutOff) / (volts[i-1] - v)
		return hours[i-1] + share*(hours[i]-hours[i-1]) - hours[0], true
	}
	return hours[len(hours)-1] - hours[0], false
}

func floats(list []string) []float64 {
	out := make([]float64, len(list))
	for i, text := range list {
		out[i], _ = strconv.ParseFloat(text, 64) // Checked when it was added.
	}
	return out
}

// CapacityTests lists the tests of an item, newest first.
func (s *Service) CapacityTests(ctx context.Context, named string) ([]models.CapacityTest, error) {
	item, err := s.item(ctx, named)
	if err != nil {
		return nil, err
	}
	return s.store.CapacityTestsOf(ctx, item.ID)
}

// CapacityTest gives one with what follows from its log.
func (s *Service) CapacityTest(ctx context.Context, named, id string) (Tested, error) {
	sheet, _, err := s.subject(ctx, named)
	if err != nil {
		return Tested{}, err
	}
	tests, err := s.store.CapacityTestsOf(ctx, sheet.Item.ID)
	if err != nil {
		return Tested{}, err
	}
	for _, t := range tests {
		if t.ID == id && sheet.Form != nil {
			return evaluated(t, *sheet.Form)
		}
	}
	return Tested{}, fmt.Errorf("capacity test %.40q: %w", id, models.ErrNotFound)
}
