package servertest

import (
	"bytes"
	"encoding/json"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/trail"
	"tracewright/models/work/sealing"
	"tracewright/server/app"
	"tracewright/server/keyring"
)

// seals are a sealer over the shop's database, with keys of its own.
func (s *Shop) seals() *sealing.Service {
	s.Helper()
	keys, err := keyring.Open(s.TempDir())
	s.Must(err)
	seals := sealing.New(s.Store, sealing.Options{Keys: keys, Copies: keyring.CopyTo(s.TempDir()), Server: "shop", Now: s.Clock})
	s.Must(seals.Begin(s.Context()))
	return seals
}

// seal seals what waits and signs it, and gives the first key.
func (s *Shop) seal() trail.Keys {
	s.Helper()
	seals := s.seals()
	_, err := seals.Seal(s.Context())
	s.Must(err)
	keys, _, err := seals.ServerKeys(s.Context())
	s.Must(err)
	public, err := trail.ParsePublicKey(keys[0].Public)
	s.Must(err)
	return trail.Keys{keys[0].ID: public}
}

// Who changed what, when and why: found by person, kind, item, lot and day, and
// led to the thing itself.
func TestChangesArePutIntoWords(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		number := s.busy(t)
		wheel, pack := s.Item[models.KindWheel], s.Item[models.KindPack]
		rows := func(has ...string) func(*testing.T, http.Header, []byte) {
			return func(t *testing.T, _ http.Header, body []byte) {
				list := regexp.MustCompile(`(?s)<tbody>.*</tbody>`).Find(body)
				for _, want := range has {
					if !bytes.Contains(list, []byte(want)) {
						t.Errorf("%q is not among the changes: %s", want, shortened(list))
					}
				}
			}
		}
		s.Run(t, []Row{
			{Name: "not for the desk", Who: Desk, Path: "/changes", Status: http.StatusForbidden},
			{Name: "nor its file", Who: Inspector, Path: "/changes/out", Status: http.StatusForbidden},
			{Name: "all, before anything is sealed", Who: Owner, Path: "/changes", Status: http.StatusOK, Has: []string{"none of them sealed", "waits", "It does not prove that a measurement was true.", "nothing is sealed or signed here"}},
			{Name: "holds and why", Who: Owner, Path: "/changes?kind=hold", Status: http.StatusOK, HasNot: []string{"Hold lifted</td>"}, After: rows("Put on hold", "/items/"+*pack.Serial)},
			{Name: "certificates", Who: Owner, Path: "/changes?kind=certificate", Status: http.StatusOK, After: rows("Certificate issued", "/certificates/"+number+"/1", "/items/"+*wheel.Serial)},
			{Name: "of an item", Who: Owner, Path: "/changes?about=" + *wheel.Serial, Status: http.StatusOK, HasNot: []string{"/items/" + *pack.Serial}, After: rows("Inspection recorded", "Certificate issued", "Item made", "Fail.", "Pass.")},
			{Name: "of a lot", Who: Owner, Path: "/changes?about=SP-0214", Status: http.StatusOK, After: rows("Lot received", "/lots/SP-0214")},
			{Name: "of a person", Who: Owner, Path: "/changes?person=" + s.People[Desk].ID, Status: http.StatusOK, HasNot: []string{"<td class=\"who\">The operator"}, After: rows("<td class=\"who\">The desk")},
			{Name: "of a person and a kind", Who: Owner, Path: "/changes?person=" + s.People[Desk].ID + "&kind=specification", Status: http.StatusOK, Has: []string{"No change like that."}},
			{Name: "of the program", Who: Owner, Path: "/changes?person=system&kind=setting", Status: http.StatusOK, After: rows("the program", "Setting changed", "the shop’s name")},
			{Name: "of another year", Who: Owner, Path: "/changes?from=2019-01-01&to=2019-12-31", Status: http.StatusOK, Has: []string{"No change like that."}},
			{Name: "of today", Who: Owner, Path: "/changes?from=" + s.Now.Format("2006-01-02"), Status: http.StatusOK, After: rows("Inspection recorded")},
			{Name: "days the wrong way round", Who: Owner, Path: "/changes?from=2031-05-12&to=2031-05-11", Status: http.StatusUnprocessableEntity, Has: []string{"The end lies before the start", "Nothing is listed"}},
			{Name: "no day", Who: Owner, Path: "/changes?to=yesterday", Status: http.StatusUnprocessableEntity, Has: []string{"yesterday is not a date"}},
			{Name: "no item and no lot", Who: Owner, Path: "/changes?about=nothing", Status: http.StatusUnprocessableEntity, Has: []string{"names no lot"}},
			{Name: "no kind", Who: Owner, Path: "/changes?kind=secret", Status: http.StatusUnprocessableEntity},
			{Name: "no page", Who: Owner, Path: "/changes?before=x", Status: http.StatusUnprocessableEntity},
			{Name: "a page from an item", Who: Owner, Path: "/items/" + *wheel.Serial, Status: http.StatusOK, Has: []string{"/changes?about=" + *wheel.Serial}},
			{Name: "and none for who may not see it", Who: Desk, Path: "/items/" + *wheel.Serial, Status: http.StatusOK, HasNot: []string{"/changes"}},
			{Name: "from the shop's page", Who: Owner, Path: "/shop", Status: http.StatusOK, Has: []string{`href="/changes"`}},
		})
		s.seal()
		s.run(t, Row{Who: Owner, Path: "/changes", Status: http.StatusOK, Has: []string{"all sealed", "a signature over the first"}, HasNot: []string{"waits</span>"}})
	})
}

