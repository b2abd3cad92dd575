package web

import (
	"errors"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/access"
	"tracewright/server/httpx"
)

// accountRoutes are what guards an account: the second factor, sessions, and the
// doubts about a tablet's key.
func (s *site) accountRoutes() []httpx.Route {
	get, post := http.MethodGet, http.MethodPost
	return []httpx.Route{
		{Method: get, Path: "/signin/code", Act: httpx.Public, Handler: s.codePage},
		{Method: post, Path: "/signin/code", Act: httpx.Public, Handler: s.giveCode},
		{Method: get, Path: httpx.SetUpPath, Act: models.ActLook, Handler: s.secondPage},
		{Method: post, Path: httpx.SetUpPath, Act: models.ActOwnSecrets, Handler: s.setSecond},
		{Method: get, Path: "/own/here", Act: models.ActLook, Handler: s.stillHere},
		{Method: get, Path: "/own/sessions", Act: models.ActLook, Handler: s.ownSessions},
		{Method: post, Path: "/own/sessions", Act: models.ActOwnSecrets, Handler: s.endOwnSession},
		{Method: get, Path: "/sessions", Act: models.ActManagePeople, Handler: s.allSessions},
		{Method: post, Path: "/sessions", Act: models.ActManagePeople, Handler: s.endAnySession},
		{Method: get, Path: "/people/:id/second", Act: models.ActManagePeople, Handler: s.resetSecondPage},
		{Method: post, Path: "/people/:id/second", Act: models.ActManagePeople, Handler: s.resetSecond},
		{Method: get, Path: "/devices/:id/settle", Act: models.ActManagePeople, Handler: s.settlePage},
		{Method: post, Path: "/devices/:id/settle", Act: models.ActManagePeople, Handler: s.settleDoubts},
	}
}

// CodePage asks whoever gave the right password for a code.
type CodePage struct {
	Frame
	Next     string
	Code     Field
	Problems Problems
}

func (s *site) codePage(c *gin.Context) error { return s.showCode(c, http.StatusOK, nil) }

func (s *site) showCode(c *gin.Context, status int, problem error) error {
	if _, err := s.services.Sessions.Asked(c); errors.Is(err, models.ErrUnauthenticated) {
		c.Redirect(http.StatusSeeOther, "/signin")
		return nil
	} else if err != nil {
		return err
	}
	f := posted(c, problem)
	next := firstOf(c.Query("next"), c.PostForm("next"))
	page := CodePage{Frame: Frame{Tab: "Sign in"}, Next: httpx.LocalPath(next)}
	page.Code = f.field(Field{Name: "code", Label: "Code", Complete: "one-time-code", Mono: true, Focus: true, Hint: "The six digits your authenticator shows now, or one of your recovery codes."})
	page.Code.Value = ""
	page.Problems = f.summary()
	return send(c, status, "signin_code", page)
}

func (s *site) giveCode(c *gin.Context) error {
	err := s.services.Sessions.GiveCode(c, c.PostForm("code"))
	var wait *access.WaitError
	switch {
	case errors.As(err, &wait):
		return s.showCode(c, http.StatusTooManyRequests, err)
	case answerable(err):
		return s.showCode(c, http.StatusUnprocessableEntity, err)
	case err != nil:
		return err
	}
	c.Redirect(http.StatusSeeOther, httpx.LocalPath(c.PostForm("next")))
	return nil
}

// SecondPage is where somebody sets their second factor up, has recovery codes made
// anew, or takes it away.
type SecondPage struct {
	Frame
	Device   bool
	Answer   string
	Set      bool
	Demanded bool
	Recovery string
	Password *Field // nil within five minutes of the last one
	Code     Field
	QR       *TestSymbol
	Secret   string
	Codes    []string // recovery codes, shown once
	Of       string   // whose they are, for the paper they are printed on
	Next     string   // where it goes on when they are written down
	Problems Problems
}

func (s *site) secondPage(c *gin.Context) error {
	return s.showSecond(c, http.StatusOK, secondStep{})
}

// secondStep is what came of the form.
type secondStep struct {
	problem error
	offered *access.Offered
	codes   []string
}

func (s *site) showSecond(c *gin.Context, status int, step secondStep) error {
	page := SecondPage{Frame: s.frame(c, "Your second factor", httpx.SetUpPath), Device: httpx.Actor(c).DeviceID != "", Codes: step.codes}
	second, err := s.services.Access.Second(c.Request.Context(), page.Actor.PersonID)
	if err != nil {
		return err
	}
	f := posted(c, step.problem)
	page.fill(second, f, step.offered)
	switch {
	case len(page.Codes) > 0:
		page.Next = s.next(c.Request.Context(), page.Actor.Role)
		if page.Of, err = s.codesOf(c); err != nil {
			return err
		}
	case page.Set:
		page.Answer = "Your second factor is set up since " + s.day(second.Since)
	}
	if x := s.secretField(c, f); x != nil {
		x.Hint = ""
		page.Password = x
	}
	if step.offered != nil {
		drawn, err := qrDrawn(step.offered.URI)
		if err != nil {
			return err
		}
		page.QR = &drawn
	}
	page.Problems = f.summary()
	return send(c, status, "own_second", page)
}

