package studies_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/work/studies"
	"tracewright/models/work/worktest"
)

func named(names ...string) []models.StudyItem {
	out := make([]models.StudyItem, len(names))
	for i, n := range names {
		out[i].Name = n
	}
	return out
}

// The order is one of chance, the same for the same seed, and whole: everyone reads
// every item as often as asked, a round at a time.
func TestTheOrderIsOfChanceAndWhole(t *testing.T) {
	h := worktest.New(t)
	l := newLab(t, h)
	plan := studies.Plan{Design: models.StudyCrossed, Persons: l.persons(), Items: named("A", "B", "C", "D", "E", "F"), Repeats: 2, Seed: 42}
	a, b := l.planned(t, plan), l.planned(t, plan)
	plan.Seed = 43
	c := l.planned(t, plan)
	if !slices.Equal(a.Study.Turns, b.Study.Turns) || slices.Equal(a.Study.Turns, c.Study.Turns) {
		t.Error("the order does not follow from the seed")
	}
	if b.Study.Number != a.Study.Number+1 || c.Study.Number != b.Study.Number+1 {
		t.Errorf("numbers %d, %d, %d", a.Study.Number, b.Study.Number, c.Study.Number)
	}
	seen := map[models.StudyTurn]int{}
	for i, turn := range a.Study.Turns {
		seen[turn]++
		if want := 1 + i/18; turn.Repeat != want {
			t.Errorf("turn %d belongs to round %d, want %d", i, turn.Repeat, want)
		}
	}
	if len(a.Study.Turns) != 36 || len(seen) != 36 {
		t.Errorf("%d turns, %d different ones, want 36", len(a.Study.Turns), len(seen))
	}
	plan.Seed = 0
	if d := l.planned(t, plan); d.Study.Seed == 0 {
		t.Error("no seed was kept")
	}
}

func TestAPlanIsChecked(t *testing.T) {
	h := worktest.New(t)
	l := newLab(t, h)
	good := func() studies.Plan {
		return studies.Plan{Design: models.StudyCrossed, FamilyID: l.family, Result: "lateral_tir", Instrument: "D-1", Persons: l.persons(), Items: named("A", "B")}
	}
	for _, row := range []struct {
		name   string
		change func(*studies.Plan)
		want   []string
	}{
		{"as it is", func(*studies.Plan) {}, nil},
		{"a design nobody knows", func(p *studies.Plan) { p.Design = "nested" }, []string{"design: unknown_choice", "items: too_big"}},
		{"one person", func(p *studies.Plan) { p.Persons = p.Persons[:1] }, []string{"persons: too_small"}},
		{"one twice", func(p *studies.Plan) { p.Persons[1] = p.Persons[0] }, []string{"persons[1]: listed_twice"}},
		{"a stranger", func(p *studies.Plan) { p.Persons[0] = models.NewID() }, []string{"persons[0]: unknown_person"}},
		{"one item", func(p *studies.Plan) { p.Items = p.Items[:1] }, []string{"items: too_small"}},
		{"an item twice", func(p *studies.Plan) { p.Items[1].Name = " a " }, []string{"items[1].name: listed_twice"}},
		{"once only", func(p *studies.Plan) { p.Repeats = 1 }, []string{"repeats: too_small"}},
		{"a gauge nobody has", func(p *studies.Plan) { p.Instrument = "Z-9" }, []string{"instrument: unknown_instrument"}},
		{"a gauge of something else", func(p *studies.Plan) { p.Instrument = "V-1" }, []string{"instrument: wrong_instrument"}},
		{"a result that is computed", func(p *studies.Plan) { p.Result = "side_tension_dev_pct_a" }, []string{"result: study_result"}},
		{"a reference without a value", func(p *studies.Plan) { p.Design, p.Items = models.StudyBias, p.Items[:1] }, []string{"items[0].reference: reference_needed"}},
		{"two references for one bias", func(p *studies.Plan) {
			p.Design, p.Items = models.StudyBias, []models.StudyItem{{Name: "A", Reference: "1"}, {Name: "B", Reference: "2"}}
		}, []string{"items: too_big"}},
		{"a range of one value", func(p *studies.Plan) {
			p.Design, p.Items = models.StudyLinearity, []models.StudyItem{{Name: "A", Reference: "1"}, {Name: "B", Reference: "1"}}
		}, []string{"items: references_differ"}},
		{"a reference in words", func(p *studies.Plan) {
			p.Design, p.Items = models.StudyBias, []models.StudyItem{{Name: "A", Reference: "one"}}
		}, []string{"items[0].reference: not_a_number"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			in := good()
			row.change(&in)
			_, err := l.Plan(t.Context(), l.inspector, in)
			worktest.WantProblems(t, err, row.want...)
		})
	}
}

