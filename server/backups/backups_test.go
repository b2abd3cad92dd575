package backups_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tracewright/server/backups"
)

var at = time.Date(2031, 3, 4, 5, 6, 7, 0, time.UTC)

func key(t testing.TB) backups.Recovery {
	t.Helper()
	k, err := backups.NewRecovery()
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func text(name, content string) backups.Part {
	return backups.Part{Name: name, Size: int64(len(content)), Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(content)), nil }}
}

// stream is a part whose size nobody knows before.
func stream(name string, content []byte) backups.Part {
	return backups.Part{Name: name, Size: -1, Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(content)), nil }}
}

func header(recipient string) backups.Header {
	return backups.Header{Program: "v1", Schema: 43, Database: "sqlite", Log: "01a21724-8bc3-76ad-a776-4c59bb8b9639", Changes: 7, At: at, Recipient: recipient}
}

func write(t testing.TB, path string, h backups.Header, parts ...backups.Part) {
	t.Helper()
	if _, err := backups.Write(t.Context(), path, h, parts); err != nil {
		t.Fatal(err)
	}
}

func extract(t *testing.T, path string, k *backups.Recovery) (map[string]string, error) {
	t.Helper()
	folder := t.TempDir()
	if _, err := backups.Extract(t.Context(), path, k, folder, nil); err != nil {
		return nil, err
	}
	found := map[string]string{}
	err := filepath.WalkDir(folder, func(file string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		raw, err := os.ReadFile(file)
		name, _ := filepath.Rel(folder, file)
		found[filepath.ToSlash(name)] = string(raw)
		return err
	})
	return found, err
}

// What went in comes out, whether its size was known or not; the file is its
// owner's alone, and nothing else is left beside it.
func TestRoundTrip(t *testing.T) {
	big := make([]byte, 20<<20) // three pieces, the last one not full
	rand.Read(big)
	k := key(t)
	for _, c := range []struct {
		name      string
		recipient string
		key       *backups.Recovery
	}{{"encrypted", k.Recipient(), &k}, {"plain", "", nil}, {"plain, with a key at hand", "", &k}} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			path := filepath.Join(folder, backups.Name(backups.Daily, at))
			write(t, path, header(c.recipient), stream("database.pgdump", big), text("keys/ab.key", "secret words"), text("keys/log", ""))
			found, err := extract(t, path, c.key)
			if err != nil {
				t.Fatal(err)
			}
			if len(found) != 3 || found["database.pgdump"] != string(big) || found["keys/ab.key"] != "secret words" || found["keys/log"] != "" {
				t.Errorf("%d parts came out, of %d bytes", len(found), len(found["database.pgdump"]))
			}
			got, err := backups.Peek(path)
			if want := header(c.recipient); err != nil || got.Log != want.Log || got.Schema != 43 || !got.At.Equal(at) || got.Format != backups.Format || got.Sealed() != (c.recipient != "") {
				t.Errorf("header %+v, %v", got, err)
			}
			info, err := os.Stat(path)
			if err != nil || info.Mode().Perm() != 0o600 {
				t.Errorf("mode %v, %v", info.Mode(), err)
			}
			raw, err := os.ReadFile(path)
			if err != nil || c.recipient != "" && bytes.Contains(raw, []byte("secret words")) {
				t.Errorf("the secret stands in the clear, %v", err)
			}
			left, err := os.ReadDir(folder)
			if err != nil || len(left) != 1 {
				t.Errorf("%d files in the folder, %v", len(left), err)
			}
			list, err := backups.List(folder)
			if err != nil || len(list) != 1 || list[0].Kind != backups.Daily || !list[0].At.Equal(at) || list[0].Size != info.Size() {
				t.Errorf("listed %+v, %v", list, err)
			}
		})
	}
}

