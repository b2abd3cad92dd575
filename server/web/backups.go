package web

import (
	"fmt"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/backup"
	"tracewright/server/httpx"
)

// backupRoutes are the page of backups, and where the last printed label is given
// after one was put back.
func (s *site) backupRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: "/backups", Act: models.ActLook, Handler: s.backups},
		{Method: http.MethodGet, Path: keyPath, Act: models.ActManagePeople, Handler: s.recoveryKey},
		{Method: http.MethodPost, Path: keyPath, Act: models.ActManagePeople, Handler: s.changeKey},
		{Method: http.MethodPost, Path: "/backups/label", Act: models.ActPrint, Handler: s.giveLabel},
	}
}

// BackupsPage answers when the last good backup was made, and what is wrong.
type BackupsPage struct {
	Frame
	Answer   string
	Doubts   []string
	Folder   string
	ByItself bool
	Sealed   bool // to a recovery key
	Clear    bool // without one they are made in the clear
	Rows     []BackupRow
	Keyed    bool   // a row opens with a key
	Label    *Field // the last printed label may be given
	Restored string // when a backup was put back, where none was given yet
	Given    string // the labels that were
	Key      string // where the recovery key is made; empty where it is not made here
	Problems Problems
}

// BackupRow is a backup that lies in the folder.
type BackupRow struct {
	Name, When, Why, Size string
	Opens                 string // what it opens with
	Key                   string // how the public half of its key ends; empty: none, or none that is known
}

func (s *site) backups(c *gin.Context) error { return s.showBackups(c, http.StatusOK, nil) }

func (s *site) showBackups(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	state, err := s.services.Backups.State(ctx)
	if err != nil {
		return err
	}
	files, err := s.services.Backups.Files(ctx)
	if err != nil && !slices.Contains(state.Trouble, backup.NoFolder) {
		state.Trouble = append(state.Trouble, backup.NoFolder)
	}
	return send(c, status, "backups", s.backupsPage(s.frame(c, "Backups", "/backups"), state, files, newForm(c.PostForm, problem)))
}

func (s *site) backupsPage(frame Frame, v backup.State, files []backup.File, f *form) BackupsPage {
	page := BackupsPage{Frame: frame, Answer: s.backupAnswer(v), ByItself: v.Folder != "", Sealed: v.Key != "", Clear: v.Clear}
	if v.Restored != nil {
		var given []string
		for _, l := range v.Labels {
			given = append(given, words.Serial(l.Serial))
		}
		if page.Given = english.Join(given); page.Given == "" {
			page.Restored = s.minute(v.Restored.RestoredAt)
		}
		if frame.Actor.May(models.ActPrint) {
			field := f.field(Field{Name: "serial", Label: "Last serial that was printed before the loss", Mono: true, Width: "w6", Hint: "As it stands on its label, also one of a roll printed ahead. Each kind is counted by itself: give one of each that was printed."})
			page.Label = &field
		}
	}
	page.Problems = f.summary()
	if !frame.Actor.May(models.ActManagePeople) {
		return page
	}
	page.Doubts, page.Folder = s.backupTrouble(v, true), v.Folder
	if s.services.Backups != nil && s.services.Backups.MakesKeys() { // Samples have no services.
		page.Key = keyPath
	}
	for _, x := range slices.Backward(files) {
		why := map[string]string{models.BackupDaily: "each day", models.BackupBefore: "before an upgrade", models.BackupAsked: "asked for"}[x.Kind]
		row := BackupRow{Name: x.Name, When: s.minute(x.At), Why: why, Size: words.Bytes(x.Size)}
		switch {
		case x.Clear:
			row.Opens = "without a key: it is in the clear"
		case x.Key == "":
			row.Opens = "unknown: its beginning cannot be read"
		default:
			row.Opens, row.Key, page.Keyed = "the key that ends in", keyEnd(x.Key), true
		}
		page.Rows = append(page.Rows, row)
	}
	return page
}

// keyEnd is how a public half ends: enough to tell one sheet from another.
func keyEnd(public string) string { return public[max(0, len(public)-8):] }