// A study goes on from tablet to tablet: each person is shown their own next item
// and nothing that was read; the same sending twice is one reading; a turn that
// another tablet read is gone.
func TestAStudyIsReadPersonByPerson(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		l := newLab(t, h)
		ctx := t.Context()
		v := l.planned(t, studies.Plan{Design: models.StudyCrossed, Persons: l.persons()[:2], Items: named("A", "B"), Repeats: 2, Seed: 1})
		n := v.Study.Number
		ada, ben, cem := l.measure[0], l.measure[1], l.measure[2]
		next, err := l.Next(ctx, ben, n, "")
		h.Must(err)
		if next.PersonID != ben.PersonID || v.Study.Persons[v.Study.Turns[next.Turn].Person] != ben.PersonID || next.Read != 0 || next.All != 8 {
			t.Errorf("Ben is shown %+v", next)
		}
		if _, err := l.Next(ctx, cem, n, ""); !errors.Is(err, models.ErrForbidden) {
			t.Errorf("who takes no part is let in: %v", err)
		}
		if _, err := l.Next(ctx, ben, n, ada.PersonID); !errors.Is(err, models.ErrForbidden) {
			t.Errorf("Ben types for Ada: %v", err)
		}
		entry := studies.Entry{ID: models.NewID(), Turn: next.Turn, Typed: " ,21 mm"}
		h.Must(l.Enter(ctx, ben, n, entry))
		h.Must(l.Enter(ctx, ben, n, entry))
		other := entry
		other.Typed = "0.22"
		if err := l.Enter(ctx, ben, n, other); !errors.Is(err, models.ErrConflict) {
			t.Errorf("the same id with another value: %v", err)
		}
		other.ID = models.NewID()
		if err := l.Enter(ctx, ben, n, other); !errors.Is(err, models.ErrStale) {
			t.Errorf("the same turn twice: %v", err)
		}
		worktest.WantProblems(t, l.Enter(ctx, ada, n, studies.Entry{ID: models.NewID(), Turn: next.Turn, Typed: "0.2"}), "person: not_their_turn")
		for typed, want := range map[string]string{"": "missing", "0.2.1": "not_a_number", "0.2 N": "unit_not_accepted", "0.2 furlong": "unit_not_understood", "11": "outside_range"} {
			worktest.WantProblems(t, l.Enter(ctx, ben, n, studies.Entry{ID: models.NewID(), Turn: next.Turn, Typed: typed}), "value: "+want)
		}
		after, err := l.Next(ctx, ben, n, "")
		h.Must(err)
		if after.Turn == next.Turn || after.Read != 1 || after.Last != entry.ID || after.LastItem != next.Item {
			t.Errorf("after the first reading %+v", after)
		}
		// Struck with a reason, it is read again, and stays.
		worktest.WantProblems(t, l.Strike(ctx, ben, n, entry.ID, " "), "reason: reason_needed")
		if err := l.Strike(ctx, ada, n, entry.ID, "not hers"); !errors.Is(err, models.ErrForbidden) {
			t.Errorf("Ada strikes what Ben read: %v", err)
		}
		h.Must(l.Strike(ctx, ben, n, entry.ID, "mistyped"))
		if err := l.Strike(ctx, ben, n, entry.ID, "again"); !errors.Is(err, models.ErrConflict) {
			t.Errorf("struck twice: %v", err)
		}
		again, err := l.Next(ctx, ben, n, "")
		h.Must(err)
		if again.Turn != next.Turn || again.Read != 0 {
			t.Errorf("after it was struck %+v, want turn %d again", again, next.Turn)
		}
		v, err = l.Study(ctx, n)
		h.Must(err)
		if len(v.Readings) != 1 || v.Readings[0].Value != "0.21" || v.Readings[0].Typed != ",21 mm" || v.Strikes[entry.ID].Reason != "mistyped" {
			t.Errorf("kept as %+v, %+v", v.Readings, v.Strikes)
		}
		for {
			next, err := l.Next(ctx, ben, n, "")
			var refused *models.RefusedError
			if errors.As(err, &refused) {
				if refused.Reasons[0].Code != "study_read_for_you" {
					t.Errorf("Ben is done, and is told %v", err)
				}
				break
			}
			h.Must(err)
			h.Must(l.Enter(ctx, ben, n, studies.Entry{ID: models.NewID(), Turn: next.Turn, Typed: "0.2"}))
		}
		// The inspector types Ada's from the sheet.
		for {
			next, err := l.Next(ctx, l.inspector, n, "")
			var refused *models.RefusedError
			if errors.As(err, &refused) {
				if refused.Reasons[0].Code != "study_read" {
					t.Errorf("all is read, and the inspector is told %v", err)
				}
				break
			}
			h.Must(err)
			if next.PersonID != ada.PersonID {
				t.Fatalf("the inspector is shown %+v", next)
			}
			h.Must(l.Enter(ctx, l.inspector, n, studies.Entry{ID: models.NewID(), Turn: next.Turn, PersonID: next.PersonID, Typed: "0.2"}))
		}
		// Nothing ever differed: there is nothing to work out, and nothing to confirm.
		_, err = l.Confirm(ctx, l.inspector, n, "")
		var refused *models.RefusedError
		if !errors.As(err, &refused) || refused.Reasons[0].Code != "study_no_spread" {
			t.Errorf("readings that never differ: %v", err)
		}
		worktest.WantProblems(t, l.GiveUp(ctx, l.inspector, n, ""), "reason: reason_needed")
		h.Must(l.GiveUp(ctx, l.inspector, n, "the dial is too coarse"))
		if err := l.Enter(ctx, ben, n, studies.Entry{ID: models.NewID(), Turn: 0, PersonID: v.Study.Persons[v.Study.Turns[0].Person], Typed: "0.2"}); err == nil {
			t.Error("read after it was given up")
		}
	})
}

