package keyring

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/trail"
)

// Copies keeps checkpoints and public keys outside the database, in a folder for
// each log: a file of checkpoints for each key and month, one on a line in
// canonical JSON, which only grows, and a file for each public key.
type Copies struct{ path string }

// CopyTo names the folder. It is made when something is kept, so that a folder
// which is not there yet, such as a disk that is not plugged in, stops nothing.
func CopyTo(path string) *Copies { return &Copies{path} }

// Place is the folder's path.
func (c *Copies) Place() string { return c.path }

func (c *Copies) folder(log string) string { return filepath.Join(c.path, log) }

func (c *Copies) file(log, keyID, month string) string {
	return filepath.Join(c.folder(log), "checkpoints-"+keyID+"-"+month+".jsonl")
}

// Newest is the checkpoint kept of a key that is over most changes; none is a zero
// one. The month says nothing: a clock may have been ahead. A line that was cut
// short, as by a disk that was full, counts as not kept.
func (c *Copies) Newest(log, keyID string) (trail.SignedCheckpoint, error) {
	var newest trail.SignedCheckpoint
	files, err := filepath.Glob(filepath.Join(globbed(c.folder(log)), "checkpoints-"+keyID+"-*.jsonl"))
	if err != nil {
		return newest, fmt.Errorf("look for copies of checkpoints: %w", err)
	}
	for _, file := range files {
		lines, err := lastLines(file)
		if err != nil {
			return trail.SignedCheckpoint{}, fmt.Errorf("read copies of checkpoints: %w", err)
		}
		for _, line := range slices.Backward(lines) {
			var signed trail.SignedCheckpoint
			if json.Unmarshal(line, &signed) == nil && signed.Sig != "" { // The last of its file is its newest.
				if signed.Body.Size > newest.Body.Size {
					newest = signed
				}
				break
			}
		}
	}
	return newest, nil
}

// lastLines reads the end of a file: some twenty checkpoints, however many there
// are before them.
func lastLines(file string) ([][]byte, error) {
	const enough = 16 << 10
	in, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	size, err := in.Seek(0, io.SeekEnd)
	if err == nil {
		_, err = in.Seek(max(0, size-enough), io.SeekStart)
	}
	if err != nil {
		return nil, err
	}
	raw, err := io.ReadAll(in)
	return bytes.Split(raw, []byte("\n")), err
}

// Keep adds checkpoints of one key, in their order, and the public keys that are
// not there yet.
func (c *Copies) Keep(log string, checkpoints []trail.SignedCheckpoint, keys []models.ServerKey) error {
	if err := os.MkdirAll(c.folder(log), 0o755); err != nil {
		return fmt.Errorf("make a folder for copies of checkpoints: %w", err)
	}
	for _, k := range keys {
		file := filepath.Join(c.folder(log), k.ID+publicEnd)
		if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
			if err := write(file, 0o644, []byte(k.Public+"\n")); err != nil {
				return err
			}
		}
	}
	for len(checkpoints) > 0 {
		month := monthOf(checkpoints[0])
		n := 1
		for n < len(checkpoints) && monthOf(checkpoints[n]) == month {
			n++
		}
		if err := add(c.file(log, checkpoints[0].Body.Key, month), checkpoints[:n]); err != nil {
			return err
		}
		checkpoints = checkpoints[n:]
	}
	return nil
}

// monthOf is the month of a checkpoint's own moment: 2026-03.
func monthOf(c trail.SignedCheckpoint) string {
	at, err := time.Parse(time.RFC3339, c.Body.TS)
	if err != nil {
		return "0000-00"
	}
	return at.Format("2006-01")
}

// add appends lines in one write, on a line of their own even behind one that
// was cut short.
func add(file string, checkpoints []trail.SignedCheckpoint) error {
	var lines []byte
	for _, signed := range checkpoints {
		line, err := trail.Canonical(signed)
		if err != nil {
			return fmt.Errorf("copy checkpoints: %w", err)
		}
		lines = append(append(lines, line...), '\n')
	}
	out, err := os.OpenFile(file, os.O_CREATE|os.O_RDWR|os.O_APPEND, 0o644)
	if err != nil {
		return fmt.Errorf("copy checkpoints: %w", err)
	}
	if size, err := out.Seek(0, io.SeekEnd); err == nil && size > 0 {
		last := make([]byte, 1)
		if _, err := out.ReadAt(last, size-1); err == nil && last[0] != '\n' {
			lines = append([]byte{'\n'}, lines...)
		}
	}
	_, err = out.Write(lines)
	if err == nil {
		err = out.Sync()
	}
	if closing := out.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return fmt.Errorf("copy checkpoints to %s: %w", file, err)
	}
	return nil
}