// Page by page every change is listed once.
func TestChangesPageByPage(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.busy(t)
		s.seal()
		number := regexp.MustCompile(`data-k="seal"><span class="mono small">(\d+)</span>`)
		older := regexp.MustCompile(`href="(/changes\?before=[^"]*)">Older`)
		seen, path := map[string]bool{}, "/changes"
		for pages := 0; path != "" && pages < 50; pages++ {
			_, _, body := s.Do(t, Row{Who: Owner, Path: path})
			for _, m := range number.FindAllSubmatch(body, -1) {
				if seen[string(m[1])] {
					t.Errorf("%s is listed twice", m[1])
				}
				seen[string(m[1])] = true
			}
			m := older.FindSubmatch(body)
			if path = ""; m != nil {
				path = strings.ReplaceAll(string(m[1]), "&amp;", "&")
			}
		}
		head, err := s.Store.TrailHead(t.Context())
		s.Must(err)
		if int64(len(seen)) != head.Size || head.Size < 60 {
			t.Errorf("%d changes are listed of %d, want all, on more than one page", len(seen), head.Size)
		}
	})
}

// What is written out verifies by the first key alone, without the shop; a file
// that lost a line does not.
func TestChangesWrittenOut(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.busy(t)
		trusted := s.seal()
		_, header, body := s.Do(t, Row{Who: Owner, Path: "/changes/out"})
		if !strings.Contains(header.Get("Content-Disposition"), ".jsonl") {
			t.Errorf("sent as %q", header.Get("Content-Disposition"))
		}
		head, err := s.Store.TrailHead(t.Context())
		s.Must(err)
		r, err := trail.VerifyFile(bytes.NewReader(body), trail.NewVerifier(trusted))
		if err != nil || r.Problem != nil || r.Entries != head.Size || r.Checkpoints != 1 || r.Uncheckpointed != 0 || r.End == nil {
			t.Errorf("verified %+v, %v; want %d entries under one checkpoint", r, err, head.Size)
		}
		lines := bytes.SplitAfter(body, []byte("\n"))
		without := bytes.Join(append(append([][]byte{}, lines[:5]...), lines[6:]...), nil)
		if r, err := trail.VerifyFile(bytes.NewReader(without), trail.NewVerifier(trusted)); err != nil || r.Problem == nil || r.Problem.Code != trail.CodeSeq {
			t.Errorf("a line short: %+v, %v; want %s", r.Problem, err, trail.CodeSeq)
		}
		// Sealed all at the same moment: the day after holds nothing.
		tomorrow := s.Clock().AddDate(0, 0, 1).Format("2006-01-02")
		_, _, later := s.Do(t, Row{Who: Owner, Path: "/changes/out?sealed_from=" + tomorrow})
		_, _, before := s.Do(t, Row{Who: Owner, Path: "/changes/out?sealed_to=2019-01-01"})
		for name, file := range map[string][]byte{"later": later, "before": before} {
			if n := bytes.Count(file, []byte(`"seq"`)); n != 0 {
				t.Errorf("%s: %d entries, want none", name, n)
			}
		}
		s.run(t, Row{Who: Owner, Path: "/changes/out?sealed_from=x", Status: http.StatusUnprocessableEntity, Has: []string{"x is not a date"}})
	})
}

// A folder for copies that cannot be written is told on the owner's first page
// and on that of changes; the shop works on, certificates too.
func TestTroubleWithTheSealIsTold(t *testing.T) {
	s := On(t, openSQLite(t))
	keys, err := keyring.Open(t.TempDir())
	s.Must(err)
	nowhere := filepath.Join(t.TempDir(), "file")
	s.Must(os.WriteFile(nowhere, nil, 0o600)) // where a folder is wanted
	a, err := app.New(s.Store, app.Config{Now: s.Clock, Cost: cheap, Keys: keys, Copies: keyring.CopyTo(nowhere), Server: "shop", Log: slog.New(slog.DiscardHandler)})
	s.Must(err)
	s.App = a
	s.Must(a.Services.Sealing.Begin(t.Context()))
	s.signIn(Owner)
	s.signIn(Operator)
	s.run(t, Row{Who: Owner, Path: "/", Status: http.StatusOK, HasNot: []string{"log of changes needs a look"}})
	wheel := s.MustRecord(s.Extremes())
	issued, err := a.Services.Release.Issue(t.Context(), s.Shop.Operator, wheel.Inspection.ItemID, "")
	s.Must(err)
	var content models.CertificateContent
	s.Must(json.Unmarshal([]byte(issued.Content), &content))
	if content.Log == nil || content.Log.Waiting || content.Log.Size < 10 {
		t.Errorf("the certificate names %+v, want a checkpoint over everything", content.Log)
	}
	s.Run(t, []Row{
		{Name: "on the first page", Who: Owner, Path: "/", Status: http.StatusOK, Has: []string{"The log of changes needs a look", "Checkpoints cannot be copied"}},
		{Name: "not for whoever cannot help", Who: Operator, Path: "/", Status: http.StatusOK, HasNot: []string{"log of changes needs a look"}},
		{Name: "on its own", Who: Owner, Path: "/changes", Status: http.StatusOK, Has: []string{"The seal needs a look", "Checkpoints cannot be copied to " + nowhere}},
	})
}
