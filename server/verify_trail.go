package main

import (
	"fmt"
	"io"
	"os"

	"tracewright/models/trail"
	"tracewright/models/words"
)

type verifyTrail struct {
	File string `arg:"" help:"What export trail wrote; - is standard input."`
	Keys string `help:"Public keys to trust: a file that ends in .pub, or a folder of them." placeholder:"PATH" type:"path" required:"" env:"-"`
	witnesses
}

// Help gives an example.
func (verifyTrail) Help() string {
	return `Needs the file and public keys, and nothing else of the shop: no database, no network. A file of any length is read once.

  tracewright verify trail trail.jsonl --keys 3f0c6b0d9a517e24.pub
  tracewright export trail | tracewright verify trail - --keys /media/usb/tracewright --checkpoints /media/usb/tracewright`
}

// Run reads the file and tells what it found.
func (v *verifyTrail) Run(std streams) error {
	keys, err := publicKeys(v.Keys)
	if err != nil {
		return notLooked(err)
	}
	chain, err := v.verifier(keys, std.out)
	if err != nil {
		return notLooked(err)
	}
	in := std.in
	if v.File != "-" {
		file, err := os.Open(v.File)
		if err != nil {
			return notLooked(err)
		}
		defer file.Close()
		in = file
	}
	return verifyTrailFile(in, chain, std.out)
}

func verifyTrailFile(in io.Reader, chain *trail.Verifier, out io.Writer) error {
	report, err := trail.VerifyFile(in, chain)
	if err != nil {
		return notLooked(err)
	}
	s := sayer{out, words.In("en")}
	switch {
	case report.Cut():
		s.say("cut", map[string]string{"line": whole(report.BadLine), "entries": whole(report.Entries)})
	case report.BadLine > 0:
		s.say("unreadable", map[string]string{"line": whole(report.BadLine), "cause": fmt.Sprint(report.LineErr)})
	case report.End == nil:
		s.say("no_end", map[string]string{"line": whole(report.Lines)})
	}
	s.chain(report.Report)
	if report.End != nil && report.End.Unsealed > 0 {
		s.say("unsealed_then", map[string]string{"n": whole(report.End.Unsealed)})
	}
	if f := report.Problem; f != nil {
		return notSound(f.Code, f.At)
	}
	s.sound()
	return nil
}
