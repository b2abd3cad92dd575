package review

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

// Store is what this package reads and writes.
type Store interface {
	Settings(ctx context.Context) (map[string]string, error)
	// AddReview writes the review, its paper and its trail entry in one transaction;
	// models.ErrConflict when somebody kept that edition meanwhile.
	AddReview(ctx context.Context, s models.Stamp, r models.Review, file models.File) (models.Review, error)
	// Reviews lists the kept ones without their content, the newest period first.
	Reviews(ctx context.Context, limit int) ([]models.Review, error)
	Review(ctx context.Context, id string) (models.Review, error)
	NewestReview(ctx context.Context, period, firstDay string) (models.Review, error)
	File(ctx context.Context, hash string) (models.File, error)
}

// Source says what one question's service has found about a time, from <= t < to.
// Either function may be nil. A sentence says one finding; the most important comes
// first, for room is short.
type Source struct {
	About string // one of models.Questions
	Said  func(ctx context.Context, from, to time.Time) ([]models.Sentence, error)
	Plots func(ctx context.Context, from, to time.Time) ([]models.Plot, error)
}

// Drawing is what a paper is drawn from.
type Drawing struct {
	Content models.ReviewContent
	Hash    string
	Edition int
	Made    time.Time // in the shop's zone
}

// Service makes reviews and keeps them.
type Service struct {
	store   Store
	sources []Source
	draw    func(Drawing) ([]byte, error)
	now     func() time.Time
	zone    func(context.Context) *time.Location
}

// New returns the service. Sources are asked in their order; those of one question
// share its section. Now is the clock, zone the shop's.
func New(store Store, sources []Source, draw func(Drawing) ([]byte, error), now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, sources: sources, draw: draw, now: now, zone: zone}
}

// Sections are the questions that a review answers, in order.
var Sections = []string{models.AskAttention, models.AskCharts, models.AskHowGood, models.AskFailures, models.AskFinder, models.AskEffect, models.AskReturns}

// Room of a paper of four pages.
const (
	mostSentences = 8 // of a section
	mostPlots     = 4 // of a section
)

// listed is how many kept reviews a list has.
const listed = 120

// Content looks back on the period that holds a day, and keeps nothing. Errors: an
// InvalidError for a day or period that is none, or that has not begun.
func (s *Service) Content(ctx context.Context, period, day string) (models.ReviewContent, error) {
	zone := s.zone(ctx)
	span, err := spanOf(period, day, zone)
	if err != nil {
		return models.ReviewContent{}, err
	}
	now := s.now()
	if now.Before(span.from) {
		return models.ReviewContent{}, models.Invalid("day", "period_not_begun", "date", span.first)
	}
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return models.ReviewContent{}, fmt.Errorf("settings of the shop: %w", err)
	}
	through := min(span.last, now.In(zone).Format(time.DateOnly))
	c := models.ReviewContent{Form: 1, Shop: settings[models.SettingShopName], Period: period, FirstDay: span.first, LastDay: span.last, Through: through}
	for _, about := range Sections {
		section, err := s.section(ctx, about, span)
		if err != nil {
			return c, fmt.Errorf("%s, looked back on from %s: %w", about, span.first, err)
		}
		c.Sections = append(c.Sections, section)
	}
	return c, nil
}

func (s *Service) section(ctx context.Context, about string, span span) (models.ReviewSection, error) {
	section := models.ReviewSection{About: about, Sentences: []models.Sentence{}}
	for _, source := range s.sources {
		if source.About != about {
			continue
		}
		if source.Said != nil {
			said, err := source.Said(ctx, span.from, span.to)
			if err != nil {
				return section, err
			}
			section.Sentences = append(section.Sentences, said...)
		}
		if source.Plots != nil {
			plots, err := source.Plots(ctx, span.from, span.to)
			if err != nil {
				return section, err
			}
			section.Plots = append(section.Plots, plots...)
		}
	}
	if n := len(section.Sentences); n > mostSentences {
		section.More = n - mostSentences
		section.Sentences = section.Sentences[:mostSentences]
	}
	section.Plots = section.Plots[:min(len(section.Plots), mostPlots)]
	if len(section.Sentences) == 0 {
		section.Sentences = append(section.Sentences, models.Sentence{Remark: models.NewRemark("review_nothing"), About: about})
	}
	return section, nil
}

// Make looks back on the period that holds a day and keeps what it says, with its
// paper. Where nothing else is to be said than the newest edition says, that one is
// given, and made is false.
func (s *Service) Make(ctx context.Context, actor models.Actor, period, day string) (r models.Review, made bool, err error) {
	content, err := s.Content(ctx, period, day)
	if err != nil {
		return r, false, err
	}
	raw, err := json.Marshal(content)
	if err != nil {
		return r, false, fmt.Errorf("write the review: %w", err)
	}
	hash := digest(raw)
	newest, err := s.store.NewestReview(ctx, period, content.FirstDay)
	switch {
	case errors.Is(err, models.ErrNotFound):
	case err != nil:
		return r, false, err
	case newest.ContentHash == hash:
		return newest, false, nil
	}
	stamp := models.NewStamp(actor, s.now())
	r = models.Review{ID: models.NewID(), Period: period, FirstDay: content.FirstDay, Edition: newest.Edition + 1, Content: string(raw), ContentHash: hash, MadeAt: stamp.At, MadeBy: actor.String()}
	paper, err := s.draw(Drawing{Content: content, Hash: hash, Edition: r.Edition, Made: stamp.At.In(s.zone(ctx))})
	if err != nil {
		return r, false, fmt.Errorf("draw the review: %w", err)
	}
	r, err = s.store.AddReview(ctx, stamp, r, models.File{Hash: digest(paper), MediaType: "application/pdf", Bytes: paper, CreatedAt: stamp.At})
	return r, err == nil, err
}

func digest(raw []byte) string {
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:])
}

// List gives the kept ones without their content, the newest period first.
func (s *Service) List(ctx context.Context) ([]models.Review, error) {
	list, err := s.store.Reviews(ctx, listed)
	if err != nil {
		return nil, fmt.Errorf("reviews: %w", err)
	}
	return list, nil
}

// One gives a kept review with its content as it was frozen.
func (s *Service) One(ctx context.Context, id string) (models.Review, models.ReviewContent, error) {
	var content models.ReviewContent
	if !models.IsID(id) {
		return models.Review{}, content, fmt.Errorf("review %.40q: %w", id, models.ErrNotFound)
	}
	r, err := s.store.Review(ctx, id)
	if err != nil {
		return r, content, fmt.Errorf("review %s: %w", id, err)
	}
	if err := json.Unmarshal([]byte(r.Content), &content); err != nil {
		return r, content, fmt.Errorf("read the review %s: %w", id, err)
	}
	return r, content, nil
}

// Paper gives the PDF of a review, byte for byte as it was kept.
func (s *Service) Paper(ctx context.Context, id string) (pdf []byte, name string, err error) {
	r, _, err := s.One(ctx, id)
	if err != nil {
		return nil, "", err
	}
	file, err := s.store.File(ctx, r.FileHash)
	if err != nil {
		return nil, "", fmt.Errorf("paper of the review %s: %w", id, err)
	}
	return file.Bytes, fmt.Sprintf("review-%s-%s-%d.pdf", r.Period, r.FirstDay, r.Edition), nil
}
