package web

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// SessionsPage lists who is signed in: oneself, or for the owner everybody.
type SessionsPage struct {
	Frame
	Answer   string
	Path     string
	All      bool // everybody's
	Device   bool // at a tablet: nothing of it opens there
	Password *Field
	Rows     []SessionRow
	Others   bool // there are others of one's own to end
	Problems Problems
}

// SessionRow is one session.
type SessionRow struct {
	Key, Person, Where, Browser, Address, Seen, Began string
	Here                                              bool
}

func (s *site) ownSessions(c *gin.Context) error {
	return s.showSessions(c, http.StatusOK, false, nil)
}

func (s *site) allSessions(c *gin.Context) error {
	return s.showSessions(c, http.StatusOK, true, nil)
}

func (s *site) showSessions(c *gin.Context, status int, all bool, problem error) error {
	ctx := c.Request.Context()
	path, tab := "/own/sessions", "Where you are signed in"
	if all {
		path, tab = "/sessions", "Who is signed in"
	}
	page := SessionsPage{Frame: s.frame(c, tab, path), Path: path, All: all}
	page.Device = page.Actor.DeviceID != ""
	f := posted(c, problem)
	if !page.Device {
		found, err := s.services.Access.Sessions(ctx, page.Actor, all, s.services.Sessions.Idle(ctx))
		if err != nil {
			return err
		}
		people, err := s.people(ctx)
		if err != nil {
			return err
		}
		devices, err := s.services.Access.Devices(ctx)
		if err != nil {
			return err
		}
		s.fillSessions(&page, found, people, devices, s.services.Sessions.Key(c))
		if page.Password = s.secretField(c, f); page.Password != nil {
			page.Password.Width, page.Password.Hint = "w6", "Asked before anything is ended; good for five minutes."
		}
	}
	page.Problems = f.summary()
	return send(c, status, "sessions", page)
}

func (s *site) fillSessions(page *SessionsPage, found []models.Session, people map[string]string, devices []models.Device, here string) {
	at := map[string]string{}
	for _, d := range devices {
		at[d.ID] = d.Name
		if d.Place != "" {
			at[d.ID] += ", " + d.Place
		}
	}
	for _, x := range found {
		row := SessionRow{Key: x.TokenHash, Person: name(people, pointed(x.PersonID)), Where: firstOf(at[pointed(x.DeviceID)], "in the office"), Browser: browserWords(x.Agent), Address: x.Address, Seen: s.hour(x.SeenAt), Began: s.hour(x.BeganAt), Here: x.TokenHash == here}
		page.Others = page.Others || !row.Here && pointed(x.PersonID) == page.Actor.PersonID
		page.Rows = append(page.Rows, row)
	}
	page.Answer = "You are signed in " + map[bool]string{true: "here alone", false: "at " + spelled(len(found)) + " places"}[len(found) <= 1]
	if page.All {
		page.Answer = counted(len(found), "session is open", "sessions are open")
	}
}

func (s *site) endOwnSession(c *gin.Context) error { return s.endSession(c, false) }

func (s *site) endAnySession(c *gin.Context) error { return s.endSession(c, true) }

// endSession ends the session whose button was pressed, or all of one's own but
// this; the password is asked for first (OWASP ASVS 5.0, 7.5.2).
func (s *site) endSession(c *gin.Context, all bool) error {
	ctx, actor, people := c.Request.Context(), httpx.Actor(c), s.services.Access
	key, here := c.PostForm("end"), s.services.Sessions.Key(c)
	err := s.confirm(c)
	switch {
	case err != nil:
	case c.PostForm("others") != "":
		err = people.EndSessionsOf(ctx, actor, actor.PersonID, here)
	case key == here:
		return s.signOut(c)
	default:
		err = people.EndSession(ctx, actor, key)
	}
	if answerable(err) {
		return s.showSessions(c, http.StatusUnprocessableEntity, all, err)
	}
	if err != nil && !errors.Is(err, models.ErrNotFound) { // It ended by itself meanwhile.
		return err
	}
	path := "/own/sessions"
	if all {
		path = "/sessions"
	}
	return redirect(c, path, "session_ended")
}

// stillHere tells a page that lies open whether its person is signed in. Nobody is
// sent to sign in, as from every page; somebody else is refused.
func (s *site) stillHere(c *gin.Context) error {
	if id := c.Query("person"); id != "" && id != httpx.Actor(c).PersonID {
		return models.ErrForbidden
	}
	c.Status(http.StatusNoContent)
	return nil
}
