package main

import (
	"context"
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/trail"
	"tracewright/models/words"
	"tracewright/models/work/verify"
)

type verifyDatabase struct {
	databaseFlag
	Keys string `help:"Public keys to trust: a file that ends in .pub, or a folder of them. By default those beside the SQLite file, which whoever changed it could have changed too." placeholder:"PATH" type:"path" env:"-"`
	witnesses
}

// Help tells what is looked at.
func (verifyDatabase) Help() string {
	return `Walks along the chain of the log and its checkpoints, then encodes every record anew and holds it against the entry that speaks of it. An edited record, one that is gone, and one that was put in without an entry are each named. Nothing is written, and the server may run meanwhile: what is looked at is the database of one moment.

  tracewright verify database --database sqlite:shop.db --keys /media/usb/tracewright --checkpoints /media/usb/tracewright`
}

// Run looks and tells what it found.
func (v *verifyDatabase) Run(ctx context.Context, std streams) error {
	s, err := v.existing(ctx)
	if err != nil {
		return notLooked(err)
	}
	defer s.Close()
	if err := upToDate(ctx, s); err != nil {
		return notLooked(err)
	}
	keys, err := publicKeys(v.keys())
	if err != nil {
		return notLooked(err)
	}
	chain, err := v.verifier(keys, std.out)
	if err != nil {
		return notLooked(err)
	}
	var report verify.Report
	err = s.Freeze(ctx, func(frozen *store.Frozen) (err error) {
		report, err = verify.Database(frozen, chain, contentOf)
		return err
	})
	if err != nil {
		return notLooked(err)
	}
	return sayDatabase(report, std)
}

// keys is where the public keys lie.
func (v *verifyDatabase) keys() string {
	if v.Keys == "" {
		return beside(v.Database, ".keys")
	}
	return v.Keys
}

// upToDate refuses a schema that is not this program's: looking changes nothing.
func upToDate(ctx context.Context, s *store.Store) error {
	steps, err := s.MigrationStatus(ctx)
	if err != nil {
		return err
	}
	for _, step := range steps {
		if !step.Applied {
			return fmt.Errorf("the schema lacks %s: bring it, or a copy, up to date with tracewright migrate up", step.Name)
		}
	}
	return nil
}

func sayDatabase(report verify.Report, std streams) error {
	s := sayer{std.out, words.In("en")}
	s.chain(report.Report)
	if report.Unsealed > 0 {
		s.say("unsealed", map[string]string{"n": whole(report.Unsealed)})
	}
	first := trail.Code("")
	for _, code := range verify.Codes {
		told := int64(0)
		for _, f := range report.Findings {
			if f.Code != code {
				continue
			}
			told++
			says := string(code)
			if code == verify.Paper { // Of a file that somebody brings, it says something else.
				says = "paper_of"
			}
			s.said(code, says, map[string]string{"kind": strings.ReplaceAll(f.Kind, "_", " "), "subject": f.Subject, "entry": s.entry(f.Entry), "file": s.file(f)})
		}
		if more := report.Counts[code] - told; more > 0 {
			fmt.Fprintf(std.out, "%s  and %d more\n", code, more)
		}
		if first == "" && told > 0 && code != verify.UnknownKind {
			first = code
		}
	}
	fmt.Fprintf(std.out, "Looked at records: %d, kept files: %d.\n", report.Records, report.Files)
	switch {
	case report.Problem != nil:
		return notSound(report.Problem.Code, report.Problem.At)
	case !report.Sound():
		return notSound(first, nil)
	}
	s.sound()
	return nil
}

// file names a kept file by what keeps it.
func (s sayer) file(f verify.Finding) string {
	values := map[string]string{"name": f.Name, "kind": strings.ReplaceAll(f.Kind, "_", " "), "subject": f.Subject, "hash": f.File}
	switch {
	case f.Subject == "":
		return s.in.Verify("file_alone", values)
	case f.Name == "":
		return s.in.Verify("file_paper", values)
	}
	return s.in.Verify("file_named", values)
}

// entry names an entry.
func (s sayer) entry(e *models.TrailEntry) string {
	switch {
	case e == nil:
		return ""
	case e.Seq == nil:
		return s.in.Verify("entry_open", map[string]string{"date": e.At.Format("2006-01-02")})
	}
	return s.in.Verify("entry", map[string]string{"seq": whole(*e.Seq), "date": e.At.Format("2006-01-02")})
}

// contentOf takes the content out of the paper of a certificate.
func contentOf(file []byte) ([]byte, error) {
	found, err := enclosedInPDF(file)
	return found.raw, err
}
