package lookup

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"sync"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// Store is what the package asks of the database.
type Store interface {
	// CertificateByToken gives the one whose token has this hash, or
	// models.ErrNotFound.
	CertificateByToken(ctx context.Context, tokenHash string) (models.Certificate, error)
	// PublicCertificates lists those that have a token in the order of its
	// hash, so many after the one that is named.
	PublicCertificates(ctx context.Context, after string, limit int) ([]models.Certificate, error)
	CertificatesOf(ctx context.Context, itemID string) ([]models.CertificateView, error)
	Settings(ctx context.Context) (map[string]string, error)
}

// Service looks certificates up.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location

	mu   sync.Mutex
	shop Shop
	read time.Time
}

// New makes the service.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

// Shop is whom a stranger may ask.
type Shop struct {
	Name    string
	Address string
	Public  string // its public address; empty where there is none
	Path    string // of the public address, without a slash at its end

	Language string // of its papers
}

// shopKept is how long the shop is taken as it was read: strangers do not cost
// the database a question each.
const shopKept = time.Minute

// Shop gives the shop as its papers name it now.
func (s *Service) Shop(ctx context.Context) (Shop, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.now()
	if !s.read.IsZero() && now.Sub(s.read).Abs() < shopKept {
		return s.shop, nil
	}
	values, err := s.store.Settings(ctx)
	if err != nil {
		return Shop{}, fmt.Errorf("settings of the shop: %w", err)
	}
	s.shop, s.read = Shop{Name: values[models.SettingShopName], Address: values[models.SettingShopAddress], Public: values[models.SettingPublicAddress],
		Language: models.LanguageOr(values[models.SettingPaperLanguage])}, now
	if u, err := url.Parse(s.shop.Public); err == nil {
		s.shop.Path = strings.TrimRight(u.Path, "/")
	}
	return s.shop, nil
}

// ByToken gives the certificate with this token, however it was typed. One that
// no certificate has is models.ErrNotFound, as is a text that can be no token.
// Errors never hold the token: they go to the log.
func (s *Service) ByToken(ctx context.Context, typed string) (Certificate, error) {
	token, ok := ident.ReadToken(typed)
	if !ok {
		return Certificate{}, fmt.Errorf("look a certificate up: not a token: %w", models.ErrNotFound)
	}
	c, err := s.store.CertificateByToken(ctx, models.TokenHash(token))
	if err != nil {
		return Certificate{}, fmt.Errorf("look a certificate up: %w", err)
	}
	return s.answer(ctx, c, s.now())
}

// atOnce is how many certificates are read at a time when all are.
const atOnce = 100

// Each hands every certificate that has a token to f, each with the same
// moment, until f fails.
func (s *Service) Each(ctx context.Context, f func(Certificate) error) error {
	now, after := s.now(), ""
	for {
		list, err := s.store.PublicCertificates(ctx, after, atOnce)
		if err != nil {
			return fmt.Errorf("look all certificates up: %w", err)
		}
		for _, c := range list {
			answer, err := s.answer(ctx, c, now)
			if err != nil {
				return err
			}
			if err := f(answer); err != nil {
				return err
			}
			after = *c.TokenHash
		}
		if len(list) < atOnce {
			return nil
		}
	}
}

// answer leaves behind what the public is not told.
func (s *Service) answer(ctx context.Context, c models.Certificate, now time.Time) (Certificate, error) {
	var content models.CertificateContent
	if err := json.Unmarshal([]byte(c.Content), &content); err != nil {
		return Certificate{}, fmt.Errorf("content of certificate %s: %w", c.Number, err)
	}
	all, err := s.store.CertificatesOf(ctx, c.ItemID)
	if err != nil {
		return Certificate{}, fmt.Errorf("certificates beside %s: %w", c.Number, err)
	}
	zone := s.zone(ctx)
	out := publicPart(content)
	out.Hash, out.At = c.ContentHash, now.In(zone)
	view, successor := models.StateAmong(all, c.ID)
	out.State, out.Successor = view.State, successor
	if view.Change != nil {
		out.EndedOn = view.Change.ChangedAt.In(zone).Format(time.DateOnly)
	}
	return out, nil
}