// What is not read to its end has no figures.
func TestAnIncompleteStudyIsRefused(t *testing.T) {
	h := worktest.New(t)
	l := newLab(t, h)
	v := l.planned(t, studies.Plan{Design: models.StudyBias, Persons: l.persons()[:1], Items: []models.StudyItem{{Name: "Ring", Reference: "0.50"}}, Repeats: 3})
	h.Must(l.Enter(t.Context(), l.inspector, v.Study.Number, studies.Entry{ID: models.NewID(), Turn: 0, PersonID: v.Study.Persons[0], Typed: "0.51"}))
	v, err := l.Study(t.Context(), v.Study.Number)
	h.Must(err)
	_, err = studies.Evaluate(v)
	var refused *models.RefusedError
	if !errors.As(err, &refused) || refused.Reasons[0].Code != "study_incomplete" || refused.Reasons[0].Values["left"] != "2" {
		t.Errorf("one of three read: %v", err)
	}
}

// Confirmed, the figures go into the budget of the result beside what the register
// says of the gauge; a later study takes the place of the earlier one's lines and
// leaves the others.
func TestTheBudgetTakesAConfirmedStudyOver(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		l := newLab(t, h)
		ctx := t.Context()
		b, err := l.Confirm(ctx, l.inspector, l.published(t).Study.Number, "")
		h.Must(err)
		lines := map[string]models.BudgetLine{}
		for _, x := range b.Lines {
			lines[x.Source+" "+x.Name] = x
		}
		// 60 degrees of freedom of repeats and 18 of the interaction pooled with them.
		if x := lines["study repeatability"]; x.Value != "0.199933" || x.Freedom != "78" || x.N != 1 {
			t.Errorf("repeatability %+v", x)
		}
		if x := lines["study persons"]; x.Value != "0.226838" || x.Freedom != "2" {
			t.Errorf("persons %+v", x)
		}
		// A full reading is the difference of two, each with the step of the dial.
		if x := lines["resolution "]; x.Value != "0.01" || x.Sensitivity != "1.414" || x.Instrument != "D-1" {
			t.Errorf("resolution %+v", x)
		}
		if len(b.Lines) != 3 || b.Revision != 1 {
			t.Errorf("revision %d with the lines %+v", b.Revision, b.Lines)
		}
		if _, err := l.Confirm(ctx, l.inspector, 1, ""); !errors.Is(err, models.ErrStale) {
			t.Errorf("confirmed twice: %v", err)
		}
		view, err := l.Budget(ctx, b.ID)
		h.Must(err)
		// Repeats of 0.1999 and twice a step of 0.01/sqrt(12), of one reading: 0.14143;
		// 36 of them on a perfect rim range over 4.236 times that.
		if view.Floor == nil || view.Floor.Points != 36 || view.Floor.Mean < 0.598 || view.Floor.Mean > 0.600 {
			t.Errorf("noise floor %+v", view.Floor)
		}
		typed := append(slices.Clone(b.Lines), models.BudgetLine{Source: models.FromTyped, Name: "axle play", Shape: "rectangular", Value: "0.02"})
		_, err = l.ReviseBudget(ctx, l.inspector, studies.BudgetChange{FamilyID: l.family, Result: "lateral_tir", From: 1, Lines: typed, Reason: "the axle moves"})
		h.Must(err)
		third, err := l.Confirm(ctx, l.inspector, l.published(t).Study.Number, "")
		h.Must(err)
		if third.Revision != 3 || len(third.Lines) != 4 || !slices.ContainsFunc(third.Lines, func(x models.BudgetLine) bool { return x.Name == "axle play" }) || third.Lines[0].StudyID == b.Lines[0].StudyID {
			t.Errorf("the third revision is %+v", third)
		}
	})
}

