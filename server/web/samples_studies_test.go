package web

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
	"tracewright/models/work/studies"
)

// sampleStudy is a study of two persons and three items; so many of its readings
// are taken.
func sampleStudy(design string, taken int) studies.View {
	study := models.GaugeStudy{ID: "y1", Number: 3, Design: design, InstrumentID: "g1", FamilyID: "f1", SpecificationID: "s1", Characteristic: "lateral_runout", Result: "lateral_tir", Unit: "mm", Units: []string{"mm", "in"},
		High: "0.30", Persons: []string{"p2", "p3"}, Items: []models.StudyItem{{Name: "W26000051", Reference: "0.10"}, {Name: "W26000069", Reference: "0.20"}, {Name: "W26000077", Reference: "0.30"}}, Repeats: 2, Seed: 42, Note: "before the audit",
		PlannedAt: sampleNow, PlannedBy: "p1"}
	persons := 2
	if design != models.StudyCrossed {
		persons = 1
	}
	if design == models.StudyBias || design == models.StudyStability {
		study.Items, study.Repeats = study.Items[:1], map[string]int{models.StudyBias: 6, models.StudyStability: 24}[design]
	}
	for repeat := range study.Repeats {
		for person := range persons {
			for item := range study.Items {
				turn := models.StudyTurn{Person: person, Item: item, Repeat: repeat + 1}
				if design != models.StudyCrossed {
					turn.Person = -1
				}
				study.Turns = append(study.Turns, turn)
			}
		}
	}
	v := studies.View{StudyView: models.StudyView{Study: study, Strikes: map[string]models.StudyStrike{}}, Instrument: models.Instrument{Code: "L-12", Name: "Dial indicator", Unit: "mm"}, Family: models.Family{ID: "f1", Name: "Rear wheels 559"},
		People: map[string]string{"p1": "Inge Okarra", "p2": "Tam Vale", "p3": "Johanna Thorne"}}
	for i := range min(taken, len(study.Turns)) {
		t := study.Turns[i]
		value := fmt.Sprintf("0.%02d", 10*(t.Item+1)+(i*7)%3+max(0, t.Person))
		v.Readings = append(v.Readings, models.StudyReading{ID: fmt.Sprintf("r%d", i), StudyID: "y1", Turn: i, Typed: value, TypedUnit: "mm", Value: value, PersonID: study.Persons[max(0, t.Person)], EnteredBy: "p1", EnteredAt: sampleNow})
	}
	return v
}

func sampleBudget() studies.BudgetView {
	id := "y1"
	return studies.BudgetView{UncertaintyBudget: models.UncertaintyBudget{ID: "b1", FamilyID: "f1", Result: "lateral_tir", Revision: 2, Unit: "mm", Coverage: "0.9545", Combined: "0.0123", K: "2.0869", Freedom: "27", U: "0.026", StudyID: &id, Reason: "3", MadeAt: sampleNow,
		Lines: []models.BudgetLine{{Source: models.FromStudy, Name: "repeatability", Shape: "repeats", Value: "0.00528362", N: 1, Freedom: "27", StudyID: "y1", Instrument: "L-12"}, {Source: models.FromCalibration, Shape: "stated", Value: "0.02", K: "2", Instrument: "L-12"},
			{Source: models.FromResolution, Shape: "resolution", Value: "0.01", Sensitivity: "1.414", Instrument: "L-12"}, {Source: models.FromTyped, Name: "axle play", Shape: "rectangular", Value: "0.005"}, {Source: models.FromTemperature, Shape: "u_shaped", Value: "0.001", N: 0}}},
		Family: models.Family{ID: "f1", Name: "Rear wheels 559"}, Newest: true, By: "Inge Okarra", Floor: &gauge.NoiseFloor{Points: 36, Mean: 0.0197},
		Contributions: []gauge.Contribution{{U: 0.00528, Share: 0.18, DoF: 27}, {U: 0.01, Share: 0.66}, {U: 0.00408, Share: 0.11}, {U: 0.0029, Share: 0.04}, {U: 0.0007, Share: 0.01}}}
}

