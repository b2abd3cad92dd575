package web

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/build"
	"tracewright/models/work/shelf"
	"tracewright/server/httpx"
)

// BuildView is how a pack is being built, on its page.
type BuildView struct {
	Path     string // of the item
	Can      bool   // may record
	Steps    []BuildLine
	Undone   []string // what was ticked and taken back
	Strings  []Field  // asked for before strings are joined
	Problem  string   // why a step was refused
	Charge   string   // in words
	Rest     Mark
	RestText string
	End      string // address of the form that ends the charge
	Start    bool   // it may be put on a charger
	Place    string
	Tests    []TestLine
	Cautions []string
}

// BuildLine is one step.
type BuildLine struct {
	Code, Words string
	Done        bool
	Who         string
	Asks        bool // for the voltage of each string
}

// TestLine is a capacity test in the list.
type TestLine struct{ Path, Says, Gave string }

// gave says what the weakest block of a discharge gave.
func gave(t build.Tested) string {
	least := t.Blocks[0].PctOfRated
	for _, b := range t.Blocks {
		least = min(least, b.PctOfRated)
	}
	share := strconv.FormatFloat(least, 'f', 1, 64) + "\u00a0% of rated"
	switch {
	case t.StoppedEarly:
		return "at least " + share + ", stopped too early to say"
	case t.Accepted:
		return share
	case !t.InRange:
		return share + ", started too cold or too warm to say"
	}
	return share + ", below " + strconv.FormatFloat(t.AcceptPct, 'f', -1, 64) + "\u00a0%"
}

// buildView gathers what stands on a pack's page; nil for anything else.
func (s *site) buildView(c *gin.Context, frame Frame, item models.Item, path string, problem error) (*BuildView, error) {
	if item.Kind != models.KindPack || item.FamilyID == nil || s.services.Build == nil {
		return nil, nil
	}
	ctx := c.Request.Context()
	sheet, err := s.services.Build.Sheet(ctx, item.ID)
	if err != nil {
		return nil, err
	}
	v := &BuildView{Path: path, Can: frame.Actor.May(models.ActRecord), Cautions: cautionWords(sheet)}
	for _, step := range sheet.Steps {
		line := BuildLine{Code: step.Code, Words: step.Words, Done: step.Done, Asks: step.Code == build.StringsJoined && !step.Done}
		if step.Done {
			line.Who = step.Person + ", " + s.minute(step.At)
			if len(step.Volts) > 0 {
				line.Who += ", at " + strings.Join(step.Volts, " and ") + "\u00a0V"
			}
		}
		if line.Asks && v.Can && sheet.Form != nil {
			f := posted(c, nil)
			for i := range sheet.Form.Strings {
				n := strconv.Itoa(i + 1)
				v.Strings = append(v.Strings, f.field(Field{Name: "string_volts_" + n, Label: "String " + n, Unit: "V", Width: "w3", Mode: "decimal"}))
			}
		}
		v.Steps = append(v.Steps, line)
	}
	for _, e := range sheet.History {
		if !e.Done {
			v.Undone = append(v.Undone, e.Words+": taken back by "+e.Person+", "+s.minute(e.DoneAt))
		}
	}
	v.Problem = saidOf(problem)
	s.chargeWords(v, sheet.Rest)
	place, wanted, err := s.services.Shelf.Stands(ctx, item.ID)
	if err != nil {
		return nil, err
	}
	if v.Place = "Not on the shelf."; place != "" {
		v.Place = "Stands at " + place + "."
	}
	if wanted != "" {
		v.Place += " Wanted for " + words.Date(wanted) + "."
	}
	tests, err := s.services.Build.CapacityTests(ctx, item.ID)
	if err != nil {
		return nil, err
	}
	for _, t := range tests {
		v.Tests = append(v.Tests, TestLine{Path: path + "/capacity/" + t.ID, Says: s.day(t.StartedAt), Gave: gave(t)})
	}
	return v, nil
}

// saidOf is why something was refused, in words.
func saidOf(problem error) string {
	var invalid *models.InvalidError
	var refused *models.RefusedError
	switch {
	case errors.As(problem, &refused):
		return english.Remark(refused.Reasons[0])
	case errors.As(problem, &invalid):
		p := invalid.Problems[0]
		return english.Say(p.Code, p.Values)
	}
	return ""
}

