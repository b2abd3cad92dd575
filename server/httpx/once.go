package httpx

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"
)

const (
	// onceField is what a page gives the forms that it shows, the same when a browser
	// goes back to it or sends once more what it had no answer to (office.js).
	onceField = "once"
	keySent   = "sent"
	// sentKept is of how many forms a session remembers where they led.
	sentKept = 12
	// sentFor is how long: who goes back later to a form whose act is undone means it.
	sentFor = 2 * time.Minute
)

// sentForm is one that was sent: its mark, when, and where it led.
type sentForm struct {
	mark, path string
	at         int64
}

// Once does what a form asks for once: sent again from the same page with the same
// content a moment later it is led to where it led before, and nothing is done twice.
// Other content is another form, and so is the same on a page that was opened anew.
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
		form := c.Request.URL.RequestURI() + "\n" + c.Request.PostForm.Encode()
		delete(c.Request.PostForm, onceField)
		sent, mark := s.sentForms(c), s.mark(c, form)
		if i := slices.IndexFunc(sent, func(f sentForm) bool { return f.mark == mark }); i >= 0 {
			c.Redirect(http.StatusSeeOther, before(sent[i].path))
			return nil
		}
		if err := h(c); err != nil {
			return err
		}
		path := c.Writer.Header().Get("Location")
		if c.Writer.Status() != http.StatusSeeOther || !strings.HasPrefix(path, "/") || strings.ContainsAny(path, " \t\r\n") {
			return nil
		}
		// Marked anew: a password that was given has changed the session's secret.
		s.keepSent(c, append(sent, sentForm{s.mark(c, form), path, s.now().Unix()}))
		return nil
	}
}

// sentForms are those of a moment ago.
func (s *Sessions) sentForms(c *gin.Context) []sentForm {
	var list []sentForm
	for line := range strings.Lines(s.manager.GetString(c.Request.Context(), keySent)) {
		f := strings.Fields(line)
		if len(f) != 3 {
			continue
		}
		at, err := strconv.ParseInt(f[1], 10, 64)
		if age := s.now().Sub(time.Unix(at, 0)); err == nil && age >= 0 && age < sentFor {
			list = append(list, sentForm{f[0], f[2], at})
		}
	}
	return list
}

func (s *Sessions) keepSent(c *gin.Context, list []sentForm) {
	var text strings.Builder
	for _, f := range list[max(0, len(list)-sentKept):] {
		fmt.Fprintf(&text, "%s %d %s\n", f.mark, f.at, f.path)
	}
	s.manager.Put(c.Request.Context(), keySent, text.String())
	// What was asked for is done: that it could not be remembered is no reason to say otherwise.
	if err := s.save(c, false); err != nil {
		s.log.Warn("a form is not remembered", "request", RequestID(c), "cause", err)
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
func (s *Sessions) mark(c *gin.Context, form string) string {
	under := hmac.New(sha256.New, []byte(s.manager.Token(c.Request.Context())))
	under.Write([]byte(form))
	return base64.RawURLEncoding.EncodeToString(under.Sum(nil)[:16])
}
