package web

import (
	"time"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// nonconformingPages are the pages of what does not conform: at each step of one,
// of the codes, and of corrective actions.
func nonconformingPages(s *site, owner Frame) map[string][]any {
	people, none := map[string]string{"p2": "Inge Okarra"}, filled(map[string]string{})
	wheel := models.Item{ID: "i1", Kind: models.KindWheel, Serial: text("W26000051"), Supplier: "Halden"}
	at := func(state string, steps ...models.NonconformityStep) (models.NonconformityView, models.Item) {
		item := wheel
		item.State = state
		v := models.NonconformityView{Nonconformity: models.Nonconformity{Number: "NC27-00004", ItemID: "i1", Code: "W15", Severity: models.Critical, Note: "a hairline at the valve hole", Failed: []string{"lateral_runout"}, OpenedBy: "p2", OpenedAt: sampleNow.Add(-50 * time.Hour), State: state}, Steps: steps}
		for i := range v.Steps {
			v.Steps[i].MadeAt, v.Steps[i].MadeBy = sampleNow, "p2"
		}
		return v, item
	}
	rework := models.NonconformityStep{What: string(flow.Rework), Work: "retension", Again: []string{"dish", "lateral_runout"}, Note: "once more"}
	back := models.NonconformityStep{What: string(flow.ReturnSupplier), Supplier: "Halden", Lot: "RM-2", Note: "theirs"}
	concede := models.NonconformityStep{What: string(flow.UseAsIs), Results: []string{"lateral_tir"}, Note: "fits"}
	page := func(f *form, state string, steps ...models.NonconformityStep) NonconformityPage {
		v, item := at(state, steps...)
		return s.nonconformityPage(owner, v, item, people, f)
	}
	one := []any{NonconformityPage{Frame: owner}, page(none, models.StateHeld), page(none, models.StateConcessionPending, concede), page(none, models.StateRework, rework), page(none, models.StateReinspect, rework), page(none, models.StateHeld, rework, models.NonconformityStep{What: string(flow.InspectFail), Holds: []string{"h2"}, Found: []models.FoundDefect{{Code: "W08", Severity: models.Critical}}, Note: "now a spoke"}),
		page(none, models.StateScrapPending), page(none, models.StateReturnPending, back), page(none, models.NonconformityClosed, models.NonconformityStep{What: string(flow.ConfirmScrap), Marked: true})}
	stopped, item := at(models.StateRework, rework)
	item.State = models.StateHeld
	one = append(one, s.nonconformityPage(owner, stopped, item, people, none))
	for _, d := range []string{"rework", "repair", "use_as_is", "return_supplier", "scrap"} {
		one = append(one, page(newForm(func(name string) string { return map[string]string{"what": d}[name] }, models.Invalid("note", "reason_needed")), models.StateHeld))
	}
	open := models.CorrectiveActionView{CorrectiveAction: models.CorrectiveAction{Number: "CA27-00001", State: models.ActionOpen, OpenedAt: sampleNow, OpenedBy: "p2"},
		Steps: []models.CorrectiveActionStep{{What: models.ActionStated, Problem: "Spokes of one lot break.", Containment: "in quarantine", Cause: "brittle", Action: "a bend test", OwnerID: "p2", DueOn: "2027-05-01", CheckOn: "2027-08-01", Codes: []string{"W08"}, Lots: []string{"SP-1", "SP-2"}, Nonconformities: []string{"NC27-00004"}, MadeAt: sampleNow, MadeBy: "p2"}}}
	after := func(state string, step models.CorrectiveActionStep) models.CorrectiveActionView {
		v := open
		step.MadeAt, step.MadeBy = sampleNow, "p2"
		v.State, v.Steps = state, append(append([]models.CorrectiveActionStep{}, v.Steps...), step)
		return v
	}
	action := func(v models.CorrectiveActionView) CorrectiveActionPage {
		return s.correctiveActionPage(owner, v, people, "2027-05-24", none)
	}
	done, failed := after(models.ActionDone, models.CorrectiveActionStep{What: models.ActionCarried}), after(models.ActionOpen, models.CorrectiveActionStep{What: models.ActionChecked, Note: "two more"})
	worked, closed := after(models.ActionWorked, models.CorrectiveActionStep{What: models.ActionChecked, Worked: true}), after(models.ActionClosed, models.CorrectiveActionStep{What: models.ActionEnded})
	book := models.NewDefects([]models.DefectRevision{{Code: "W01", Revision: 1, Name: "swings to the side", Severity: models.Minor, Reason: "r", MadeAt: sampleNow, MadeBy: "p2"}, {Code: "W25", Revision: 1, Name: "hub cap loose", Severity: models.Minor, Retired: true, Reason: "r", MadeAt: sampleNow, MadeBy: "p2"}})
	row := NonconformityRow{Number: "NC27-00004", Path: "/nonconformities/NC27-00004", What: "Rim dent or crack", Age: "2 days ago", Severity: severityMark(models.Critical), On: Span{Text: "W26-00005-1", Mono: true, Path: "/items/W26000051"}, State: Mark{"bars", "Waits for a decision", "hold"}}
	return map[string][]any{
		"nonconformities":    {NonconformitiesPage{Frame: owner, Answer: "No nonconformity is open"}, NonconformitiesPage{Frame: owner, Answer: "One nonconformity is open", Open: []NonconformityRow{row}, Closed: []NonconformityRow{row}}},
		"nonconformity":      one,
		"corrective_actions": {CorrectiveActionsPage{Frame: owner}, s.correctiveActionsPage(owner, []models.CorrectiveActionView{open, done}, []models.CorrectiveActionView{closed}, people, "2027-05-24")},
		"corrective_action":  {CorrectiveActionPage{Frame: owner}, action(open), action(done), action(failed), action(worked), action(closed)},
		"defects":            {DefectsPage{Frame: owner}, s.defectsPage(owner, models.NewDefects(nil)), s.defectsPage(owner, book)},
		"defect":             {DefectPage{Frame: owner}, s.defectPage(owner, book, "W25", people, nil, nil), s.defectPage(owner, book, newDefect, people, func(string) string { return "x" }, models.Invalid("code", "not_a_defect_code")), s.defectPage(owner, book, "W01", people, nil, nil)},
	}
}
