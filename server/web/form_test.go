package web

import (
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/monitor"
	"tracewright/models/work/trace"
)

func TestProblemsStandAtTheirFields(t *testing.T) {
	invalid := &models.InvalidError{}
	invalid.Add("form.wheel.holes", "must_be_even")
	invalid.Add("reason", "reason_needed")
	invalid.Add("elsewhere", "missing")
	invalid.Add("code", "unknown_code", "code", "")
	answers := map[string]string{"form.wheel.holes": "35", "password": "kept back"}
	f := newForm(func(name string) string { return answers[name] }, invalid)
	holes := f.field(Field{Name: "form.wheel.holes"})
	if holes.Problem != english.Say("must_be_even", nil) || holes.Value != "35" || holes.ID != "form-wheel-holes" {
		t.Errorf("holes %+v, want its problem, its answer and an id", holes)
	}
	if f.field(Field{Name: "reason"}).Problem == "" {
		t.Error("the reason has no problem")
	}
	if got := f.field(Field{Name: "name"}).Problem; got != "" {
		t.Errorf("the name has the problem %q, want none", got)
	}
	if got := f.field(Field{Name: "password", Kind: "password"}).Value; got != "" {
		t.Errorf("a secret is sent back: %q", got)
	}
	if got, want := f.field(Field{Name: "code"}).Problem, english.Say("missing", nil); got != want {
		t.Errorf("nothing chosen says %q, want %q", got, want)
	}
	s := f.summary()
	if len(s.Loose) != 1 || !strings.HasPrefix(s.Count, "3 answers") {
		t.Errorf("summary %+v, want three at fields and one of none", s)
	}
}

