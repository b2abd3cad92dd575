package web

import (
	"context"
	"errors"
	"net"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/backup"
	"tracewright/server/httpx"
)

const keyPath = "/backups/key"

// KeyPage is where a recovery key of backups is drawn, shown once, and put to use when
// it is on paper. Until then nothing is encrypted to it: whoever loses the page draws
// another.
type KeyPage struct {
	Frame
	Answer   string
	Says     []string
	Makes    bool     // keys are made on this server
	Open     bool     // the page comes over a network without TLS
	Changed  bool     // another key was taken since the page was opened
	Before   string   // public half of the key there is; empty: none
	Password *Field   // nil within five minutes of the last one
	Made     *KeyMade // what is shown once
	Use      string   // public half of what was printed, where the password is asked for again
	Problems Problems
}

// KeyMade is a key as it is printed.
type KeyMade struct {
	Of, First, Keep, Scan, PublicSays string
	Try, Restore, Older               string // Older is empty where it is the first
	QR                                TestSymbol
	Lines                             []string
	Public                            string
}

// keyWanted says whether a key is made here, and none was.
func (s *site) keyWanted(ctx context.Context) (bool, error) {
	if !s.services.Backups.MakesKeys() {
		return false, nil
	}
	key, err := s.services.Backups.PublicKey(ctx)
	return key == "", err
}

func (s *site) recoveryKey(c *gin.Context) error {
	page, err := s.keyStands(c)
	if err != nil {
		return err
	}
	return s.showKey(c, http.StatusOK, page, nil)
}

// keyStands is how it stands now.
func (s *site) keyStands(c *gin.Context) (KeyPage, error) {
	state, err := s.services.Backups.State(c.Request.Context())
	if err != nil {
		return KeyPage{}, err
	}
	page := keyPage(s.frame(c, "Recovery key", "/backups"), state, s.services.Backups.MakesKeys())
	page.Open = openRequest(c.Request)
	return page, nil
}

// showKey asks for what is needed to go on.
func (s *site) showKey(c *gin.Context, status int, page KeyPage, problem error) error {
	f := posted(c, problem)
	page.Password = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "backup_key", page)
}

func keyPage(frame Frame, v backup.State, makes bool) KeyPage {
	page := KeyPage{Frame: frame, Answer: "Backups have no recovery key yet", Before: v.Key, Makes: makes}
	once := "The key is shown once, to be printed; the shop keeps only the half that encrypts."
	switch {
	case v.Key != "":
		page.Answer = "Backups are encrypted to a recovery key"
		page.Says = []string{"Its sheet is lost? Make another: what is backed up from then on opens with that one. What was made until now still wants the old sheet, so keep it if you can.",
			"Somebody saw it? Make another too, and take away what they could open: the backups made until now."}
	case v.Folder == "":
		page.Says = []string{"This server makes no backups by itself. The command that makes one encrypts it to this key; without one it lies in the clear, and beside the database alone.", once}
	case v.Clear:
		page.Says = []string{"Until there is one, backups lie in the clear in " + v.Folder + ", without the server’s keys: a disk that fails takes both, and whoever gets hold of one reads everything.", once}
	default:
		page.Says = []string{"Until there is one, no backup is made: " + v.Folder + " is elsewhere than the database, and nothing goes there in the clear.", once}
	}
	return page
}

// openRequest says whether others on the way can read the answer.
func openRequest(r *http.Request) bool {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	return r.TLS == nil && (err != nil || !net.ParseIP(host).IsLoopback())
}

// changeKey draws a key, or puts one to use that was printed. A page that does not know
// of the key there is changes nothing.
func (s *site) changeKey(c *gin.Context) error {
	do, before := c.PostForm("do"), c.PostForm("before")
	if do != "draw" && do != "use" {
		return models.Invalid("do", "choice_unknown")
	}
	page, err := s.keyStands(c)
	if err != nil {
		return err
	}
	public := ""
	if do == "use" {
		public = c.PostForm("public")
	}
	if page.Before != before || !page.Makes {
		return s.keyChanged(c, page, public)
	}
	page.Use = public
	err = s.confirm(c)
	if answerable(err) {
		return s.showKey(c, http.StatusUnprocessableEntity, page, err)
	}
	if err != nil {
		return err
	}
	if do == "draw" {
		return s.drawKey(c, before)
	}
	return s.useKey(c, before, public)
}

// keyChanged answers a page that does not know of the key there is. Where it is the one
// that was to be used, the first answer was lost or a finger was fast: it is in use.
func (s *site) keyChanged(c *gin.Context, page KeyPage, public string) error {
	if public != "" && public == page.Before {
		return redirect(c, "/backups", "key_used")
	}
	page.Changed = page.Makes
	return s.showKey(c, http.StatusConflict, page, nil)
}

func (s *site) useKey(c *gin.Context, before, public string) error {
	err := s.services.Backups.UseKey(c.Request.Context(), httpx.Actor(c), before, public)
	switch {
	case errors.Is(err, models.ErrConflict): // Somebody was faster by a moment.
		page, err := s.keyStands(c)
		if err != nil {
			return err
		}
		return s.keyChanged(c, page, public)
	case errors.Is(err, backup.ErrNoKeys):
		return models.Invalid("public", "choice_unknown")
	case err != nil:
		return err
	}
	return redirect(c, "/backups", "key_used")
}

func (s *site) drawKey(c *gin.Context, before string) error {
	key, err := s.services.Backups.DrawKey(c.Request.Context())
	if err != nil {
		return err
	}
	page := KeyPage{Frame: s.frame(c, "Recovery key", "/backups"), Answer: english.Say("recovery.title", nil), Makes: true, Before: before}
	if page.Made, err = keyMade(key, before != ""); err != nil {
		return err
	}
	if key.Shop == "" { // The sheet still says whose it is.
		page.Made.Of = english.Say("recovery.of_at", map[string]string{"address": c.Request.Host, "date": words.Date(key.Made)})
	}
	return send(c, http.StatusOK, "backup_key", page)
}

// keyMade is a key in the words of its sheet.
func keyMade(key models.RecoverySheet, older bool) (*KeyMade, error) {
	drawn, err := qrDrawn(key.Secret)
	if err != nil {
		return nil, err
	}
	made := &KeyMade{
		Of:    english.Say("recovery.of", map[string]string{"shop": key.Shop, "date": words.Date(key.Made)}),
		First: english.Say("recovery.first", nil), Keep: english.Say("recovery.keep", nil), Scan: english.Say("recovery.scan", nil), PublicSays: english.Say("recovery.public", nil),
		Try: english.Say("recovery.try", nil), Restore: english.Say("recovery.restore", nil),
		QR: drawn, Lines: key.Lines, Public: key.Public,
	}
	if older {
		made.Older = english.Say("recovery.older", nil)
	}
	return made, nil
}
