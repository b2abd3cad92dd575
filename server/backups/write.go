package backups

import (
	"archive/tar"
	"bufio"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"path/filepath"
	"time"

	"filippo.io/age"

	"tracewright/server/files"
)

// Part is one thing to keep: a file, or what a program writes.
type Part struct {
	Name string // such as database.sqlite or keys/0123.key; see partShape
	// Size is the bytes that Open gives; negative where they are not known
	// before. Such a part is kept in pieces: NAME.00001 and so on.
	Size int64
	Open func() (io.ReadCloser, error)
}

// piece is how much of a part of unknown size is held at once.
const piece = 8 << 20

// Manifest names every part of a backup, in order.
type Manifest struct {
	Parts []Sum `json:"parts"`
}

// Sum is what a part was when it was written.
type Sum struct {
	Name   string `json:"name"`
	Size   int64  `json:"size"`
	SHA256 string `json:"sha256"`
}

// Names of what is in every backup.
const (
	headerName   = "header"
	manifestName = "manifest.json"
)

// Written is a backup that was made.
type Written struct {
	Path   string
	Size   int64
	SHA256 string // of the file
}

// Write makes the file of a backup, checks what it wrote and gives it its name.
// A file of that name is never written over. The check reads the file back from
// the disk and holds each part in it against what was put in: of an encrypted
// one by a key made for that alone, which is forgotten afterwards; so the check
// needs no recovery key.
func Write(ctx context.Context, path string, h Header, parts []Part) (Written, error) {
	h.Format = Format
	h.At = h.At.UTC().Truncate(time.Second)
	if err := h.check(); err != nil {
		return Written{}, fmt.Errorf("header of a backup: %w", err)
	}
	if _, err := os.Lstat(path); err == nil {
		return Written{}, fmt.Errorf("%s is there already: %w", path, os.ErrExist)
	}
	temporary, err := os.CreateTemp(filepath.Dir(path), partial) // made with mode 0600
	if err != nil {
		return Written{}, fmt.Errorf("make a backup: %w", err)
	}
	defer os.Remove(temporary.Name()) // gone already when all went well
	put, err := fill(ctx, temporary, h, parts)
	if err == nil {
		err = temporary.Sync()
	}
	if closing := temporary.Close(); err == nil {
		err = closing
	}
	var sum string
	if err == nil {
		sum, err = put.check(ctx, temporary.Name())
	}
	if err == nil {
		// Linked, not renamed, so that a file of that name stays what it is.
		err = Place(temporary.Name(), path)
	}
	if err != nil {
		return Written{}, fmt.Errorf("make the backup %s: %w", path, err)
	}
	return Written{path, put.size, sum}, nil
}

// Place gives a file that reached the disk its name, and has the folder keep it.
// A file of that name stays what it is: os.ErrExist. The temporary name may stay
// beside it.
func Place(temporary, path string) error {
	file, err := os.OpenFile(temporary, os.O_RDWR, 0) // Windows syncs nothing that was opened to be read.
	if err != nil {
		return err
	}
	err = file.Sync()
	if closing := file.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return err
	}
	err = named(temporary, path, os.Link)
	if err != nil {
		return err
	}
	return files.SyncFolder(filepath.Dir(path))
}

// named gives a file a name that nobody has: by a link, which fails where somebody
// does, or else by a look and a new name, on a file system without links, such as
// that of a stick.
func named(temporary, path string, link func(from, to string) error) error {
	err := link(temporary, path)
	if err == nil || errors.Is(err, os.ErrExist) {
		return err
	}
	switch _, there := os.Lstat(path); {
	case there == nil:
		return fmt.Errorf("%s: %w", path, os.ErrExist)
	case !errors.Is(there, os.ErrNotExist):
		return there
	}
	return os.Rename(temporary, path)
}

// filled is what was put into a file.
type filled struct {
	size     int64
	manifest Manifest
	once     *age.X25519Identity // opens the file for its check; nil for a plain one
}

