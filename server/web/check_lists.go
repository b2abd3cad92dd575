package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/claims"
	"tracewright/server/httpx"
)

// checkListRoutes are the pages on which the owner says what is asked about a
// complaint.
func (s *site) checkListRoutes() []httpx.Route {
	get := func(path string, h httpx.Handler) httpx.Route {
		return httpx.Route{Method: http.MethodGet, Path: path, Act: models.ActSpecify, Handler: h}
	}
	post := func(path string, h httpx.Handler) httpx.Route {
		return httpx.Route{Method: http.MethodPost, Path: path, Act: models.ActSpecify, Handler: h}
	}
	return []httpx.Route{
		get("/check-lists", s.checkLists),
		get("/check-lists/:symptom", s.checkList),
		post("/check-lists/:symptom", s.reviseCheckList),
		post("/check-lists/:symptom/restore", s.restoreCheckList),
	}
}

// CheckListsPage lists the complaints with what is asked about each.
type CheckListsPage struct {
	Frame
	Answer string
	Groups []CheckListGroup
}

// CheckListGroup is the check lists of one kind of item.
type CheckListGroup struct {
	Kind string
	Rows []CheckListRow
}

// CheckListRow is one check list.
type CheckListRow struct {
	Name, Path string
	Asks       []Asked
	Revision   string
}

// Asked is a question with the code that its yes ends in.
type Asked struct{ Text, Code string }

func checkListPath(symptom string) string { return "/check-lists/" + url.PathEscape(symptom) }

func (s *site) checkLists(c *gin.Context) error {
	lists, err := s.services.Claims.Lists(c.Request.Context())
	if err != nil {
		return err
	}
	return show(c, "check_lists", checkListsPage(s.frame(c, "Check lists", "/check-lists"), lists))
}

func checkListsPage(frame Frame, lists []claims.List) CheckListsPage {
	page := CheckListsPage{Frame: frame, Answer: "Every check list is as it was shipped"}
	own := 0
	for _, l := range lists {
		row := CheckListRow{Name: words.Sentence(english.Symptom(l.Symptom)), Path: checkListPath(l.Symptom), Revision: revisionWords(l)}
		for _, q := range l.Questions {
			row.Asks = append(row.Asks, Asked{questionText(q), endWords(q.Yes)})
		}
		row.Asks = append(row.Asks, Asked{"None of it", endWords(l.Otherwise)})
		if !l.AsShipped {
			own++
		}
		kind := words.Sentence(english.Kinds(l.Kind))
		if n := len(page.Groups); n == 0 || page.Groups[n-1].Kind != kind {
			page.Groups = append(page.Groups, CheckListGroup{Kind: kind})
		}
		group := &page.Groups[len(page.Groups)-1]
		group.Rows = append(group.Rows, row)
	}
	if own > 0 {
		page.Answer = counted(own, "check list is the shop’s own", "check lists are the shop’s own")
	}
	return page
}

func revisionWords(l claims.List) string {
	switch {
	case l.Revision == 0:
		return "as shipped"
	case l.AsShipped:
		return fmt.Sprintf("revision %d, as shipped", l.Revision)
	}
	return fmt.Sprintf("revision %d", l.Revision)
}

// endWords is the code that a list ends in; what is none of the codes is a word.
func endWords(code string) string {
	if models.IsDefectCode(code) {
		return code
	}
	return english.Defect(code)
}

// questionText is a question as it is asked.
func questionText(q models.CheckQuestion) string {
	if q.Text != "" {
		return q.Text
	}
	return english.Question(q.Code)
}

// moreQuestions is how many empty rows a form has behind what is asked.
const moreQuestions = 3

// CheckListPage edits what is asked about a complaint.
type CheckListPage struct {
	Frame
	Title, Path string
	Cautions    []string // which stand over the list wherever it is asked, whatever it asks
	From        int
	Rows        []QuestionRow
	Otherwise   Field
	Reason      Field
	Restore     string // path of the way back, empty where it is as shipped
	Revisions   []string
	Problems    Problems
}

// QuestionRow is one question of the form.
type QuestionRow struct {
	N         int
	Text, Yes Field
}

func (s *site) checkList(c *gin.Context) error { return s.showCheckList(c, http.StatusOK, nil) }

