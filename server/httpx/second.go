package httpx

import (
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
)

// errSetUp says that nothing opens before a second factor is set up.
var errSetUp = &statusError{status: http.StatusForbidden, kind: "second_factor"}

// SetUpPath is the page where somebody sets their second factor up.
const SetUpPath = "/own/second"

// askCode keeps that somebody gave the right password: no session yet, and of no
// use to anybody without a code.
func (s *Sessions) askCode(c *gin.Context, person models.Person) error {
	if err := s.afresh(c); err != nil {
		return err
	}
	ctx, now := c.Request.Context(), s.now().Unix()
	s.manager.Put(ctx, keyAsked, person.ID)
	s.manager.Put(ctx, keyMark, access.SecretMark(person))
	s.manager.Put(ctx, keySeen, now)
	s.manager.Put(ctx, keyBegan, now)
	return s.save(c, true)
}

// Asked is the person who gave the password and is asked for a code now;
// [models.ErrUnauthenticated] where nobody is, or no longer.
func (s *Sessions) Asked(c *gin.Context) (models.Person, error) {
	ctx := c.Request.Context()
	id, at := s.manager.GetString(ctx, keyAsked), time.Unix(s.manager.GetInt64(ctx, keyBegan), 0)
	if age := s.now().Sub(at); id == "" || age < 0 || age >= codeWithin {
		return models.Person{}, fmt.Errorf("nobody is asked for a code: %w", models.ErrUnauthenticated)
	}
	person, err := s.access.Person(ctx, id)
	if err != nil {
		return models.Person{}, fmt.Errorf("who is asked for a code: %w: %w", err, models.ErrUnauthenticated)
	}
	if s.manager.GetString(ctx, keyMark) != access.SecretMark(person) {
		return models.Person{}, fmt.Errorf("who is asked for a code has another password now: %w", models.ErrUnauthenticated)
	}
	return person, nil
}

// GiveCode opens the session for which a password was given, by a code of the
// person's authenticator or one of their recovery codes.
func (s *Sessions) GiveCode(c *gin.Context, code string) error {
	person, err := s.Asked(c)
	if err != nil {
		return err
	}
	if err := s.access.CheckCode(c.Request.Context(), person, code, c.ClientIP()); err != nil {
		s.log.Warn("second factor refused", "request", RequestID(c), "address", c.ClientIP(), "person", person.ID, "cause", err)
		return err
	}
	s.log.Info("signed in", "request", RequestID(c), "address", c.ClientIP(), "person", person.ID, "second", true)
	return s.begin(c, beginning{person: person, typed: true})
}

// MustSetUp keeps this session from everything until a second factor is set up: the one
// that the shop demands is taken away.
func (s *Sessions) MustSetUp(c *gin.Context) error {
	s.manager.Put(c.Request.Context(), keySetUp, true)
	return s.save(c, false)
}

// SetUpDone lets somebody go on who had to set a second factor up first.
func (s *Sessions) SetUpDone(c *gin.Context) error {
	s.manager.Remove(c.Request.Context(), keySetUp)
	return s.save(c, false)
}

// mustSetUp keeps a person whose second factor is still to be set up on the page
// where that is done.
func (s *Sessions) mustSetUp(c *gin.Context) error {
	path := c.Request.URL.Path
	if !s.manager.GetBool(c.Request.Context(), keySetUp) || path == SetUpPath || path == "/signout" || path == "/signin" {
		return nil
	}
	if looks(c.Request) && !strings.HasPrefix(path, "/api/") {
		c.Redirect(http.StatusSeeOther, SetUpPath)
		c.Abort()
		return nil
	}
	return errSetUp
}
