package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/server/httpx"
)

// OwnPage lets somebody change their own password and PIN. It is kept for the
// office: at a tablet a tap on a name would be enough to take a signature over.
type OwnPage struct {
	Frame
	Device                        bool
	Old, OldForPIN, Password, PIN Field
	PasswordProblems, PINProblems Problems
}

func (s *site) own(c *gin.Context) error { return s.showOwn(c, http.StatusOK, nil, nil) }

func (s *site) showOwn(c *gin.Context, status int, password, pin error) error {
	page := OwnPage{Frame: s.frame(c, "Your password and PIN", "/own"), Device: httpx.Actor(c).DeviceID != ""}
	f := posted(c, password)
	page.Password = f.field(Field{Name: "password", Label: "New password", Kind: "password", Complete: "new-password", Hint: "Long beats clever: a few words in a row."})
	// The old password is asked for however lately it was typed (OWASP ASVS 5.0, 6.2.3).
	page.Old = f.field(Field{Name: "confirm.password", Label: "Your password until now", Kind: "password", Complete: "current-password"})
	page.PasswordProblems = f.summary()
	g := posted(c, pin)
	page.PIN = g.field(Field{Name: "pin", Label: "New PIN", Kind: "password", Mode: "numeric", Complete: "off"})
	if secret := s.secretField(c, g); secret != nil {
		page.OldForPIN = *secret
		page.OldForPIN.ID, page.OldForPIN.Hint = "old-for-pin", ""
	}
	page.PINProblems = g.summary()
	return send(c, status, "own", page)
}

func (s *site) setOwn(c *gin.Context) error {
	ctx, actor := c.Request.Context(), httpx.Actor(c)
	if actor.DeviceID != "" {
		return models.ErrForbidden
	}
	if c.PostForm("do") == "pin" {
		// A PIN signs releases: whoever finds an open session must not set one.
		err := s.confirm(c)
		if err == nil {
			err = s.services.Access.SetPIN(ctx, actor, actor.PersonID, c.PostForm("pin"))
		}
		if answerable(err) {
			return s.showOwn(c, http.StatusUnprocessableEntity, nil, err)
		}
		if err != nil {
			return err
		}
		return redirect(c, "/own", "secret")
	}
	err := s.services.Sessions.ConfirmAnew(c, access.Secret{Password: c.PostForm("confirm.password")})
	if err == nil {
		err = s.services.Access.SetPassword(ctx, actor, actor.PersonID, c.PostForm("password"))
	}
	if answerable(err) {
		return s.showOwn(c, http.StatusUnprocessableEntity, err, nil)
	}
	if err != nil {
		return err
	}
	// A new password ends every session of the old one, this one too.
	person, err := s.services.Access.Person(ctx, actor.PersonID)
	if err != nil {
		return err
	}
	if err := s.services.Sessions.Welcome(c, person); err != nil {
		return err
	}
	return redirect(c, "/own", "secret")
}