// chargeWords say how far it is between charger and reading.
func (s *site) chargeWords(v *BuildView, r build.Rest) {
	now := s.services.Now()
	v.Start = true
	if r.Charge == nil {
		v.Charge = "No charge is recorded."
		return
	}
	on := ""
	if r.Charge.Charger != "" {
		on = " at " + r.Charge.Charger
	}
	if r.Charge.End == nil {
		v.Charge, v.End, v.Start = "On the charger"+on+" since "+s.minute(r.Charge.StartedAt)+".", "/charges/"+r.Charge.ID+"/end", false
		return
	}
	v.Charge = "Charged" + on + " until " + s.minute(r.Charge.End.EndedAt)
	if r.Charge.End.EndCurrent != "" {
		v.Charge += ", " + words.Quantity(r.Charge.End.EndCurrent, "A") + " at the end"
	}
	v.Charge += "."
	switch {
	case !now.Before(r.Opens):
		v.Rest, v.RestText = Mark{"tick", "Rested", "pass"}, "since "+s.momentNear(r.Opens)+": it may be read."
	case !now.Before(r.Provisional):
		v.Rest, v.RestText = Mark{"triangle", "Provisional", "care"}, "until "+s.momentNear(r.Opens)+": a reading now is judged as provisional and printed so."
	default:
		v.Rest, v.RestText = Mark{"clock", "Rests", "note"}, "until "+s.momentNear(r.Opens)+", provisional from "+s.momentNear(r.Provisional)+"."
	}
}

// cautionWords are those of the work at hand.
func cautionWords(sheet build.Sheet) []string {
	cautions := sheet.Cautions()
	out := make([]string, len(cautions))
	for i, c := range cautions {
		out[i] = english.Say("caution."+c.Code, nil)
	}
	return out
}

// tickStep ticks a step or takes it back.
func (s *site) tickStep(c *gin.Context) error {
	var volts []string
	for i := 1; ; i++ {
		v, sent := c.GetPostForm(fmt.Sprint("string_volts_", i))
		if !sent {
			break
		}
		volts = append(volts, v)
	}
	_, err := s.services.Build.Tick(c.Request.Context(), httpx.Actor(c), c.Param("serial"), build.NewTick{Step: c.PostForm("step"), Done: c.PostForm("done") == "yes", Volts: volts})
	if answerable(err) {
		return s.itemWith(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/items/"+c.Param("serial"), "step")
}

// chargeItem puts a pack on a charger from its own page.
func (s *site) chargeItem(c *gin.Context) error {
	_, err := s.services.Shelf.StartCharge(c.Request.Context(), httpx.Actor(c), c.Param("serial"), shelf.NewCharge{Kind: c.PostForm("kind"), Charger: c.PostForm("charger"), Started: time.Time{}})
	if answerable(err) {
		return s.itemWith(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/items/"+c.Param("serial"), "on_charger")
}

func (s *site) buildStepsPage(c *gin.Context) error { return s.showBuildSteps(c, http.StatusOK, nil) }

func (s *site) showBuildSteps(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	family, err := s.services.Specify.Family(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	steps, n, err := s.services.Build.Steps(ctx, family.Family.ID)
	if err != nil {
		return err
	}
	lines := make([]string, len(steps))
	for i, step := range steps {
		lines[i] = step.Words
	}
	f, from := posted(c, problem), c.PostForm("from")
	if problem == nil {
		f, from = filled(map[string]string{"steps": strings.Join(lines, "\n")}), strconv.Itoa(n)
	}
	path := "/families/" + family.Family.ID
	page := ConfirmPage{Frame: s.frame(c, "Build steps", "/families"), About: family.Family.Name, Title: "What is ticked while a pack is built", Button: "Keep", Path: path + "/steps", Back: path, Hidden: []Choice{{"from", from}},
		Says: []string{"One step a line, in the order they are usually done; they may be ticked in any. A step with the same words keeps what was ticked before. Packs of more strings get the fuses and the joining of strings by themselves."},
		Fields: []Field{f.field(Field{Name: "steps", Label: "Steps", Kind: "text area", Focus: true}),
			f.field(Field{Name: "reason", Label: "Why"})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) reviseBuildSteps(c *gin.Context) error {
	_, err := s.services.Build.Revise(c.Request.Context(), httpx.Actor(c), c.Param("id"), revisionFrom(c.PostForm), strings.Split(c.PostForm("steps"), "\n"), c.PostForm("reason"))
	if answerable(err) {
		return s.showBuildSteps(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/families/"+c.Param("id"), "steps")
}
