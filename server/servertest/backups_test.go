package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"tracewright/models"
)

// The page of backups says how they stand to everybody, and what is wrong to the
// owner; the last label is taken from whoever prints, and a serial that is none is
// told at its field.
func TestBackupPages(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		seen := func(name, who, path string, status int, has ...string) Row {
			return Row{Name: name, Who: who, Path: path, Status: status, Has: has}
		}
		label := func(serial string) url.Values { return url.Values{"serial": {serial}} }
		s.Run(t, []Row{
			seen("before anything", Owner, "/backups", http.StatusOK, "makes no backups by itself", "tracewright backup --check"),
			Posted("a label of nothing", Desk, "/backups/label", label(s.Serial[models.KindWheel]), http.StatusUnprocessableEntity, "was never put back"),
		})
		stamp := models.NewStamp(models.Actor{}, s.Now)
		_, err := s.Store.AddRestoration(t.Context(), stamp, models.Restoration{BackupAt: s.Now.AddDate(0, 0, -1), BackupSHA256: strings.Repeat("5a", 32), BackupProgram: "v1", BackupSchema: 43, Forward: models.RestorationForward}, nil)
		s.Must(err)
		s.Run(t, []Row{seen("everybody is signed out", Owner, "/", http.StatusSeeOther)})
		for _, who := range []string{Owner, Operator, Desk} {
			s.signIn(who)
		}
		s.Must(s.Store.AddBackupRun(t.Context(), models.BackupRun{Kind: models.BackupAsked, BegunAt: s.Now, EndedAt: s.Now, Trouble: "no_tool"}))
		s.Run(t, []Row{
			seen("Today asks the desk", Desk, "/", http.StatusOK, "Give the last printed label"),
			seen("and the owner for more", Owner, "/", http.StatusOK, "Give the last printed label", "install the client programs of PostgreSQL"),
			seen("the form", Operator, "/backups", http.StatusOK, "Put back from a backup", "Last serial"),
			Posted("no serial", Desk, "/backups/label", label(""), http.StatusUnprocessableEntity, "Nothing was saved"),
			Posted("one that is none", Desk, "/backups/label", label("W31-00"), http.StatusUnprocessableEntity, "is not a serial"),
			Posted("nobody", Nobody, "/backups/label", label(s.Serial[models.KindWheel]), http.StatusSeeOther),
			seen("still asked", Desk, "/backups", http.StatusOK, "Put back from a backup"),
			Posted("a good one", Desk, "/backups/label", label(s.Serial[models.KindWheel]), http.StatusSeeOther),
			seen("given", Desk, "/backups", http.StatusOK, "given as last printed"),
		})
	})
}

// Where backups lie in the clear the owner is reminded of the key, behind all else and
// until there is one; before the first inspection a step of its own names it.
func TestTheOwnerIsRemindedOfARecoveryKey(t *testing.T) {
	const missing = "Backups have no recovery key"
	s := On(t, openSQLite(t))
	today := func(name, who string, has, not []string) Row {
		return Row{Name: name, Who: who, Path: "/", Status: http.StatusOK, Has: has, HasNot: not}
	}
	s.Must(s.Store.AddBackupRun(t.Context(), models.BackupRun{Kind: models.BackupDaily, BegunAt: s.Now, EndedAt: s.Now, File: "a.backup", Size: 1, SHA256: strings.Repeat("5a", 32)}))
	s.Run(t, []Row{today("before the first inspection", Owner, []string{"Print the recovery key"}, []string{missing})})
	s.Run(t, []Row{
		{Name: "the first inspection", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: s.EveryHole(), Status: http.StatusCreated},
		today("the owner", Owner, []string{missing, "a disk that fails takes both", `href="/backups/key"`}, []string{"Print the recovery key"}),
		today("the desk", Desk, nil, []string{missing}),
		{Name: "a line where all is listed", Who: Owner, Path: "/attention", Status: http.StatusOK, Has: []string{"a disk that fails takes both"}},
	})
	form := func(do string) url.Values { return url.Values{"do": {do}, "before": {""}, "public": {"age1qq"}} }
	s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(s.Owner, s.Now), models.SettingShopName, ""))
	s.Run(t, []Row{
		Posted("the key is drawn", Owner, "/backups/key", form("draw"), http.StatusOK, "A shop without a name yet, at "),
		Posted("and put to use", Owner, "/backups/key", form("use"), http.StatusSeeOther),
		today("there is one", Owner, nil, []string{missing}),
	})
}

// A recovery key is put to use by the owner who printed it, also where that took longer
// than a password is good for; the page then keeps its public half and not the key.
func TestTheRecoveryKeyIsUsedOnceItIsPrinted(t *testing.T) {
	s := On(t, openSQLite(t))
	form := func(do string, more ...string) url.Values {
		v := url.Values{"do": {do}, "before": {""}, "public": {"age1qq"}}
		for i := 0; i+1 < len(more); i += 2 {
			v.Set(more[i], more[i+1])
		}
		return v
	}
	without := func(r Row, texts ...string) Row {
		r.HasNot = texts
		return r
	}
	s.Run(t, []Row{
		Posted("drawn and shown", Owner, "/backups/key", form("draw"), http.StatusOK, "QQQQ QQQQ", "It is on paper", "Speichenhof Test, made on "),
		{Name: "not shown again", Who: Owner, Path: "/backups/key", Status: http.StatusOK, Has: []string{"Backups have no recovery key yet"}, HasNot: []string{"QQQQ QQQQ"}},
	})
	s.Now = s.Now.Add(6 * time.Minute) // beyond the five minutes that a typed password is good for
	s.Run(t, []Row{
		without(Posted("the printer was slow", Owner, "/backups/key", form("use"), http.StatusUnprocessableEntity, "Put the printed key to use", `name="public" value="age1qq"`, "Your password"), "QQQQ QQQQ"),
		Posted("something else", Owner, "/backups/key", form("sell", "confirm.password", Password), http.StatusUnprocessableEntity),
		Posted("what is no key", Owner, "/backups/key", form("use", "public", "age1other", "confirm.password", Password), http.StatusUnprocessableEntity),
		Posted("put to use", Owner, "/backups/key", form("use", "confirm.password", Password), http.StatusSeeOther),
		Posted("put to use twice, by a page that waited for an answer", Owner, "/backups/key", form("use"), http.StatusSeeOther),
		without(Posted("another sheet, by such a page", Owner, "/backups/key", form("use", "public", "age1other"), http.StatusConflict, "Somebody made a recovery key meanwhile", "is not in use", "age1qq"), "QQQQ QQQQ"),
		without(Posted("a page of before", Owner, "/backups/key", form("draw"), http.StatusConflict, "Somebody made a recovery key meanwhile"), "QQQQ QQQQ"),
		{Name: "it stands", Who: Owner, Path: "/backups/key", Status: http.StatusOK, Has: []string{"Backups are encrypted to a recovery key", "age1qq"}},
	})
}
