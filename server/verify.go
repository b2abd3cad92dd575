package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"tracewright/models/trail"
	"tracewright/models/words"
	"tracewright/server/keyring"
)

type verifyCommand struct {
	Trail       verifyTrail       `cmd:"" help:"Hold an exported trail against its checkpoints."`
	Certificate verifyCertificate `cmd:"" help:"Look whether a certificate is what was signed: a PDF, or the content that lies in it."`
	Database    verifyDatabase    `cmd:"" help:"Hold a database against its trail, record by record."`
}

// Help tells what the exit status says and whose keys to trust.
func (verifyCommand) Help() string {
	return `Exit status 0: sound. 1: not sound, and the first error is named. 2: it could not be looked at.

The public keys must come from elsewhere than what is verified: whoever wrote a log anew signed it with a key of his own. They are files that end in .pub, of one line each, beside the copies of checkpoints and in the folder of the server's keys. The first key of a log is enough: later ones are vouched for in the log itself.

Somebody who holds the server's key can sign a log written anew. Only checkpoints that were kept elsewhere before, and certificates that customers hold, tell of that: name them with --checkpoints and --certificates.`
}

// witnesses are what is brought from elsewhere.
type witnesses struct {
	Certificates string `help:"Certificates that lie elsewhere, as PDFs: each names the log as it was when it was signed. A file, or a folder of them." placeholder:"PATH" type:"path" env:"-"`
	Checkpoints  string `help:"Checkpoints that were kept elsewhere: a file of them, or the folder of this log in which they are copied." placeholder:"PATH" type:"path" env:"-"`
}

// notLooked ends a verification that could not be made.
func notLooked(err error) error {
	return &exitError{2, "tracewright: could not look: " + inWords(err)}
}

// notSound ends a verification that found something.
func notSound(code trail.Code, at *int64) error {
	where := ""
	if at != nil {
		where = " at " + strconv.FormatInt(*at, 10)
	}
	return &exitError{1, fmt.Sprintf("tracewright: not sound: %s%s", code, where)}
}

// publicKeys reads the keys to trust: a file, or every one in a folder and below.
func publicKeys(path string) (trail.Keys, error) {
	files, err := filesIn(path, ".pub")
	if err != nil {
		return nil, fmt.Errorf("keys: %w", err)
	}
	keys := trail.Keys{}
	for _, file := range files {
		public, err := keyring.ReadPublic(file)
		if err != nil {
			return nil, fmt.Errorf("keys: %w", err)
		}
		keys[trail.KeyID(public)] = public
	}
	if len(keys) == 0 {
		return nil, fmt.Errorf("keys: no file that ends in .pub is in %s", path)
	}
	return keys, nil
}

// verifier trusts the keys and holds a log against what was kept elsewhere.
func (w witnesses) verifier(keys trail.Keys, out io.Writer) (*trail.Verifier, error) {
	v := trail.NewVerifier(keys)
	if err := w.checkpoints(v, out); err != nil {
		return nil, fmt.Errorf("checkpoints: %w", err)
	}
	if err := w.certificates(v, keys, out); err != nil {
		return nil, fmt.Errorf("certificates: %w", err)
	}
	return v, nil
}

// checkpoints reads those that were kept elsewhere, one on a line. What is no
// checkpoint is told and left out: a disk that was full cuts lines.
func (w witnesses) checkpoints(v *trail.Verifier, out io.Writer) error {
	if w.Checkpoints == "" {
		return nil
	}
	files, err := filesIn(w.Checkpoints, ".jsonl")
	if err != nil {
		return err
	}
	found := 0
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		line := 0
		for text := range bytes.Lines(raw) {
			line++
			var c trail.SignedCheckpoint
			if err := json.Unmarshal(text, &c); err == nil && c.Sig != "" {
				v.Checkpoint(c)
				found++
			} else if len(bytes.TrimSpace(text)) > 0 {
				fmt.Fprintf(out, "%s, line %d: no checkpoint, left out.\n", file, line)
			}
		}
	}
	if found == 0 {
		return fmt.Errorf("none in %s", w.Checkpoints)
	}
	return nil
}

