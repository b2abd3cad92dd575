package keyring_test

import (
	"crypto/ed25519"
	"crypto/rand"
	"crypto/rsa"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/trail"
	"tracewright/server/keyring"
)

func opened(t *testing.T) (*keyring.Folder, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop [1].keys") // a name that is a pattern too
	folder, err := keyring.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	return folder, path
}

// A key that was made is read again, its owner's alone, with its public half in
// a file of its own; the folder says which log it is for once it is told.
func TestFolderKeepsKeys(t *testing.T) {
	folder, path := opened(t)
	if keys, err := folder.All(); err != nil || len(keys) != 0 {
		t.Errorf("a new folder holds %d keys, %v", len(keys), err)
	}
	first, err := folder.Make()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := folder.Make(); err != nil {
		t.Fatal(err)
	}
	again, err := keyring.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	keys, err := again.All()
	if err != nil || len(keys) != 2 || !first.Equal(keys[0]) && !first.Equal(keys[1]) {
		t.Errorf("read again: %d keys, %v; want both", len(keys), err)
	}
	id := trail.KeyID(first.Public().(ed25519.PublicKey))
	public, err := keyring.ReadPublic(filepath.Join(path, id+".pub"))
	if err != nil || !public.Equal(first.Public()) {
		t.Errorf("the public half: %x, %v", public, err)
	}
	for name, want := range map[string]os.FileMode{path: 0o700, filepath.Join(path, id+".key"): 0o600} {
		if info, err := os.Stat(name); err != nil || info.Mode().Perm() != want {
			t.Errorf("%s has mode %v, %v; want %v", name, info.Mode().Perm(), err, want)
		}
	}
	if log, err := folder.Log(); err != nil || log != "" {
		t.Errorf("for the log %q, %v, before it is told", log, err)
	}
	if err := folder.For("a-log"); err != nil {
		t.Fatal(err)
	}
	if log, err := again.Log(); err != nil || log != "a-log" {
		t.Errorf("for the log %q, %v", log, err)
	}
	left, err := filepath.Glob(filepath.Join(filepath.Dir(path), "*", ".new-*"))
	if err != nil || len(left) != 0 {
		t.Errorf("left lying: %v, %v", left, err)
	}
}

// A private key that others can read, or that is none, is refused and named.
func TestFolderRefuses(t *testing.T) {
	other, err := rsa.GenerateKey(rand.Reader, 2048)
	if err != nil {
		t.Fatal(err)
	}
	rsaKey, err := x509.MarshalPKCS8PrivateKey(other)
	if err != nil {
		t.Fatal(err)
	}
	pemOf := func(raw []byte) []byte { return pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: raw}) }
	for name, c := range map[string]struct {
		change func(t *testing.T, file string)
		want   error
	}{
		"the group may read it":   {func(t *testing.T, file string) { chmod(t, file, 0o640) }, keyring.ErrReadable},
		"everybody may read it":   {func(t *testing.T, file string) { chmod(t, file, 0o604) }, keyring.ErrReadable},
		"the group may write it":  {func(t *testing.T, file string) { chmod(t, file, 0o620) }, keyring.ErrReadable},
		"empty":                   {func(t *testing.T, file string) { put(t, file, nil) }, keyring.ErrNoKey},
		"no key":                  {func(t *testing.T, file string) { put(t, file, pemOf([]byte("x"))) }, keyring.ErrNoKey},
		"a key of another kind":   {func(t *testing.T, file string) { put(t, file, pemOf(rsaKey)) }, keyring.ErrNoKey},
		"its owner may read only": {func(t *testing.T, file string) { chmod(t, file, 0o400) }, nil},
	} {
		t.Run(name, func(t *testing.T) {
			folder, path := opened(t)
			if _, err := folder.Make(); err != nil {
				t.Fatal(err)
			}
			files, err := filepath.Glob(filepath.Join(filepath.Dir(path), "*", "*.key"))
			if err != nil || len(files) != 1 {
				t.Fatal(files, err)
			}
			c.change(t, files[0])
			_, err = folder.All()
			if !errors.Is(err, c.want) || c.want != nil && !strings.Contains(err.Error(), files[0]) {
				t.Errorf("got %v, want %v and the file's name", err, c.want)
			}
		})
	}
	file := filepath.Join(t.TempDir(), "x.pub")
	put(t, file, []byte("no key\n"))
	if _, err := keyring.ReadPublic(file); !errors.Is(err, trail.ErrSyntax) {
		t.Errorf("a public key that is none: %v", err)
	}
}

func chmod(t *testing.T, file string, mode os.FileMode) {
	t.Helper()
	if err := os.Chmod(file, mode); err != nil {
		t.Fatal(err)
	}
}

func put(t *testing.T, file string, raw []byte) {
	t.Helper()
	if err := os.WriteFile(file, raw, 0o600); err != nil {
		t.Fatal(err)
	}
}

