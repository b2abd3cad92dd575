package backups

import (
	"archive/tar"
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"filippo.io/age"
)

// partShape is the name of a part: of the database, or of a file of a folder.
// Nothing else is taken out, so that no path leads elsewhere.
var partShape = regexp.MustCompile(`^(database\.(sqlite|pgdump)(\.[0-9]{5})?|(keys|tls)/[0-9A-Za-z][0-9A-Za-z._-]{0,99})$`)

const (
	// mostParts bounds a backup: as many pieces as five digits number, some 780 GiB.
	mostParts = 100_000
	// longestSum is what one takes in the manifest at most: its name, which partShape
	// bounds, its size, its sum, and what JSON puts around them.
	longestSum   = 105 + 19 + 64 + len(`{"name":"","size":,"sha256":""},`)
	mostManifest = mostParts*longestSum + len(`{"parts":[]}`)
)

// Peek reads the header of a file.
func Peek(path string) (Header, error) {
	file, err := os.Open(path)
	if err != nil {
		return Header{}, err
	}
	defer file.Close()
	h, _, err := ReadHeader(bufio.NewReader(file))
	return h, err
}

// Extract takes everything out of a backup into an empty folder and holds it
// against the manifest: pieces are put together under the name of their part.
// The key may be nil for a plain one. What went wrong is one of the errors of a
// header, or ErrNoRoom; then what lies in the folder is worth nothing.
func Extract(ctx context.Context, path string, key *Recovery, folder string, free Free) (Extracted, error) {
	var identity age.Identity
	if key != nil {
		identity = key.identity
	}
	r := reading{ctx: ctx, sum: &counting{hash: sha256.New()}, open: func(name string, size int64) (io.WriteCloser, error) {
		if err := free.room(folder, size); err != nil {
			return nil, err
		}
		base, _, numbered := cutPiece(name)
		to := filepath.Join(folder, filepath.FromSlash(base))
		if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
			return nil, err
		}
		flags := os.O_CREATE | os.O_WRONLY | os.O_EXCL
		if numbered {
			flags = os.O_CREATE | os.O_WRONLY | os.O_APPEND
		}
		return os.OpenFile(to, flags, 0o600)
	}}
	h, m, err := r.file(path, identity)
	return Extracted{h, m, r.sum.sum()}, err
}

// Extracted is what came out of a backup.
type Extracted struct {
	Header   Header
	Manifest Manifest
	SHA256   string // of the file
}

// Has says whether a part, or a piece of it, is in a manifest.
func (m Manifest) Has(name string) bool {
	return slices.ContainsFunc(m.Parts, func(s Sum) bool {
		base, _, _ := cutPiece(s.Name)
		return s.Name == name || base == name
	})
}

// cutPiece is the part that a piece is of, and its number.
func cutPiece(name string) (base, number string, numbered bool) {
	if at := strings.LastIndexByte(name, '.'); strings.HasPrefix(name, "database.") && at > len("database") {
		return name[:at], name[at+1:], true
	}
	return name, "", false
}

// check reads a file that was just written, and gives its SHA-256.
func (f filled) check(ctx context.Context, path string) (string, error) {
	var identity age.Identity
	if f.once != nil {
		identity = f.once
	}
	r := reading{ctx: ctx, own: f.once != nil, sum: &counting{hash: sha256.New()}, open: func(string, int64) (io.WriteCloser, error) { return nothing{io.Discard}, nil }}
	_, manifest, err := r.file(path, identity)
	if err == nil && !slices.Equal(manifest.Parts, f.manifest.Parts) {
		err = ErrChanged
	}
	if err != nil {
		return "", fmt.Errorf("read back, it %w", err)
	}
	return r.sum.sum(), nil
}

// reading is one walk through a file.
type reading struct {
	ctx  context.Context
	own  bool // the key is one that the header does not name
	sum  *counting
	open func(name string, size int64) (io.WriteCloser, error)
	err  error // of the disk, or the end of the context
}

// from reads what lies behind and remembers errors that are not the backup's
// fault.
func (r *reading) from(in io.Reader) io.Reader {
	return readerFunc(func(p []byte) (int, error) {
		n, err := heeding{r.ctx, in}.Read(p)
		if err != nil && !errors.Is(err, io.EOF) {
			r.err = err
		}
		r.sum.Write(p[:n])
		return n, err
	})
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

func (r *reading) file(path string, identity age.Identity) (Header, Manifest, error) {
	file, err := os.Open(path)
	if err != nil {
		return Header{}, Manifest{}, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return Header{}, Manifest{}, err
	}
	in := bufio.NewReaderSize(r.from(file), 256<<10)
	h, line, err := ReadHeader(in)
	switch length := int64(len(line)) + h.Body; {
	case err != nil:
		return h, Manifest{}, r.why(err)
	case info.Size() < length:
		return h, Manifest{}, ErrCut
	case info.Size() > length:
		return h, Manifest{}, ErrChanged
	}
	body := in
	if h.Sealed() {
		clear, err := r.opened(in, h, identity)
		if err != nil {
			return h, Manifest{}, err
		}
		body = bufio.NewReaderSize(clear, 128<<10)
	}
	manifest, err := r.unpack(body, h)
	return h, manifest, r.why(err)
}

// opened decrypts.
func (r *reading) opened(in io.Reader, h Header, identity age.Identity) (io.Reader, error) {
	if key, ok := identity.(*age.X25519Identity); !ok || !r.own && key.Recipient().String() != h.Recipient {
		return nil, ErrWrongKey
	}
	body, err := age.Decrypt(in, identity)
	return body, r.why(err)
}

// why tells whose fault an error is. A file that is as long as it says and
// cannot be read was changed.
func (r *reading) why(err error) error {
	var failed *writeError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &failed):
		return failed.cause
	case r.err != nil:
		return r.err
	case errors.Is(err, ErrCut), errors.Is(err, ErrNotBackup), errors.Is(err, ErrNewerFormat):
		return err
	}
	return ErrChanged
}

