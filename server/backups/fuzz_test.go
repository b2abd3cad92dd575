package backups_test

import (
	"bufio"
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"tracewright/server/backups"
)

// A header that is read is one that this program writes, and every other input
// has one of the errors that have a sentence.
func FuzzReadHeader(f *testing.F) {
	path := filepath.Join(f.TempDir(), "x")
	write(f, path, header(key(f).Recipient()), text("database.sqlite", "x"))
	raw, err := os.ReadFile(path)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(raw)
	f.Add([]byte("tracewright-backup 2 whatever\n"))
	f.Add([]byte("tracewright-backup 1 000000000000001 {}\n"))
	f.Add([]byte("tracew"))
	f.Add([]byte("SQLite format 3\x00"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		h, line, err := backups.ReadHeader(bufio.NewReader(bytes.NewReader(raw)))
		known := false
		for _, e := range []error{backups.ErrNotBackup, backups.ErrNewerFormat, backups.ErrCut, backups.ErrChanged} {
			known = known || errors.Is(err, e)
		}
		switch {
		case !bytes.HasPrefix(raw, line):
			t.Errorf("the line %q does not begin %q", line, raw)
		case err == nil && (h.Format != backups.Format || h.Schema < 1 || h.At.IsZero() || h.Body < 0):
			t.Errorf("read %+v", h)
		case err != nil && !known:
			t.Errorf("an error without a sentence: %v", err)
		}
	})
}

// No manifest, and no key as typed, makes a decoder fail otherwise than by its
// error.
func FuzzReadManifest(f *testing.F) {
	f.Add([]byte(`{"parts":[{"name":"header","size":1,"sha256":"00"}]}`))
	f.Add([]byte(`{"parts":null}`))
	f.Add([]byte(`{"parts":[{"size":-1}],"more":1}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if _, err := backups.ReadManifest(raw); err != nil && !errors.Is(err, backups.ErrChanged) {
			t.Errorf("an error without a sentence: %v", err)
		}
	})
}

func FuzzParseRecovery(f *testing.F) {
	k := key(f)
	f.Add(k.Secret())
	for _, line := range k.Lines() {
		f.Add(line)
	}
	f.Add("AGE-SECRET-KEY-1")
	f.Fuzz(func(t *testing.T, typed string) {
		got, err := backups.ParseRecovery(typed)
		var line *backups.LineError
		if err != nil && !errors.Is(err, backups.ErrNoKey) && !errors.As(err, &line) {
			t.Errorf("an error without a sentence: %v", err)
		}
		if err == nil {
			if again, err := backups.ParseRecovery(got.Secret()); err != nil || again.Recipient() != got.Recipient() {
				t.Errorf("its own text is read as another: %v", err)
			}
		}
	})
}
