package httpx

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
)

// PersonHeader names the person, by id, in whose name a program with a
// device's key acts. A page may name whom it was made for: it acts for nobody else,
// whoever is signed in where it lies open.
const PersonHeader = "Tracewright-Person"

// Authenticate finds out who asks: a program with a device's key, or a browser
// with a session. Nobody is no error here; the route's act decides.
func (s *Sessions) Authenticate(answers *Answers) gin.HandlerFunc {
	return answers.guard(func(c *gin.Context) error {
		if isStatic(c) {
			return nil
		}
		ask := s.browser
		if header := c.GetHeader("Authorization"); header != "" {
			ask = func(c *gin.Context) error {
				// A program has no session; what ends or begins one finds an empty one.
				if err := s.loadToken(c, ""); err != nil {
					return err
				}
				return s.counted(c.Request, s.program(c, header))
			}
		}
		if err := ask(c); err != nil {
			return err
		}
		c.Set(listenKey, s.listen(c))
		return nil
	})
}

// Known says whether a request shows a device's key or a session that opens something,
// before it is read: what it may do is found out behind that.
func (s *Sessions) Known(ctx context.Context, r *http.Request) bool {
	_, key, _ := strings.Cut(r.Header.Get("Authorization"), " ")
	if cookie, err := r.Cookie(s.deviceCookieName()); err == nil && key == "" {
		key, _ = access.SplitKey(cookie.Value)
	}
	if key = strings.TrimSpace(key); key != "" {
		if _, err := s.access.DeviceByKey(ctx, key); err == nil {
			return true
		}
	}
	cookie, err := r.Cookie(s.manager.Cookie.Name)
	if err != nil || cookie.Value == "" {
		return s.demo != ""
	}
	ctx, err = s.manager.Load(ctx, cookie.Value)
	return err == nil && (s.demo != "" || s.manager.GetString(ctx, keyPerson) != "")
}

// isStatic says whether a file of the program itself is asked for, which is the
// same for everybody.
func isStatic(c *gin.Context) bool { return strings.HasPrefix(c.Request.URL.Path, "/static/") }

// program takes a device's key from the Authorization header. A wrong key is
// refused even where nobody needs to be signed in: its sender believes in it.
func (s *Sessions) program(c *gin.Context, header string) error {
	ctx := c.Request.Context()
	scheme, key, _ := strings.Cut(header, " ")
	if !strings.EqualFold(scheme, "Bearer") {
		return fmt.Errorf("authorization scheme %q: %w", scheme, models.ErrUnauthenticated)
	}
	key = strings.TrimSpace(key)
	id := c.GetHeader(PersonHeader)
	if id == "" {
		device, err := s.access.DeviceByKey(ctx, key)
		if errors.Is(err, models.ErrNotFound) {
			return fmt.Errorf("device key: %w", models.ErrUnauthenticated)
		}
		if err == nil {
			c.Set(deviceKey, device)
			s.saw(c, device, true)
		}
		return err
	}
	device, person, err := s.access.Caller(ctx, key, id)
	if errors.Is(err, models.ErrNotFound) {
		return fmt.Errorf("device key, or %s %q: %w", PersonHeader, id, models.ErrUnauthenticated)
	}
	if err != nil {
		return err
	}
	c.Set(deviceKey, device)
	s.saw(c, device, true)
	c.Set(actorKey, models.Actor{PersonID: person.ID, Name: person.Name, Role: person.Role, DeviceID: device.ID, Place: device.Place, Program: device.Program})
	return nil
}

func (s *Sessions) browser(c *gin.Context) error {
	var device *models.Device
	if cookie, err := c.Request.Cookie(s.deviceCookieName()); err == nil && cookie.Value != "" {
		key, _ := access.SplitKey(cookie.Value)
		found, err := s.access.DeviceByKey(c.Request.Context(), key)
		switch {
		case err == nil && found.Program:
			s.log.Warn("a gauge's key in a browser", "request", RequestID(c), "address", c.ClientIP(), "device", found.ID)
			s.ForgetDevice(c)
		case errors.Is(err, models.ErrNotFound):
			s.ForgetDevice(c) // Revoked: nothing of it stays in the browser.
		case err != nil:
			return err
		default:
			device = &found
			c.Set(deviceKey, found)
			s.saw(c, found, false)
		}
	}
	if err := s.load(c); err != nil {
		return err
	}
	actor, err := s.current(c, device)
	if err != nil {
		return err
	}
	if actor.PersonID == "" && s.demo != "" && s.manager.GetString(c.Request.Context(), keyAsked) == "" {
		return s.demoOwner(c)
	}
	if actor.PersonID == "" {
		return nil
	}
	if id := c.GetHeader(PersonHeader); id != "" && id != actor.PersonID {
		return fmt.Errorf("%s %q is not signed in here: %w", PersonHeader, id, models.ErrUnauthenticated)
	}
	c.Set(actorKey, actor)
	return s.mustSetUp(c)
}
