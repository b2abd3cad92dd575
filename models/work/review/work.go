package review

import (
	"context"
	"strconv"
	"time"

	"tracewright/models"
)

// WorkStore is what the sources of this package read.
type WorkStore interface {
	WorkCounts(ctx context.Context, from, to time.Time) (models.WorkCounts, error)
}

// Work says what the period brought: papers, shipments, what was stopped.
func Work(store WorkStore) Source {
	return Source{About: models.AskFailures, Said: func(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
		c, err := store.WorkCounts(ctx, from, to)
		if err != nil {
			return nil, err
		}
		var out []models.Sentence
		if c.Certificates+c.Shipments > 0 {
			out = append(out, models.Sentence{Remark: models.NewRemark("review_out", "count", strconv.Itoa(c.Certificates), "more", strconv.Itoa(c.Shipments)), About: models.AskFailures})
		}
		if c.Nonconformities+c.Holds > 0 {
			out = append(out, models.Sentence{Remark: models.NewRemark("review_stopped", "count", strconv.Itoa(c.Nonconformities), "more", strconv.Itoa(c.Holds)), About: models.AskFailures})
		}
		return out, nil
	}}
}

// Settled says what the period settled of what needed somebody: what waits fills the
// room, so that it stands first.
func Settled(store WorkStore) Source {
	return Source{About: models.AskAttention, Said: func(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
		c, err := store.WorkCounts(ctx, from, to)
		if err != nil || c.Lifted+c.Causes+c.Closed == 0 {
			return nil, err
		}
		return []models.Sentence{{Remark: models.NewRemark("review_settled", "lifted", strconv.Itoa(c.Lifted), "causes", strconv.Itoa(c.Causes), "closed", strconv.Itoa(c.Closed)), About: models.AskAttention}}, nil
	}}
}

// Claims says how many claims were opened in the period.
func Claims(store WorkStore) Source {
	return Source{About: models.AskReturns, Said: func(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
		c, err := store.WorkCounts(ctx, from, to)
		if err != nil || c.Claims == 0 {
			return nil, err
		}
		code := "review_claims_many"
		if c.Claims == 1 {
			code = "review_claims_one"
		}
		return []models.Sentence{{Remark: models.NewRemark(code, "count", strconv.Itoa(c.Claims)), About: models.AskReturns}}, nil
	}}
}
