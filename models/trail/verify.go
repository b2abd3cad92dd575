package trail

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Code says what is wrong with a log. The first that is found, in this order
// along the entries and then at the checkpoint, is the one that is told.
type Code string

const (
	// CodeSeq: an entry does not stand at its number.
	CodeSeq Code = "E_SEQ"
	// CodePrev: an entry does not name the hash of the one before.
	CodePrev Code = "E_PREV"
	// CodeHash: an entry's hash is not that of its content.
	CodeHash Code = "E_HASH"
	// CodeKey: a checkpoint is signed by a key that is not trusted.
	CodeKey Code = "E_KEY"
	// CodeSig: a checkpoint's signature is not that of its content.
	CodeSig Code = "E_SIG"
	// CodeTruncated: there are fewer entries than a checkpoint covers.
	CodeTruncated Code = "E_TRUNCATED"
	// CodeCheckpoint: the entries do not lead to what a checkpoint says.
	CodeCheckpoint Code = "E_CHECKPOINT"
	// CodeClockBack warns that an entry is dated before an earlier one. The order
	// of the chain is the truth.
	CodeClockBack Code = "W_CLOCK_BACK"
)

// Finding is a code and the entry it was found at; nil is not tied to one. For
// E_TRUNCATED it is the number of entries found.
type Finding struct {
	Code       Code        `json:"code"`
	At         *int64      `json:"at"`
	Checkpoint *Checkpoint `json:"-"` // where it was found at one
}

// Report is what a verification found.
type Report struct {
	// Problem is the first error; nil is a sound log.
	Problem *Finding
	// Warnings holds the first of them, WarningCount tells all.
	Warnings     []Finding
	WarningCount int64
	// Log is the name the log gives itself in its first entry.
	Log string
	// Entries were found, the last Uncheckpointed of them behind the newest good
	// checkpoint: those can vanish unseen.
	Entries        int64
	Uncheckpointed int64
	// Checkpoints were held against the log and are good; Newest is the one that
	// covers most.
	Checkpoints int64
	Newest      *Checkpoint
	Witnesses   int64 // certificates that the log leads to
}

// mostWarnings is how many warnings a report holds one by one.
const mostWarnings = 20

// FirstPrev is the prev of entry 0: no hash.
var FirstPrev = strings.Repeat("0", 64)

// ErrVersion: an entry or checkpoint of a version that is not known here.
var ErrVersion = errors.New("unknown version")

// Verifier walks along a log in constant memory and holds it against its
// checkpoints. Keys that an entry enrols by the signature of a trusted one are
// trusted from that entry on.
//
// Checkpoints held elsewhere are given by Checkpoint before the first entry;
// those of the log itself when their last entry has been given. A certificate
// names size and root of the log: it is a witness like them.
type Verifier struct {
	trusted  Keys
	tree     Tree
	head     string
	latest   string // the greatest ts so far
	log      string
	pending  []point  // ahead of the entries, sorted by size
	entryErr *Finding // the first along the entries
	pointErr *Finding // the first at a checkpoint
	report   Report
}

// point is what a log is held against at a size. Of a witness only log, size and
// root are known.
type point struct {
	SignedCheckpoint
	witness bool
}

// NewVerifier returns a verifier that trusts these keys.
func NewVerifier(trusted Keys) *Verifier {
	return &Verifier{trusted: maps.Clone(trusted), head: FirstPrev}
}

// Entry takes the next entry. After the first error the rest is only counted.
// An error says that the log cannot be verified here.
func (v *Verifier) Entry(e Entry) error {
	if e.V != EntryVersion {
		return fmt.Errorf("entry %d of version %d: %w", e.Seq, e.V, ErrVersion)
	}
	hash, err := EntryHash(e)
	if err != nil {
		hash = "" // It has no content that could be hashed.
	}
	v.step(e, hash)
	return nil
}

