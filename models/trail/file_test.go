package trail

import (
	"bytes"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// written is a file of ten entries with checkpoints behind the fourth and the
// eighth, and three that were not sealed.
func written(t testing.TB) ([]byte, Keys) {
	t.Helper()
	key, trusted := testKey(1)
	entries := chain(t, 10, key.Public().(ed25519.PublicKey))
	var out bytes.Buffer
	w := NewWriter(&out)
	for i, e := range entries {
		w.Entry(e)
		if i == 3 || i == 7 {
			w.Checkpoint(checkpoint(t, entries, i+1, key))
		}
	}
	if err := w.Close(0, 3); err != nil {
		t.Fatal(err)
	}
	return out.Bytes(), trusted
}

func verified(t *testing.T, file []byte, trusted Keys, held ...SignedCheckpoint) FileReport {
	t.Helper()
	v := NewVerifier(trusted)
	for _, c := range held {
		v.Checkpoint(c)
	}
	report, err := VerifyFile(bytes.NewReader(file), v)
	if err != nil {
		t.Fatal(err)
	}
	return report
}

func TestFileComesBack(t *testing.T) {
	file, trusted := written(t)
	got := verified(t, file, trusted)
	if got.Problem != nil || got.Entries != 10 || got.Checkpoints != 2 || got.Uncheckpointed != 2 || got.End.Unsealed != 3 || got.BadLine != 0 {
		t.Errorf("%s, %+v", say(got.Problem), got)
	}
	lines := bytes.SplitAfter(file, []byte("\n"))
	if len(lines) != 15 || lines[14] == nil || string(lines[0]) != `{"trail":1}`+"\n" || string(lines[13]) != `{"end":{"entries":10,"unsealed":3}}`+"\n" {
		t.Errorf("lines of the file: %q", lines)
	}
	// Members in another order and space between them say the same.
	var spaced bytes.Buffer
	for line := range bytes.Lines(file) {
		var members map[string]json.RawMessage
		if err := json.Unmarshal(line, &members); err != nil {
			t.Fatal(err)
		}
		names := make([]string, 0, len(members))
		for name, value := range members {
			names = append(names, ` "`+name+`" : `+string(value))
		}
		slices.Sort(names)
		slices.Reverse(names)
		spaced.WriteString("{" + strings.Join(names, " ,") + " }\n")
	}
	if got := verified(t, spaced.Bytes(), trusted); got.Problem != nil || bytes.Equal(spaced.Bytes(), file) {
		t.Errorf("reordered: %s", say(got.Problem))
	}
	// A last line that lost its line feed is whole.
	if got := verified(t, bytes.TrimSuffix(file, []byte("\n")), trusted); got.Problem != nil {
		t.Errorf("without the last line feed: %s", say(got.Problem))
	}
}

// A file that was cut is never sound, wherever, and one cut in the middle of a
// line is named with that line and with what is left before it.
func TestFileCut(t *testing.T) {
	file, trusted := written(t)
	first := bytes.IndexByte(file, '\n')
	for n := first; n < len(file)-1; n++ {
		got := verified(t, file[:n], trusted)
		lines := int64(bytes.Count(file[:n], []byte("\n")))
		if got.Problem == nil || got.Problem.Code != CodeTruncated {
			t.Fatalf("cut after %d bytes: %s", n, say(got.Problem))
		}
		whole := file[n] == '\n' || file[n-1] == '\n'
		if whole != (got.BadLine == 0) || !whole && (got.BadLine != lines+1 || !errors.Is(got.LineErr, ErrCut)) {
			t.Fatalf("cut after %d bytes: line %d, %v; want line %d", n, got.BadLine, got.LineErr, lines+1)
		}
	}
	// Held against a checkpoint kept elsewhere, what is missing is told by it too.
	key, _ := testKey(1)
	entries := chain(t, 10, key.Public().(ed25519.PublicKey))
	cut := file[:bytes.Index(file, []byte(`"seq":6`))]
	got := verified(t, cut, trusted, checkpoint(t, entries, 8, key))
	if say(got.Problem) != "E_TRUNCATED at 6" || got.Problem.Checkpoint == nil || got.Problem.Checkpoint.Size != 8 || got.BadLine != 9 {
		t.Errorf("%s, line %d", say(got.Problem), got.BadLine)
	}
}

// One byte changed anywhere in what is sealed or signed is found.
func TestFileByteChanged(t *testing.T) {
	file, trusted := written(t)
	end := bytes.Index(file, []byte(`{"end"`))
	for n := range end {
		for _, flip := range []byte{0x01, 0x20} {
			changed := slices.Clone(file)
			changed[n] ^= flip
			report, err := VerifyFile(bytes.NewReader(changed), NewVerifier(trusted))
			if err == nil && report.Problem == nil {
				t.Fatalf("byte %d changed to %q: sound\n%s", n, changed[n], changed[max(0, n-40):n+10])
			}
		}
	}
}

func TestFileRefused(t *testing.T) {
	file, trusted := written(t)
	for name, test := range map[string]struct {
		file string
		want error
	}{
		"empty":             {"", ErrForm},
		"another file":      {"%PDF-1.3\n%...\n", ErrForm},
		"a later form":      {`{"trail":2}` + "\n", ErrForm},
		"a form cut":        {`{"tra`, ErrCut},
		"behind the end":    {string(file) + `{"end":{"entries":0,"unsealed":0}}` + "\n", ErrForm},
		"an endless line":   {`{"trail":1}` + "\n" + strings.Repeat(" ", longestLine+1), ErrForm},
		"a later entry":     {strings.Replace(string(file), `"v":1}`, `"v":2}`, 1), ErrVersion},
		"reading broke off": {"", io.ErrUnexpectedEOF},
	} {
		var in io.Reader = strings.NewReader(test.file)
		if test.want == io.ErrUnexpectedEOF {
			in = io.MultiReader(bytes.NewReader(file[:300]), broken{})
		}
		report, err := VerifyFile(in, NewVerifier(trusted))
		if test.want == ErrCut {
			err = report.LineErr
		}
		if !errors.Is(err, test.want) {
			t.Errorf("%s: %v; want %v", name, err, test.want)
		}
	}
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

// A line that cannot be read is told by its number, and as the entry that would
// stand there.
func TestFileLineUnreadable(t *testing.T) {
	file, trusted := written(t)
	for name, line := range map[string]string{
		"no JSON":              `{"v":1,"seq":2,`,
		"a name twice":         `{"seq":2,"seq":2}`,
		"half a character":     `{"seq":2,"actor":"\ud800"}`,
		"a list":               `[2]`,
		"nothing":              ``,
		"unknown":              `{"note":"x"}`,
		"a number as text":     `{"v":1,"seq":"2","prev":"","ts":"","actor":"","kind":"","subject":"","data":{},"hash":""}`,
		"an actor as a number": `{"v":1,"seq":2,"prev":"","ts":"","actor":7,"kind":"","subject":"","data":{},"hash":""}`,
		"a fraction":           `{"v":1,"seq":2.5,"prev":"","ts":"","actor":"","kind":"","subject":"","data":{},"hash":""}`,
		"checkpoint and more":  `{"checkpoint":{"body":{},"sig":""},"note":"x"}`,
		"checkpoint and end":   `{"checkpoint":{"body":{},"sig":""},"end":{"entries":1,"unsealed":0}}`,
	} {
		lines := strings.SplitAfter(string(file), "\n")
		lines[3] = line + "\n" // that of entry 2
		got := verified(t, []byte(strings.Join(lines, "")), trusted)
		if say(got.Problem) != "E_HASH at 2" || got.BadLine != 4 || !errors.Is(got.LineErr, ErrLine) {
			t.Errorf("%s: %s, line %d, %v", name, say(got.Problem), got.BadLine, got.LineErr)
		}
	}
}

// A member that no entry has is part of what the line says.
func TestFileMemberAdded(t *testing.T) {
	file, trusted := written(t)
	changed := strings.Replace(string(file), `"seq":2,`, `"seq":2,"note":"x",`, 1)
	if got := verified(t, []byte(changed), trusted); say(got.Problem) != "E_HASH at 2" {
		t.Errorf("%s", say(got.Problem))
	}
}

// Whatever a file holds, it is read to its end or refused; and what counts as
// sound was written by the key.
func FuzzVerifyFile(f *testing.F) {
	file, trusted := written(f)
	f.Add(file)
	f.Add(file[:len(file)/2])
	f.Add([]byte(`{"trail":1}` + "\n" + `{"seq":0}` + "\n"))
	f.Add([]byte(`{"trail":1}` + "\n" + `{"end":{"entries":0,"unsealed":0}}`))
	f.Add([]byte(`{"trail":1}` + "\n" + `{"checkpoint":{"body":{"v":1,"log":"","size":-1,"head":"","root":"","ts":"","key":""},"sig":"00"}}`))
	known := map[string]bool{}
	for line := range bytes.Lines(file) {
		known[string(line)] = true
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		report, err := VerifyFile(bytes.NewReader(raw), NewVerifier(trusted))
		if err != nil || report.Problem != nil || report.Newest == nil {
			return
		}
		// The entries under a good checkpoint are those that were signed.
		var got []string
		r := NewReader(bytes.NewReader(raw))
		for {
			line, err := r.Next()
			if err != nil {
				break
			}
			if line.Entry != nil && line.Entry.Seq < report.Newest.Size {
				canonical, err := Canonical(*line.Entry)
				if err != nil || !known[string(canonical)+"\n"] {
					t.Fatalf("line %d is sound and was never signed: %s", line.Number, canonical)
				}
				got = append(got, line.Entry.Hash)
			}
		}
		if int64(len(got)) != report.Newest.Size {
			t.Fatalf("%d entries under a checkpoint of %d", len(got), report.Newest.Size)
		}
	})
}

// endless gives a sound log of many entries, made while it is read.
type endless struct {
	out  bytes.Buffer
	w    *Writer
	prev string
	n    int64
	most int64
}

func (e *endless) Read(p []byte) (int, error) {
	for e.out.Len() < len(p) && e.n <= e.most {
		if e.n == e.most {
			e.n++
			if err := e.w.Close(0, 0); err != nil {
				return 0, err
			}
			break
		}
		entry := Entry{V: 1, Seq: e.n, Prev: e.prev, TS: "2026-03-02T08:00:00.000Z", Actor: "a", Kind: "k", Subject: "s", Data: json.RawMessage(`{}`)}
		hash, err := EntryHash(entry)
		if err != nil {
			return 0, err
		}
		entry.Hash, e.prev = hash, hash
		e.w.Entry(entry)
		e.n++
	}
	return e.out.Read(p)
}

// What is held in memory does not grow with the log: ten times the entries need
// no more than a few nodes of the tree.
func TestFileOfAnyLength(t *testing.T) {
	held := func(entries int64) uint64 {
		source := &endless{prev: FirstPrev, most: entries}
		source.w = NewWriter(&source.out)
		v := NewVerifier(nil)
		report, err := VerifyFile(source, v)
		if err != nil || report.Problem != nil || report.Entries != entries {
			t.Fatalf("%d of %d entries, %s, %v", report.Entries, entries, say(report.Problem), err)
		}
		runtime.GC()
		var stats runtime.MemStats
		runtime.ReadMemStats(&stats)
		runtime.KeepAlive(v)
		return stats.HeapAlloc
	}
	few := held(3_000)
	if many := held(30_000); many > few+200_000 {
		t.Errorf("%d bytes are held after 30000 entries, %d after 3000", many, few)
	}
}
