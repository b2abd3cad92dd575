package main

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/models/work/release"
	"tracewright/models/work/worktest"
	paper "tracewright/reports/certificate"
	"tracewright/reports/pdf"
)

// logged is a workshop's database with a sealed log and one certificate, and
// what lies outside: the public key, a copy of the checkpoint, the paper.
type logged struct {
	folder      string
	database    string
	key         ed25519.PrivateKey
	keys        string // file of the public key
	checkpoints string // file of the checkpoint that covers all
	paper       string
	inspection  string
}

// signer seals the log and signs certificates by its key.
type signer struct {
	store *store.Store
	key   ed25519.PrivateKey
	at    time.Time
}

func (s signer) Seal(ctx context.Context) (models.SealedLog, error) {
	if _, err := s.store.Seal(ctx, s.at, 10_000); err != nil {
		return models.SealedLog{}, err
	}
	head, err := s.store.TrailHead(ctx)
	if err != nil {
		return models.SealedLog{}, err
	}
	tree, err := head.Tree()
	return models.SealedLog{LogID: head.Log, Size: head.Size, Root: tree.Root().String()}, err
}

func (s signer) SignsBy(context.Context) (string, error) { return keyID(s.key), nil }

func (s signer) Sign(_ context.Context, canonical []byte) (models.Signature, error) {
	return models.Signature{KeyID: keyID(s.key), Value: hex.EncodeToString(trail.SignCertificate(s.key, canonical))}, nil
}

func keyID(key ed25519.PrivateKey) string { return trail.KeyID(key.Public().(ed25519.PublicKey)) }

func keyOf(seed string) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed([]byte(strings.Repeat(seed, ed25519.SeedSize)))
}

