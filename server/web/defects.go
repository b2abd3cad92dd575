package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/defects"
	"tracewright/server/httpx"
)

func defectPath(code string) string { return "/defects/" + url.PathEscape(code) }

// defectRoutes are the pages of the codes of what can be wrong.
func (s *site) defectRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: "/defects", Act: models.ActLook, Handler: s.defects},
		{Method: http.MethodGet, Path: "/defects/:code", Act: models.ActSpecify, Handler: s.defect},
		{Method: http.MethodPost, Path: "/defects/:code", Act: models.ActSpecify, Handler: s.reviseDefect},
	}
}

// newDefect stands in an address for the code of one that is to be added.
const newDefect = "new"

// DefectsPage lists the codes of what can be wrong, by the kind of item.
type DefectsPage struct {
	Frame
	Answer string
	Groups []DefectGroup
}

// DefectGroup is the codes of one kind of item.
type DefectGroup struct {
	Kind string
	Rows []DefectRow
}

// DefectRow is one code.
type DefectRow struct {
	Code, Path, Name, From string
	Severity               Mark
	Retired                bool
}

func (s *site) defects(c *gin.Context) error {
	book, err := s.services.Defects.Book(c.Request.Context())
	if err != nil {
		return err
	}
	return show(c, "defects", s.defectsPage(s.frame(c, "Defects", "/defects"), book))
}

func (s *site) defectsPage(frame Frame, book models.Defects) DefectsPage {
	page := DefectsPage{Frame: frame, Answer: "The codes are as shipped"}
	changed := 0
	for _, kind := range []string{models.KindWheel, models.KindPack, models.KindKit} {
		group := DefectGroup{Kind: words.Sentence(english.Kinds(kind))}
		for _, code := range book.Codes() {
			if code[:1] != models.DefectLetter(kind) {
				continue
			}
			now := book.Now(code)
			row := DefectRow{Code: code, Name: words.Sentence(firstOf(now.Name, english.Defect(code))), Severity: severityMark(now.Severity), Retired: now.Retired, From: "as shipped"}
			if now.Revision > 0 {
				changed++
				row.From = fmt.Sprintf("revision %d, %s", now.Revision, s.day(now.MadeAt))
			}
			if frame.Actor.May(models.ActSpecify) {
				row.Path = defectPath(code)
			}
			group.Rows = append(group.Rows, row)
		}
		page.Groups = append(page.Groups, group)
	}
	if changed > 0 {
		page.Answer = counted(changed, "code is the shop’s own", "codes are the shop’s own")
	}
	return page
}

// DefectPage changes a code, or adds one.
type DefectPage struct {
	Frame
	Title, Path string
	From        int
	Fields      []Field
	Revisions   []string
	Problems    Problems
}

func (s *site) defect(c *gin.Context) error { return s.showDefect(c, http.StatusOK, nil) }

func (s *site) showDefect(c *gin.Context, status int, problem error) error {
	ctx, code := c.Request.Context(), c.Param("code")
	book, err := s.services.Defects.Book(ctx)
	if err != nil {
		return err
	}
	if code != newDefect && !book.Known(code) {
		return fmt.Errorf("defect %.20q: %w", code, models.ErrNotFound)
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	tab := "Defect " + code
	if code == newDefect {
		tab = "A new defect"
	}
	return send(c, status, "defect", s.defectPage(s.frame(c, tab, "/defects"), book, code, people, c.PostForm, problem))
}

func (s *site) defectPage(frame Frame, book models.Defects, code string, people map[string]string, typed func(string) string, problem error) DefectPage {
	page := DefectPage{Frame: frame, Title: "A code of the shop’s own", Path: defectPath(code)}
	values := map[string]string{"severity": string(models.Major)}
	if code != newDefect {
		now := book.Now(code)
		page.Title, page.From = code+": "+firstOf(now.Name, english.Defect(code)), now.Revision
		values = map[string]string{"name": now.Name, "severity": string(now.Severity)}
		if now.Retired {
			values["retired"] = "yes"
		}
	}
	f := filled(values)
	if problem != nil {
		f, page.From = newForm(typed, problem), revisionFrom(typed)
	}
	if code == newDefect {
		page.Fields = append(page.Fields, f.field(Field{Name: "code", Label: "Code", Mono: true, Width: "w4", Focus: true, Hint: "W for wheels and motors, P for packs and blocks, K for kits, and two or three digits."}))
	}
	said := Field{Name: "name", Label: "What is wrong, in a few words", Width: "w8"}
	if models.ShippedDefect(code) {
		said.Optional, said.Hint = true, "Empty is as shipped: "+english.Defect(code)+"."
	}
	page.Fields = append(page.Fields, f.field(said),
		f.field(Field{Name: "severity", Label: "Severity", Kind: "select", Width: "w6", Choices: choices([]string{string(models.Critical), string(models.Major), string(models.Minor)}, func(code string) string { return words.Sentence(english.Severity(code)) })}),
		f.field(Field{Name: "retired", Label: "Offer it no more", Kind: "check", Width: "w6"}),
		f.field(Field{Name: "reason", Label: "Why it is changed"}))
	for _, r := range slices.Backward(book.Revisions(code)) {
		text := fmt.Sprintf("Revision %d, %s, %s: %s, %s", r.Revision, s.day(r.MadeAt), name(people, r.MadeBy), firstOf(r.Name, "worded as shipped"), r.Severity)
		if r.Retired {
			text += ", offered no more"
		}
		page.Revisions = append(page.Revisions, text+". "+stopped(r.Reason))
	}
	page.Problems = f.summary()
	return page
}

func (s *site) reviseDefect(c *gin.Context) error {
	code := c.Param("code")
	in := defects.Change{Code: code, From: revisionFrom(c.PostForm), Name: c.PostForm("name"), Severity: models.Severity(c.PostForm("severity")), Retired: c.PostForm("retired") == "yes", Reason: c.PostForm("reason")}
	if code == newDefect {
		in.Code, in.From = c.PostForm("code"), 0
	}
	err := s.services.Defects.Revise(c.Request.Context(), httpx.Actor(c), in)
	if answerable(err) {
		return s.showDefect(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/defects", "changed")
}