func (s *site) showCheckList(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	l, err := s.services.Claims.List(ctx, c.Param("symptom"))
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	values, from := func(name string) string { return checkListValues(l)[name] }, l.Revision
	if _, typed := c.GetPostForm("otherwise"); typed { // Not the way back, which types nothing.
		values, from = c.PostForm, revisionFrom(c.PostForm)
	}
	page := s.checkListPage(s.frame(c, "Check list: "+english.Symptom(l.Symptom), "/check-lists"), l, people, newForm(values, problem))
	page.From = from
	return send(c, status, "check_list", page)
}

// checkListValues are what the form begins with.
func checkListValues(l claims.List) map[string]string {
	values := map[string]string{"otherwise": l.Otherwise}
	for i, q := range l.Questions {
		values[fmt.Sprintf("questions[%d].text", i)], values[fmt.Sprintf("questions[%d].yes", i)] = questionText(q), q.Yes
	}
	return values
}

func (s *site) checkListPage(frame Frame, l claims.List, people map[string]string, f *form) CheckListPage {
	page := CheckListPage{Frame: frame, Title: words.Sentence(english.Symptom(l.Symptom)), Path: checkListPath(l.Symptom), Cautions: claimCautions(l.Kind), From: l.Revision}
	codes := s.faultChoices(l.Kind)
	for i := 0; i < len(l.Questions)+moreQuestions || f.value(fmt.Sprintf("questions[%d].text", i)) != ""; i++ { // What was typed, however long the list is by now.
		page.Rows = append(page.Rows, QuestionRow{i + 1,
			f.field(Field{Name: fmt.Sprintf("questions[%d].text", i), Label: fmt.Sprintf("Question %d", i+1), Width: "w8", Optional: i >= len(l.Questions)}),
			f.field(Field{Name: fmt.Sprintf("questions[%d].yes", i), Label: "If yes", Kind: "select", Width: "w4", Choices: codes})})
	}
	page.Otherwise = f.field(Field{Name: "otherwise", Label: "None of it", Kind: "select", Width: "w6", Choices: codes})
	page.Reason = f.field(Field{Name: "reason", Label: "Why it is changed", Width: "w6"})
	if !l.AsShipped {
		page.Restore = page.Path + "/restore"
	}
	for _, r := range slices.Backward(l.Revisions) {
		page.Revisions = append(page.Revisions, fmt.Sprintf("Revision %d, %s, %s: %s", r.Revision, s.day(r.MadeAt), name(people, r.MadeBy), stopped(firstOf(r.Reason, "back to the shipped list"))))
	}
	page.Problems = f.summary()
	return page
}

// questionsIn reads the rows of the form; an emptied one is taken out. rows says
// into which row each was typed.
func questionsIn(c *gin.Context, l claims.List) (out []models.CheckQuestion, rows []int) {
	for i := 0; ; i++ {
		text, sent := c.GetPostForm(fmt.Sprintf("questions[%d].text", i))
		if !sent {
			return out, rows
		}
		if text = strings.Join(strings.Fields(text), " "); text == "" {
			continue
		}
		q := models.CheckQuestion{Text: text, Yes: c.PostForm(fmt.Sprintf("questions[%d].yes", i))}
		if code := shippedQuestion(l, text); code != "" {
			q.Text, q.Code = "", code
		}
		out, rows = append(out, q), append(rows, i)
	}
}

// shippedQuestion is the code of the shipped question that a text is, empty for
// none.
func shippedQuestion(l claims.List, text string) string {
	shipped, _ := l.Asked(0)
	for _, q := range slices.Concat(shipped.Questions, l.Questions) {
		if q.Text == "" && english.Question(q.Code) == text {
			return q.Code
		}
	}
	return ""
}

func (s *site) reviseCheckList(c *gin.Context) error {
	ctx, symptom := c.Request.Context(), c.Param("symptom")
	l, err := s.services.Claims.List(ctx, symptom)
	if err != nil {
		return err
	}
	asked, rows := questionsIn(c, l)
	err = s.services.Claims.Revise(ctx, httpx.Actor(c), symptom, claims.Revision{From: revisionFrom(c.PostForm), Questions: asked, Otherwise: c.PostForm("otherwise"), Reason: c.PostForm("reason")})
	if answerable(err) {
		return s.showCheckList(c, http.StatusUnprocessableEntity, asTyped(err, "questions", rows))
	}
	if err != nil {
		return err
	}
	return redirect(c, checkListPath(symptom), "changed")
}

func (s *site) restoreCheckList(c *gin.Context) error {
	err := s.services.Claims.Restore(c.Request.Context(), httpx.Actor(c), c.Param("symptom"), revisionFrom(c.PostForm))
	if answerable(err) {
		return s.showCheckList(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, checkListPath(c.Param("symptom")), "changed")
}
