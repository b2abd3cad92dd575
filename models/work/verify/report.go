package verify

import (
	"tracewright/models"
	"tracewright/models/trail"
)

// What is wrong with a record, beside the codes of the chain.
const (
	// Edited: a record is not what its entry says it was.
	Edited trail.Code = "E_RECORD"
	// Gone: an entry speaks of a record that is not there.
	Gone trail.Code = "E_GONE"
	// Unentered: a record is there that no entry speaks of.
	Unentered trail.Code = "E_UNENTERED"
	// Content: a record holds other content than the one it names by its hash.
	Content trail.Code = "E_CONTENT"
	// File: the bytes of a kept file are not those it is named by.
	File trail.Code = "E_FILE"
	// FileGone: a paper or photo that a record keeps is not there.
	FileGone trail.Code = "E_FILE_GONE"
	// Paper: the content inside a kept paper is not that of its certificate.
	Paper trail.Code = "E_PAPER"
	// UnknownKind warns of entries about a kind of record that this version does
	// not know, and cannot look for.
	UnknownKind trail.Code = "W_KIND"
)

// Codes lists them in the order they are told in.
var Codes = []trail.Code{Edited, Gone, Unentered, Content, File, FileGone, Paper, UnknownKind}

// Finding is one record that is not as the trail says.
type Finding struct {
	Code    trail.Code
	Kind    string // of the record; empty for a file that none keeps
	Subject string // as entries call it
	File    string // the hash of a kept file that is not as it was
	Name    string // of that file as it was given; empty for a certificate's paper
	Entry   *models.TrailEntry
}

// mostFindings is how many findings of one code are told one by one.
const mostFindings = 100

// Report is what a verification found.
type Report struct {
	trail.Report
	// Unsealed entries are not in the chain yet.
	Unsealed int64
	// Records and Files were looked at.
	Records int64
	Files   int64
	// Findings holds the first of each code, Counts tells all; of records without
	// an entry, as many as were looked for.
	Findings []Finding
	Counts   map[trail.Code]int64
}

// Sound says that nothing is wrong.
func (r Report) Sound() bool {
	if r.Problem != nil {
		return false
	}
	for code, n := range r.Counts {
		if n > 0 && code != UnknownKind {
			return false
		}
	}
	return true
}

func (r *Report) note(f Finding) {
	r.Counts[f.Code]++
	if r.Counts[f.Code] <= mostFindings {
		r.Findings = append(r.Findings, f)
	}
}