// codesOf says whose recovery codes they are, where they let in and since when: a paper
// is found again beside others, and beside older ones.
func (s *site) codesOf(c *gin.Context) (string, error) {
	person, err := s.services.Access.Person(c.Request.Context(), httpx.Actor(c).PersonID)
	if err != nil {
		return "", err
	}
	settings, err := s.services.Shop.Settings(c.Request.Context())
	if err != nil {
		return "", err
	}
	of, where := "Recovery codes of "+person.Name, settings.Name
	if person.Login != nil {
		of += ", login " + *person.Login
	}
	if where == "" {
		where = c.Request.Host
	}
	return of + ", at " + where + ". Made on " + s.day(s.services.Now()) + ".", nil
}

// fill puts in what stands of a second factor.
func (p *SecondPage) fill(second access.Second, f *form, offered *access.Offered) {
	p.Set, p.Demanded, p.Answer = second.Set, second.Demanded, "You have no second factor"
	p.Recovery = plural(second.Recovery, "recovery code is", "recovery codes are") + " left"
	hint := "The six digits your authenticator shows now."
	if second.Set {
		hint += " Or a recovery code."
	}
	if offered != nil {
		p.Secret, p.Answer = offered.Secret, "Scan it with your authenticator"
	}
	if len(p.Codes) > 0 {
		p.Answer = "Write these down now"
	}
	p.Code = f.field(Field{Name: "code", Label: "Code", Complete: "one-time-code", Mono: true, Width: "w4", Hint: hint, Focus: offered != nil})
	p.Code.Value = ""
}

func (s *site) setSecond(c *gin.Context) error {
	ctx, actor, people := c.Request.Context(), httpx.Actor(c), s.services.Access
	step := secondStep{}
	var err error
	switch do := c.PostForm("do"); do {
	case "begin":
		var offered access.Offered
		if err = s.confirm(c); err == nil {
			offered, err = people.BeginSecond(ctx, actor)
			step.offered = &offered
		}
	case "confirm":
		step.codes, err = people.ConfirmSecond(ctx, actor, c.PostForm("code"), s.services.Sessions.Key(c))
		if err == nil {
			err = s.services.Sessions.SetUpDone(c)
		} else if answerable(err) {
			offered, again := people.OfferedSecond(ctx, actor)
			if again != nil {
				return again
			}
			step.offered = &offered
		}
	case "codes":
		if err = s.confirm(c); err == nil {
			step.codes, err = people.RenewRecoveryCodes(ctx, actor, c.PostForm("code"))
		}
	case "drop":
		var setUp bool
		if err = s.confirm(c); err == nil {
			setUp, err = people.DropSecond(ctx, actor, c.PostForm("code"), s.services.Sessions.Key(c), func() error { return s.services.Sessions.MustSetUp(c) })
		}
		switch {
		case err == nil && setUp:
			return redirect(c, httpx.SetUpPath, "second_replaced")
		case err == nil:
			return redirect(c, httpx.SetUpPath, "second_dropped")
		}
	default:
		return models.Invalid("do", "choice_unknown")
	}
	if errors.Is(err, models.ErrConflict) || errors.Is(err, models.ErrNotFound) {
		return redirect(c, httpx.SetUpPath, "") // Another page of theirs was faster, or the time ran out.
	}
	status := http.StatusOK
	if answerable(err) {
		status, step.problem = http.StatusUnprocessableEntity, err
		if step.offered != nil && step.offered.Secret == "" {
			step.offered = nil
		}
	} else if err != nil {
		return err
	}
	return s.showSecond(c, status, step)
}

func (s *site) resetSecondPage(c *gin.Context) error {
	return s.showResetSecond(c, http.StatusOK, nil)
}

func (s *site) showResetSecond(c *gin.Context, status int, problem error) error {
	p, err := s.services.Access.Person(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	f, path := posted(c, problem), "/people/"+url.PathEscape(p.ID)
	page := ConfirmPage{Frame: s.frame(c, "Second factor", "/people"), About: p.Name, Title: "Take their second factor away", Button: "Take it away", Path: path + "/second", Back: path,
		Says: []string{"Do this for somebody whose authenticator and recovery codes are lost, and whom you have seen: a call or a letter may be anybody’s. Their office sessions end; the password alone lets them in until they set up another."}}
	if p.ID == page.Actor.PersonID {
		page.Refused = []string{"Your own you take away under “Your second factor”, with a code of it. If your codes are lost, another owner does it here, or whoever runs the server by tracewright user second-factor."}
	}
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) resetSecond(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		err = s.services.Access.ResetSecond(c.Request.Context(), httpx.Actor(c), c.Param("id"))
	}
	if answerable(err) {
		return s.showResetSecond(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/people", "second_reset")
}

// browserWords names a browser, and its system where it says so.
func browserWords(agent string) string {
	browser, system := access.Browser(agent)
	values := map[string]string{"browser": browser, "system": system}
	switch {
	case strings.TrimSpace(browser) == "":
		return english.Say("browser_unnamed", nil)
	case system == "":
		return english.Say("browser_alone", values)
	}
	return english.Say("browser_on", values)
}

// doubtWords says what is doubted about a tablet's key.
func doubtWords(d models.DeviceDoubt) string {
	return words.Sentence(english.Say("doubt_"+d.Kind, map[string]string{"browser": browserWords(d.Agent), "address": d.Address}))
}
