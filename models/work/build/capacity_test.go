package build_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/build"
	"tracewright/models/work/worktest"
)

// Every way a log is typed in a workshop says the same.
func TestLogsAreReadAsTheyAreTyped(t *testing.T) {
	want := models.CapacityLog{Hours: []string{"0", "0.5"}, Amps: []string{"0.6", "0.6"}, Volts: [][]string{{"12.8", "12.5"}, {"12.7", "12.4"}}}
	for name, typed := range map[string]string{
		"commas":                     "0,0.6,12.8,12.7\n0.5,0.6,12.5,12.4\n",
		"semicolons, decimal commas": "0;0,6;12,8;12,7\r\n0,5;0,6;12,5;12,4\r\n",
		"tabs, decimal commas":       "0\t0,6\t12,8\t12,7\n0,5\t0,6\t12,5\t12,4",
		"a head without units":       "time, current, one, two\n0,0.6,12.8,12.7\n0.5,0.6,12.5,12.4",
		"minutes":                    "time (min);I [A];U1 [V];U2 [V]\n0;0,6;12,8;12,7\n30;0,6;12,5;12,4",
		"seconds and thousandths":    "\ufefft_s,I_mA,U1_mV,U2_mV\n0,600,12800,12700\n1800,600,12500,12400\n\n",
		"minutes in words":           "Elapsed minutes;I;U1;U2\n0;0,6;12,8;12,7\n30;0,6;12,5;12,4",
		"seconds in words":           "Time (seconds),I (A),U1,U2\n0,0.6,12.8,12.7\n1800,0.6,12.5,12.4",
		"a clock":                    "0:00,0.6,12.8,12.7\n0:30:00,0.6,12.5,12.4",
	} {
		got, err := build.ParseLog(typed)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if strings.Join(got.Hours, " ") != strings.Join(want.Hours, " ") || strings.Join(got.Amps, " ") != strings.Join(want.Amps, " ") || len(got.Volts) != 2 || strings.Join(got.Volts[1], " ") != strings.Join(want.Volts[1], " ") {
			t.Errorf("%s: %+v", name, got)
		}
	}
	for name, typed := range map[string]string{
		"two columns":          "0,0.6\n1,0.6",
		"a column more":        "0,0.6,12\n1,0.6,12,12",
		"a word":               "0,0.6,12\n1,0.6,low",
		"a head in the middle": "0,0.6,12\ntime,current,one\n1,0.6,12",
		"a clock that is none": "0:00:00:00,0.6,12",
		"too large":            strings.Repeat("0,0.6,12\n", 300_000),
	} {
		var invalid *models.InvalidError
		if _, err := build.ParseLog(typed); !errors.As(err, &invalid) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzParseLog(f *testing.F) {
	f.Add("t;I;U\n0;0,6;12,8\n1;0,6;12,5")
	f.Add("0:30,0.6,12")
	f.Fuzz(func(t *testing.T, typed string) {
		log, err := build.ParseLog(typed)
		if err != nil {
			return
		}
		for _, column := range log.Volts {
			if len(column) != len(log.Hours) || len(log.Amps) != len(log.Hours) {
				t.Fatalf("uneven columns from %q: %+v", typed, log)
			}
		}
	})
}

// falling is a log of blocks that come to 10.50 V after so many hours each.
func falling(amps string, until ...float64) string {
	var b strings.Builder
	for i := range 24 {
		b.WriteString(number(float64(i)) + "," + amps)
		for _, hours := range until {
			b.WriteString("," + number(12.5-2*float64(i)/hours))
		}
		b.WriteString("\n")
	}
	return b.String()
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// I20 of 12 Ah is 0.6 A, of two strings side by side 1.2 A. Twenty hours of it at 25 degrees are 12 Ah, all of the
// rated; at 20 degrees with 0.006 per K they are 12 / 0.97 = 12.371 Ah (IEC
// 60896-21, as in package pack). The second block falls first; the third
// falls between two rows of the log, at 19.5 h: 0.6 A x 19.5 h / 0.97.
func TestACapacityTest(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		twoStrings(t, h)
		s, ctx, pack := build.New(h.Store, h.Clock), t.Context(), h.Serial[models.KindPack]
		log := must[models.CapacityLog](t)(build.ParseLog(falling("1.2", 20, 18, 19.5, 20, 20, 30)))
		in := build.NewTest{Started: h.Now.Add(-30 * time.Hour), TemperatureC: "20", Log: log}
		made := must[build.Tested](t)(s.AddCapacityTest(ctx, h.Operator, pack, in))
		got := must[build.Tested](t)(s.CapacityTest(ctx, pack, made.ID))
		if got.Weakest != 2 || got.Accepted || !got.InRange || len(got.Blocks) != 6 || got.Blocks[5].Reached || got.AcceptPct != 95 {
			t.Errorf("%+v", got)
		}
		for i, want := range map[int][2]float64{0: {20, 12.3711}, 1: {18, 11.1340}, 2: {19.5, 12.0619}} {
			if b := got.Blocks[i]; math.Abs(b.Hours-want[0]) > 1e-3 || math.Abs(b.CorrectedAh-want[1]) > 1e-3 {
				t.Errorf("block %d: %+v, want %v", i+1, b, want)
			}
		}
		h.Now = h.Now.Add(time.Second) // Its answer was lost: it is sent again.
		if again := must[build.Tested](t)(s.AddCapacityTest(ctx, h.Operator, pack, in)); again.ID != made.ID || again.Weakest != 2 {
			t.Errorf("sent again: %+v", again)
		}
		if tests := must[[]build.Tested](t)(s.CapacityTests(ctx, pack)); len(tests) != 1 {
			t.Errorf("%d tests", len(tests))
		}
		warmer := in
		warmer.TemperatureC = "21"
		if other := must[build.Tested](t)(s.AddCapacityTest(ctx, h.Operator, pack, warmer)); other.ID == made.ID {
			t.Errorf("with another temperature: %+v", other)
		}
		if _, err := s.CapacityTest(ctx, pack, models.NewID()); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a test that was never made: %v", err)
		}
		for name, change := range map[string]func(*build.NewTest){
			"no day":              func(x *build.NewTest) { x.Started = time.Time{} },
			"tomorrow":            func(x *build.NewTest) { x.Started = h.Now.AddDate(0, 0, 1) },
			"before it was made":  func(x *build.NewTest) { x.Started = h.Now.AddDate(-1, 0, 0) },
			"no temperature":      func(x *build.NewTest) { x.TemperatureC = "" },
			"Fahrenheit":          func(x *build.NewTest) { x.TemperatureC = "77" },
			"a block too few":     func(x *build.NewTest) { x.Log.Volts = x.Log.Volts[1:] },
			"one row":             func(x *build.NewTest) { x.Log.Hours = x.Log.Hours[:1] },
			"a column too short":  func(x *build.NewTest) { x.Log.Amps = x.Log.Amps[1:] },
			"time stands still":   func(x *build.NewTest) { x.Log.Hours = append([]string{"0", "0"}, x.Log.Hours[2:]...) },
			"no constant current": func(x *build.NewTest) { x.Log.Amps = append([]string{"1.3"}, x.Log.Amps[1:]...) },
			"no number":           func(x *build.NewTest) { x.Log.Amps = append([]string{"NaN"}, x.Log.Amps[1:]...) },
			"flat at the start": func(x *build.NewTest) {
				x.Log.Volts = append([][]string{append([]string{"9"}, x.Log.Volts[0][1:]...)}, x.Log.Volts[1:]...)
			},
		} {
			bad := in
			change(&bad)
			var invalid *models.InvalidError
			if _, err := s.AddCapacityTest(ctx, h.Operator, pack, bad); !errors.As(err, &invalid) {
				t.Errorf("%s: %v", name, err)
			}
		}
	})
}