// A backup that cannot be whole is not there at all.
func TestFailedBackupLeavesNothing(t *testing.T) {
	k := key(t)
	broken := errors.New("the disk broke")
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	for _, c := range []struct {
		name string
		ctx  context.Context
		part backups.Part
		want error
	}{
		{"a part that cannot be opened", t.Context(), backups.Part{Name: "database.sqlite", Size: 4, Open: func() (io.ReadCloser, error) { return nil, broken }}, broken},
		{"a part that breaks off", t.Context(), backups.Part{Name: "database.pgdump", Size: -1, Open: func() (io.ReadCloser, error) {
			return io.NopCloser(io.MultiReader(strings.NewReader("half"), failing{broken})), nil
		}}, broken},
		{"a part that became shorter", t.Context(), backups.Part{Name: "database.sqlite", Size: 40, Open: text("", "half").Open}, io.ErrUnexpectedEOF},
		{"a program told to stop", ended, text("database.sqlite", "whole"), context.Canceled},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			_, err := backups.Write(c.ctx, filepath.Join(folder, "x"+backups.End), header(k.Recipient()), []backups.Part{c.part})
			if !errors.Is(err, c.want) {
				t.Errorf("got %v, want %v", err, c.want)
			}
			if left, err := os.ReadDir(folder); err != nil || len(left) != 0 {
				t.Errorf("%v lies there, %v", left, err)
			}
		})
	}
	path := filepath.Join(t.TempDir(), "x"+backups.End)
	write(t, path, header(""), text("database.sqlite", "first"))
	if _, err := backups.Write(t.Context(), path, header(""), []backups.Part{text("database.sqlite", "second")}); !errors.Is(err, os.ErrExist) {
		t.Errorf("over an older one: %v", err)
	}
	if found, err := extract(t, path, nil); err != nil || found["database.sqlite"] != "first" {
		t.Errorf("the older one holds %v, %v", found, err)
	}
	for _, name := range []string{"../x", "keys/../../x", "/etc/x", "keys/", "database", "other/x", "keys/.x"} {
		if _, err := backups.Write(t.Context(), filepath.Join(t.TempDir(), "x"), header(""), []backups.Part{text(name, "")}); err == nil {
			t.Errorf("a part named %q was taken", name)
		}
	}
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// Each fault of a file has its own error.
func TestBadFiles(t *testing.T) {
	k, other := key(t), key(t)
	folder := t.TempDir()
	content := strings.Repeat("spokes and blocks ", 20_000)
	made := func(name, recipient string) []byte {
		path := filepath.Join(folder, name)
		write(t, path, header(recipient), text("database.sqlite", content))
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return raw
	}
	sealed, plain := made("sealed", k.Recipient()), made("plain", "")
	line := bytes.IndexByte(sealed, '\n') + 1
	flipped := func(raw []byte, at int) []byte {
		out := bytes.Clone(raw)
		out[at] ^= 1
		return out
	}
	replaced := func(raw []byte, old, new string) []byte {
		if !bytes.Contains(raw, []byte(old)) {
			t.Fatalf("no %q in it", old)
		}
		return bytes.Replace(raw, []byte(old), []byte(new), 1)
	}
	for _, c := range []struct {
		name string
		raw  []byte
		key  *backups.Recovery
		want error
	}{
		{"as it was written", sealed, &k, nil},
		{"a plain one", plain, nil, nil},
		{"another key", sealed, &other, backups.ErrWrongKey},
		{"no key", sealed, nil, backups.ErrWrongKey},
		{"empty", nil, &k, backups.ErrCut},
		{"cut in the magic", sealed[:5], &k, backups.ErrCut},
		{"cut in the header", sealed[:line-3], &k, backups.ErrCut},
		{"cut behind the header", sealed[:line], &k, backups.ErrCut},
		{"cut in the middle", sealed[:len(sealed)/2], &k, backups.ErrCut},
		{"cut by one byte", sealed[:len(sealed)-1], &k, backups.ErrCut},
		{"a plain one cut by one byte", plain[:len(plain)-1], nil, backups.ErrCut},
		{"one byte more", append(bytes.Clone(sealed), 0), &k, backups.ErrChanged},
		{"a plain one with a byte more", append(bytes.Clone(plain), 0), nil, backups.ErrChanged},
		{"the last byte", flipped(sealed, len(sealed)-1), &k, backups.ErrChanged},
		{"a byte in the middle", flipped(sealed, (line+len(sealed))/2), &k, backups.ErrChanged},
		{"a byte in the encryption's header", flipped(sealed, line+60), &k, backups.ErrChanged},
		{"a byte in the middle of a plain one", flipped(plain, (line+len(plain))/2), nil, backups.ErrChanged},
		{"the moment in the header", replaced(sealed, "2031-03-04T05", "2031-03-04T06"), &k, backups.ErrChanged},
		{"the schema in the header", replaced(sealed, `"schema":43`, `"schema":42`), &k, backups.ErrChanged},
		{"a newer format", replaced(sealed, "backup 1 ", "backup 2 "), &k, backups.ErrNewerFormat},
		{"a much newer format", []byte("tracewright-backup 17 something else\n"), &k, backups.ErrNewerFormat},
		{"another file", []byte("%PDF-1.3\n"), &k, backups.ErrNotBackup},
		{"a database", append([]byte("SQLite format 3\x00"), make([]byte, 5000)...), &k, backups.ErrNotBackup},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "x")
			if err := os.WriteFile(path, c.raw, 0o600); err != nil {
				t.Fatal(err)
			}
			found, err := extract(t, path, c.key)
			if !errors.Is(err, c.want) || (c.want == nil) != (found["database.sqlite"] == content) {
				t.Errorf("got %v, want %v", err, c.want)
			}
		})
	}
}