// backupAnswer is when the last good one was made.
func (s *site) backupAnswer(v backup.State) string {
	switch {
	case v.Restored != nil && v.LastGood.Before(v.Restored.RestoredAt): // What was made before lies elsewhere.
		return "No backup was made since this shop was put back"
	case !v.LastGood.IsZero():
		return fmt.Sprintf("The last good backup is %s old", backupAge(s, v))
	case v.Kept:
		return "No backup was made yet"
	}
	return "This server makes no backups by itself"
}

func backupAge(s *site, v backup.State) string {
	age := s.services.Now().Sub(v.LastGood)
	switch minutes := int(age.Minutes()); {
	case minutes < 1:
		return "less than a minute"
	case minutes < 60:
		return plural(minutes, "minute", "minutes")
	}
	return ageWords(age)
}

// backupTrouble puts into words what is wrong, the worst first; the quiet ones
// are no reason to call anybody.
func (s *site) backupTrouble(v backup.State, quiet bool) (lines []string) {
	folder := v.Folder
	if folder == "" { // Somebody named one by hand.
		folder = "the folder that was named"
	}
	for _, code := range v.Trouble {
		remark := models.NewRemark("backup_"+code, "folder", folder)
		switch {
		case code == backup.LabelAsked:
			continue // It has a form of its own.
		case code == backup.NotSealed && !quiet:
			continue
		}
		lines = append(lines, english.Remark(remark))
	}
	return lines
}

// keyRows remind the owner, behind all else, of a recovery key that was never made:
// where backups lie in the clear, one disk that fails takes them and the database. Before
// the first inspection a step of its own names it.
func (s *site) keyRows(frame Frame, v backup.State, inspected bool) []TodayRow {
	if !inspected || !frame.Actor.May(models.ActManagePeople) || !slices.Contains(v.Trouble, backup.NotSealed) {
		return nil
	}
	row := TodayRow{Mark: Mark{"ring", "Backup", "none"}, Title: []Span{{Text: "Backups have no recovery key"}}, Line: english.Remark(models.NewRemark("backup_" + backup.NotSealed)), Act: Act{Text: "See the backups", Path: "/backups"}}
	if s.services.Backups.MakesKeys() {
		row.Act = Act{Text: "Make the key", Path: keyPath}
	}
	return []TodayRow{row}
}

func (s *site) giveLabel(c *gin.Context) error {
	_, err := s.services.Backups.GiveLabel(c.Request.Context(), httpx.Actor(c), c.PostForm("serial"))
	if answerable(err) {
		return s.showBackups(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/backups", "lot_kept")
}

// backupRows are what is wrong with backups, for who can set it right: the last
// label for whoever prints, all else for the owner.
func (s *site) backupRows(frame Frame, v backup.State) (rows []TodayRow) {
	if v.Restored != nil && len(v.Labels) == 0 && frame.Actor.May(models.ActPrint) {
		rows = append(rows, TodayRow{Mark: Mark{"triangle", "Numbers", "care"}, Title: []Span{{Text: "Give the last printed label before another is printed"}},
			Line:  english.Remark(models.NewRemark("backup_label_wanted", "date", v.Restored.BackupAt.In(s.zone()).Format("2006-01-02"))),
			Since: "since " + s.day(v.Restored.RestoredAt), Act: Act{Text: "Give the label", Path: "/backups"}})
	}
	if !frame.Actor.May(models.ActManagePeople) {
		return rows
	}
	for i, line := range s.backupTrouble(v, false) {
		if i > 0 { // One row: what is wrong first is what has to be done first.
			break
		}
		row := TodayRow{Mark: Mark{"triangle", "Backup", "care"}, Title: []Span{{Text: words.Sentence("backups need a look")}}, Line: line, Act: Act{Text: "See the backups", Path: "/backups"}}
		if !v.LastGood.IsZero() {
			row.Since = "last good " + s.day(v.LastGood)
		}
		rows = append(rows, row)
	}
	return rows
}
