package web

import (
	"context"
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/backup"
	"tracewright/reports/pdf"
	"tracewright/server/httpx"
)

const keyPath = "/backups/key"

// KeyPage is where the recovery key of backups is made, and shown once.
type KeyPage struct {
	Frame
	Answer   string
	Makes    bool     // keys are made on this server
	Public   string   // of the key there is; empty: none
	Password *Field   // nil within five minutes of the last one
	Made     *KeyMade // what is shown once
	Problems Problems
}

// KeyMade is a key as it is printed.
type KeyMade struct {
	Of, First, Keep, Scan, PublicSays string
	Try, Restore                      string
	Older                             string // empty where it is the first
	QR                                TestSymbol
	Lines                             []string
	Public                            string
}

// keyWanted says whether a key is made here, and none was.
func (s *site) keyWanted(ctx context.Context) (bool, error) {
	if s.services.Backups == nil || !s.services.Backups.MakesKeys() {
		return false, nil
	}
	has, err := s.services.Backups.HasKey(ctx)
	return !has, err
}

func (s *site) recoveryKey(c *gin.Context) error { return s.showKey(c, http.StatusOK, nil) }

func (s *site) showKey(c *gin.Context, status int, problem error) error {
	public, err := s.services.Backups.PublicKey(c.Request.Context())
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := keyPage(s.frame(c, "Recovery key", "/backups"), public, s.services.Backups.MakesKeys())
	page.Password = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "backup_key", page)
}

func keyPage(frame Frame, public string, here bool) KeyPage {
	page := KeyPage{Frame: frame, Answer: "Backups have no recovery key yet", Public: public, Makes: here}
	if public != "" {
		page.Answer = "Backups are encrypted to a recovery key"
	}
	return page
}

func (s *site) makeRecoveryKey(c *gin.Context) error {
	before := c.PostForm("before")
	err := s.confirm(c)
	if answerable(err) {
		return s.showKey(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	key, err := s.services.Backups.MakeKey(c.Request.Context(), httpx.Actor(c), before)
	if errors.Is(err, models.ErrConflict) || errors.Is(err, backup.ErrNoKeys) {
		return redirect(c, keyPath, "") // Another page was faster.
	}
	if err != nil {
		return err
	}
	page := keyPage(s.frame(c, "Recovery key", "/backups"), key.Public, true)
	if page.Made, err = keyMade(key, before != ""); err != nil {
		return err
	}
	page.Answer = english.Say("recovery.title", nil)
	return send(c, http.StatusOK, "backup_key", page)
}

// keyMade is a key in the words of its sheet.
func keyMade(key models.RecoverySheet, older bool) (*KeyMade, error) {
	symbol, err := pdf.QRSymbol(key.Secret)
	if err != nil {
		return nil, err
	}
	const quiet = 4 // modules, ISO/IEC 18004
	made := &KeyMade{
		First: english.Say("recovery.first", nil), Keep: english.Say("recovery.keep", nil), Scan: english.Say("recovery.scan", nil), PublicSays: english.Say("recovery.public", nil),
		Try: english.Say("recovery.try", nil), Restore: english.Say("recovery.restore", nil),
		Of: english.Say("recovery.of_none", map[string]string{"date": words.Date(key.Made)}), QR: symbolDrawn(symbol, TestSymbol{}, quiet), Lines: key.Lines, Public: key.Public,
	}
	if key.Shop != "" {
		made.Of = english.Say("recovery.of", map[string]string{"shop": key.Shop, "date": words.Date(key.Made)})
	}
	if older {
		made.Older = english.Say("recovery.older", nil)
	}
	return made, nil
}
