package release

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trail"
)

// Issue releases an item and freezes its certificate. What keeps it back is a
// *models.RefusedError with every reason. An operator releases only work that
// he or she measured; reason is asked for when a certificate is already in
// force, since the new one replaces it.
func (s *Service) Issue(ctx context.Context, actor models.Actor, itemID, reason string) (models.Certificate, error) {
	c, err := s.candidate(ctx, itemID, true)
	if err != nil {
		return models.Certificate{}, err
	}
	if len(c.blocking) > 0 {
		return models.Certificate{}, &models.RefusedError{Reasons: c.blocking}
	}
	if actor.Role == models.Operator && c.judged.Inspection.PersonID != actor.PersonID {
		return models.Certificate{}, fmt.Errorf("an operator releases own work only: %w", models.ErrForbidden)
	}
	stamp := models.NewStamp(actor, s.now())
	frozen, err := s.freeze(ctx, c, stamp)
	if err != nil {
		return models.Certificate{}, err
	}
	year2 := stamp.At.In(s.zone(ctx)).Year() % 100
	make := func(number string, revision int, replaces *models.Certificate) (models.Certificate, error) {
		if replaces != nil && reason == "" {
			return models.Certificate{}, models.Invalid("reason", "reason_needed")
		}
		content := frozen
		content.Number, content.Revision = number, revision
		if replaces != nil {
			content.Reason = reason
			content.Replaces = &models.CertificateReference{Number: replaces.Number, Revision: replaces.Revision, IssuedOn: replaces.IssuedAt.In(s.zone(ctx)).Format(dayForm)}
		}
		return certificateOf(content, c, stamp, replaces, reason)
	}
	issued, err := s.store.AddCertificate(ctx, stamp, year2, itemID, make)
	if err != nil {
		return models.Certificate{}, fmt.Errorf("issue certificate of %s: %w", c.item.Name(), err)
	}
	return issued, nil
}

func certificateOf(content models.CertificateContent, c candidate, stamp models.Stamp, replaces *models.Certificate, reason string) (models.Certificate, error) {
	raw, err := json.Marshal(content)
	if err == nil {
		raw, err = trail.CanonicalJSON(raw)
	}
	if err != nil {
		return models.Certificate{}, fmt.Errorf("canonical content of certificate %s: %w", content.Number, err)
	}
	out := models.Certificate{ID: models.NewID(), Number: content.Number, Revision: content.Revision, ItemID: c.item.ID, InspectionID: c.judged.Inspection.ID,
		Content: string(raw), ContentHash: trail.Digest(raw), IssuedBy: stamp.By.String(), IssuedAt: stamp.At}
	if token := content.Token(); token != "" {
		hash := models.TokenHash(token)
		out.TokenHash = &hash
	}
	if replaces != nil {
		out.Replaces, out.Reason = &replaces.ID, reason
	}
	return out, nil
}

// newCheckAt is the address of a certificate's own public page, by a token that
// no other has. A shop without a public address gets neither: a token that
// stands on no paper would be a secret for nobody.
func newCheckAt(publicAddress string) (string, error) {
	if publicAddress == "" {
		return "", nil
	}
	var random [ident.TokenDigits]byte
	if _, err := rand.Read(random[:]); err != nil {
		return "", fmt.Errorf("draw a token: %w", err)
	}
	return strings.TrimSuffix(publicAddress, "/") + "/" + ident.Token(random), nil
}
