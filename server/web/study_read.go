package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/studies"
	"tracewright/server/httpx"
)

// StudyReadPage asks for one reading: who, which item, one field. It shows nothing
// that was read before.
type StudyReadPage struct {
	Frame
	Path, About, Gauge string
	Taken              string // how many are taken, in words
	Share              int    // the same in per cent, for the bar
	Person, Item       string
	Unit               string
	Units              string // codes that may be typed behind it, for the module
	Turn               int
	ID, PersonID       string
	Value              Field
	Others             []Choice // whose readings this person may type
	For                string   // the one chosen
	Strike, StrikeItem string   // path, where the last reading may be struck
	Ended              []string // why nothing is asked for
	Problems           Problems
}

func (s *site) studyReadPage(c *gin.Context) error { return s.showStudyRead(c, http.StatusOK, nil) }

func (s *site) showStudyRead(c *gin.Context, status int, problem error) error {
	n, err := numbered(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	who := c.Query("for")
	if c.Request.Method == http.MethodPost {
		who = c.PostForm("for")
	}
	next, err := s.services.Studies.Next(ctx, httpx.Actor(c), n, who)
	var refused *models.RefusedError
	if err != nil && !errors.As(err, &refused) {
		return err
	}
	v, errView := s.services.Studies.Study(ctx, n)
	if errView != nil {
		return errView
	}
	page := studyReadPage(s.frame(c, fmt.Sprintf("Read for study %d", n), "/studies"), v, next, who)
	if refused != nil {
		page.Ended, page.Others = refusals(err), stillToRead(page.Others, v)
		return send(c, status, "study_read", page)
	}
	f := posted(c, problem)
	page.Value = f.field(Field{Name: "value", Label: "Reading", Mode: "decimal", Focus: true, Complete: "off"})
	page.ID = models.NewID()
	if problem != nil && c.PostForm("turn") == strconv.Itoa(page.Turn) {
		page.ID = c.PostForm("id")
	}
	page.Problems = f.summary()
	return send(c, status, "study_read", page)
}

func studyReadPage(frame Frame, v studies.View, next studies.Next, who string) StudyReadPage {
	study := v.Study
	page := StudyReadPage{Frame: frame, Path: studyPath(study.Number), About: fmt.Sprintf("Gauge study %d: %s", study.Number, lowered(english.Result(study.Result))), Gauge: v.Instrument.Code,
		Taken: english.Of(next.Read, len(study.Turns)) + " taken", Share: 100 * next.Read / max(1, len(study.Turns)), Person: next.Person, PersonID: next.PersonID, Item: next.Item, Turn: next.Turn, For: who,
		Unit: words.Unit(study.Unit), Units: strings.Join(study.Units, " ")}
	if frame.Actor.May(models.ActCalibrate) && len(study.Persons) > 1 {
		page.Others = []Choice{{"", "whose turn it is"}}
		for _, id := range study.Persons {
			page.Others = append(page.Others, Choice{id, name(v.People, id)})
		}
	}
	if next.Last != "" {
		page.Strike, page.StrikeItem = page.Path+"/strike?reading="+next.Last, next.LastItem
	}
	return page
}

// stillToRead leaves of those whose readings may be typed who has some left.
func stillToRead(others []Choice, v studies.View) []Choice {
	left := map[string]bool{}
	for i, r := range v.Standing() {
		if of := v.Study.Turns[i].Person; r == nil && of >= 0 && v.End == nil {
			left[v.Study.Persons[of]] = true
		}
	}
	return slices.DeleteFunc(others, func(c Choice) bool { return !left[c.Value] })
}

func (s *site) readStudy(c *gin.Context) error {
	n, err := numbered(c)
	if err != nil {
		return err
	}
	turn, err := strconv.Atoi(c.PostForm("turn"))
	if err != nil {
		turn = -1
	}
	err = s.services.Studies.Enter(c.Request.Context(), httpx.Actor(c), n, studies.Entry{ID: c.PostForm("id"), Turn: turn, PersonID: c.PostForm("person"), Typed: c.PostForm("value")})
	if answerable(err) {
		return s.showStudyRead(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	path := studyPath(n) + "/read"
	if who := c.PostForm("for"); who != "" {
		path += "?for=" + who
	}
	c.Redirect(http.StatusSeeOther, path)
	return nil
}

func (s *site) strikePage(c *gin.Context) error { return s.showStrike(c, http.StatusOK, nil) }

// showStrike asks why, and does not show the value: the reading will be taken again.
func (s *site) showStrike(c *gin.Context, status int, problem error) error {
	n, err := numbered(c)
	if err != nil {
		return err
	}
	v, err := s.services.Studies.Study(c.Request.Context(), n)
	if err != nil {
		return err
	}
	id := c.Query("reading")
	for _, r := range v.Readings {
		if r.ID != id {
			continue
		}
		f, path := posted(c, problem), studyPath(n)
		page := ConfirmPage{Frame: s.frame(c, "Strike a reading", "/studies"), About: fmt.Sprintf("Gauge study %d", n), Title: "Strike a reading", Button: "Strike it", Path: path + "/strike?reading=" + id, Back: path + "/read",
			Says:   []string{fmt.Sprintf("The reading of %s that was entered for %s at %s. It stays on record with your reason, and is asked for again.", v.Study.Items[v.Study.Turns[r.Turn].Item].Name, name(v.People, r.PersonID), s.minute(r.EnteredAt))},
			Fields: []Field{f.field(Field{Name: "reason", Label: "Why", Kind: "text area", Focus: true, Hint: "Mistyped, the item slipped, another item was read."})}}
		page.Problems = f.summary()
		return send(c, status, "confirm", page)
	}
	return fmt.Errorf("reading %.40q of gauge study %d: %w", id, n, models.ErrNotFound)
}

func (s *site) strike(c *gin.Context) error {
	n, err := numbered(c)
	if err != nil {
		return err
	}
	err = s.services.Studies.Strike(c.Request.Context(), httpx.Actor(c), n, c.Query("reading"), c.PostForm("reason"))
	if answerable(err) {
		return s.showStrike(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, studyPath(n)+"/read", "study_struck")
}
