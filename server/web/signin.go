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

// SignInPage lets somebody in: by one tap on a name at an enrolled tablet, by
// login and password elsewhere.
type SignInPage struct {
	Frame
	Next     string
	Device   string // name and place of the tablet; empty elsewhere
	New      bool   // the shop has no owner yet
	People   []NameTile
	Login    Field
	Password Field
	Problems Problems
}

// NameTile is one name to be tapped.
type NameTile struct {
	ID, Name, Role string
	Here           bool // is signed in now
}

func (s *site) signInPage(c *gin.Context) error {
	return s.showSignIn(c, http.StatusOK, nil)
}

func (s *site) showSignIn(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	next := c.Query("next")
	if next == "" {
		next = c.PostForm("next")
	}
	page := SignInPage{Frame: Frame{Tab: "Sign in"}, Next: httpx.LocalPath(next),
		Login:    f.field(Field{Name: "login", Label: "Login", Complete: "username", Focus: true}),
		Password: f.field(Field{Name: "password", Label: "Password", Kind: "password", Complete: "current-password"})}
	page.Problems = f.summary()
	there, err := s.services.Access.HasOwner(c.Request.Context())
	if err != nil {
		return err
	}
	page.New = !there
	if device, ok := httpx.Device(c); ok && !device.Program {
		people, err := s.services.Access.PeopleAtDevice(c.Request.Context())
		if err != nil {
			return err
		}
		page.Device = device.Name
		if device.Place != "" {
			page.Device += ", " + device.Place
		}
		for _, p := range people {
			page.People = append(page.People, NameTile{p.ID, p.Name, words.Sentence(english.Role(string(p.Role))), p.ID == httpx.Actor(c).PersonID})
		}
		page.Login.Focus = false
	}
	return send(c, status, "signin", page)
}

// signIn takes the form: a tapped name, or login and password.
func (s *site) signIn(c *gin.Context) error {
	next := httpx.LocalPath(c.PostForm("next"))
	var err error
	code := false
	if id := c.PostForm("person"); id != "" {
		_, err = s.services.Sessions.Choose(c, id)
	} else {
		code, err = s.services.Sessions.SignIn(c, c.PostForm("login"), c.PostForm("password"))
	}
	if errors.Is(err, models.ErrUnauthenticated) {
		// Which of the two was wrong is not said.
		err = models.Invalid("password", "sign_in_wrong")
	}
	var wait *access.WaitError
	switch {
	case errors.As(err, &wait):
		return s.showSignIn(c, http.StatusTooManyRequests, err)
	case err != nil && answerable(err):
		return s.showSignIn(c, http.StatusUnprocessableEntity, err)
	case err != nil:
		return err
	}
	if code {
		return redirectWith(c, "/signin/code", url.Values{"next": {next}})
	}
	c.Redirect(http.StatusSeeOther, next)
	return nil
}

func (s *site) signOut(c *gin.Context) error {
	if err := s.services.Sessions.SignOut(c); err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, "/signin")
	return nil
}

// redirect leads on to a page after a form has done its work; done is a code
// of doneWords.
func redirect(c *gin.Context, path, done string) error {
	query := url.Values{}
	if done != "" {
		query.Set("done", done)
	}
	return redirectWith(c, path, query)
}

// redirectWith sends the browser on with a query. Behind the name of a place on the page
// it would be part of that name, and nothing would be asked.
func redirectWith(c *gin.Context, path string, query url.Values) error {
	path, place, placed := strings.Cut(path, "#")
	if len(query) > 0 {
		path += "?" + query.Encode()
	}
	if placed {
		path += "#" + place
	}
	c.Redirect(http.StatusSeeOther, path)
	return nil
}
