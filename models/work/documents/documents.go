package documents

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/gabriel-vasile/mimetype"

	"tracewright/models"
)

// MostBytes is the most a photo or paper may have, 20 MB. Whoever reads one from
// a sender stops there.
const MostBytes = 20 << 20

const (
	longestName = 120
	longestNote = 500
	mostOfOne   = 100 // papers of one record
)

// Accepted are the types that are kept.
var Accepted = []string{models.MediaJPEG, models.MediaPNG, models.MediaWebP, models.MediaPDF}

// Store is what this package keeps its records in. A single record that is not
// there is models.ErrNotFound.
type Store interface {
	// AddAttachment keeps a file, once, and hangs it on a record;
	// models.ErrConflict when the record has it already, an InvalidError where it is a
	// claim of a customer who is gone.
	AddAttachment(ctx context.Context, s models.Stamp, a models.Attachment, file models.File) error
	// Attachments lists what hangs on records of a kind, oldest first.
	Attachments(ctx context.Context, subjectKind string, subjectIDs []string) ([]models.AttachmentView, error)
	Attachment(ctx context.Context, id string) (models.AttachmentView, error)
	File(ctx context.Context, hash string) (models.File, error)
	// EraseAttachment removes one for good, and its file where no other record keeps
	// it.
	EraseAttachment(ctx context.Context, s models.Stamp, id string) error
}

// Service keeps the papers.
type Service struct {
	store Store
	now   func() time.Time
}

// New returns the service on its store; now is the clock.
func New(store Store, now func() time.Time) *Service { return &Service{store: store, now: now} }

// Sent is a file as it came.
type Sent struct {
	Name  string // of the sender's; only shown
	Note  string
	Bytes []byte
}

// TooLarge is the error of a file of more than MostBytes.
func TooLarge() error {
	return models.Invalid("file", "file_too_large", "most", fmt.Sprint(MostBytes>>20))
}

// Add hangs a file on a record, whose existence is the caller's to know. The
// same file again on the same record is no error and changes nothing.
func (s *Service) Add(ctx context.Context, actor models.Actor, subjectKind, subjectID string, in Sent) error {
	kind, err := checked(&in)
	if err != nil {
		return err
	}
	there, err := s.store.Attachments(ctx, subjectKind, []string{subjectID})
	if err != nil {
		return fmt.Errorf("papers of %s %s: %w", subjectKind, subjectID, err)
	}
	if len(there) >= mostOfOne {
		return models.Invalid("file", "papers_too_many", "most", fmt.Sprint(mostOfOne))
	}
	sum := sha256.Sum256(in.Bytes)
	stamp := models.NewStamp(actor, s.now())
	file := models.File{Hash: hex.EncodeToString(sum[:]), MediaType: kind, Bytes: in.Bytes, CreatedAt: stamp.At}
	err = s.store.AddAttachment(ctx, stamp, models.Attachment{ID: models.NewID(), SubjectKind: subjectKind, SubjectID: subjectID, FileHash: file.Hash, Name: in.Name, Note: in.Note, Salt: rand.Text(),
		AddedAt: stamp.At, AddedBy: actor.String()}, file)
	if err != nil && !errors.Is(err, models.ErrConflict) {
		return fmt.Errorf("keep a paper of %s %s: %w", subjectKind, subjectID, err)
	}
	return nil
}

// checked trims name and note, finds the type by the content, and takes off a photo
// what it says besides its picture.
func checked(in *Sent) (kind string, err error) {
	invalid := &models.InvalidError{}
	in.Name, in.Note = shortName(in.Name), models.Trimmed(in.Note)
	invalid.Lines("note", in.Note, longestNote)
	switch {
	case len(in.Bytes) == 0:
		invalid.Add("file", "file_empty")
	case len(in.Bytes) > MostBytes:
		return "", TooLarge()
	default:
		found, _, _ := strings.Cut(mimetype.Detect(in.Bytes).String(), ";")
		switch {
		case found == models.MediaPDF && !bytes.HasPrefix(in.Bytes, []byte("%PDF-")):
			// Readers look for the head of a paper further in too, where a page of
			// the web may carry it.
			invalid.Add("file", "file_type", "typed", "text")
		case slices.Contains(Accepted, found):
			kind, in.Bytes = found, bare(found, in.Bytes)
			if !mimetype.Detect(in.Bytes).Is(kind) { // A photo of which nothing is left to draw.
				invalid.Add("file", "file_type", "typed", found)
			}
		default:
			invalid.Add("file", "file_type", "typed", found)
		}
	}
	return kind, invalid.OrNil()
}

// shortName is the last part of a name without anything that could break a line
// or a header: it is shown beside the paper and decides nothing.
func shortName(sent string) string {
	name := path.Base(strings.ReplaceAll(strings.ToValidUTF8(sent, ""), `\`, "/"))
	name = strings.TrimSpace(strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, name))
	if name == "." || name == "/" {
		name = ""
	}
	if runes := []rune(name); len(runes) > longestName {
		name = string(runes[len(runes)-longestName:]) // with its ending
	}
	return name
}

// Of lists what hangs on records of a kind, oldest first.
func (s *Service) Of(ctx context.Context, subjectKind string, subjectIDs ...string) ([]models.AttachmentView, error) {
	list, err := s.store.Attachments(ctx, subjectKind, subjectIDs)
	if err != nil {
		return nil, fmt.Errorf("papers of a %s: %w", subjectKind, err)
	}
	return list, nil
}

// Open gives one with its bytes.
func (s *Service) Open(ctx context.Context, id string) (models.AttachmentView, []byte, error) {
	view, err := s.store.Attachment(ctx, id)
	if err != nil {
		return models.AttachmentView{}, nil, err
	}
	file, err := s.store.File(ctx, view.FileHash)
	if err != nil {
		return models.AttachmentView{}, nil, fmt.Errorf("file of paper %s: %w", id, err)
	}
	return view, file.Bytes, nil
}

// Erase removes a photo or paper of a record for good.
func (s *Service) Erase(ctx context.Context, actor models.Actor, subjectKind, subjectID, id string) error {
	view, err := s.store.Attachment(ctx, id)
	if err != nil {
		return err
	}
	if view.SubjectKind != subjectKind || view.SubjectID != subjectID {
		return fmt.Errorf("paper %s of %s %s: %w", id, subjectKind, subjectID, models.ErrNotFound)
	}
	if err := s.store.EraseAttachment(ctx, models.NewStamp(actor, s.now()), id); err != nil {
		return fmt.Errorf("erase paper %s: %w", id, err)
	}
	return nil
}