// Every single changed byte of a file is found out.
func TestEveryByteCounts(t *testing.T) {
	k := key(t)
	for _, recipient := range []string{k.Recipient(), ""} {
		path := filepath.Join(t.TempDir(), "x")
		write(t, path, header(recipient), text("database.sqlite", "a short one"))
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for i := range raw {
			raw[i] ^= 0x20
			if err := os.WriteFile(path, raw, 0o600); err != nil {
				t.Fatal(err)
			}
			found, err := extract(t, path, &k)
			// gzip's header holds a few bytes that say nothing (RFC 1952: the flags' hint, system, level).
			if err == nil && (recipient != "" || found["database.sqlite"] != "a short one") {
				t.Errorf("byte %d of %d was changed and nobody noticed (encrypted: %t)", i, len(raw), recipient != "")
			}
			raw[i] ^= 0x20
		}
	}
}

// A key is printed in lines and read again however it is typed; a mistyped line
// is named.
func TestRecoveryKey(t *testing.T) {
	k := key(t)
	lines := k.Lines()
	// 58 digits: three lines of 16 and one of 10, each with its check.
	if len(lines) != 4 || len(strings.Fields(lines[0])) != 5 || len(strings.Fields(lines[3])) != 4 {
		t.Fatalf("lines %q", lines)
	}
	all := strings.Join(lines, "\n")
	for name, typed := range map[string]string{
		"as printed": all, "in one line": strings.Join(lines, " "), "small": strings.ToLower(all), "without spaces": strings.ReplaceAll(strings.Join(lines, ""), " ", ""),
		"with hyphens": strings.ReplaceAll(all, " ", "-"), "as the QR code has it": k.Secret(), "that, small": strings.ToLower(k.Secret()), "that, with an end of line": k.Secret() + "\r\n",
	} {
		got, err := backups.ParseRecovery(typed)
		if err != nil || got.Recipient() != k.Recipient() {
			t.Errorf("%s: %v", name, err)
		}
	}
	var line *backups.LineError
	swapped := strings.Join([]string{lines[1], lines[0], lines[2], lines[3]}, "\n")
	if _, err := backups.ParseRecovery(swapped); !errors.As(err, &line) || line.Line != 1 {
		t.Errorf("two lines swapped: %v", err)
	}
	wrong := []byte(lines[2])
	if wrong[0] = 'Q'; lines[2][0] == 'Q' {
		wrong[0] = 'P'
	}
	// Two digits of check miss one mistake in 1024; the key's own check takes those.
	if _, err := backups.ParseRecovery(strings.Join([]string{lines[0], lines[1], string(wrong), lines[3]}, "\n")); err == nil || errors.As(err, &line) && line.Line != 3 {
		t.Errorf("a digit of line 3: %v", err)
	}
	for _, typed := range []string{"", "x", lines[0], k.Recipient(), k.Secret()[:40], k.Secret() + "Q", "AGE-SECRET-KEY-1" + strings.Repeat("Q", 58)} {
		if _, err := backups.ParseRecovery(typed); !errors.Is(err, backups.ErrNoKey) {
			t.Errorf("%q: %v", typed, err)
		}
	}
	if !backups.IsRecipient(k.Recipient()) || backups.IsRecipient(k.Secret()) || backups.IsRecipient("age1x") {
		t.Error("a public half is not told from what is none")
	}
}

// Names that are not ours are neither listed nor removed.
func TestFolder(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "b [1]")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := backups.List(filepath.Join(folder, "none")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no folder: %v", err)
	}
	half := filepath.Join(folder, ".backup-1.part")
	for _, name := range []string{half, filepath.Join(folder, "letter.txt"), filepath.Join(folder, "daily-20319999T000000Z.twbackup"), filepath.Join(folder, backups.Name(backups.Before, at))} {
		if err := os.WriteFile(name, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if list, err := backups.List(folder); err != nil || len(list) != 1 || list[0].Kind != backups.Before {
		t.Errorf("listed %v, %v", list, err)
	}
	if err := backups.Remove(folder, "letter.txt"); err == nil {
		t.Error("a letter was removed")
	}
	now := time.Now()
	if err := backups.Sweep(folder, backups.Partial(), now); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(half); err != nil {
		t.Errorf("what somebody may be writing still: %v", err)
	}
	if err := backups.Sweep(folder, backups.Partial(), now.Add(13*time.Hour)); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(half); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("half a file is still there: %v", err)
	}
	if err := backups.Remove(folder, backups.Name(backups.Before, at)); err != nil {
		t.Error(err)
	}
}
