package httpx

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
)

// RememberDevice makes this browser an enrolled device, with the key that
// access.Enrol gave, and ends the password session that enrolled it: what
// stays at the stand is the device and no owner.
func (s *Sessions) RememberDevice(c *gin.Context, key string) error {
	device, err := s.access.DeviceByKey(c.Request.Context(), key)
	if err != nil {
		return err
	}
	turn, err := s.access.Turn(c.Request.Context(), device, "", c.Request.UserAgent(), c.ClientIP())
	if err != nil {
		return err
	}
	s.deviceCookie(c, key+"."+turn, s.now().Add(deviceLifetime))
	return s.SignOut(c)
}

// nextTurn gives the browser the next turn of its device, and a new term: a tablet
// in use stays enrolled. Without one it keeps what it has.
func (s *Sessions) nextTurn(c *gin.Context, device models.Device) error {
	cookie, err := c.Request.Cookie(s.deviceCookieName())
	if err != nil {
		return nil //nolint:nilerr // a program, which keeps no cookies
	}
	key, shown := access.SplitKey(cookie.Value)
	turn, err := s.access.Turn(c.Request.Context(), device, shown, c.Request.UserAgent(), c.ClientIP())
	if err != nil {
		return err
	}
	if turn != "" {
		s.deviceCookie(c, key+"."+turn, s.now().Add(deviceLifetime))
	}
	return nil
}

// seenWithin is how long a request waits, once a minute, for its device to be
// written down.
const seenWithin = 2 * time.Second

// saw writes down where a device's key was used. What cannot be written down is
// told to the log and stops nobody.
func (s *Sessions) saw(c *gin.Context, device models.Device, program bool) {
	ctx, cancel := context.WithTimeout(c.Request.Context(), seenWithin)
	defer cancel()
	if err := s.access.Saw(ctx, device, program, c.Request.UserAgent(), c.ClientIP()); err != nil {
		s.log.Warn("the use of a device was not written down", "request", RequestID(c), "device", device.ID, "cause", err)
	}
}

// ForgetDevice takes the key out of this browser; the device itself is revoked
// by access.Revoke.
func (s *Sessions) ForgetDevice(c *gin.Context) { s.deviceCookie(c, "", time.Unix(1, 0)) }

func (s *Sessions) deviceCookie(c *gin.Context, value string, until time.Time) {
	http.SetCookie(c.Writer, &http.Cookie{Name: s.deviceCookieName(), Value: value, Path: "/", Expires: until, HttpOnly: true, Secure: s.secure, SameSite: http.SameSiteLaxMode})
}

func (s *Sessions) deviceCookieName() string { return cookieName("tracewright_device", s.secure) }