func fill(ctx context.Context, file *os.File, h Header, parts []Part) (filled, error) {
	line, err := h.line()
	if err != nil {
		return filled{}, err
	}
	out := bufio.NewWriterSize(file, 256<<10)
	if _, err := out.Write(line); err != nil {
		return filled{}, err
	}
	inside, err := h.json()
	if err != nil {
		return filled{}, err
	}
	var f filled
	body := io.WriteCloser(nothing{out})
	if h.Sealed() {
		recipient, err := age.ParseX25519Recipient(h.Recipient)
		if err != nil {
			return f, fmt.Errorf("the recovery key's public half: %w", err)
		}
		if f.once, err = age.GenerateX25519Identity(); err != nil {
			return f, err
		}
		if body, err = age.Encrypt(out, recipient, f.once.Recipient()); err != nil {
			return f, err
		}
	}
	packed, err := gzip.NewWriterLevel(body, gzip.BestSpeed)
	if err != nil {
		return f, err
	}
	if f.manifest, err = archive(ctx, packed, inside, parts, h.At); err != nil {
		return f, err
	}
	for _, finish := range []func() error{packed.Close, body.Close, out.Flush} {
		if err := finish(); err != nil {
			return f, err
		}
	}
	if f.size, err = file.Seek(0, io.SeekEnd); err != nil {
		return f, err
	}
	h.Body = f.size - int64(len(line))
	if line, err = h.line(); err == nil {
		_, err = file.WriteAt(line, 0)
	}
	return f, err
}

func archive(ctx context.Context, out io.Writer, header []byte, parts []Part, at time.Time) (Manifest, error) {
	a := &archiver{ctx: ctx, tar: tar.NewWriter(out), at: at}
	if err := a.bytes(headerName, header); err != nil {
		return a.manifest, err
	}
	for _, p := range parts {
		if err := a.part(p); err != nil {
			return a.manifest, fmt.Errorf("%s: %w", p.Name, err)
		}
	}
	raw, err := json.Marshal(a.manifest)
	if err == nil {
		err = a.entry(manifestName, int64(len(raw)))
	}
	if err == nil {
		_, err = a.tar.Write(raw)
	}
	if err == nil {
		err = a.tar.Close()
	}
	return a.manifest, err
}

// archiver writes parts and their sums.
type archiver struct {
	ctx      context.Context
	tar      *tar.Writer
	at       time.Time
	manifest Manifest
}

func (a *archiver) entry(name string, size int64) error {
	if name != manifestName && len(a.manifest.Parts) >= mostParts {
		return errors.New("there is more than a backup holds")
	}
	return a.tar.WriteHeader(&tar.Header{Name: name, Size: size, Mode: 0o600, ModTime: a.at, Format: tar.FormatPAX})
}

func (a *archiver) part(p Part) error {
	if !partShape.MatchString(p.Name) {
		return errors.New("no name of a part")
	}
	in, err := p.Open()
	if err != nil {
		return err
	}
	if p.Size >= 0 {
		err = a.copied(p.Name, p.Size, in)
	} else {
		err = a.pieces(p.Name, in)
	}
	if closing := in.Close(); err == nil {
		err = closing
	}
	return err
}

func (a *archiver) copied(name string, size int64, in io.Reader) error {
	if err := a.entry(name, size); err != nil {
		return err
	}
	sum := &counting{hash: sha256.New()}
	n, err := io.Copy(io.MultiWriter(a.tar, sum), heeding{a.ctx, io.LimitReader(in, size)})
	if err == nil && n < size {
		err = io.ErrUnexpectedEOF
	}
	a.manifest.Parts = append(a.manifest.Parts, Sum{name, size, sum.sum()})
	return err
}

func (a *archiver) pieces(name string, in io.Reader) error {
	held := make([]byte, piece)
	for n := 1; ; n++ {
		length, err := io.ReadFull(heeding{a.ctx, in}, held)
		last := errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
		if err != nil && !last {
			return err
		}
		if length > 0 {
			if err := a.bytes(fmt.Sprintf("%s.%05d", name, n), held[:length]); err != nil {
				return err
			}
		}
		if last {
			return nil
		}
	}
}

func (a *archiver) bytes(name string, raw []byte) error {
	if err := a.entry(name, int64(len(raw))); err != nil {
		return err
	}
	sum := sha256.Sum256(raw)
	a.manifest.Parts = append(a.manifest.Parts, Sum{name, int64(len(raw)), hex.EncodeToString(sum[:])})
	_, err := a.tar.Write(raw)
	return err
}

// counting sums what is written.
type counting struct {
	hash hash.Hash
	n    int64
}

func (c *counting) Write(p []byte) (int, error) {
	c.n += int64(len(p))
	return c.hash.Write(p)
}

func (c *counting) sum() string { return hex.EncodeToString(c.hash.Sum(nil)) }

// nothing is left to do when it is closed.
type nothing struct{ io.Writer }

func (nothing) Close() error { return nil }

// heeding ends with its context.
type heeding struct {
	ctx context.Context
	in  io.Reader
}

func (h heeding) Read(p []byte) (int, error) {
	if err := h.ctx.Err(); err != nil {
		return 0, err
	}
	return h.in.Read(p)
}
