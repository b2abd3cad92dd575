package trail

import (
	"errors"
	"fmt"
	"io"
)

// FileReport is what the verification of a file found.
type FileReport struct {
	Report
	// End is the last line; nil where the file has none, which is then cut.
	End   *End
	Lines int64 // read
	// BadLine is the first line that could not be read, or the one that was cut; 0
	// where all could. LineErr says why.
	BadLine int64
	LineErr error
}

// Cut says that the file ends in the middle of a line.
func (r FileReport) Cut() bool { return errors.Is(r.LineErr, ErrCut) }

// VerifyFile reads a file once, in constant memory, and holds it against its own
// checkpoints and what the verifier was given before. Keys of the file are not
// trusted for being in it.
//
// A line that cannot be read is E_HASH at the entry that would stand there; a
// file that was cut is E_TRUNCATED at the entries that are left. An error says
// that the file could not be looked at: it is no trail, or reading it failed.
func VerifyFile(in io.Reader, v *Verifier) (FileReport, error) {
	var (
		report FileReport
		r      = NewReader(in)
	)
	for {
		line, err := r.Next()
		report.Lines = r.number
		var bad *LineError
		switch {
		case errors.Is(err, io.EOF):
			if r.number == 0 {
				return report, &LineError{1, ErrForm}
			}
			return report.with(v), nil
		case errors.As(err, &bad) && !errors.Is(err, ErrForm):
			if report.BadLine == 0 || errors.Is(err, ErrCut) {
				report.BadLine, report.LineErr = bad.Line, bad.Err
			}
			if errors.Is(err, ErrCut) {
				return report.with(v), nil
			}
			v.unreadable()
		case err != nil:
			return report, err
		case report.End != nil:
			return report, &LineError{line.Number, fmt.Errorf("%w: a line behind the end", ErrForm)}
		case line.Entry != nil:
			if line.Entry.V != EntryVersion {
				return report, &LineError{line.Number, fmt.Errorf("entry of version %d: %w", line.Entry.V, ErrVersion)}
			}
			v.step(*line.Entry, line.Computed)
		case line.Checkpoint != nil:
			v.Checkpoint(*line.Checkpoint)
		case line.End != nil:
			report.End = line.End
		}
	}
}

// with adds what the entries gave. A file without its last line lacks what stood
// there, even where no checkpoint tells.
func (r FileReport) with(v *Verifier) FileReport {
	r.Report = v.Report()
	if r.Problem == nil && (r.End == nil || r.End.Entries > r.Entries) {
		found := r.Entries
		r.Problem = &Finding{Code: CodeTruncated, At: &found}
	}
	return r
}

// unreadable says that something stands at the next place which is no entry.
func (v *Verifier) unreadable() {
	if v.entryErr == nil {
		at := v.report.Entries
		v.entryErr = &Finding{Code: CodeHash, At: &at}
	}
}
