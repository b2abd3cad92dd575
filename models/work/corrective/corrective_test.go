package corrective_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/corrective"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// The shop's clock stands at Monday 12 May 2031.
func plan(h *worktest.Shop) corrective.Plan {
	return corrective.Plan{Problem: "spokes break at the elbow", Owner: h.Owner.PersonID, DueOn: "2031-06-01", Cause: "heads too soft", Action: "ask for a test of each lot", CheckOn: "2031-07-01", Codes: []string{"W08"}}
}

func on(h *worktest.Shop) *corrective.Service {
	return corrective.New(h.Store, h.Clock, worktest.Zone)
}

// refused is the code with which something was refused.
func refused(err error) string {
	var r *models.RefusedError
	if errors.As(err, &r) {
		return r.Reasons[0].Code
	}
	return fmt.Sprint(err)
}

func TestWhatIsWrongWithAPlanIsSaid(t *testing.T) {
	h := worktest.New(t)
	s := on(h)
	gone, err := h.Store.People(t.Context())
	h.Must(err)
	left := models.Person{ID: models.NewID(), Name: "Gone", Role: models.Inspector}
	h.Must(h.Store.AddPerson(t.Context(), models.NewStamp(h.Owner, h.Now), left))
	if len(gone) == 0 || left.Active {
		t.Fatal("the test rests on a person who has left")
	}
	many := func(n int) (codes []string) {
		for i := range n {
			codes = append(codes, fmt.Sprintf("NC31-%05d", i))
		}
		return codes
	}
	for name, c := range map[string]struct {
		change func(*corrective.Plan)
		want   []string
	}{
		"nothing wrong":                {func(*corrective.Plan) {}, nil},
		"checked on the day it is due": {func(p *corrective.Plan) { p.CheckOn = p.DueOn }, nil},
		"no check planned yet":         {func(p *corrective.Plan) { p.CheckOn = "" }, nil},
		"no problem":                   {func(p *corrective.Plan) { p.Problem = " \x00" }, []string{"problem: missing"}},
		"a long cause":                 {func(p *corrective.Plan) { p.Cause = strings.Repeat("x", 1001) }, []string{"cause: too_long"}},
		"nobody":                       {func(p *corrective.Plan) { p.Owner = "x" }, []string{"owner: unknown_person"}},
		"somebody who has left":        {func(p *corrective.Plan) { p.Owner = left.ID }, []string{"owner: unknown_person"}},
		"no day":                       {func(p *corrective.Plan) { p.DueOn, p.CheckOn = "", "" }, []string{"due_on: not_a_day"}},
		"days that are none":           {func(p *corrective.Plan) { p.DueOn, p.CheckOn = "2031-06-31", "2031-13-01" }, []string{"due_on: not_a_day", "check_on: not_a_day"}},
		"a day before 1970":            {func(p *corrective.Plan) { p.DueOn = "0031-06-01" }, []string{"due_on: day_too_early"}},
		"checked before it is due":     {func(p *corrective.Plan) { p.CheckOn = "2031-05-31" }, []string{"check_on: check_before_due"}},
		"codes, lots and numbers": {func(p *corrective.Plan) {
			p.Codes, p.Lots, p.Nonconformities = []string{"W08", "W999"}, []string{"SP-none"}, many(1)
		}, []string{"codes: unknown_code", "lots: unknown_lot", "nonconformities: unknown_nonconformity"}},
		"41 of them": {func(p *corrective.Plan) { p.Nonconformities = many(40) }, []string{"codes: too_big"}},
	} {
		t.Run(name, func(t *testing.T) {
			p := plan(h)
			c.change(&p)
			_, err := s.Add(t.Context(), h.Owner, p)
			if c.want == nil {
				h.Must(err)
				return
			}
			worktest.WantProblems(t, err, c.want...)
		})
	}
	// Forty are not too many: what is said is that none of them is known.
	p := plan(h)
	p.Codes, p.Nonconformities = nil, many(40)
	_, err = s.Add(t.Context(), h.Owner, p)
	var invalid *models.InvalidError
	if !errors.As(err, &invalid) || len(invalid.Problems) != 40 || invalid.Problems[0].Code != "unknown_nonconformity" {
		t.Errorf("forty numbers: %v", err)
	}
}

