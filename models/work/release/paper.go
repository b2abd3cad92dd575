package release

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/trail"
)

// Paper gives the PDF of a certificate in its present state: drawn the first
// time, handed out as kept ever after.
func (s *Service) Paper(ctx context.Context, certificateID string) (pdf []byte, name string, err error) {
	certificate, err := s.store.Certificate(ctx, certificateID)
	if err != nil {
		return nil, "", fmt.Errorf("find certificate %s: %w", certificateID, err)
	}
	name = fmt.Sprintf("%s-%d.pdf", certificate.Number, certificate.Revision)
	view, successor, err := s.state(ctx, certificate)
	if err != nil {
		return nil, "", err
	}
	pdf, err = s.kept(ctx, certificateID, view.State)
	if err == nil {
		return pdf, name, nil
	}
	if !errors.Is(err, models.ErrNotFound) {
		return nil, "", fmt.Errorf("paper of certificate %s: %w", certificate.Number, err)
	}
	drawing := Drawing{Canonical: []byte(certificate.Content), Hash: certificate.ContentHash, Signature: certificate.Signed(), State: view.State, Change: view.Change, Successor: successor}
	if err := json.Unmarshal(drawing.Canonical, &drawing.Content); err != nil {
		return nil, "", fmt.Errorf("content of certificate %s: %w", certificate.Number, err)
	}
	if view.Change != nil {
		drawing.ChangedOn = view.Change.ChangedAt.In(s.zone(ctx)).Format(dayForm)
	}
	if pdf, err = s.draw(drawing); err != nil {
		return nil, "", fmt.Errorf("draw certificate %s: %w", certificate.Number, err)
	}
	now := models.Moment(s.now())
	file := models.File{Hash: trail.Digest(pdf), MediaType: "application/pdf", Bytes: pdf, CreatedAt: now}
	paper := models.CertificatePaper{CertificateID: certificateID, State: view.State, FileHash: file.Hash, DrawnAt: now}
	// Where nothing can be kept just now, it is read all the same: the next who asks keeps
	// what is drawn from the same content.
	if err := s.store.KeepPaper(ctx, paper, file); err != nil && !models.OnlyReadable(err) {
		return nil, "", fmt.Errorf("keep the paper of certificate %s: %w", certificate.Number, err)
	}
	return pdf, name, nil
}

// Original gives the PDF of a certificate as it was drawn while in force, byte
// for byte as kept, whatever became of the certificate since. One in force is
// drawn now if nobody opened it yet. One that ended unopened has no original:
// that is [models.ErrNotFound], with a [models.RefusedError] that says why.
func (s *Service) Original(ctx context.Context, certificateID string) (pdf []byte, name string, err error) {
	certificate, err := s.store.Certificate(ctx, certificateID)
	if err != nil {
		return nil, "", fmt.Errorf("find certificate %s: %w", certificateID, err)
	}
	view, _, err := s.state(ctx, certificate)
	if err != nil {
		return nil, "", err
	}
	if view.State == models.Issued {
		return s.Paper(ctx, certificateID)
	}
	pdf, err = s.kept(ctx, certificateID, models.Issued)
	if errors.Is(err, models.ErrNotFound) {
		never := models.NewRemark("original_never_drawn", "number", certificate.Number, "revision", fmt.Sprint(certificate.Revision))
		err = errors.Join(err, &models.RefusedError{Reasons: []models.Remark{never}})
	}
	if err != nil {
		return nil, "", fmt.Errorf("original paper of certificate %s: %w", certificate.Number, err)
	}
	return pdf, fmt.Sprintf("%s-%d-original.pdf", certificate.Number, certificate.Revision), nil
}

// kept gives the drawing of a certificate in a state, or models.ErrNotFound.
func (s *Service) kept(ctx context.Context, certificateID, state string) ([]byte, error) {
	paper, err := s.store.Paper(ctx, certificateID, state)
	if err != nil {
		return nil, err
	}
	file, err := s.store.File(ctx, paper.FileHash)
	if err != nil {
		return nil, fmt.Errorf("file of a paper: %w", err)
	}
	return file.Bytes, nil
}

// state finds the present state of a certificate, and the revision after it.
func (s *Service) state(ctx context.Context, c models.Certificate) (view models.CertificateView, successor int, err error) {
	all, err := s.store.CertificatesOf(ctx, c.ItemID)
	if err != nil {
		return view, 0, fmt.Errorf("certificates of item %s: %w", c.ItemID, err)
	}
	view, successor = models.StateAmong(all, c.ID)
	return view, successor, nil
}

// ByNumber finds a certificate with its present state.
func (s *Service) ByNumber(ctx context.Context, number string, revision int) (models.CertificateView, error) {
	c, err := s.store.CertificateByNumber(ctx, number, revision)
	if err != nil {
		return models.CertificateView{}, fmt.Errorf("find certificate %s revision %d: %w", number, revision, err)
	}
	view, _, err := s.state(ctx, c)
	return view, err
}

// Numbered finds the newest revision of a certificate.
func (s *Service) Numbered(ctx context.Context, number string) (models.Certificate, error) {
	c, err := s.store.CertificateNumbered(ctx, number)
	if err != nil {
		return models.Certificate{}, fmt.Errorf("find certificate %.40q: %w", number, err)
	}
	return c, nil
}