func (l logged) put(t *testing.T, name string, raw []byte) string {
	t.Helper()
	path := filepath.Join(l.folder, name)
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func (l logged) read(t *testing.T, path string) []byte {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func newLogged(t *testing.T) logged {
	t.Helper()
	l := logged{folder: t.TempDir(), database: storetest.SQLite(t), key: keyOf("k")}
	s := storetest.Open(t, l.database)
	h := worktest.On(t, s)
	ctx, stamp := t.Context(), models.NewStamp(models.Actor{}, h.Now)
	public := l.key.Public().(ed25519.PublicKey)
	h.Must(s.BeginLog(ctx, stamp, models.NewID(), models.ServerKey{ID: keyID(l.key), Public: hex.EncodeToString(public), Server: "bench"}))
	wheel := h.Extremes()
	l.inspection = wheel.ID
	h.MustRecord(wheel)
	h.Must(s.SetSetting(ctx, stamp, models.SettingShopAddress, "Weir Lane 3"))
	releases := release.New(s, h.Clock, worktest.Zone, func(d release.Drawing) ([]byte, error) {
		return paper.Draw(d.Content, paper.Options{Raw: d.Canonical, Signature: d.Signature, State: d.State})
	})
	releases.SealBy(signer{s, l.key, h.Now})
	issued, err := releases.Issue(ctx, h.Owner, h.Item[models.KindWheel].ID, "")
	h.Must(err)
	drawn, _, err := releases.Paper(ctx, issued.ID)
	h.Must(err)
	_, err = s.Seal(ctx, h.Now, 10_000)
	h.Must(err)
	kept, err := s.AddCheckpoint(ctx, func(head models.TrailHead, _ []models.ServerKey) (models.Checkpoint, error) {
		tree, err := head.Tree()
		h.Must(err)
		signed, err := trail.Checkpoint{V: 1, Log: head.Log, Size: head.Size, Head: head.Hash, Root: tree.Root().String(), TS: trail.Timestamp(h.Now)}.Sign(l.key)
		return models.CheckpointOf(signed, h.Now), err
	})
	h.Must(err)
	h.Must(s.SetSetting(ctx, stamp, models.SettingShopName, "Not sealed yet"))
	h.Must(s.Close())
	copied, err := trail.Canonical(kept.Signed())
	h.Must(err)
	l.keys = l.put(t, "first.pub", []byte(hex.EncodeToString(public)+"\n"))
	l.checkpoints = l.put(t, "checkpoints.jsonl", append(copied, "\n{\"body\":{\"v\":1"...)) // the disk was full then
	l.paper = l.put(t, "paper.pdf", drawn)
	return l
}

// says runs a command and holds against it the status, a part of what goes to
// standard output, and a part of what goes to standard error.
func says(t *testing.T, name string, got ran, status int, out, err string) {
	t.Helper()
	if got.status != status || !strings.Contains(got.out, out) || !strings.Contains(got.err, err) || status == 2 && got.out != "" {
		t.Errorf("%s: status %d\nout: %s\nerr: %s\nwant status %d, %q and %q", name, got.status, got.out, got.err, status, out, err)
	}
}

func TestVerifyTrailFromTheConsole(t *testing.T) {
	l := newLogged(t)
	exported := command(t, "", "export", "trail", "--database", l.database)
	if exported.status != 0 || exported.err != "" || !strings.HasPrefix(exported.out, "{\"trail\":1}\n") || strings.Contains(exported.out, "Weir Lane") {
		t.Fatalf("exported: %+v", exported)
	}
	sealed := strings.Count(exported.out, `"seq":`)
	verify := func(file string, more ...string) ran {
		return command(t, file, append([]string{"verify", "trail", "-", "--keys", l.keys}, more...)...)
	}
	whole := verify(exported.out)
	says(t, "whole", whole, 0, "Not sealed when the file was written, and so not in it: 1.", "")
	says(t, "whole", whole, 0, "Checkpoints: 1. The newest covers "+decimal(sealed)+" entries, is of 2031-05-12 and signed by key "+keyID(l.key), "")
	says(t, "whole", whole, 0, "\nSound.\n", "")
	says(t, "with a copy of the checkpoint", verify(exported.out, "--checkpoints", l.folder), 0, "checkpoints.jsonl, line 2: no checkpoint, left out", "")
	says(t, "with a certificate", verify(exported.out, "--certificates", l.paper), 0, "Certificates from elsewhere that the log leads to: 1.", "")
	says(t, "cut before the certificate was signed", verify(exported.out[:strings.Index(exported.out, `"seq":3,`)], "--certificates", l.folder), 1, "E_TRUNCATED  Only 3 entries are left of the ", "E_TRUNCATED at 3")
	says(t, "from a file", command(t, "", "verify", "trail", l.put(t, "trail.jsonl", []byte(exported.out)), "--keys", l.folder), 0, "Sound.", "")

	at := strings.Index(exported.out, `"seq":9`)
	says(t, "cut in the middle of a line", verify(exported.out[:at]), 1, "The file ends in the middle of line 11. 9 entries stand whole before it.", "not sound: E_TRUNCATED at 9")
	says(t, "the same, with the copy", verify(exported.out[:at], "--checkpoints", l.checkpoints), 1, "Only 9 entries are left of the "+decimal(sealed)+" that were signed", "E_TRUNCATED at 9")
	says(t, "cut behind a line", verify(exported.out[:strings.Index(exported.out, `{"end"`)]), 1, "has no last line: it was cut off behind line", "E_TRUNCATED")
	says(t, "an entry edited", verify(strings.Replace(exported.out, `"kind":"certificate"`, `"kind":"hold"`, 1)), 1, "E_HASH  Entry ", "not sound: E_HASH at ")
	says(t, "a line that says nothing", verify(strings.Replace(exported.out, `{"actor"`, `{"actor`, 1)), 1, "Line 2 cannot be read", "E_HASH at 0")
	signed := strings.Index(exported.out, `"sig":"`) + len(`"sig":"`)
	forged := exported.out[:signed] + strings.Repeat("0", 128) + exported.out[signed+128:]
	says(t, "a signature edited", verify(forged), 1, "was not signed like this", "not sound: E_SIG")
	stranger := l.put(t, "stranger.pub", []byte(hex.EncodeToString(keyOf("s").Public().(ed25519.PublicKey))))
	says(t, "another key", command(t, exported.out, "verify", "trail", "-", "--keys", stranger), 1, "none of the keys you trust", "not sound: E_KEY")

	says(t, "no trail at all", verify("%PDF-1.3\n"), 2, "", "could not look: line 1")
	says(t, "nothing", verify(""), 2, "", "could not look")
	says(t, "There is no database at", command(t, "", "verify", "trail", "nowhere.jsonl", "--keys", l.keys), 2, "", "nowhere.jsonl")
	says(t, "no keys named", command(t, "", "verify", "trail", "-"), 2, "", "--keys")
	says(t, "no such keys", command(t, exported.out, "verify", "trail", "-", "--keys", filepath.Join(l.folder, "lost.pub")), 2, "", "lost.pub")
	says(t, "a folder without keys", command(t, exported.out, "verify", "trail", "-", "--keys", t.TempDir()), 2, "", "no file that ends in .pub")
	says(t, "a key that is none", command(t, exported.out, "verify", "trail", "-", "--keys", l.checkpoints), 2, "", "public key")
	says(t, "no certificates in what was named", verify(exported.out, "--certificates", t.TempDir()), 2, "", "certificates: none in")
	says(t, "no checkpoints in what was named", verify(exported.out, "--checkpoints", t.TempDir()), 2, "", "checkpoints: none in")
}

// A clock that went back is a warning and no more: the order stands.
func TestVerifyTrailOfAClockThatWentBack(t *testing.T) {
	var file bytes.Buffer
	w, prev := trail.NewWriter(&file), trail.FirstPrev
	for i, ts := range []string{"2026-03-02T08:00:00.000Z", "2026-03-02T08:00:05.000Z", "2026-03-02T07:59:00.000Z"} {
		e := trail.Entry{V: trail.EntryVersion, Seq: int64(i), Prev: prev, TS: ts, Actor: "system", Kind: "setting", Subject: "shop", Data: json.RawMessage("{}")}
		hash, err := trail.EntryHash(e)
		if err != nil {
			t.Fatal(err)
		}
		e.Hash, prev = hash, hash
		w.Entry(e)
	}
	if err := w.Close(0, 0); err != nil {
		t.Fatal(err)
	}
	key := logged{folder: t.TempDir()}.put(t, "k.pub", []byte(hex.EncodeToString(keyOf("k").Public().(ed25519.PublicKey))))
	got := command(t, file.String(), "verify", "trail", "-", "--keys", key)
	says(t, "back", got, 0, "W_CLOCK_BACK  Entry 2 is dated before an earlier one", "")
	says(t, "back", got, 0, "No checkpoint: whoever holds the log could have written it anew.", "")
}

func decimal(n int) string { return whole(int64(n)) }

func TestVerifyDatabaseFromTheConsole(t *testing.T) {
	l := newLogged(t)
	verify := func(more ...string) ran {
		return command(t, "", append([]string{"verify", "database", "--database", l.database, "--keys", l.keys}, more...)...)
	}
	clean := verify("--checkpoints", l.checkpoints)
	says(t, "clean", clean, 0, "Not sealed yet: 1.", "")
	says(t, "clean", clean, 0, ", kept files: 1.\n", "")
	says(t, "clean", clean, 0, "not that a measurement was true.\nSound.\n", "")

	path := strings.TrimPrefix(l.database, "sqlite:")
	if err := os.Mkdir(strings.TrimSuffix(path, ".db")+".keys", 0o700); err != nil {
		t.Fatal(err)
	}
	beside := []string{"verify", "database", "--database", l.database}
	says(t, "an empty folder beside it", command(t, "", beside...), 2, "", "no file that ends in .pub")
	if err := os.WriteFile(filepath.Join(strings.TrimSuffix(path, ".db")+".keys", "k.pub"), l.read(t, l.keys), 0o600); err != nil {
		t.Fatal(err)
	}
	says(t, "the keys beside it", command(t, "", beside...), 0, "Sound.", "")

	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.ExecContext(t.Context(), "UPDATE results SET value = '0.11' WHERE code = 'lateral_tir'"); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	edited := verify()
	says(t, "a result edited", edited, 1, "E_RECORD  Not what was entered: inspection "+l.inspection+", by entry ", "not sound: E_RECORD")

	says(t, "not there", command(t, "", "verify", "database", "--database", "sqlite:"+filepath.Join(l.folder, "none.db"), "--keys", l.keys), 2, "", "There is no database at")
	empty := "sqlite:" + filepath.Join(l.folder, "empty.db")
	s, err := store.Open(t.Context(), empty, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	l.put(t, "empty.db", nil)
	says(t, "without a schema", command(t, "", "verify", "database", "--database", empty, "--keys", l.keys), 2, "", "is empty")
}

func TestVerifyCertificateFromTheConsole(t *testing.T) {
	l := newLogged(t)
	verify := func(file string, more ...string) ran {
		return command(t, "", append([]string{"verify", "certificate", file, "--keys", l.keys}, more...)...)
	}
	says(t, "as issued", verify(l.paper), 0, "Certificate C31-00001 revision 1 of W31-", "")
	says(t, "as issued", verify(l.paper), 0, "Signed by key "+keyID(l.key)+".\nWhether it still stands only the shop can tell", "")
	drawn := l.read(t, l.paper)
	files, err := pdf.Attachments(drawn)
	if err != nil || len(files) != 2 {
		t.Fatalf("%d files inside, %v", len(files), err)
	}
	content, signature := files["certificate-C31-00001-1.json"], files["certificate-C31-00001-1.signature.json"]
	if got := verify(l.paper, "--content"); got.status != 0 || got.out != string(content) || !strings.Contains(got.err, "Sound.") {
		t.Errorf("written out: %+v, want the content alone, byte for byte, and what was found beside it", got)
	}

	// The content alone, as another program may have saved it.
	var spaced bytes.Buffer
	if err := json.Indent(&spaced, content, "", "  "); err != nil {
		t.Fatal(err)
	}
	alone, beside := l.put(t, "c.json", spaced.Bytes()), l.put(t, "c.signature.json", signature)
	says(t, "the content", verify(alone), 0, "Sound.", "")
	l.put(t, "c.json", bytes.Replace(content, []byte(`"value":"0.`), []byte(`"value":"1.`), 1))
	says(t, "another value", verify(alone), 1, "E_SIG  The content is not what key "+keyID(l.key)+" signed", "not sound: E_SIG")
	l.put(t, "c.json", bytes.Replace(content, []byte(keyID(l.key)), []byte("0000000000000000"), 1))
	says(t, "another key named", verify(alone), 1, "E_SIG", "not sound: E_SIG")
	l.put(t, "c.json", content)
	l.put(t, "c.signature.json", bytes.Replace(signature, []byte(`"signature":"`), []byte(`"signature":"zz`), 1))
	says(t, "a signature that is no hex", verify(alone), 1, "E_SIG", "not sound: E_SIG")
	l.put(t, "c.signature.json", []byte("{"))
	says(t, "a signature that is none", verify(alone), 1, "E_UNREADABLE", "not sound: E_UNREADABLE")
	if err := os.Remove(beside); err != nil {
		t.Fatal(err)
	}
	says(t, "no signature", verify(alone), 1, "carries no signature", "not sound: E_UNSIGNED")
	stranger := l.put(t, "stranger.pub", []byte(hex.EncodeToString(keyOf("s").Public().(ed25519.PublicKey))))
	says(t, "a stranger's key", command(t, "", "verify", "certificate", l.paper, "--keys", stranger), 1, "none of those you trust", "not sound: E_KEY")

	for name, raw := range map[string]string{"no certificate": "%PDF-1.3\n%%EOF\n", "cut": string(drawn[:200])} {
		says(t, name, verify(l.put(t, "other.pdf", []byte(raw))), 1, "holds no certificate that can be read", "not sound: E_UNREADABLE")
	}
	says(t, "content of something else", verify(l.put(t, "other.json", []byte(`{"a":1}`))), 1, "its content is none of a certificate", "E_UNREADABLE")
	says(t, "another file", verify(l.put(t, "other.txt", []byte("x"))), 1, "neither a PDF nor a content", "E_UNREADABLE")
	says(t, "not there", verify(filepath.Join(l.folder, "none.pdf")), 2, "", "none.pdf")
}

// A PDF changed by one byte is never sound: in what was signed it is E_SIG, or
// cannot be read any more; anywhere else the page is not the one that is drawn.
func TestCertificateChangedByOneByte(t *testing.T) {
	l := newLogged(t)
	drawn := l.read(t, l.paper)
	files, err := pdf.Attachments(drawn)
	if err != nil {
		t.Fatal(err)
	}
	places := []int{bytes.Index(drawn, []byte("/Filespec")), bytes.Index(drawn, []byte("/EmbeddedFile ")) + 100, bytes.Index(drawn, []byte("/Title")) + 12, len(drawn) - 3}
	for n := 17; n < len(drawn); n += len(drawn) / 60 {
		places = append(places, n)
	}
	found := map[string]int{}
	for _, n := range places {
		changed := slices.Clone(drawn)
		changed[n] ^= 0x04
		got := command(t, "", "verify", "certificate", l.put(t, "changed.pdf", changed), "--keys", l.keys)
		_, code, _ := strings.Cut(strings.TrimSpace(got.err), "not sound: ")
		if got.status != 1 || code == "" {
			t.Errorf("byte %d of %d changed from %q: status %d, %s%s", n, len(drawn), drawn[n], got.status, got.out, got.err)
		}
		found[code]++
	}
	if len(files) != 2 || found["E_PAPER"] == 0 || found["E_UNREADABLE"] == 0 {
		t.Errorf("found %v", found)
	}
}