func newestOf(t *testing.T, s *corrective.Service, number string) string {
	t.Helper()
	v, err := s.One(t.Context(), number)
	if err != nil {
		t.Fatal(err)
	}
	return v.Newest()
}

// From a plan to its end: carried out, seen not to work, planned anew, carried out, seen
// to work, closed. No step comes before its turn, and none after the end.
func TestAnActionGoesItsWay(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s := on(h)
		p := plan(h)
		p.Codes, p.Lots = []string{"W08", " W08 ", "", "W01"}, []string{"rm-7", "RM-7"}
		h.Must(h.Store.AddLot(t.Context(), models.NewStamp(h.Owner, h.Now), models.Lot{ID: models.NewID(), Code: "RM-7", Material: "rims"}))
		v, err := s.Add(t.Context(), h.Owner, p)
		h.Must(err)
		if v.Number != "CA31-00001" || v.State != models.ActionOpen || !slices.Equal(v.Stated().Codes, []string{"W08", "W01"}) || !slices.Equal(v.Stated().Lots, []string{"RM-7"}) {
			t.Errorf("opened as %+v", v)
		}
		is := func(want string) {
			t.Helper()
			if got, err := s.One(t.Context(), v.Number); err != nil || got.State != want {
				t.Fatalf("it is %s, %v; want %s", got.State, err, want)
			}
		}
		out := func(step, want string, err error) {
			t.Helper()
			if got := refused(err); got != want {
				t.Errorf("%s: refused with %q, want %q", step, got, want)
			}
		}
		newest := func() string { return newestOf(t, s, v.Number) }
		carried := func() error { return s.Carried(t.Context(), h.Owner, v.Number, "done") }
		checked := func(worked bool) error {
			return s.Checked(t.Context(), h.Owner, v.Number, worked, "looked at 40 wheels")
		}
		end := func() error { return s.Close(t.Context(), h.Owner, v.Number, "") }
		out("checked while it is open", "action_other_state", checked(true))
		out("closed while it is open", "action_other_state", end())
		h.Must(carried())
		is(models.ActionDone)
		out("carried out twice", "action_other_state", carried())
		out("closed before its check", "action_other_state", end())
		worktest.WantProblems(t, s.Checked(t.Context(), h.Owner, v.Number, true, "  "), "note: reason_needed")
		is(models.ActionDone)
		h.Must(checked(false))
		is(models.ActionOpen)
		p.Action = "another supplier"
		h.Must(s.State(t.Context(), h.Owner, v.Number, newest(), p))
		h.Must(carried())
		h.Must(checked(true))
		is(models.ActionWorked)
		out("carried out when it worked", "action_other_state", carried())
		out("checked when it worked", "action_other_state", checked(true))
		h.Must(end())
		is(models.ActionClosed)
		for step, err := range map[string]error{"stated": s.State(t.Context(), h.Owner, v.Number, newest(), plan(h)), "carried": carried(), "checked": checked(true), "closed": end()} {
			out(step+" after the end", "action_closed", err)
		}
		if list, err := s.Closed(t.Context()); err != nil || len(list) != 1 {
			t.Errorf("closed are %+v, %v", list, err)
		}
	})
}