// studyPages are the pages of gauge studies, of budgets and of the choice of a rule.
func studyPages(s *site, owner Frame) map[string][]any {
	running, read, bias, line, time := sampleStudy(models.StudyCrossed, 5), sampleStudy(models.StudyCrossed, 99), sampleStudy(models.StudyBias, 99), sampleStudy(models.StudyLinearity, 99), sampleStudy(models.StudyStability, 99)
	confirmed, dropped := sampleStudy(models.StudyCrossed, 99), sampleStudy(models.StudyCrossed, 2)
	confirmed.End = &models.StudyEnd{StudyID: "y1", What: models.StudyConfirmed, MadeAt: sampleNow}
	dropped.End = &models.StudyEnd{StudyID: "y1", What: models.StudyGivenUp, Reason: "the dial broke", MadeAt: sampleNow}
	dropped.Strikes["r1"] = models.StudyStrike{ReadingID: "r1", Reason: "mistyped", StruckBy: "p2"}
	level := sampleStudy(models.StudyBias, 99)
	for i := range level.Readings {
		level.Readings[i].Value = "0.10"
	}
	numbers := map[string]int{"y1": 3}
	full := s.budgetPage(owner, sampleBudget(), numbers)
	full.Older = []Span{{Text: "revision 1, 3 May 2027", Path: "/budgets/b0"}}
	own := sampleBudget()
	own.StudyID, own.Floor, own.Newest, own.Reason = nil, nil, false, "the axle moves"
	form := BudgetForm{Frame: owner, Of: "Rear wheels 559, lateral run-out", About: "f1/lateral_tir", Back: "/budgets", From: 2, Next: 3, Button: "See what it comes to"}
	form.fill(newForm(func(string) string { return "" }, models.Invalid("lines[0].value", "not_a_number", "typed", "x")), sampleBudget().Lines, "mm", "0.9545")
	kept := form
	kept.Confirming, kept.Lines, kept.Says, kept.Floor = true, full.Lines, budgetSays(sampleBudget()), floorWords(sampleBudget())
	limit := models.Limit{Result: "dish_abs", Unit: "mm", Decimals: 4, High: "1.0", U: "0.11"}
	bare := filled(map[string]string{})
	rule := RulePage{Frame: owner, Of: "Rear wheels 559", Result: "Dish", Limit: "at most 1.0 mm", Path: "/families/f1/rule?result=dish_abs", Back: "/specifications/s1", Next: 4, Answer: "Choose its uncertainty and rule", U: bare.field(Field{Name: "u", Label: "Uncertainty"}),
		Factor: bare.field(Field{Name: "guard_factor", Label: "Guard factor"}), Reason: bare.field(Field{Name: "reason", Label: "Why", Kind: "text area"})}
	costs := []studies.Cost{{Rule: "simple", FalseAccepts: 18.9, FalseRejects: 37.2}, {Rule: "guarded", Factor: "1", FalseAccepts: 0.47, FalseRejects: 247.7}, {Rule: "nonbinary", FalseAccepts: 0.0001, Undecided: 230}, {Rule: "iso14253", Refused: true}}
	o := specificationOwner{family: models.Family{ID: "f1", Name: "Rear wheels 559"}, inForce: models.Specification{Rule: "simple"}}
	costly, runout, few := rule, rule, rule
	costly.rules(o, limit, "guarded", costs, true)
	costly.basis(o, limit, studies.Basis{N: 23, Mean: 0.4, SD: 0.2, FirstSets: true, Few: true, NormalKnown: true, NormalP: 0.01, Swamped: true, Known: true})
	box := bare.field(Field{Name: "from_budget", Kind: "check", Label: "Take it from the budget", Value: "yes"})
	costly.FromBudget, costly.Budget, costly.Problem = &box, "/budgets/b1", "This rule cannot be had."
	runout.rules(o, models.Limit{Result: "lateral_tir", High: "0.30", U: "0.02"}, "", nil, false)
	few.rules(o, limit, "", nil, false)
	few.basis(o, limit, studies.Basis{N: 3})
	next := studies.Next{Study: running.Study, Turn: 5, PersonID: "p3", Person: "Johanna Thorne", Item: "W26000077", Read: 5, All: 12, Last: "r4", LastItem: "W26000069"}
	reading, wrong, ended := studyReadPage(owner, running, next, ""), studyReadPage(owner, running, next, "p3"), studyReadPage(owner, running, studies.Next{}, "")
	reading.Value = bare.field(Field{Name: "value", Label: "Reading"})
	wrong.Value, wrong.Problems = Field{Name: "value", Problem: "0.2x is not a number."}, Problems{Any: true, Loose: []string{"Another tablet took it."}}
	ended.Ended = []string{"Every reading is taken."}
	plan := StudyForm{Frame: owner, Design: models.StudyCrossed, Designs: []StudyDesign{{models.StudyCrossed, "Persons and items", "How much?", true}}, Persons: []PersonBox{{"p2", "Tam Vale", true}}, Who: "At least 2.",
		About: bare.field(Field{Name: "about", Label: "What is read", Kind: "select"}), Gauge: bare.field(Field{Name: "instrument", Label: "Gauge", Kind: "select"}), Items: bare.field(Field{Name: "items", Label: "Items", Kind: "text area"})}
	problem := s.studyPage(owner, read)
	problem.Problems = Problems{Any: true, Count: "see why below", Loose: []string{"No."}}
	return map[string][]any{
		"studies":     {StudiesPage{Frame: owner, Answer: "No gauge study yet"}, StudiesPage{Frame: owner, Answer: "One gauge study runs", Running: []StudyRow{s.studyRow(owner, running)}, Ended: []StudyRow{s.studyRow(owner, confirmed), s.studyRow(owner, dropped)}}},
		"study":       {s.studyPage(owner, running), problem, s.studyPage(owner, confirmed), s.studyPage(owner, dropped), s.studyPage(owner, bias), s.studyPage(owner, line), s.studyPage(owner, time), s.studyPage(owner, level)},
		"study_form":  {StudyForm{Frame: owner}, plan},
		"study_read":  {reading, wrong, ended},
		"study_sheet": {studySheetPage(owner, running), studySheetPage(owner, time)},
		"budgets":     {BudgetsPage{Frame: owner, Answer: "No uncertainty budget yet"}, BudgetsPage{Frame: owner, Answer: "One result has an uncertainty budget", Rows: []BudgetRow{{"Rear wheels 559", "/budgets/b1", "Lateral run-out", "0.026 mm", "5 lines", "24 May 2027"}}, About: bare.field(Field{Name: "about", Label: "A budget for", Kind: "select", Choices: []Choice{{"f1/lateral_tir", "x"}}})}},
		"budget":      {full, s.budgetPage(owner, own, numbers)},
		"budget_form": {form, kept},
		"rule":        {costly, runout, few},
	}
}
