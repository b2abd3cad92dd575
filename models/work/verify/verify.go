package verify

import (
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/trail"
)

// atOnce is how many entries are held in memory.
const atOnce = 1000

// Database holds a database against its trail, in constant memory, by a verifier
// that was given what is trusted and kept elsewhere: keys that the database names
// are not trusted for being in it. contentOf takes the content out of the paper
// of a certificate; nil looks at papers no closer than at other files. An error
// says that the database could not be looked at.
func Database(store Store, chain *trail.Verifier, contentOf func(paper []byte) ([]byte, error)) (Report, error) {
	w := &walk{store: store, contentOf: contentOf, chain: chain, kinds: map[string]models.RecordKind{}}
	w.report.Counts = map[trail.Code]int64{}
	for _, k := range store.Kinds() {
		w.kinds[k.Name] = k
	}
	for _, step := range []func() error{w.sealed, w.unsealed, w.unentered, w.files, w.papers} {
		if err := step(); err != nil {
			return Report{}, fmt.Errorf("verify the database: %w", err)
		}
	}
	return w.report, nil
}

type walk struct {
	store     Store
	contentOf func([]byte) ([]byte, error)
	chain     *trail.Verifier
	kinds     map[string]models.RecordKind
	points    []models.Checkpoint // read and not given to the chain yet
	last      models.Checkpoint   // the last that was read
	report    Report
}

// sealed walks along the chain.
func (w *walk) sealed() error {
	last := ""
	for from := int64(0); ; {
		entries, err := w.store.Sealed(from, atOnce)
		if err != nil {
			return err
		}
		if len(entries) == 0 {
			break
		}
		from = *entries[len(entries)-1].Seq + 1
		if err := w.given(from); err != nil {
			return err
		}
		for _, e := range entries {
			chained, err := e.Sealed()
			if err != nil {
				return err
			}
			if err := w.chain.Entry(chained); err != nil {
				return err
			}
			last = *e.Hash
		}
		if err := w.records(entries); err != nil {
			return err
		}
	}
	if err := w.given(1 << 62); err != nil {
		return err
	}
	w.report.Report = w.chain.Report()
	return w.head(last)
}

// given gives the chain the database's own checkpoints up to a size, ahead of the
// entries they cover.
func (w *walk) given(size int64) error {
	for {
		for len(w.points) > 0 && w.points[0].Size <= size {
			w.chain.Checkpoint(w.points[0].Signed())
			w.points = w.points[1:]
		}
		if len(w.points) > 0 {
			return nil
		}
		var err error
		if w.points, err = w.store.Checkpoints(w.last, atOnce); err != nil || len(w.points) == 0 {
			return err
		}
		w.last = w.points[len(w.points)-1]
	}
}

// head holds the end of the chain against what the sealer goes on from. It is
// not signed, so that it tells of nothing but carelessness.
func (w *walk) head(last string) error {
	head, err := w.store.Head()
	if errors.Is(err, models.ErrNotFound) {
		return nil
	}
	found := w.report.Entries
	switch {
	case err != nil:
		return err
	case w.report.Problem != nil:
	case found < head.Size:
		w.report.Problem = &trail.Finding{Code: trail.CodeTruncated, At: &found}
	case found > head.Size || last != head.Hash:
		w.report.Problem = &trail.Finding{Code: trail.CodePrev, At: &found}
	}
	return nil
}

// unsealed counts what is not in the chain, and holds records against it.
func (w *walk) unsealed() error {
	for after := ""; ; {
		entries, err := w.store.Unsealed(after, atOnce)
		if err != nil || len(entries) == 0 {
			return err
		}
		after = entries[len(entries)-1].ID
		w.report.Unsealed += int64(len(entries))
		if err := w.records(entries); err != nil {
			return err
		}
	}
}

// unentered looks for records that no entry speaks of.
func (w *walk) unentered() error {
	for _, kind := range w.store.Kinds() {
		subjects, err := w.store.Unentered(kind.Name, mostFindings)
		if err != nil {
			return err
		}
		for _, subject := range subjects {
			w.report.note(Finding{Code: Unentered, Kind: kind.Name, Subject: subject})
		}
	}
	return nil
}

func (w *walk) files() error {
	broken, count, err := w.store.BrokenFiles(mostFindings)
	if err != nil {
		return err
	}
	w.report.Files = count
	uses, err := w.store.FileUses(broken)
	if err != nil {
		return err
	}
	for _, hash := range broken {
		kept := false
		for _, u := range uses {
			if u.FileHash == hash {
				w.report.note(fileOf(File, u))
				kept = true
			}
		}
		if !kept {
			w.report.note(Finding{Code: File, File: hash})
		}
	}
	lost, err := w.store.LostFiles(mostFindings)
	if err != nil {
		return err
	}
	for _, u := range lost {
		w.report.note(fileOf(FileGone, u))
	}
	return nil
}

func fileOf(code trail.Code, u models.FileUse) Finding {
	return Finding{Code: code, Kind: u.Kind, Subject: u.Subject, File: u.FileHash, Name: u.Name}
}

// papers holds what lies inside each paper against its certificate: two papers
// may change places, and each is still the file it is named by.
func (w *walk) papers() error {
	if w.contentOf == nil {
		return nil
	}
	for after := (models.KeptPaper{}); ; {
		papers, err := w.store.Papers(after, atOnce)
		if err != nil || len(papers) == 0 {
			return err
		}
		for _, p := range papers {
			after = p
			file, err := w.store.FileBytes(p.FileHash)
			if errors.Is(err, models.ErrNotFound) {
				continue // It was told among the files.
			}
			if err != nil {
				return err
			}
			if content, err := w.contentOf(file); err != nil || trail.Digest(content) != p.ContentHash {
				w.report.note(Finding{Code: Paper, Kind: "certificate", Subject: p.CertificateID})
			}
		}
	}
}
