package web

import (
	"context"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
)

// SetupPage is where a one-time link leads: the first owner names themselves,
// anybody else sets a password of their own.
type SetupPage struct {
	Frame
	Token    string
	First    bool // the first owner of a new shop
	Person   string
	Name     Field
	Login    Field
	Password Field
	PIN      Field
	Problems Problems
}

func (s *site) setupPage(c *gin.Context) error { return s.showSetup(c, http.StatusOK, nil) }

func (s *site) showSetup(c *gin.Context, status int, problem error) error {
	token := c.Param("token")
	purpose, person, err := s.services.Access.Link(c.Request.Context(), token)
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := SetupPage{Frame: Frame{Tab: "Set up"}, Token: token, First: purpose == access.LinkFirstOwner, Person: person.Name}
	if page.First {
		page.Name = f.field(Field{Name: "name", Label: "Your name", Hint: "As it stands on certificates.", Complete: "name", Focus: true})
		page.Login = f.field(Field{Name: "login", Label: "Login", Hint: "Small letters, digits, and . _ - @.", Complete: "username"})
	}
	page.Password = f.field(Field{Name: "password", Label: "Password", Kind: "password", Complete: "new-password", Hint: fmt.Sprintf("At least %d characters. Long beats clever: a few words in a row. Common passwords are refused.", access.MinPassword)})
	page.PIN = f.field(Field{Name: "pin", Label: "PIN", Kind: "password", Mode: "numeric", Complete: "off", Optional: true, Hint: fmt.Sprintf("%d to %d digits, not all the same and not in order as 1234. Confirms a release at an enrolled tablet, and works nowhere else.", access.MinPIN, access.MaxPIN)})
	// What was good is not sent back either, and has to be typed again.
	if f.order != nil && f.problems["password"] == "" && f.value("password") != "" {
		f.loose = append(f.loose, "The password was good. It is never sent back to a page: type it once more.")
	}
	if f.order != nil && f.problems["pin"] == "" && f.value("pin") != "" {
		f.loose = append(f.loose, "The PIN was good. It is never sent back to a page: type it once more.")
	}
	page.Problems = f.summary()
	return send(c, status, "setup", page)
}

func (s *site) setup(c *gin.Context) error {
	person, err := s.services.Access.UseLink(c.Request.Context(), c.Param("token"), access.LinkUse{
		Name: c.PostForm("name"), Login: c.PostForm("login"), Password: c.PostForm("password"), PIN: c.PostForm("pin"),
	})
	if answerable(err) {
		return s.showSetup(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	code, err := s.services.Sessions.Enter(c, person)
	if err != nil {
		return err
	}
	if code {
		return redirect(c, "/signin/code", "")
	}
	c.Redirect(http.StatusSeeOther, s.next(c.Request.Context(), person.Role))
	return nil
}

// next is where somebody goes on who has set up how they sign in: an owner to the
// recovery key while there is none, for what the shop records from now on has to outlive
// this computer.
func (s *site) next(ctx context.Context, role models.Role) string {
	if role == models.Owner {
		if wanted, err := s.keyWanted(ctx); err == nil && wanted {
			return keyPath
		}
	}
	return "/"
}
