package web

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/access"
	"tracewright/server/httpx"
)

// PeoplePage lists who works here, for the owner.
type PeoplePage struct {
	Frame
	Answer string
	Rows   []PersonRow
	Link   string // a one-time link that was just made, shown once
	For    string // whom it is for
}

// PersonRow is one person.
type PersonRow struct {
	Name, Path, Role, Login string
	Password, PIN           bool
	Active                  bool
	Second                  bool // a code is asked for after the password
}

func (s *site) peoplePage(c *gin.Context) error { return s.showPeople(c, "", "") }

func (s *site) showPeople(c *gin.Context, link, whom string) error {
	list, err := s.services.Access.People(c.Request.Context())
	if err != nil {
		return err
	}
	page := PeoplePage{Frame: s.frame(c, "People", "/people"), Link: link, For: whom}
	second, err := s.services.Access.SecondsSet(c.Request.Context())
	if err != nil {
		return err
	}
	active := 0
	for _, p := range list {
		page.Rows = append(page.Rows, PersonRow{Name: p.Name, Path: "/people/" + p.ID, Role: words.Sentence(english.Role(string(p.Role))), Login: pointed(p.Login), Password: p.PasswordHash != "", PIN: p.PINHash != "", Active: p.Active, Second: second[p.ID]})
		if p.Active {
			active++
		}
	}
	page.Answer = counted(active, "person works", "people work") + " here"
	return show(c, "people", page)
}

// PersonPage adds or changes a person.
type PersonPage struct {
	Frame
	Title, Path string
	ID          string // empty for a new one
	From        string // what they were when the page was opened
	Fields      []Field
	Problems    Problems
	Left        bool // works here no longer: nothing but that can be changed back
	Link        bool // a password link can be made
	PIN         *Field
	PINProblems Problems
	Second      bool // they have one, which another may take away

	// The owner's password before each of the three, nil within five minutes of the
	// last one: who comes to an open page makes no way in of it (OWASP ASVS 5.0, 7.5.1).
	Secret, LinkSecret, PINSecret *Field
	LinkProblems                  Problems
}

// secretAt is the field of the owner's own password, of a page with several forms.
func (s *site) secretAt(c *gin.Context, f *form, id string) *Field {
	x := s.secretField(c, f)
	if x != nil {
		x.ID, x.Hint = id, "Your own; good for five minutes of further changes."
	}
	return x
}

// roleField asks for a role, each with what it may do beneath it; the first is the
// least.
func roleField(f *form) Field {
	x := f.field(Field{Name: "role", Label: "Role", Kind: "radio", Under: map[string]string{}})
	for _, r := range models.Roles {
		var acts []string
		for _, a := range models.Acts {
			if a != models.ActLook && models.Permitted(r, a) {
				acts = append(acts, english.Act(actOf(r, a)))
			}
		}
		x.Choices = append(x.Choices, Choice{string(r), words.Sentence(english.Role(string(r)))})
		x.Under[string(r)] = words.Sentence(english.Join(acts)) + "."
	}
	x.Under[string(models.Owner)] = "Everything."
	if x.Value == "" {
		x.Value = string(models.Roles[0])
	}
	return x
}

// actOf is the word for an act of a role: an operator releases own work only.
func actOf(r models.Role, a models.Act) string {
	if r == models.Operator && a == models.ActRelease {
		return "release_own"
	}
	return string(a)
}

func (s *site) newPerson(c *gin.Context) error { return s.showNewPerson(c, http.StatusOK, nil) }

func (s *site) showNewPerson(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	page := PersonPage{Frame: s.frame(c, "Add a person", "/people"), Title: "Add a person", Path: "/people/new", Fields: []Field{
		f.field(Field{Name: "name", Label: "Name", Hint: "As it stands on certificates.", Focus: true}),
		roleField(f),
		f.field(Field{Name: "login", Label: "Login", Optional: true, Complete: "off", Hint: "For the office. Whoever only works at a stand or bench needs none."}),
		f.field(Field{Name: "pin", Label: "PIN", Kind: "password", Mode: "numeric", Complete: "off", Optional: true, Hint: "Confirms a release at an enrolled tablet."}),
	}}
	page.Secret = s.secretAt(c, f, "confirm-password")
	page.Problems = f.summary()
	return send(c, status, "person", page)
}

