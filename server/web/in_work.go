package web

import (
	"fmt"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
)

// InWorkPage is the work in progress: a row for each product, a column for each
// step.
type InWorkPage struct {
	Frame
	Answer string
	Groups []InWorkGroup
}

// InWorkGroup is one kind with the steps that it takes.
type InWorkGroup struct {
	Name  string
	Steps []string
	Rows  []InWorkRow
}

// InWorkRow is one product.
type InWorkRow struct {
	Product string
	Cells   []InWorkCell
}

// InWorkCell is how many stand at a step, and the oldest of them.
type InWorkCell struct {
	Step, Count, Age, Path, Serial string
	Old                            bool
}

// steps of each kind of item, in the order of the work.
var stepsOf = map[string][]string{
	models.KindWheel: {models.StepLaced, models.StepTruing, models.StepPassed, models.StepReady, models.StepHeld},
	models.KindPack:  {models.StepBuilding, models.StepCharging, models.StepResting, models.StepAgain, models.StepPassed, models.StepReady, models.StepHeld},
}

// oldWork is from when on an age is marked.
const oldWork = 7 * 24 * time.Hour

func (s *site) inWork(c *gin.Context) error {
	lines, err := s.services.Monitor.InWork(c.Request.Context())
	if err != nil {
		return err
	}
	return show(c, "in_work", s.inWorkPage(s.frame(c, "In work", "/in-work"), lines))
}

func (s *site) inWorkPage(frame Frame, lines []monitor.Line) InWorkPage {
	page := InWorkPage{Frame: frame, Answer: "Nothing is in work"}
	waiting, ready := 0, 0
	for _, l := range lines {
		if n := len(page.Groups); n == 0 || page.Groups[n-1].Name != words.Sentence(english.Kinds(l.Kind)) {
			group := InWorkGroup{Name: words.Sentence(english.Kinds(l.Kind))}
			for _, step := range stepsOf[l.Kind] {
				group.Steps = append(group.Steps, words.Sentence(english.Step(step)))
			}
			page.Groups = append(page.Groups, group)
		}
		row := InWorkRow{Product: l.Product}
		for _, step := range stepsOf[l.Kind] {
			at := l.Steps[step]
			cell := InWorkCell{Step: words.Sentence(english.Step(step))}
			if at.Count > 0 {
				age := s.services.Now().Sub(at.Since)
				cell.Count, cell.Age, cell.Old = fmt.Sprint(at.Count), ageWords(age), age > oldWork && step != models.StepReady
				cell.Path, cell.Serial = itemPath(at.Oldest.Serial, at.Oldest.ItemID), words.Serial(at.Oldest.Serial)
			}
			if step == models.StepReady {
				ready += at.Count
			} else {
				waiting += at.Count
			}
			row.Cells = append(row.Cells, cell)
		}
		group := &page.Groups[len(page.Groups)-1]
		group.Rows = append(group.Rows, row)
	}
	if waiting+ready > 0 {
		page.Answer = counted(waiting, "item is in work", "items are in work") + ", " + words.Number(fmt.Sprint(ready)) + " ready to go"
	}
	return page
}

// ageWords is an age to the hour or the day.
func ageWords(d time.Duration) string {
	switch hours := int(d.Hours()); {
	case hours < 1:
		return "now"
	case hours < 48:
		return plural(hours, "hour", "hours")
	default:
		return plural(hours/24, "day", "days")
	}
}
