package web

import (
	"cmp"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/server/httpx"
)

// InspectPage takes what an incoming inspection found.
type InspectPage struct {
	Frame
	Code, What string
	Title      string   // what to look at
	Says       []string // how, and what it lets through
	Path, Back string
	Plan       []Field           // which plan, asked for again when one changes
	Sent       map[string]string // the plan, as the form sends it along
	Fields     []Field
	Faults     []FaultRow
	Note       []Field
	Ready      bool // there is something to enter
	Problems   Problems
}

// FaultRow asks for one fault and how many pieces had it.
type FaultRow struct{ Code, Count Field }

// faultsAsked is how many faults the form has room for.
const faultsAsked = 4

// planOf reads a plan as an address or a form names it.
func planOf(value func(string) string) models.LotPlan {
	return models.LotPlan{Kind: value("plan"), Bad: value("bad_percent"), Risk: value("risk_percent"), Level: value("level"), AQL: value("aql")}
}

// planValues name it.
func planValues(p models.LotPlan) map[string]string {
	return map[string]string{"plan": p.Kind, "bad_percent": p.Bad, "risk_percent": p.Risk, "level": p.Level, "aql": p.AQL}
}

// planFields ask for a plan; only what its kind needs.
func planFields(f *form, kind string, kinds []string) []Field {
	fields := []Field{f.field(Field{Name: "plan", Label: "How it is looked at", Kind: "select", Width: "w6", Choices: choices(kinds, func(k string) string { return words.Sentence(english.PlanKind(k)) })})}
	plain := func(code string) string { return code }
	switch kind {
	case models.PlanZero:
		fields = append(fields, f.field(Field{Name: "bad_percent", Label: "Find a lot with", Unit: "% bad", Mode: "decimal", Width: "w3"}),
			f.field(Field{Name: "risk_percent", Label: "Which may pass in", Unit: "of 100 cases", Mode: "decimal", Width: "w3"}))
	case models.PlanSingle:
		fields = append(fields, f.field(Field{Name: "level", Label: "Level", Kind: "select", Width: "w3", Choices: choices(receive.PlanLevels, plain)}),
			f.field(Field{Name: "aql", Label: "AQL", Kind: "select", Width: "w3", Choices: choices(receive.PlanAQLs, plain)}))
	}
	return fields
}

// usualFigures are what a plan begins with.
var usualFigures = map[string]string{"bad_percent": receive.UsualBad, "risk_percent": receive.UsualRisk, "level": "II", "aql": "1.0"}

// usualPlan completes a plan that was chosen with what is usual; the figures of
// another kind are dropped when it is worked out.
func usualPlan(p models.LotPlan) models.LotPlan {
	given := planValues(p)
	return planOf(func(name string) string { return cmp.Or(given[name], usualFigures[name]) })
}

func (s *site) inspectLotPage(c *gin.Context) error {
	return s.showInspectLot(c, http.StatusOK, nil)
}

func (s *site) showInspectLot(c *gin.Context, status int, problem error) error {
	story, err := s.services.Receive.Story(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	lot, path := story.Lot, lotPath(story.Lot.Code)
	page := InspectPage{Frame: s.frame(c, "Inspect lot "+lot.Code, "/lots"), Code: lot.Code, What: words.Sentence(story.Material.Name), Path: path + "/inspect", Back: path}
	plan := story.Material.Plan
	if _, chosen := c.GetQuery("plan"); chosen {
		plan = planOf(c.Query)
	} else if _, sent := c.GetPostForm("plan"); sent {
		plan = planOf(c.PostForm)
	} else if plan.Kind == models.PlanNone {
		plan.Kind = models.PlanZero
	}
	plan = usualPlan(plan)
	sample, wrong := receive.Work(plan, story.Totals.Came(lot))
	if wrong != nil && !answerable(wrong) {
		return wrong
	}
	if wrong == nil {
		plan = sample.Plan
	}
	page.Plan = planFields(newForm(func(n string) string { return planValues(plan)[n] }, wrong), plan.Kind, models.PlanKinds[1:])
	page.Sent, page.Ready = planValues(plan), wrong == nil && sample.Size > 0
	if page.Ready {
		page.Title, page.Says = sampleSays(sample, story.Material)
	} else {
		page.Title = "Choose how it is looked at"
	}
	f := posted(c, problem)
	page.Fields = []Field{f.field(Field{Name: "looked", Label: words.Sentence(story.Material.Unit) + " looked at", Mode: "numeric", Width: "w4", Focus: true})}
	codes := s.faultChoices(lotKind(story.Material))
	codes[0].Text = "no further fault"
	for i := range faultsAsked {
		page.Faults = append(page.Faults, FaultRow{f.field(Field{Name: fmt.Sprintf("bad[%d].code", i), Label: "Fault", Kind: "select", Choices: codes}),
			f.field(Field{Name: fmt.Sprintf("bad[%d].count", i), Label: "Bad ones", Mode: "numeric", Optional: true})})
	}
	page.Note = []Field{f.field(Field{Name: "note", Label: "Note", Kind: "text area", Optional: true, Hint: "Photos are added afterwards, on the lot’s page."})}
	page.Problems = f.summary()
	return send(c, status, "lot_inspect", page)
}

// lookSays is what is still to be looked at: "11 of 4000 are to be looked at".
func lookSays(sample receive.Sample) string {
	switch {
	case sample.Size == 0:
		return "still to be looked at"
	case sample.Lot == 0:
		return pieces(sample.Size) + " are to be looked at"
	case sample.Size == sample.Lot:
		return "every piece is to be looked at, " + pieces(sample.Lot)
	}
	return pieces(sample.Size) + " of " + pieces(sample.Lot) + " are to be looked at"
}

// sampleSays is what to do by a plan, and what it lets through.
func sampleSays(sample receive.Sample, m models.Material) (title string, says []string) {
	of := ""
	if sample.Lot > 0 {
		of = " of " + pieces(sample.Lot)
	}
	title = "Look at " + pieces(sample.Size) + of + " " + m.Unit
	if sample.Size == sample.Lot {
		return "Look at every piece: " + pieces(sample.Size) + " " + m.Unit, []string{"The lot passes with none bad. Nothing is left to chance but the eye that looks."}
	}
	passes := "The lot passes with none bad"
	if sample.Accept > 0 {
		passes = "The lot passes with at most " + pieces(sample.Accept) + " bad"
	}
	return title, []string{"Take them from different places of the delivery. " + passes + ": " + letsThrough(sample.Bad, sample.Passes) + ".", "A piece with two faults counts once, under the worse. What is wrong beyond the limit quarantines the lot at once."}
}

func (s *site) inspectLot(c *gin.Context) error {
	return s.postLot(c, "lot_checked", func() error {
		looked, err := wholeNumber(c, "looked")
		if err != nil {
			return err
		}
		in := receive.Looked{Lot: c.Param("code"), Plan: planOf(c.PostForm), Looked: looked, Note: c.PostForm("note")}
		var rows []int
		for i := range faultsAsked {
			code := c.PostForm(fmt.Sprintf("bad[%d].code", i))
			if code == "" {
				continue
			}
			n, err := wholeNumber(c, fmt.Sprintf("bad[%d].count", i))
			if err != nil {
				return err
			}
			in.Bad, rows = append(in.Bad, models.DefectCount{Code: code, Count: n}), append(rows, i)
		}
		_, err = s.services.Receive.Inspect(c.Request.Context(), httpx.Actor(c), in)
		return asTyped(err, "bad", rows)
	}, func(status int, problem error) error { return s.showInspectLot(c, status, problem) })
}
