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
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// NewTest is a discharge at constant current as it was logged.
type NewTest struct {
	Started      time.Time
	TemperatureC string // at the start
	ReferenceC   string // that the rated capacity holds at; empty is 25
	CutOffV      string // of one block; empty is the default of its class, for slow rates
	CoefPerK     string // correction per kelvin; empty follows from the hours it took
	Log          models.CapacityLog
}

const (
	// loggedBefore is how many days before a pack was written down here its
	// discharge may have been logged, or a step of it done: as long ago as readings may lie that are sent
	// late. Common practice, no source.
	loggedBefore = 90
	// mostUneven is how far a current may wander from its middle and still count
	// as constant. Common practice, no source.
	mostUneven = 0.05
	// slowFromH is how many hours a discharge takes at least to count as slow.
	// IEC 60896-21 cl. 6.11, quoted from memory; one maker counts 3 h as fast.
	slowFromH = 3.0
)

// AddCapacityTest records a discharge, once: sent again it gives the same test. What it is judged by is kept with it: what
// was typed, and otherwise the limits of the block's model.
func (s *Service) AddCapacityTest(ctx context.Context, actor models.Actor, named string, in NewTest) (Tested, error) {
	sheet, _, err := s.subject(ctx, named)
	if err != nil {
		return Tested{}, err
	}
	invalid := &models.InvalidError{}
	t := models.CapacityTest{ID: models.NewID(), ItemID: sheet.Item.ID, StartedAt: in.Started}
	if t.StartedAt.IsZero() || t.StartedAt.After(s.now().Add(5*time.Minute)) {
		invalid.Add("started_at", "ahead_of_clock")
	} else if day, earlier, err := s.longBefore(ctx, sheet.Item.ID, t.StartedAt); err != nil {
		return Tested{}, err
	} else if earlier {
		invalid.Add("started_at", "before_item", "date", day)
	}
	t.TemperatureC = degree(invalid, "temperature_c", in.TemperatureC)
	if t.ReferenceC = strings.TrimSpace(in.ReferenceC); t.ReferenceC == "" {
		t.ReferenceC = "25"
	}
	t.ReferenceC = degree(invalid, "reference_c", t.ReferenceC)
	if sheet.Form == nil || sheet.Form.CapacityAh == "" {
		invalid.Add("item", "no_rated_capacity")
	} else {
		if checkLog(invalid, in.Log, sheet.Form.Strings*sheet.Form.Blocks) {
			plausible(invalid, in.Log, *sheet.Form, s.now().Sub(t.StartedAt))
		}
		judgeBy(invalid, &t, in, *sheet.Form)
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
	tested, err := evaluated(t)
	if err == nil {
		err = given(tested)
	}
	if err != nil {
		return Tested{}, err
	}
	tested.CapacityTest, err = s.store.AddCapacityTest(ctx, models.NewStamp(actor, s.now()), t)
	return tested, err
}

// judgeBy fills in what a test is judged by.
func judgeBy(invalid *models.InvalidError, t *models.CapacityTest, in NewTest, form models.PackForm) {
	t.RatedAh, t.Strings, t.CutOffV, t.AcceptPct, t.CoefPerK = form.CapacityAh, form.Strings, "", "95", "0"
	if cut, err := pack.ForCells("2.75", form.Cells, 1); err == nil { // Li-ion: makers give 2.75 to 3.0 V a cell.
		t.CutOffV = cut
	}
	block := kinds.PackBlock(form)
	if text := kinds.BlockLimitText(block, "cut_off_v"); text != "" {
		t.CutOffV = text
	}
	if text := kinds.BlockLimitText(block, "capacity_min_pct"); text != "" {
		t.AcceptPct = text
	}
	if typed := strings.TrimSpace(in.CutOffV); typed != "" {
		most := 3 * float64(form.Cells) // No cell has as much when it is empty.
		t.CutOffV = within(invalid, "cut_off_v", typed, 0.1, most, "V")
	}
	typed := strings.TrimSpace(in.CoefPerK)
	slow := kinds.BlockLimitText(block, "capacity_coef_per_k")
	switch {
	case typed != "":
		t.CoefPerK = within(invalid, "coef_per_k", typed, 0, 0.02, "")
	case slow == "": // Lithium has none.
	case len(invalid.Problems) == 0 && hoursOf(in.Log, t.CutOffV) < slowFromH:
		t.CoefPerK = strconv.FormatFloat(pack.CapacityCoefFast, 'f', -1, 64)
	default:
		t.CoefPerK = slow
	}
}

// within reads a figure that has bounds.
func within(invalid *models.InvalidError, field, typed string, least, most float64, unit string) string {
	bound := func(x float64) string { return strings.TrimSpace(strconv.FormatFloat(x, 'f', -1, 64) + " " + unit) }
	d, err := measure.ParseReading(typed)
	switch {
	case err != nil:
		invalid.Add(field, "not_a_number", "typed", models.Shortened(typed))
	case d.Float() < least:
		invalid.Add(field, "too_small", "least", bound(least))
	case d.Float() > most:
		invalid.Add(field, "too_big", "most", bound(most))
	default:
		return d.String()
	}
	return typed
}

func degree(invalid *models.InvalidError, field, typed string) string {
	d, err := measure.ParseReading(typed)
	switch {
	case strings.TrimSpace(typed) == "":
		invalid.Add(field, "missing")
	case err != nil:
		invalid.Add(field, "not_a_number", "typed", models.Shortened(typed))
	case d.Float() < -40 || d.Float() > 60:
		invalid.Add(field, "no_shelf_temperature", "typed", models.Shortened(typed))
	default:
		return d.String()
	}
	return ""
}

// checkLog refuses a log that no capacity follows from, and says whether it is one.
func checkLog(invalid *models.InvalidError, log models.CapacityLog, blocks int) bool {
	if len(log.Hours) < 2 {
		invalid.Add("log", "log_too_short")
		return false
	}
	if len(log.Hours) > mostRows {
		invalid.Add("log", "log_rows", "most", strconv.Itoa(mostRows))
		return false
	}
	if len(log.Volts) != blocks {
		invalid.Add("log", "log_blocks", "got", strconv.Itoa(len(log.Volts)), "want", strconv.Itoa(blocks))
		return false
	}
	columns := append([][]string{log.Hours, log.Amps}, log.Volts...)
	read := make([][]float64, len(columns))
	for c, column := range columns {
		if len(column) != len(log.Hours) {
			invalid.Add("log", "log_uneven")
			return false
		}
		for i, text := range column {
			x, err := strconv.ParseFloat(text, 64)
			if err != nil || math.IsNaN(x) || math.Abs(x) > 1e6 {
				invalid.Add("log", "log_number", "line", strconv.Itoa(i+1), "typed", models.Shortened(text))
				return false
			}
			read[c] = append(read[c], x)
		}
	}
	mean := middle(read[1])
	for i := range read[0] {
		switch {
		case i > 0 && read[0][i] <= read[0][i-1]:
			invalid.Add("log", "log_time_back", "line", strconv.Itoa(i+1))
			return false
		case mean == 0 || math.Abs(read[1][i]-mean) > mostUneven*math.Abs(mean):
			invalid.Add("log", "log_current", "line", strconv.Itoa(i+1))
			return false
		}
	}
	return true
}

func middle(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}

// CapacityTests lists the tests of an item, newest first.
func (s *Service) CapacityTests(ctx context.Context, named string) ([]Tested, error) {
	item, err := s.item(ctx, named)
	if err != nil {
		return nil, err
	}
	tests, err := s.store.CapacityTestsOf(ctx, item.ID)
	if err != nil {
		return nil, err
	}
	out := make([]Tested, len(tests))
	for i, t := range tests {
		if out[i], err = evaluated(t); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// CapacityTest gives one of an item.
func (s *Service) CapacityTest(ctx context.Context, named, id string) (Tested, error) {
	item, err := s.item(ctx, named)
	if err != nil {
		return Tested{}, err
	}
	t, err := s.store.CapacityTest(ctx, id)
	if err == nil && t.ItemID != item.ID {
		err = models.ErrNotFound
	}
	if err != nil {
		return Tested{}, fmt.Errorf("capacity test %.40q: %w", id, err)
	}
	return evaluated(t)
}
