package web

import (
	"fmt"
	"math"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/words"
	"tracewright/models/work/studies"
	"tracewright/server/httpx"
)

func (s *site) studyRoutes() []httpx.Route {
	return []httpx.Route{
		get("/studies", models.ActLook, s.studies),
		get("/studies/new", models.ActCalibrate, s.newStudy),
		post("/studies/new", models.ActCalibrate, s.planStudy),
		get("/studies/:number", models.ActLook, s.study),
		get("/studies/:number/sheet", models.ActLook, s.studySheet),
		get("/studies/:number/read", models.ActRecord, s.studyReadPage),
		post("/studies/:number/read", models.ActRecord, s.readStudy),
		get("/studies/:number/strike", models.ActRecord, s.strikePage),
		post("/studies/:number/strike", models.ActRecord, s.strike),
		post("/studies/:number/confirm", models.ActCalibrate, s.confirmStudy),
		get("/studies/:number/give-up", models.ActCalibrate, s.giveUpPage),
		post("/studies/:number/give-up", models.ActCalibrate, s.giveUp),
		get("/budgets", models.ActLook, s.budgets),
		get("/budgets/new", models.ActCalibrate, s.newBudget),
		post("/budgets/new", models.ActCalibrate, s.reviseBudget),
		get("/budgets/:id", models.ActLook, s.budget),
		get("/families/:id/rule", models.ActSpecify, s.rulePage),
		post("/families/:id/rule", models.ActSpecify, s.setRule),
		get("/products/:id/rule", models.ActSpecify, s.rulePage),
		post("/products/:id/rule", models.ActSpecify, s.setRule),
	}
}

// StudiesPage lists the gauge studies: those that run first.
type StudiesPage struct {
	Frame
	Answer  string
	Running []StudyRow
	Ended   []StudyRow
}

// StudyRow is one study.
type StudyRow struct {
	Number, Path, What, Gauge, Planned, Taken string
	State                                     Mark
	Read                                      string // path, where this person may take readings
}

func studyPath(number int) string { return "/studies/" + strconv.Itoa(number) }

// numbered is the study that the address names.
func numbered(c *gin.Context) (int, error) {
	n, err := strconv.Atoi(c.Param("number"))
	if err != nil {
		return 0, fmt.Errorf("gauge study %.20q: %w", c.Param("number"), models.ErrNotFound)
	}
	return n, nil
}

func (s *site) studies(c *gin.Context) error {
	list, err := s.services.Studies.Studies(c.Request.Context())
	if err != nil {
		return err
	}
	page := StudiesPage{Frame: s.frame(c, "Gauge studies", "/studies"), Answer: "No gauge study yet"}
	for _, v := range list {
		row := s.studyRow(page.Frame, v)
		if v.End == nil {
			page.Running = append(page.Running, row)
		} else {
			page.Ended = append(page.Ended, row)
		}
	}
	switch n := len(page.Running); {
	case n > 0:
		page.Answer = counted(n, "gauge study runs", "gauge studies run")
	case len(list) > 0:
		page.Answer = "No gauge study runs"
	}
	return show(c, "studies", page)
}

func (s *site) studyRow(frame Frame, v studies.View) StudyRow {
	row := StudyRow{Number: strconv.Itoa(v.Study.Number), Path: studyPath(v.Study.Number), What: studyWhat(v), Gauge: v.Instrument.Code, Planned: s.day(v.Study.PlannedAt),
		Taken: english.Of(len(v.Study.Turns)-v.Left(), len(v.Study.Turns)), State: studyMark(v)}
	if v.End == nil && v.Left() > 0 && takesPart(frame, v.Study) {
		row.Read = row.Path + "/read"
	}
	return row
}

// takesPart says whether this person may take readings of a study.
func takesPart(frame Frame, study models.GaugeStudy) bool {
	if !frame.Actor.May(models.ActRecord) {
		return false
	}
	for _, id := range study.Persons {
		if id == frame.Actor.PersonID {
			return true
		}
	}
	return frame.Actor.May(models.ActCalibrate)
}

func studyWhat(v studies.View) string {
	return english.Result(v.Study.Result) + ", " + english.Design(v.Study.Design)
}

func studyMark(v studies.View) Mark {
	switch {
	case v.End == nil && v.Left() == 0:
		return Mark{"square", "Read, to be confirmed", "note"}
	case v.End == nil:
		return Mark{"clock", "Running", "note"}
	case v.End.What == models.StudyGivenUp:
		return Mark{"", "Given up", "none"}
	}
	return Mark{"tick", "Confirmed", "pass"}
}

// figure shows a computed number with three significant digits and its unit.
func figure(x float64, unit string) string {
	return words.Quantity(significant(x, 3), unit)
}

func significant(x float64, digits int) string {
	d, err := measure.Round(x, 9)
	if err != nil {
		return "not known"
	}
	if d.IsZero() {
		return "0"
	}
	return d.RoundSignificant(digits).String()
}

// perCent shows a share: whole from ten on, with a decimal below.
func perCent(x float64) string {
	switch {
	case math.Abs(x) >= 9.95:
		return strconv.FormatFloat(x, 'f', 0, 64) + "\u00a0%"
	case math.Abs(x) < 0.05:
		return "0\u00a0%"
	}
	return strconv.FormatFloat(x, 'f', 1, 64) + "\u00a0%"
}