// certificates reads what each names of the log. One whose signature is not good
// is told and left out.
func (w witnesses) certificates(v *trail.Verifier, keys trail.Keys, out io.Writer) error {
	if w.Certificates == "" {
		return nil
	}
	files, err := filesIn(w.Certificates, ".pdf")
	if err != nil {
		return err
	}
	found := 0
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		c, err := enclosedInPDF(raw)
		if err == nil {
			err = c.verify(keys)
		}
		switch log := c.content.Log; {
		case err != nil:
			fmt.Fprintf(out, "%s: left out: %v.\n", file, err)
		case log == nil || log.Size == 0:
			fmt.Fprintf(out, "%s: left out: it names no sealed log.\n", file)
		default:
			v.Witness(log.LogID, log.Size, log.Root)
			found++
		}
	}
	if found == 0 {
		return fmt.Errorf("none in %s", w.Certificates)
	}
	return nil
}

// filesIn is the file itself, or those in a folder and below whose names end so.
func filesIn(path, end string) ([]string, error) {
	info, err := os.Stat(path)
	if err != nil || !info.IsDir() {
		return []string{path}, err
	}
	var files []string
	err = filepath.WalkDir(path, func(file string, entry fs.DirEntry, err error) error {
		if err == nil && !entry.IsDir() && strings.HasSuffix(file, end) {
			files = append(files, file)
		}
		return err
	})
	return files, err
}

// sayer puts findings into words, a line each.
type sayer struct {
	out io.Writer
	in  *words.Catalogue
}

func (s sayer) say(code string, values map[string]string) {
	fmt.Fprintln(s.out, s.in.Verify(code, values))
}

// coded says a finding behind its code.
func (s sayer) coded(code trail.Code, values map[string]string) {
	s.said(code, string(code), values)
}

// said is coded in words that stand under another name.
func (s sayer) said(code trail.Code, says string, values map[string]string) {
	fmt.Fprintf(s.out, "%s  %s\n", code, s.in.Verify(says, values))
}

// sound ends what was found to be sound.
func (s sayer) sound() {
	s.say("proves", nil)
	fmt.Fprintln(s.out, "Sound.")
}

func whole(n int64) string { return strconv.FormatInt(n, 10) }

// chain says what the walk along a log found: first what is wrong, then what it
// holds, then what is worth knowing.
func (s sayer) chain(r trail.Report) {
	if f := r.Problem; f != nil {
		values, says := map[string]string{}, string(f.Code)
		if f.At != nil {
			values["seq"] = whole(*f.At)
		}
		if c := f.Checkpoint; c != nil {
			values["size"], values["key"] = whole(c.Size), c.Key
		} else if f.Code == trail.CodeTruncated {
			says = "end_missing"
		}
		s.said(f.Code, says, values)
	}
	for _, f := range r.Warnings {
		s.coded(f.Code, map[string]string{"seq": whole(*f.At)})
	}
	if more := r.WarningCount - int64(len(r.Warnings)); more > 0 {
		fmt.Fprintf(s.out, "%s  and %d more\n", trail.CodeClockBack, more)
	}
	fmt.Fprintf(s.out, "Log %s. Entries: %d.\n", r.Log, r.Entries)
	if r.Newest == nil {
		s.say("uncovered", nil)
	} else {
		s.say("covered", map[string]string{"checkpoints": whole(r.Checkpoints), "size": whole(r.Newest.Size), "date": day(r.Newest.TS), "key": r.Newest.Key})
	}
	if r.Witnesses > 0 {
		s.say("witnessed", map[string]string{"n": whole(r.Witnesses)})
	}
	if r.Newest != nil && r.Uncheckpointed > 0 {
		s.say("uncheckpointed", map[string]string{"n": whole(r.Uncheckpointed)})
	}
}

// day is the day of a moment as entries write it.
func day(ts string) string {
	date, _, _ := strings.Cut(ts, "T")
	return date
}
