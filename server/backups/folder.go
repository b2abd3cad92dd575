package backups

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"tracewright/server/files"
)

// partial is the pattern of names of files that are being written.
const partial = ".backup-*.part"

// End is how the name of a backup ends.
const End = ".twbackup"

const stampLayout = "20060102T150405Z"

var nameShape = regexp.MustCompile(`^(daily|before|asked)-([0-9]{8}T[0-9]{6}Z)\.twbackup$`)

// Kinds of backup, by which a folder's names begin.
const (
	Daily  = "daily"  // by the clock; thinned out by the keep rule
	Before = "before" // before an upgrade changed the schema
	Asked  = "asked"  // by somebody, on the command line
)

// Name is what a backup of a moment is called.
func Name(kind string, at time.Time) string {
	return kind + "-" + at.UTC().Format(stampLayout) + End
}

// Kept is a backup that lies in a folder.
type Kept struct {
	Name string
	Kind string
	At   time.Time
	Size int64
}

// List lists the backups of a folder by their names, oldest first.
func List(folder string) ([]Kept, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, fmt.Errorf("look for backups: %w", err)
	}
	var kept []Kept
	for _, e := range entries {
		m := nameShape.FindStringSubmatch(e.Name())
		if m == nil || !e.Type().IsRegular() {
			continue
		}
		at, err := time.Parse(stampLayout, m[2])
		if err != nil {
			continue
		}
		info, err := e.Info()
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("look for backups: %w", err)
		}
		kept = append(kept, Kept{e.Name(), m[1], at, info.Size()})
	}
	slices.SortFunc(kept, func(a, b Kept) int { return a.At.Compare(b.At) })
	return kept, nil
}

// Remove takes a backup away; a name that is none of ours is refused.
func Remove(folder, name string) error {
	if !nameShape.MatchString(name) {
		return fmt.Errorf("%q is no name of a backup", name)
	}
	return os.Remove(filepath.Join(folder, name))
}

// Sweep takes away what a program that was killed left half written, once it is
// old enough to be nobody's work any more. What another account left stays.
func Sweep(folder, pattern string, now time.Time) error {
	names, err := filepath.Glob(filepath.Join(globbed(folder), pattern))
	if err != nil {
		return err
	}
	for _, name := range names {
		if info, err := os.Lstat(name); err == nil && now.Sub(info.ModTime()) > 12*time.Hour {
			if err := os.RemoveAll(name); err != nil && !errors.Is(err, fs.ErrPermission) {
				return err
			}
		}
	}
	return nil
}

// Partial is the pattern of half written backups, for Sweep.
func Partial() string { return partial }

// globbed is a path that a pattern takes as it stands.
func globbed(path string) string {
	return strings.NewReplacer("[", "[[]", "*", "[*]", "?", "[?]").Replace(path)
}

// FolderParts are the files of a folder as parts, those whose names end so; a
// folder that is not there has none.
func FolderParts(name, folder string, ends ...string) ([]Part, error) {
	entries, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var parts []Part
	for _, e := range entries {
		whole := name + "/" + e.Name()
		if !e.Type().IsRegular() || !partShape.MatchString(whole) || !slices.ContainsFunc(ends, func(end string) bool { return strings.HasSuffix(e.Name(), end) }) {
			continue
		}
		part, err := FilePart(whole, filepath.Join(folder, e.Name()))
		if err != nil {
			return nil, err
		}
		parts = append(parts, part)
	}
	return parts, nil
}

// FilePart is a file as a part.
func FilePart(name, path string) (Part, error) {
	info, err := os.Stat(path)
	if err != nil {
		return Part{}, err
	}
	return Part{Name: name, Size: info.Size(), Open: func() (io.ReadCloser, error) { return os.Open(path) }}, nil
}

// SumOf is the SHA-256 of a file, in hexadecimal digits.
func SumOf(path string) (string, error) {
	file, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	sum := &counting{hash: sha256.New()}
	_, err = io.Copy(sum, file)
	return sum.sum(), err
}

// WriteFile keeps a small file for its owner alone, on the disk when it returns, its
// name too; one that could not be written whole is taken away again.
func WriteFile(path string, raw []byte) error {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = file.Write(raw)
	if err == nil {
		err = file.Sync()
	}
	if err = errors.Join(err, file.Close()); err == nil {
		err = files.SyncFolder(filepath.Dir(path))
	}
	if err != nil {
		err = errors.Join(err, os.Remove(path))
	}
	return err
}