// writeError is of the folder that is written to, not of the backup.
type writeError struct{ cause error }

func (e *writeError) Error() string { return e.cause.Error() }

// unpack reads a body, which must be buffered: gzip then takes no byte more than
// its own, and nothing can hide behind it.
func (r *reading) unpack(body *bufio.Reader, h Header) (Manifest, error) {
	unzipped, err := gzip.NewReader(body)
	if err != nil {
		return Manifest{}, err
	}
	unzipped.Multistream(false)
	u := &unpacker{tar: tar.NewReader(unzipped), open: r.open}
	if err := u.header(h); err != nil {
		return Manifest{}, err
	}
	for {
		entry, err := u.tar.Next()
		if err != nil {
			return Manifest{}, err
		}
		if entry.Name == manifestName {
			break
		}
		if err := u.part(entry); err != nil {
			return Manifest{}, err
		}
	}
	if err := u.manifest(); err != nil {
		return Manifest{}, err
	}
	// To the very end, where gzip and age have their last checks; nothing may follow.
	if _, err := u.tar.Next(); !errors.Is(err, io.EOF) {
		return Manifest{}, ErrChanged
	}
	if err := drained(unzipped); err != nil {
		return Manifest{}, err
	}
	return u.sums, drained(body)
}

// drained wants the end of a stream, with nothing but a tar's own padding before it.
func drained(in io.Reader) error {
	held := make([]byte, 32<<10)
	for {
		n, err := in.Read(held)
		if len(bytes.Trim(held[:n], "\x00")) > 0 {
			return ErrChanged
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

type unpacker struct {
	tar  *tar.Reader
	open func(string, int64) (io.WriteCloser, error)
	sums Manifest
}

// header wants what stands in the clear.
func (u *unpacker) header(h Header) error {
	want, err := h.json()
	if err != nil {
		return err
	}
	entry, err := u.tar.Next()
	if err != nil {
		return err
	}
	if entry.Name != headerName || entry.Size != int64(len(want)) {
		return ErrChanged
	}
	inside, err := io.ReadAll(u.tar)
	if err != nil {
		return err
	}
	if !bytes.Equal(inside, want) {
		return ErrChanged
	}
	sum := &counting{hash: sha256.New()}
	sum.Write(want)
	u.sums.Parts = []Sum{{headerName, sum.n, sum.sum()}}
	return nil
}

func (u *unpacker) part(entry *tar.Header) error {
	if entry.Typeflag != tar.TypeReg || !partShape.MatchString(entry.Name) || len(u.sums.Parts) >= mostParts || u.has(entry.Name) {
		return ErrChanged
	}
	out, err := u.open(entry.Name, entry.Size)
	if err != nil {
		return &writeError{err}
	}
	sum := &counting{hash: sha256.New()}
	_, err = io.Copy(&noting{out: out}, io.TeeReader(u.tar, sum))
	if closing := out.Close(); err == nil && closing != nil {
		err = &writeError{closing}
	}
	u.sums.Parts = append(u.sums.Parts, Sum{entry.Name, sum.n, sum.sum()})
	return err
}

func (u *unpacker) has(name string) bool {
	// Pieces come in their order, so that a look at the last is enough for them.
	if base, number, numbered := cutPiece(name); numbered {
		last := u.sums.Parts[len(u.sums.Parts)-1].Name
		lastBase, lastNumber, _ := cutPiece(last)
		return lastBase == base && number <= lastNumber
	}
	return slices.ContainsFunc(u.sums.Parts, func(s Sum) bool { return s.Name == name })
}

// noting marks errors as of the folder.
type noting struct{ out io.Writer }

func (n *noting) Write(p []byte) (int, error) {
	written, err := n.out.Write(p)
	if err != nil {
		err = &writeError{err}
	}
	return written, err
}

func (u *unpacker) manifest() error {
	raw, err := io.ReadAll(io.LimitReader(u.tar, int64(mostManifest)+1))
	if err != nil {
		return err
	}
	want, err := ReadManifest(raw)
	if err != nil || !slices.Equal(want.Parts, u.sums.Parts) {
		return ErrChanged
	}
	return nil
}

// ReadManifest decodes a manifest.
func ReadManifest(raw []byte) (Manifest, error) {
	var m Manifest
	decoder := json.NewDecoder(bytes.NewReader(raw))
	decoder.DisallowUnknownFields()
	if len(raw) > mostManifest || decoder.Decode(&m) != nil || len(m.Parts) > mostParts {
		return Manifest{}, ErrChanged
	}
	return m, nil
}
