package trail

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// A trail leaves the database as a file of lines, each a JSON value (RFC 8259)
// and a line feed:
//
//	{"trail":1}                                      the form of the file
//	{"v":1,"seq":0,"prev":"...", ... ,"hash":"..."}  entries, in their order
//	{"checkpoint":{"body":{...},"sig":"..."}}        behind the last entry it covers
//	{"end":{"entries":n,"unsealed":m}}               what the log says it holds of
//	                                                 these; m waited for their seal
//	                                                 and are not in it
//
// Checkpoints stand among the entries, so that a file is read once, whatever its
// length, and a file that was cut still holds those before the cut. The order
// of members in a line means nothing. The public keys are in the entries by which
// they joined.

// FileVersion is the version of this form.
const FileVersion = 1

// longestLine is more than any entry needs by far.
const longestLine = 1 << 20

// End is the last line of a file.
type End struct {
	Entries  int64 `json:"entries"`
	Unsealed int64 `json:"unsealed"`
}

// Writer writes a file.
type Writer struct {
	out     *bufio.Writer
	entries int64
	err     error
}

// NewWriter begins a file.
func NewWriter(out io.Writer) *Writer {
	w := &Writer{out: bufio.NewWriterSize(out, 1<<16)}
	w.line(map[string]any{"trail": FileVersion})
	return w
}

func (w *Writer) line(v any) {
	if w.err != nil {
		return
	}
	raw, err := Canonical(v)
	if err == nil {
		_, err = w.out.Write(append(raw, '\n'))
	}
	if err != nil {
		w.err = fmt.Errorf("write trail: %w", err)
	}
}

// Entry writes the next entry.
func (w *Writer) Entry(e Entry) {
	w.line(e)
	w.entries++
}

// Checkpoint writes a checkpoint behind the last entry that it covers, or behind
// all there are where it covers more.
func (w *Writer) Checkpoint(c SignedCheckpoint) {
	w.line(map[string]any{"checkpoint": c})
}

// Close writes the last line and tells the first error there was. Missing is how
// many entries more the log says it has than there were to write.
func (w *Writer) Close(missing, unsealed int64) error {
	w.line(map[string]any{"end": End{w.entries + missing, unsealed}})
	if w.err == nil {
		if err := w.out.Flush(); err != nil {
			w.err = fmt.Errorf("write trail: %w", err)
		}
	}
	return w.err
}

var (
	// ErrForm: the file is no trail in a form that is known here.
	ErrForm = errors.New("not a trail file of a known form")
	// ErrCut: the file ends in the middle of a line.
	ErrCut = errors.New("cut off in the middle of a line")
	// ErrLine: a line says nothing that a trail file may say.
	ErrLine = errors.New("not a line of a trail file")
)

// LineError is what is wrong with one line.
type LineError struct {
	Line int64 // counted from 1
	Err  error // ErrCut, ErrLine or ErrForm
}

func (e *LineError) Error() string { return fmt.Sprintf("line %d: %v", e.Line, e.Err) }

func (e *LineError) Unwrap() error { return e.Err }

// Line is one line of a file; one of the pointers is set.
type Line struct {
	Number     int64 // counted from 1
	Entry      *Entry
	Computed   string // of the Entry: the hash of what the line says, every member of it
	Checkpoint *SignedCheckpoint
	End        *End
}

// Reader reads a file line by line.
type Reader struct {
	in     *bufio.Reader
	number int64
	long   []byte
}

// NewReader returns a reader of a file. Nothing is read yet.
func NewReader(in io.Reader) *Reader { return &Reader{in: bufio.NewReaderSize(in, 1<<16)} }

// Next returns the next line, and io.EOF behind the last. A [LineError] says
// what is wrong with a line; behind ErrLine reading may go on.
func (r *Reader) Next() (Line, error) {
	for {
		raw, whole, err := r.take()
		if err != nil {
			return Line{}, err
		}
		line, err := r.line(raw)
		switch {
		case err != nil && !whole:
			return Line{}, &LineError{r.number, ErrCut}
		case err != nil:
			return Line{}, &LineError{r.number, err}
		case r.number > 1:
			return line, nil
		}
	}
}

