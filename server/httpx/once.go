package httpx

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"
)

const (
	// onceField is what a page gives the forms that it shows, the same when a browser
	// goes back to it or sends once more what it had no answer to (office.js).
	onceField = "once"
	keySent   = "sent"
	// sentKept is of how many forms a session remembers where they led.
	sentKept = 12
)

// Once does what a form asks for once: sent again from the same page with the same
// content it is led to where it led before, and nothing is done twice. Other content is
// another form, and so is the same on a page that was opened anew.
//
// It is for a hand that sends again, one after the other. Two at one moment are kept
// apart by the page, and where a record must not be doubled whatever comes, it has a key
// of its own.
func (s *Sessions) Once(h Handler) Handler {
	return func(c *gin.Context) error {
		ctx := c.Request.Context()
		if !isForm(c) || c.PostForm(onceField) == "" || s.manager.Token(ctx) == "" {
			return h(c)
		}
		mark := s.mark(c)
		delete(c.Request.PostForm, onceField)
		sent := strings.Fields(s.manager.GetString(ctx, keySent)) // mark, path, mark, path
		for i := 0; i+1 < len(sent); i += 2 {
			if sent[i] == mark {
				c.Redirect(http.StatusSeeOther, before(sent[i+1]))
				return nil
			}
		}
		if err := h(c); err != nil {
			return err
		}
		path := c.Writer.Header().Get("Location")
		if c.Writer.Status() != http.StatusSeeOther || !strings.HasPrefix(path, "/") || strings.ContainsAny(path, " \t\r\n") {
			return nil
		}
		if sent = append(sent, mark, path); len(sent) > 2*sentKept {
			sent = sent[len(sent)-2*sentKept:]
		}
		s.manager.Put(c.Request.Context(), keySent, strings.Join(sent, " "))
		// What was asked for is done: that it could not be remembered is no reason to say otherwise.
		if err := s.save(c, false); err != nil {
			s.log.Warn("a form is not remembered", "request", RequestID(c), "cause", err)
		}
		return nil
	}
}

// before is the way that a form led to, with the word that it had been sent.
func before(path string) string {
	u, err := url.Parse(path)
	if err != nil {
		return path
	}
	query := u.Query()
	query.Set("done", "sent_before")
	u.RawQuery = query.Encode()
	return u.String()
}

// mark tells a form, where it goes and what it holds, under the session's own secret:
// there may be a password among it.
func (s *Sessions) mark(c *gin.Context) string {
	under := hmac.New(sha256.New, []byte(s.manager.Token(c.Request.Context())))
	under.Write([]byte(c.Request.URL.RequestURI() + "\n" + c.Request.PostForm.Encode()))
	return base64.RawURLEncoding.EncodeToString(under.Sum(nil)[:16])
}
