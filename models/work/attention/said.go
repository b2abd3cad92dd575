package attention

import (
	"context"
	"time"

	"tracewright/models"
)

// saidAfter is how long after a period what waits now still says something about it:
// nothing keeps what waited then.
const saidAfter = 14 * 24 * time.Hour

// Said is what waits now, as sentences for looking back on a time that has just ended
// or still runs: the worst first. Of an earlier time it says that this is not kept.
func (s *Service) Said(ctx context.Context, _, to time.Time) ([]models.Sentence, error) {
	if s.now().Sub(to) > saidAfter {
		return []models.Sentence{{Remark: models.NewRemark("review_not_then"), About: models.AskAttention}}, nil
	}
	list, err := s.List(ctx, Everybody)
	if err != nil {
		return nil, err
	}
	out := []models.Sentence{{Remark: list.Title, About: models.AskAttention}}
	for _, r := range list.Rows {
		if r.Level < Due {
			out = append(out, models.Sentence{Remark: r.Says, About: models.AskAttention})
		}
	}
	return out, nil
}
