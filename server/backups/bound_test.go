package backups

import (
	"archive/tar"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
)

// longest is what takes most in a manifest.
func longest(t *testing.T) Sum {
	t.Helper()
	s := Sum{"keys/" + strings.Repeat("a", 100), math.MaxInt64, strings.Repeat("f", 64)}
	if !partShape.MatchString(s.Name) || partShape.MatchString(s.Name+"a") {
		t.Fatal("no longest name")
	}
	return s
}

// The longest manifest that can be is read, and none of a part more: the bound of its
// bytes follows from that of its parts.
func TestTheLongestManifest(t *testing.T) {
	for parts, want := range map[int]error{mostParts: nil, mostParts + 1: ErrChanged} {
		m := Manifest{slices.Repeat([]Sum{longest(t)}, parts)}
		raw, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		in := tar.NewWriter(&b)
		if err := errors.Join(in.WriteHeader(&tar.Header{Name: manifestName, Size: int64(len(raw))}), second(in.Write(raw)), in.Close()); err != nil {
			t.Fatal(err)
		}
		u := &unpacker{tar: tar.NewReader(&b), sums: m}
		if _, err := u.tar.Next(); err != nil {
			t.Fatal(err)
		}
		if err := u.manifest(); !errors.Is(err, want) {
			t.Errorf("%d parts in %d bytes: %v, want %v", parts, len(raw), err, want)
		}
	}
}

func second(_ int, err error) error { return err }

// The last part that may be is taken, and one more refused while it is written, not by
// the check after hours.
func TestMorePartsThanABackupHolds(t *testing.T) {
	a := &archiver{ctx: t.Context(), tar: tar.NewWriter(io.Discard), manifest: Manifest{slices.Repeat([]Sum{longest(t)}, mostParts-1)}}
	last := Part{Name: "keys/log", Size: 1, Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader("x")), nil }}
	if err := a.part(last); err != nil {
		t.Errorf("the last: %v", err)
	}
	if err := a.part(last); err == nil {
		t.Error("one more was taken")
	}
}