// step judges an entry whose hash was computed from its content.
func (v *Verifier) step(e Entry, computed string) {
	at := v.report.Entries
	v.report.Entries++
	if v.entryErr != nil {
		return
	}
	leaf, err := ParseHash(computed)
	switch {
	case e.Seq != at:
		v.entryErr = &Finding{Code: CodeSeq, At: &at}
	case e.Prev != v.head:
		v.entryErr = &Finding{Code: CodePrev, At: &at}
	case e.Hash != computed || err != nil:
		v.entryErr = &Finding{Code: CodeHash, At: &at}
	}
	if v.entryErr != nil {
		return
	}
	if e.TS < v.latest {
		v.report.WarningCount++
		if len(v.report.Warnings) < mostWarnings {
			v.report.Warnings = append(v.report.Warnings, Finding{Code: CodeClockBack, At: &at})
		}
	} else {
		v.latest = e.TS
	}
	v.head = computed
	v.tree.Append(leaf)
	v.keys(e)
	v.due()
}

// keys follows what the log says of itself. What cannot be read, or is not
// vouched for, changes nothing: a checkpoint that needs it tells.
func (v *Verifier) keys(e Entry) {
	switch {
	case e.Seq == 0 && e.Kind == KindGenesis:
		var g Genesis
		if json.Unmarshal(e.Data, &g) == nil {
			v.log, v.report.Log = g.Log, g.Log
		}
	case e.Kind == KindKeyEnrolled:
		var enrolment Enrolment
		if json.Unmarshal(e.Data, &enrolment) != nil {
			return
		}
		if public, err := enrolment.Verify(v.trusted, v.log); err == nil {
			v.trusted[KeyID(public)] = public
		}
	case e.Kind == KindKeyRetired:
		var r Retirement
		if json.Unmarshal(e.Data, &r) == nil {
			delete(v.trusted, r.Key)
		}
	}
}

// Checkpoint takes a checkpoint to hold the log against: of the entries given so
// far, or of more, which are then waited for.
func (v *Verifier) Checkpoint(c SignedCheckpoint) { v.wait(point{SignedCheckpoint: c}) }

// Witness takes what a certificate names of a log, whose signature is good.
func (v *Verifier) Witness(log string, size int64, root string) {
	v.wait(point{SignedCheckpoint{Body: Checkpoint{Log: log, Size: size, Root: root}}, true})
}

func (v *Verifier) wait(p point) {
	at := len(v.pending)
	for at > 0 && v.pending[at-1].Body.Size > p.Body.Size {
		at--
	}
	v.pending = slices.Insert(v.pending, at, p)
	v.due()
}

// due judges the checkpoints that the entries have reached.
func (v *Verifier) due() {
	for v.entryErr == nil && len(v.pending) > 0 && v.pending[0].Body.Size <= v.tree.Size() {
		v.judge(v.pending[0])
		v.pending = v.pending[1:]
	}
}

func (v *Verifier) judge(p point) {
	if v.pointErr != nil {
		return
	}
	if v.pointErr = v.pointFinding(p); v.pointErr != nil {
		v.pointErr.Checkpoint = &p.Body
		return
	}
	if p.witness {
		v.report.Witnesses++
		return
	}
	if v.report.Newest == nil || *v.report.Newest != p.Body { // A copy of it may be held elsewhere.
		v.report.Checkpoints++
	}
	v.report.Newest = &p.Body
}

// pointFinding says what is wrong at a point, nil for nothing.
func (v *Verifier) pointFinding(p point) *Finding {
	if !p.witness {
		if err := p.Verify(v.trusted); errors.Is(err, ErrUnknownKey) {
			return &Finding{Code: CodeKey}
		} else if err != nil {
			return &Finding{Code: CodeSig}
		}
	}
	count, last, body := v.tree.Size(), p.Body.Size-1, p.Body
	if body.Size > count {
		return &Finding{Code: CodeTruncated, At: &count}
	}
	leads := body.Size == count && body.Root == v.tree.Root().String() && body.Log == v.log
	if !p.witness {
		leads = leads && body.V == CheckpointVersion && body.Head == v.head
	}
	if !leads {
		return &Finding{Code: CodeCheckpoint, At: &last}
	}
	return nil
}

// Report ends the verification: checkpoints still waited for are judged by the
// entries there are.
func (v *Verifier) Report() Report {
	if v.entryErr == nil {
		for _, c := range v.pending {
			v.judge(c)
		}
		v.pending = nil
	}
	r := v.report
	if r.Problem = v.entryErr; r.Problem == nil {
		r.Problem = v.pointErr
	}
	r.Uncheckpointed = r.Entries
	if r.Newest != nil {
		r.Uncheckpointed -= r.Newest.Size
	}
	return r
}
