package release

import (
	"archive/zip"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// Bundle are the certificates in force of some items, in the order of their
// numbers.
type Bundle struct {
	service *Service
	papers  []bundled
}

// bundled is one of them: its id, and the file that its paper becomes.
type bundled struct {
	id, file string
	issuedAt time.Time
}

// Bundle finds the certificates in force of items; what has none, as small
// parts and what went by concession, is left out. Where nothing has one it is
// [models.ErrNotFound], with a [models.RefusedError] that says so.
func (s *Service) Bundle(ctx context.Context, items []models.Item) (Bundle, error) {
	b := Bundle{service: s}
	for _, item := range items {
		c, err := s.store.CertificateInForce(ctx, item.ID)
		if errors.Is(err, models.ErrNotFound) {
			continue
		}
		if err != nil {
			return Bundle{}, fmt.Errorf("certificate of %s: %w", item.Name(), err)
		}
		b.papers = append(b.papers, bundled{id: c.ID, file: fmt.Sprintf("%s-%d_%s.pdf", c.Number, c.Revision, ident.Print(item.Name())), issuedAt: c.IssuedAt})
	}
	if len(b.papers) == 0 {
		return Bundle{}, errors.Join(models.ErrNotFound, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("no_certificates")}})
	}
	slices.SortFunc(b.papers, func(x, y bundled) int { return cmp.Or(strings.Compare(x.file, y.file), strings.Compare(x.id, y.id)) })
	b.papers = slices.CompactFunc(b.papers, func(x, y bundled) bool { return x.id == y.id })
	return b, nil
}

// Files are the names of the files, in their order.
func (b Bundle) Files() []string {
	names := make([]string, len(b.papers))
	for i, p := range b.papers {
		names[i] = p.file
	}
	return names
}

// Write writes the papers as a ZIP, one after the other, and holds one at a
// time: drawn now where nobody opened it before. The same papers give the same
// bytes. Each is as old as its certificate.
func (b Bundle) Write(ctx context.Context, to io.Writer) error {
	archive := zip.NewWriter(to)
	for _, p := range b.papers {
		pdf, _, err := b.service.Paper(ctx, p.id)
		if err != nil {
			return err
		}
		file, err := archive.CreateHeader(&zip.FileHeader{Name: p.file, Method: zip.Deflate, Modified: p.issuedAt.UTC()})
		if err == nil {
			_, err = file.Write(pdf)
		}
		if err != nil {
			return fmt.Errorf("write %s: %w", p.file, err)
		}
	}
	if err := archive.Close(); err != nil {
		return fmt.Errorf("end the certificates: %w", err)
	}
	return nil
}