// A later study that finds no difference between persons, or no bias, takes the
// line of the earlier one away; what it did not look at stays.
func TestALaterStudyTakesAwayWhatItDoesNotFind(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		l := newLab(t, h)
		names := func(b models.UncertaintyBudget) (out []string) {
			for _, x := range b.Lines {
				if x.Source == models.FromStudy {
					out = append(out, x.Name)
				}
			}
			slices.Sort(out)
			return out
		}
		confirm := func(want []string, in studies.Plan, value func(models.StudyTurn) string) {
			t.Helper()
			v := l.planned(t, in)
			l.read(t, v, value)
			b, err := l.Confirm(t.Context(), l.inspector, v.Study.Number, "")
			h.Must(err)
			if got := names(b); !slices.Equal(got, want) {
				t.Errorf("study %d leaves the lines %q, want %q", v.Study.Number, got, want)
			}
		}
		crossed := studies.Plan{Design: models.StudyCrossed, Persons: l.persons()[:2], Items: []models.StudyItem{{Name: "A"}, {Name: "B"}, {Name: "C"}}, Repeats: 2}
		bias := studies.Plan{Design: models.StudyBias, Persons: l.persons()[:1], Items: []models.StudyItem{{Name: "Ring", Reference: "0.20"}}, Repeats: 6}
		// The second person reads 0.10 more, of anything.
		confirm([]string{"persons", "repeatability"}, crossed, func(x models.StudyTurn) string { return fmt.Sprintf("0.%d%d", 1+x.Item+x.Person, x.Repeat) })
		// Six readings 0.10 above the reference.
		confirm([]string{"bias", "persons", "repeatability"}, bias, func(x models.StudyTurn) string { return fmt.Sprintf("0.3%d", x.Repeat%2) })
		// Both read the same of the same.
		confirm([]string{"bias", "repeatability"}, crossed, func(x models.StudyTurn) string { return fmt.Sprintf("0.%d%d", 1+x.Item, x.Repeat) })
		// Three readings 0.01 above the reference, three as much below it.
		confirm([]string{"repeatability"}, bias, func(x models.StudyTurn) string { return []string{"0.19", "0.21"}[x.Repeat%2] })
	})
}

func TestABudgetIsChecked(t *testing.T) {
	h := worktest.New(t)
	l := newLab(t, h)
	good := models.BudgetLine{Source: models.FromTyped, Name: "play", Shape: "rectangular", Value: "0.02"}
	with := func(change func(*models.BudgetLine)) []models.BudgetLine {
		x := good
		change(&x)
		return []models.BudgetLine{x}
	}
	for _, row := range []struct {
		name  string
		lines []models.BudgetLine
		want  []string
	}{
		{"as it is", []models.BudgetLine{good}, nil},
		{"empty", nil, []string{"lines: too_small"}},
		{"no figure", with(func(x *models.BudgetLine) { x.Value = "" }), []string{"lines[0].value: missing"}},
		{"in words", with(func(x *models.BudgetLine) { x.Value = "a bit" }), []string{"lines[0].value: not_a_number"}},
		{"less than nothing", with(func(x *models.BudgetLine) { x.Value = "-1" }), []string{"lines[0].value: negative_not_possible"}},
		{"nothing at all", with(func(x *models.BudgetLine) { x.Value = "0" }), []string{"lines: budget_empty"}},
		{"a shape nobody knows", with(func(x *models.BudgetLine) { x.Shape = "round" }), []string{"lines[0].shape: unknown_choice"}},
		{"a source nobody knows", with(func(x *models.BudgetLine) { x.Source = "guess" }), []string{"lines[0].source: unknown_choice"}},
		{"typed without a name", with(func(x *models.BudgetLine) { x.Name = "" }), []string{"lines[0].name: missing"}},
		{"a sensitivity of nothing", with(func(x *models.BudgetLine) { x.Sensitivity = "0" }), []string{"lines[0].sensitivity: zero_not_possible"}},
		{"one repeat alone", with(func(x *models.BudgetLine) { x.Shape = "repeats" }), []string{"lines[0].freedom: freedom_of_one"}},
		{"repeats", with(func(x *models.BudgetLine) { x.Shape, x.N = "repeats", 5 }), nil},
		{"half a degree of freedom", with(func(x *models.BudgetLine) { x.Freedom = "0.5" }), []string{"lines[0].freedom: too_small"}},
	} {
		t.Run(row.name, func(t *testing.T) {
			_, err := l.Preview(t.Context(), studies.BudgetChange{FamilyID: l.family, Result: "dish_abs", Reason: "r", Lines: row.lines})
			worktest.WantProblems(t, err, row.want...)
		})
	}
	_, err := l.Preview(t.Context(), studies.BudgetChange{FamilyID: l.family, Result: "dish_abs", Reason: "\u2060", Lines: []models.BudgetLine{good}})
	worktest.WantProblems(t, err, "reason: reason_needed")
}