func (s *site) addPerson(c *gin.Context) error {
	var added models.Person
	err := s.confirm(c)
	if err == nil {
		added, err = s.services.Access.AddPerson(c.Request.Context(), httpx.Actor(c), access.NewPerson{Name: c.PostForm("name"), Role: models.Role(c.PostForm("role")), Login: c.PostForm("login"), PIN: c.PostForm("pin")})
	}
	if answerable(err) {
		return s.showNewPerson(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	if added.Login != nil { // There a link for the password is made.
		return redirect(c, "/people/"+added.ID, "person")
	}
	return redirect(c, "/people", "person")
}

func (s *site) person(c *gin.Context) error { return s.showPerson(c, http.StatusOK, personProblems{}) }

// personProblems are what is wrong with each of the forms of a person's page.
type personProblems struct{ person, link, pin error }

func (s *site) showPerson(c *gin.Context, status int, wrong personProblems) error {
	p, err := s.services.Access.AnyPerson(c.Request.Context(), c.Param("id")) // Who left may come back.
	if err != nil {
		return err
	}
	f := filled(map[string]string{"name": p.Name, "role": string(p.Role), "login": pointed(p.Login)})
	active := map[bool]string{true: "yes"}[p.Active]
	from, err := models.Digest(p)
	if err != nil {
		return err
	}
	if wrong.person != nil {
		f, active, from = posted(c, wrong.person), c.PostForm("active"), c.PostForm("from")
	}
	works := f.field(Field{Name: "active", Label: "Works here", Kind: "check"})
	works.Value = active
	page := PersonPage{Frame: s.frame(c, p.Name, "/people"), Title: p.Name, Path: "/people/" + p.ID, ID: p.ID, From: from, Left: !p.Active, Link: p.Login != nil, Fields: []Field{
		f.field(Field{Name: "name", Label: "Name"}), roleField(f),
		f.field(Field{Name: "login", Label: "Login", Optional: true, Complete: "off", Hint: "Taking it away takes the password with it."}), works,
	}}
	page.Secret = s.secretAt(c, f, "confirm-password")
	page.Problems = f.summary()
	second, err := s.services.Access.Second(c.Request.Context(), p.ID)
	if err != nil {
		return err
	}
	page.Second = second.Set
	l := posted(c, wrong.link)
	page.LinkSecret = s.secretAt(c, l, "confirm-for-link")
	page.LinkProblems = l.summary()
	g := posted(c, wrong.pin)
	page.PINSecret = s.secretAt(c, g, "confirm-for-pin")
	pin := g.field(Field{Name: "pin", Label: "New PIN", Kind: "password", Mode: "numeric", Complete: "off"})
	page.PIN, page.PINProblems = &pin, g.summary()
	return send(c, status, "person", page)
}

func (s *site) changePerson(c *gin.Context) error {
	name, role, login, active, from := c.PostForm("name"), models.Role(c.PostForm("role")), strings.TrimSpace(c.PostForm("login")), c.PostForm("active") != "", c.PostForm("from")
	err := s.confirm(c)
	if err == nil {
		_, err = s.services.Access.UpdatePerson(c.Request.Context(), httpx.Actor(c), c.Param("id"), access.Change{Name: &name, Role: &role, Login: &login, Active: &active, From: &from})
	}
	if answerable(err) {
		return s.showPerson(c, http.StatusUnprocessableEntity, personProblems{person: err})
	}
	if err != nil {
		return err
	}
	return redirect(c, "/people", "changed")
}

// passwordLink makes a one-time link and shows it this once.
func (s *site) passwordLink(c *gin.Context) error {
	ctx := c.Request.Context()
	var token string
	err := s.confirm(c)
	if err == nil {
		token, err = s.services.Access.PasswordLink(ctx, httpx.Actor(c), c.Param("id"))
	}
	if answerable(err) {
		return s.showPerson(c, http.StatusUnprocessableEntity, personProblems{link: err})
	}
	if err != nil {
		return err
	}
	p, err := s.services.Access.Person(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	scheme := "http"
	if c.Request.TLS != nil || s.services.Sessions.Secure() { // from here, or by a proxy
		scheme = "https"
	}
	return s.showPeople(c, scheme+"://"+c.Request.Host+"/setup/"+token, p.Name)
}

func (s *site) setPIN(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		err = s.services.Access.SetPIN(c.Request.Context(), httpx.Actor(c), c.Param("id"), c.PostForm("pin"))
	}
	if answerable(err) {
		return s.showPerson(c, http.StatusUnprocessableEntity, personProblems{pin: err})
	}
	if err != nil {
		return err
	}
	return redirect(c, "/people", "secret")
}
