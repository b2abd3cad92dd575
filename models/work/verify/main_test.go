package verify_test

import (
	"bytes"
	"crypto/ed25519"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // to change the tables as somebody with a database client would
	_ "modernc.org/sqlite"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/models/work/release"
	"tracewright/models/work/verify"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// history is a workshop's database with a sealed trail: a wheel and a pack
// measured and certified, a first checkpoint, a last week of temperatures and a
// person who became an inspector, a second checkpoint, and one change that is
// not sealed. Nobody has it open.
type history struct {
	dsn     string
	key     ed25519.PrivateKey
	trusted trail.Keys
	held    []trail.SignedCheckpoint // as they were copied elsewhere

	wheel, pack models.Certificate
	inspection  string // of the wheel
	photo       string // of that inspection, by the hash of its file
	person      string
	temperature string // the third of the last week
	lastWeek    int64  // the first entry of it
	size        int64
}

func keyOf(seed byte) (ed25519.PrivateKey, models.ServerKey) {
	key := ed25519.NewKeyFromSeed([]byte(strings.Repeat(string(rune(seed)), ed25519.SeedSize)))
	public := key.Public().(ed25519.PublicKey)
	return key, models.ServerKey{ID: trail.KeyID(public), Public: hex.EncodeToString(public), Server: "bench"}
}

func made(t *testing.T, dsn string) *history {
	t.Helper()
	s := storetest.Open(t, dsn)
	h := worktest.On(t, s)
	ctx := t.Context()
	v := &history{dsn: dsn, person: h.Operator.PersonID}
	var record models.ServerKey
	v.key, record = keyOf('a')
	v.trusted = trail.Keys{record.ID: v.key.Public().(ed25519.PublicKey)}

	wheel := h.Extremes()
	v.inspection = wheel.ID
	h.MustRecord(wheel)
	h.MustRecord(h.Pack())
	releases := release.New(s, h.Clock, worktest.Zone, func(d release.Drawing) ([]byte, error) { return append([]byte("paper of "), d.Canonical...), nil })
	releases.SealBy(worktest.NewSigner())
	for kind, to := range map[string]*models.Certificate{models.KindWheel: &v.wheel, models.KindPack: &v.pack} {
		issued, err := releases.Issue(ctx, h.Owner, h.Item[kind].ID, "")
		h.Must(err)
		_, _, err = releases.Paper(ctx, issued.ID)
		h.Must(err)
		*to = issued
	}
	photo := []byte("a photo of the dial")
	v.photo = trail.Digest(photo)
	h.Must(s.AddAttachment(ctx, models.NewStamp(h.Owner, h.Now), models.Attachment{ID: models.NewID(), SubjectKind: "inspection", SubjectID: v.inspection, FileHash: v.photo, Name: "dial.jpg", Salt: strings.Repeat("ab", 16)},
		models.File{Hash: v.photo, MediaType: "image/jpeg", Bytes: photo}))
	h.Must(s.BeginLog(ctx, models.NewStamp(models.Actor{}, h.Now), models.NewID(), record))
	v.seal(t, s, h.Now)
	v.lastWeek = v.held[0].Body.Size

	for day := range 6 {
		h.Now = h.Now.Add(24 * time.Hour)
		read := models.ShelfTemperature{ID: models.NewID(), Place: "shelf", C: fmt.Sprint(18 + day), At: h.Now}
		h.Must(s.AddShelfTemperature(ctx, models.NewStamp(h.Operator, h.Now), read))
		if day == 2 {
			v.temperature = read.ID
		}
	}
	dials, err := s.InstrumentsByCode(ctx, []string{"D-1"})
	h.Must(err)
	_, err = s.ChangeInstrument(ctx, models.NewStamp(h.Owner, h.Now), dials[0].ID, func(i *models.Instrument) error {
		i.Place = "stand 2"
		return nil
	})
	h.Must(err)
	_, err = s.ChangePerson(ctx, models.NewStamp(h.Owner, h.Now), v.person, func(p *models.Person, _ []models.Person) error {
		p.Role = models.Inspector
		return nil
	})
	h.Must(err)
	v.seal(t, s, h.Now)
	v.size = v.held[1].Body.Size
	h.Must(s.SetSetting(ctx, models.NewStamp(h.Owner, h.Now), models.SettingShopName, "Another name"))
	h.Must(s.Close())
	return v
}

// seal seals what waits and signs a checkpoint, which is copied elsewhere.
func (v *history) seal(t *testing.T, s *store.Store, at time.Time) {
	t.Helper()
	if _, err := s.Seal(t.Context(), at, 10_000); err != nil {
		t.Fatal(err)
	}
	kept, err := s.AddCheckpoint(t.Context(), func(head models.TrailHead, _ []models.ServerKey) (models.Checkpoint, error) {
		tree, err := head.Tree()
		if err != nil {
			return models.Checkpoint{}, err
		}
		signed, err := trail.Checkpoint{V: 1, Log: head.Log, Size: head.Size, Head: head.Hash, Root: tree.Root().String(), TS: trail.Timestamp(at)}.Sign(v.key)
		return models.CheckpointOf(signed, at), err
	})
	if err != nil {
		t.Fatal(err)
	}
	v.held = append(v.held, kept.Signed())
}

// contentOf takes the content out of what stands for a paper here.
func contentOf(paper []byte) ([]byte, error) {
	content, ok := bytes.CutPrefix(paper, []byte("paper of "))
	if !ok {
		return nil, errors.New("no paper")
	}
	return content, nil
}

// look verifies a database.
func look(t *testing.T, dsn string, trusted trail.Keys, held []trail.SignedCheckpoint) verify.Report {
	t.Helper()
	s, err := store.Open(t.Context(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	chain := trail.NewVerifier(trusted)
	for _, c := range held {
		chain.Checkpoint(c)
	}
	var report verify.Report
	err = s.Freeze(t.Context(), func(frozen *store.Frozen) (err error) {
		report, err = verify.Database(frozen, chain, contentOf)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return report
}

// told writes what was found, a line each: the chain's first error, then records.
func told(r verify.Report) []string {
	var out []string
	if f := r.Problem; f != nil {
		line := string(f.Code)
		if f.At != nil {
			line += fmt.Sprintf(" at %d", *f.At)
		}
		out = append(out, line)
	}
	for _, f := range r.Findings {
		out = append(out, strings.TrimSpace(fmt.Sprintf("%s %s %s %s", f.Code, f.Kind, f.Subject, f.File)))
	}
	return out
}

// client is a database client in the hands of somebody.
type client struct {
	*testing.T
	db       *sql.DB
	dsn      string
	postgres bool
}

func connect(t *testing.T, dsn string) client {
	t.Helper()
	driver, source := "pgx", dsn
	path, isFile := strings.CutPrefix(dsn, "sqlite:")
	if isFile {
		driver, source = "sqlite", path
	}
	db, err := sql.Open(driver, source)
	if err != nil {
		t.Fatal(err)
	}
	db.SetMaxOpenConns(1) // What it is told about references holds for what follows.
	return client{t, db, dsn, !isFile}
}

// unminded lets rows go that others refer to.
func (c client) unminded() {
	c.Helper()
	statement := "PRAGMA foreign_keys = 0"
	if c.postgres {
		statement = "SET session_replication_role = replica"
	}
	if _, err := c.db.ExecContext(c.Context(), statement); err != nil {
		c.Fatal(err)
	}
}

// do runs a statement that changes something; ? stands for each value.
func (c client) do(statement string, values ...any) {
	c.Helper()
	done, err := c.db.ExecContext(c.Context(), c.marked(statement), values...)
	if err != nil {
		c.Fatalf("%s: %v", statement, err)
	}
	if n, err := done.RowsAffected(); err == nil && n == 0 && !strings.HasPrefix(statement, "ALTER") {
		c.Fatalf("%s: nothing was changed", statement)
	}
}

// marked numbers the marks for values as PostgreSQL wants them.
func (c client) marked(statement string) string {
	if !c.postgres {
		return statement
	}
	parts := strings.Split(statement, "?")
	var out strings.Builder
	for i, part := range parts {
		if i > 0 {
			fmt.Fprintf(&out, "$%d", i)
		}
		out.WriteString(part)
	}
	return out.String()
}