func TestWhatCanBeAnsweredAtAForm(t *testing.T) {
	for _, tt := range []struct {
		name string
		err  error
		want bool
	}{
		{"bad field", models.Invalid("name", "missing"), true},
		{"refused", &models.RefusedError{Reasons: []models.Remark{models.NewRemark("already_void")}}, true},
		{"too many tries", &access.WaitError{Wait: time.Minute}, true},
		{"changed meanwhile", models.ErrStale, true},
		{"forbidden", models.ErrForbidden, false},
		{"not found", models.ErrNotFound, false},
		{"none", nil, false},
	} {
		if got := answerable(tt.err); got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

func TestTodayCountsEachThingAndSaysWhatIsFine(t *testing.T) {
	hold, due, late := Mark{Tone: "hold"}, Mark{Tone: "none"}, Mark{Tone: "care"}
	soon := monitor.DueInstrument{Days: 3}
	over := monitor.DueInstrument{Overdue: true, Days: -3}
	for _, tt := range []struct {
		name         string
		rows         []TodayRow
		today        monitor.Today
		held, lots   int
		answer, fine string
	}{
		{"nothing", nil, monitor.Today{}, 0, 0, "Nothing waits in the shop", "Nothing on hold, no inspection without a place and no gauge past its day."},
		{"a gauge soon due", []TodayRow{{Mark: due}}, monitor.Today{Due: []monitor.DueInstrument{soon}}, 0, 0, "Nothing is late; one thing comes up", "Nothing else: nothing on hold, no inspection without a place and no gauge past its day."},
		{"one hold", []TodayRow{{Mark: hold}}, monitor.Today{Holds: make([]models.HeldItem, 1)}, 1, 0, "One thing waits in the shop", "Nothing else: no inspection without a place and no gauge past its day."},
		{"holds that share a row count each", []TodayRow{{Mark: hold}, {Mark: late}}, monitor.Today{Holds: make([]models.HeldItem, 12), Due: []monitor.DueInstrument{over}}, 12, 0, "13 things wait in the shop", "Nothing else: no inspection without a place."},
		{"a lot in doubt", []TodayRow{{Mark: late}}, monitor.Today{}, 0, 1, "One thing waits in the shop", "Nothing else: nothing on hold, no inspection without a place and no gauge past its day."},
		{"two lots that do not add up", []TodayRow{{Mark: late}, {Mark: late}}, monitor.Today{}, 0, 2, "Two things wait in the shop", "Nothing else: nothing on hold, no inspection without a place and no gauge past its day."},
		{"a hold that a nonconformity stands on", []TodayRow{{Mark: hold}}, monitor.Today{}, 1, 1, "One thing waits in the shop", "Nothing else: no inspection without a place and no gauge past its day."},
	} {
		answer, fine := todayAnswer(tt.rows, tt.today, tt.held, tt.lots)
		if answer != tt.answer || fine != tt.fine {
			t.Errorf("%s: %q, %q; want %q, %q", tt.name, answer, fine, tt.answer, tt.fine)
		}
	}
}

func TestOneActIsFilledAndADecisionComesFirst(t *testing.T) {
	s := sampleSite()
	inspector := Frame{Actor: models.Actor{PersonID: "p", Role: models.Inspector}}
	operator := Frame{Actor: models.Actor{PersonID: "p", Role: models.Operator}}
	desk := Frame{Actor: models.Actor{PersonID: "p", Role: models.Desk}}
	held := []models.Remark{models.NewRemark("on_hold", "code", "P02", "reason", "block spread")}
	uncertified := sampleWheel()
	uncertified.Certificates = nil
	for _, tt := range []struct {
		name   string
		frame  Frame
		pack   bool
		bare   bool
		filled string
		count  int
	}{
		{"certified, inspector", inspector, false, false, "Open certificate", 4},
		{"certified, desk", desk, false, false, "Open certificate", 2},
		{"passed, operator", operator, false, true, "Issue certificate", 3},
		{"held, inspector decides", inspector, true, false, "Decide on the hold", 3},
		{"held, operator cannot", operator, true, false, "Record again", 3},
	} {
		v, refusals := sampleWheel(), []models.Remark(nil)
		if tt.bare {
			v = uncertified
		}
		if tt.pack {
			v, refusals = samplePack(), held
		}
		acts, _ := s.itemActs(tt.frame, "/items/x", v, refusals)
		var filled []string
		for _, a := range acts {
			if a.First {
				filled = append(filled, a.Text)
			}
		}
		if len(filled) != 1 || filled[0] != tt.filled || len(acts) != tt.count {
			t.Errorf("%s: filled %v of %d acts, want %q of %d", tt.name, filled, len(acts), tt.filled, tt.count)
		}
	}
}

func TestAnInstrumentsKindIsSaidOnce(t *testing.T) {
	for _, tt := range []struct{ kind, called, want, beside string }{
		{"dish_gauge", "Dish gauge", "Dish gauge", ""}, {"tension_gauge", "Tension gauge, stand 1", "Tension gauge, stand 1", ""},
		{"voltmeter", "Bench voltmeter", "Bench voltmeter", ""}, {"dish_gauge", "Gauge 4", "Dish gauge", "Gauge 4"}, {"dish_gauge", "", "Dish gauge", ""},
	} {
		kind, beside := kindAndName(models.Instrument{Kind: tt.kind, Name: tt.called})
		if kind != tt.want || beside != tt.beside {
			t.Errorf("a %s named %q: %q and %q, want %q and %q", tt.kind, tt.called, kind, beside, tt.want, tt.beside)
		}
	}
}

func TestOnePlaceIsOneLine(t *testing.T) {
	number := models.Item{ID: "m1", Supplier: "Norvik", Model: "R9", MakerNumber: text("N9-1")}
	lot := models.Lot{Code: "MO-0012", Description: "Norvik R9"}
	for _, order := range [][]trace.PartView{
		{{Part: models.FittedPart{Role: "motor"}, Item: &number}, {Part: models.FittedPart{Role: "motor"}, Lot: &lot}},
		{{Part: models.FittedPart{Role: "motor"}, Lot: &lot}, {Part: models.FittedPart{Role: "motor"}, Item: &number}},
	} {
		built, _ := sampleSite().builtIn(trace.ItemView{Parts: order})
		if len(built) != 1 {
			t.Fatalf("%d lines, want one: %+v", len(built), built)
		}
		got := ""
		for _, s := range built[0].Spans {
			got += s.Text
		}
		if want := "N9-1 Norvik R9, lot MO-0012"; got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