// What is stated again as it stands is no step more; any other word is one.
func TestStatedAgain(t *testing.T) {
	h := worktest.New(t)
	s := on(h)
	lot := models.Lot{ID: models.NewID(), Code: "SP-0931", Material: "spokes", Quantity: 100, ReceivedAt: h.Now, ReceivedBy: h.Owner.PersonID}
	h.Must(h.Store.AddLot(t.Context(), models.NewStamp(h.Owner, h.Now), lot))
	v, err := s.Add(t.Context(), h.Owner, plan(h))
	h.Must(err)
	newest := func() string { return newestOf(t, s, v.Number) }
	steps := func() int {
		t.Helper()
		now, err := s.One(t.Context(), v.Number)
		h.Must(err)
		return len(now.Steps)
	}
	h.Must(s.State(t.Context(), h.Owner, v.Number, newest(), plan(h)))
	if n := steps(); n != 1 {
		t.Errorf("the same again makes %d steps", n)
	}
	for i, change := range []func(*corrective.Plan){
		func(p *corrective.Plan) { p.Problem = "others break" }, func(p *corrective.Plan) { p.Containment = "the lot is set aside" }, func(p *corrective.Plan) { p.Cause = "another" },
		func(p *corrective.Plan) { p.Action = "another" }, func(p *corrective.Plan) { p.Owner = h.Operator.PersonID }, func(p *corrective.Plan) { p.DueOn = "2031-06-02" },
		func(p *corrective.Plan) { p.CheckOn = "2031-07-02" }, func(p *corrective.Plan) { p.Codes = []string{"W01"} }, func(p *corrective.Plan) { p.Lots = []string{"SP-0931"} },
	} {
		p := plan(h)
		change(&p)
		h.Must(s.State(t.Context(), h.Owner, v.Number, newest(), p))
		if n := steps(); n != 2+2*i {
			t.Errorf("change %d: %d steps, want %d", i, n, 2+2*i)
		}
		h.Must(s.State(t.Context(), h.Owner, v.Number, newest(), plan(h)))
	}
}

// Without a cause, an action and a day to look at it nothing is carried out.
func TestCarriedOutWantsItsCause(t *testing.T) {
	h := worktest.New(t)
	s := on(h)
	p := plan(h)
	p.Cause, p.Action, p.CheckOn = "", "", ""
	v, err := s.Add(t.Context(), h.Owner, p)
	h.Must(err)
	worktest.WantProblems(t, s.Carried(t.Context(), h.Owner, v.Number, ""), "cause: missing", "action: missing", "check_on: missing")
}

// Open ones stand by the day of their next step; one that worked waits for nothing but
// its end and has none, so that it is last.
func TestOpenOnesStandByTheirDay(t *testing.T) {
	h := worktest.New(t)
	s := on(h)
	var numbers []string
	for _, due := range []string{"2031-06-03", "2031-06-01", "2031-06-02"} {
		p := plan(h)
		p.DueOn = due
		v, err := s.Add(t.Context(), h.Owner, p)
		h.Must(err)
		numbers = append(numbers, v.Number)
	}
	h.Must(s.Carried(t.Context(), h.Owner, numbers[1], ""))
	h.Must(s.Checked(t.Context(), h.Owner, numbers[1], true, "none since"))
	open, err := s.Open(t.Context())
	h.Must(err)
	var got []string
	for _, v := range open {
		got = append(got, v.Number)
	}
	if want := []string{numbers[2], numbers[0], numbers[1]}; !slices.Equal(got, want) {
		t.Errorf("they stand as %v, want %v", got, want)
	}
}

// Where the shop wants it, neither who sees to an action nor who checked it closes it.
func TestAnotherPersonClosesIt(t *testing.T) {
	h := worktest.New(t)
	s := on(h)
	worked := func(owner, checks models.Actor) string {
		t.Helper()
		p := plan(h)
		p.Owner = owner.PersonID
		v, err := s.Add(t.Context(), h.Owner, p)
		h.Must(err)
		h.Must(s.Carried(t.Context(), h.Owner, v.Number, ""))
		h.Must(s.Checked(t.Context(), checks, v.Number, true, "none since"))
		return v.Number
	}
	h.Must(s.Close(t.Context(), h.Owner, worked(h.Owner, h.Owner), "")) // Nobody wants another.
	h.Must(h.Store.SetSetting(t.Context(), models.NewStamp(h.Owner, h.Now), models.SettingSecondPerson, "rework corrective_action"))
	for name, number := range map[string]string{"who sees to it": worked(h.Owner, h.Operator), "who checked it": worked(h.Operator, h.Owner)} {
		if got := refused(s.Close(t.Context(), h.Owner, number, "")); got != "action_second_person" {
			t.Errorf("%s closes it: %q", name, got)
		}
	}
	h.Must(s.Close(t.Context(), h.Owner, worked(h.Operator, h.Operator), ""))
}