func signed(t *testing.T, key ed25519.PrivateKey, size int64, ts string) trail.SignedCheckpoint {
	t.Helper()
	c, err := trail.Checkpoint{V: trail.CheckpointVersion, Log: "a-log", Size: size, Head: strings.Repeat("a", 64), Root: strings.Repeat("b", 64), TS: ts}.Sign(key)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Copies are added, by key and month, with the public keys beside them; what was
// cut short is written again on a line of its own.
func TestCopies(t *testing.T) {
	folder, _ := opened(t)
	key, err := folder.Make()
	if err != nil {
		t.Fatal(err)
	}
	id := trail.KeyID(key.Public().(ed25519.PublicKey))
	path := filepath.Join(t.TempDir(), "away")
	copies := keyring.CopyTo(path)
	if got, err := copies.Newest("a-log", id); err != nil || got != (trail.SignedCheckpoint{}) {
		t.Errorf("newest of none: %+v, %v", got, err)
	}
	keys := []models.ServerKey{{ID: id, Public: strings.Repeat("c", 64)}}
	list := []trail.SignedCheckpoint{signed(t, key, 3, "2031-03-31T23:00:00.000Z"), signed(t, key, 5, "2031-03-31T23:30:00.000Z"), signed(t, key, 9, "2031-04-01T00:00:00.000Z")}
	if err := copies.Keep("a-log", list, keys); err != nil {
		t.Fatal(err)
	}
	if got, err := copies.Newest("a-log", id); err != nil || got != list[2] {
		t.Errorf("newest: %+v, %v; want that over 9", got, err)
	}
	if got, err := copies.Newest("another", id); err != nil || got != (trail.SignedCheckpoint{}) {
		t.Errorf("newest of another log: %+v, %v", got, err)
	}
	april := filepath.Join(path, "a-log", "checkpoints-"+id+"-2031-04.jsonl")
	whole, err := os.ReadFile(april)
	if err != nil {
		t.Fatal(err)
	}
	more := signed(t, key, 12, "2031-04-01T01:00:00.000Z")
	if err := copies.Keep("a-log", []trail.SignedCheckpoint{more}, keys); err != nil {
		t.Fatal(err)
	}
	longer, err := os.ReadFile(april)
	if err != nil {
		t.Fatal(err)
	}
	put(t, april, longer[:len(longer)-40]) // the disk was full
	if got, err := copies.Newest("a-log", id); err != nil || got != list[2] {
		t.Errorf("newest behind a line that was cut: %+v, %v; want that over 9", got, err)
	}
	if err := copies.Keep("a-log", []trail.SignedCheckpoint{more}, keys); err != nil {
		t.Fatal(err)
	}
	want := string(whole) + string(longer[len(whole):len(longer)-40]) + "\n" + string(longer[len(whole):])
	if got, err := os.ReadFile(april); err != nil || string(got) != want {
		t.Errorf("after it was written again: %q, %v; want %q", got, err, want)
	}
	if raw, err := os.ReadFile(filepath.Join(path, "a-log", id+".pub")); err != nil || string(raw) != keys[0].Public+"\n" {
		t.Errorf("the public key: %q, %v", raw, err)
	}
	if march, err := os.ReadFile(filepath.Join(path, "a-log", "checkpoints-"+id+"-2031-03.jsonl")); err != nil || strings.Count(string(march), "\n") != 2 {
		t.Errorf("March: %q, %v; want two lines", march, err)
	}
}

// A checkpoint that a clock dated ahead is not the newest for ever after: what is copied
// next goes on behind what was copied last.
func TestTheNewestCopyByAClockThatWasAhead(t *testing.T) {
	folder, _ := opened(t)
	key, err := folder.Make()
	if err != nil {
		t.Fatal(err)
	}
	id := trail.KeyID(key.Public().(ed25519.PublicKey))
	copies := keyring.CopyTo(t.TempDir())
	for size, ts := range []string{"2031-03-31T23:00:00.000Z", "2031-06-01T00:00:00.000Z", "2031-03-31T23:30:00.000Z", "2031-04-01T00:00:00.000Z"} {
		c := signed(t, key, int64(size+1), ts)
		if err := copies.Keep("a-log", []trail.SignedCheckpoint{c}, nil); err != nil {
			t.Fatal(err)
		}
		if got, err := copies.Newest("a-log", id); err != nil || got != c {
			t.Errorf("newest: %d of %s, %v; want %d of %s", got.Body.Size, got.Body.TS, err, c.Body.Size, c.Body.TS)
		}
	}
}

// A place where no folder can be made is an error, not a stop.
func TestCopiesToNowhere(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	put(t, file, nil)
	if err := keyring.CopyTo(file).Keep("a-log", nil, nil); err == nil {
		t.Error("a file was taken for a folder")
	}
}
