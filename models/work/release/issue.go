package release

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trail"
)

// CertificateRequest is what whoever issues a certificate says of it.
type CertificateRequest struct {
	Reason   string // why a new revision: asked for where one is in force
	Language string // of the paper; empty is that of the revision before, or the shop's
	// From is the [Service.Grounds] that it is issued on, Inspection the key of the
	// one that it is to rest on; empty is not asked.
	From, Inspection string
}

// Issue is [Service.IssueAs] in the language of the revision before, or the
// shop's.
func (s *Service) Issue(ctx context.Context, actor models.Actor, itemID, reason string) (models.Certificate, error) {
	return s.IssueAs(ctx, actor, itemID, CertificateRequest{Reason: reason})
}

// IssueAs releases an item and freezes its certificate, signed. Where one is in
// force the new one is a complete revision of it, taken from the records anew: a
// later inspection, a name that was put right, another language. It names what
// it replaces and why, and the old one becomes superseded.
//
// What keeps an item back is a *models.RefusedError with every reason; so is a
// key that is not at hand, since no certificate goes out unsigned. An operator
// releases only work that he or she measured; other work is models.ErrForbidden,
// with who measured it. What it rests on is held against the item again where that is
// locked: changed since it was looked at, it is [models.ErrStale].
func (s *Service) IssueAs(ctx context.Context, actor models.Actor, itemID string, r CertificateRequest) (models.Certificate, error) {
	r.Reason = models.Trimmed(r.Reason)
	invalid := &models.InvalidError{}
	if invalid.Lines("reason", r.Reason, models.LongestReason); len(invalid.Problems) > 0 {
		return models.Certificate{}, invalid
	}
	grounds, err := s.Grounds(ctx, itemID) // Before anything is asked: what comes meanwhile is found in the end.
	if err != nil {
		return models.Certificate{}, err
	}
	if r.From != "" && r.From != grounds {
		return models.Certificate{}, fmt.Errorf("what %s rests on changed since it was looked at: %w", itemID, models.ErrStale)
	}
	item, err := s.item(ctx, itemID)
	if err != nil {
		return models.Certificate{}, err
	}
	c, err := s.candidate(ctx, item, true)
	if err != nil {
		return models.Certificate{}, err
	}
	if len(c.blocking) > 0 {
		return models.Certificate{}, &models.RefusedError{Reasons: c.blocking}
	}
	if r.Inspection != "" && r.Inspection != c.judged.Inspection.ID {
		return models.Certificate{}, fmt.Errorf("%s rests on another inspection: %w", c.item.Name(), models.ErrStale)
	}
	switch theirs, err := s.notOwn(ctx, actor, c); {
	case err != nil:
		return models.Certificate{}, err
	case len(theirs) > 0:
		return models.Certificate{}, fmt.Errorf("%w: %w", models.ErrForbidden, &models.RefusedError{Reasons: theirs})
	}
	if r.Language != "" && !slices.Contains(models.Languages, r.Language) {
		return models.Certificate{}, models.Invalid("language", "unknown_choice", "typed", models.Shortened(r.Language))
	}
	stamp := models.NewStamp(actor, s.now())
	frozen, err := s.freeze(ctx, c, stamp)
	if err != nil {
		return models.Certificate{}, err
	}
	if err := s.seal(ctx, &frozen); err != nil {
		return models.Certificate{}, err
	}
	year2 := stamp.At.In(s.zone(ctx)).Year() % 100
	make := func(number string, revision int, replaces *models.Certificate) (models.Certificate, error) {
		if replaces != nil && r.Reason == "" {
			return models.Certificate{}, models.Invalid("reason", "reason_needed")
		}
		content := frozen
		content.Number, content.Revision = number, revision
		if replaces != nil {
			content.Reason = r.Reason
			content.Replaces = &models.CertificateReference{Number: replaces.Number, Revision: replaces.Revision, IssuedOn: replaces.IssuedAt.In(s.zone(ctx)).Format(dayForm)}
			content.Language = languageOf(*replaces, content.Language)
		}
		if r.Language != "" {
			content.Language = r.Language
		}
		made, err := certificateOf(content, c, stamp, replaces)
		if err != nil {
			return models.Certificate{}, err
		}
		made.Grounds = grounds
		return made, s.sign(ctx, &made)
	}
	issued, err := s.store.AddCertificate(ctx, stamp, year2, itemID, make)
	if err != nil {
		return models.Certificate{}, fmt.Errorf("issue certificate of %s: %w", c.item.Name(), err)
	}
	return issued, nil
}

// Grounds tells what a release of an item rests on now, as a digest that is another
// when any of that is: its readings, its parts, what holds it.
func (s *Service) Grounds(ctx context.Context, itemID string) (string, error) {
	of, err := s.store.Grounds(ctx, []string{itemID})
	if err != nil {
		return "", fmt.Errorf("what %s rests on: %w", itemID, err)
	}
	return of[itemID], nil
}

// Language gives the language that a certificate of an item would be printed in
// if nobody said another.
func (s *Service) Language(ctx context.Context, inForce *models.Certificate) (string, error) {
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return "", fmt.Errorf("settings of the shop: %w", err)
	}
	language := models.LanguageOr(settings[models.SettingPaperLanguage])
	if inForce != nil {
		language = languageOf(*inForce, language)
	}
	return language, nil
}

// languageOf is the language that a certificate is printed in; those without
// one are from before there was a choice, and give the language that is usual.
func languageOf(c models.Certificate, usual string) string {
	var content struct {
		Language string `json:"language"`
	}
	if err := json.Unmarshal([]byte(c.Content), &content); err != nil || content.Language == "" {
		return usual
	}
	return content.Language
}

func certificateOf(content models.CertificateContent, c candidate, stamp models.Stamp, replaces *models.Certificate) (models.Certificate, error) {
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
	if content.Key != "" {
		out.KeyID = &content.Key
	}
	if replaces != nil {
		out.Replaces, out.Reason = &replaces.ID, content.Reason
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
