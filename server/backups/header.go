package backups

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Format is the version of the file that this program writes, and the newest it
// reads.
const Format = 1

// magic begins every backup of any format.
const magic = "tracewright-backup "

// mostHeader bounds the line of a header.
const mostHeader = 4 << 10

// Header says what a backup is of. It is in the clear, so that a folder of
// backups can be read without the recovery key, and holds nothing of the shop's
// work.
type Header struct {
	Format    int       `json:"format"`
	Program   string    `json:"program"`       // version that made it
	Schema    int64     `json:"schema"`        // last migration of the database
	Database  string    `json:"database"`      // sqlite, postgres
	Log       string    `json:"log,omitempty"` // id of the log of changes; empty before it has begun
	Changes   int64     `json:"changes"`       // entries sealed in it
	At        time.Time `json:"at"`            // everything acknowledged before is in it
	Recipient string    `json:"recipient,omitempty"`

	// Body is the length of what follows the line; it stands before the JSON and
	// tells a file that was cut from one that was changed.
	Body int64 `json:"-"`
}

// Sealed says whether the body is encrypted.
func (h Header) Sealed() bool { return h.Recipient != "" }

// Errors of a header.
var (
	// ErrNotBackup says that a file is none of ours.
	ErrNotBackup = errors.New("is no backup of this program")
	// ErrNewerFormat says that a newer program wrote it.
	ErrNewerFormat = errors.New("was written by a newer version of this program")
	// ErrCut says that the file ends too early.
	ErrCut = errors.New("ends too early")
	// ErrChanged says that bytes of it are not those that were written.
	ErrChanged = errors.New("was changed or damaged")
	// ErrWrongKey says that another recovery key opens it.
	ErrWrongKey = errors.New("is for another recovery key")
)

var (
	idShape   = regexp.MustCompile(`^[0-9a-f-]{36}$`)
	lineShape = regexp.MustCompile(`^([1-9][0-9]{0,8}) ([0-9]{15}) ({.*})\n$`)
)

// line is the first line of a file: MAGIC FORMAT BODY JSON. Its length does not
// depend on Body, which is filled in last.
func (h Header) line() ([]byte, error) {
	raw, err := h.json()
	return fmt.Appendf(nil, "%s%d %015d %s\n", magic, h.Format, h.Body, raw), err
}

// Size is the length of the whole file that begins so.
func (h Header) Size() int64 {
	line, err := h.line()
	if err != nil {
		return -1
	}
	return int64(len(line)) + h.Body
}

func (h Header) json() ([]byte, error) {
	raw, err := json.Marshal(h)
	if err != nil {
		return nil, fmt.Errorf("encode the header of a backup: %w", err)
	}
	return raw, nil
}

// ReadHeader reads the line at the beginning of a backup and gives it back as it
// stands there too. Nothing behind it is read.
func ReadHeader(in *bufio.Reader) (Header, []byte, error) {
	var h Header
	line, err := readLine(in)
	rest, ours := bytes.CutPrefix(line, []byte(magic))
	switch {
	case !ours && bytes.HasPrefix([]byte(magic), line) && errors.Is(err, ErrCut):
		return h, line, ErrCut
	case !ours:
		return h, line, ErrNotBackup
	case err != nil:
		return h, line, err
	}
	found := lineShape.FindSubmatch(rest)
	if found == nil {
		if version, _, _ := strings.Cut(string(rest), " "); newer(version) { // Whatever follows is its own.
			return h, line, ErrNewerFormat
		}
		return h, line, ErrChanged
	}
	if newer(string(found[1])) {
		return h, line, ErrNewerFormat
	}
	decoder := json.NewDecoder(bytes.NewReader(found[3]))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&h); err != nil || h.check() != nil {
		return Header{}, line, ErrChanged
	}
	if h.Body, err = strconv.ParseInt(string(found[2]), 10, 64); err != nil {
		return Header{}, line, ErrChanged
	}
	// One header has one line: whoever wrote it otherwise was not this program.
	if again, err := h.line(); err != nil || !bytes.Equal(again, line) {
		return Header{}, line, ErrChanged
	}
	return h, line, nil
}

func readLine(in *bufio.Reader) ([]byte, error) {
	var line []byte
	for len(line) < mostHeader {
		b, err := in.ReadByte()
		if errors.Is(err, io.EOF) {
			return line, ErrCut
		}
		if err != nil {
			return line, fmt.Errorf("read a backup: %w", err)
		}
		if line = append(line, b); b == '\n' {
			return line, nil
		}
	}
	return line, ErrChanged
}

// newer says whether a format is one of later programs.
func newer(version string) bool {
	n, err := strconv.Atoi(version)
	return err == nil && n > Format
}

// check refuses what no program of ours writes.
func (h Header) check() error {
	switch {
	case h.Format != Format, h.Schema < 1, h.Changes < 0, h.At.IsZero(), h.Database != "sqlite" && h.Database != "postgres",
		h.Log != "" && !idShape.MatchString(h.Log), h.Recipient != "" && !IsRecipient(h.Recipient):
		return ErrChanged
	}
	return nil
}