// take reads one line; the last one may lack its line feed, and is then whole
// only if it can be read.
func (r *Reader) take() (raw []byte, whole bool, err error) {
	r.long = r.long[:0]
	for {
		part, err := r.in.ReadSlice('\n')
		if len(r.long)+len(part) > longestLine {
			return nil, false, &LineError{r.number + 1, fmt.Errorf("longer than %d bytes: %w", longestLine, ErrForm)}
		}
		r.long = append(r.long, part...)
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case errors.Is(err, io.EOF) && len(r.long) == 0:
			return nil, false, io.EOF
		case err != nil && !errors.Is(err, io.EOF):
			return nil, false, fmt.Errorf("read trail: %w", err)
		}
		r.number++
		return r.long, err == nil, nil
	}
}

// line tells by its members what a line is. The first one says the form.
func (r *Reader) line(raw []byte) (Line, error) {
	value, err := parse(raw)
	o, isObject := value.(*object)
	switch {
	case r.number == 1 && (err != nil || !isObject || o.member("trail") != float64(FileVersion)):
		return Line{}, ErrForm
	case r.number == 1:
		return Line{}, nil
	case err != nil:
		return Line{}, fmt.Errorf("%w: %w", ErrLine, err)
	case !isObject:
		return Line{}, ErrLine
	}
	line := Line{Number: r.number}
	if o.member("seq") != nil {
		line.Entry, line.Computed, err = entryOf(o)
		return line, err
	}
	// What is said in other names, or twice, or beside, does not come back as it
	// stands there.
	var other struct {
		Checkpoint *SignedCheckpoint `json:"checkpoint,omitempty"`
		End        *End              `json:"end,omitempty"`
	}
	if err := json.Unmarshal(raw, &other); err != nil {
		return Line{}, fmt.Errorf("%w: %w", ErrLine, err)
	}
	said, err := appendNode(nil, o)
	if err != nil {
		return Line{}, fmt.Errorf("%w: %w", ErrLine, err)
	}
	understood, err := Canonical(other)
	if err != nil || !bytes.Equal(said, understood) || (other.Checkpoint == nil) == (other.End == nil) {
		return Line{}, ErrLine
	}
	line.Checkpoint, line.End = other.Checkpoint, other.End
	return line, nil
}

// member finds a member of an object; nil where it has none.
func (o *object) member(name string) node {
	for i, n := range o.names {
		if n == name {
			return o.values[i]
		}
	}
	return nil
}

// entryOf reads an entry and computes its hash from all that the line holds, so
// that a member that no entry has breaks it.
func entryOf(o *object) (*Entry, string, error) {
	v, numbered := o.member("v").(float64)
	seq, counted := o.member("seq").(float64)
	if !numbered || !counted || v != float64(int(v)) || seq != float64(int64(seq)) {
		return nil, "", fmt.Errorf("%w: an entry's version and number", ErrLine)
	}
	e := &Entry{V: int(v), Seq: int64(seq)}
	for name, to := range map[string]*string{"prev": &e.Prev, "ts": &e.TS, "actor": &e.Actor, "kind": &e.Kind, "subject": &e.Subject, "hash": &e.Hash} {
		var isText bool
		if *to, isText = o.member(name).(string); !isText {
			return nil, "", fmt.Errorf("%w: an entry's %s", ErrLine, name)
		}
	}
	var err error
	if e.Data, err = appendNode(nil, o.member("data")); err != nil {
		return nil, "", fmt.Errorf("%w: %w", ErrLine, err)
	}
	bare := &object{}
	for i, name := range o.names {
		if name != "hash" {
			bare.names, bare.values = append(bare.names, name), append(bare.values, o.values[i])
		}
	}
	canonical, err := appendNode([]byte{0x00}, bare)
	if err != nil {
		return nil, "", fmt.Errorf("%w: %w", ErrLine, err)
	}
	return e, Digest(canonical), nil
}
