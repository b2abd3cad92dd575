package truing

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// Sent says when and by whom a turn was made where a tablet sends it later than
// that: At and SentAt by the tablet's own clock, both or neither, and the person
// where that is not the sender. The zero value is now, by the sender.
type Sent struct {
	At, SentAt time.Time
	Person     string
}

// moment is when it was, by the server's clock: as long ago as it was by the
// tablet's, however that clock is set; never before the list was there.
func (s Sent) moment(now, made time.Time) time.Time {
	if ago := s.SentAt.Sub(s.At); ago > 0 {
		now = now.Add(-ago)
	}
	if now.Before(made) {
		return made
	}
	return models.Moment(now)
}

// Tick records that a turn of a list was made, or with turned false that it was
// taken back; who and when go on record, and what was undone stays there. The
// same again changes nothing, nor does a word that is older than what was said
// since. Once a turn of one list is made the other is closed until it is taken
// back: their turns must not be added up. A list is closed once the wheel was
// read again at every hole; what was turned before that and is told later is
// taken all the same.
func (s *Service) Tick(ctx context.Context, actor models.Actor, inspectionID, which string, n int, turned bool, sent Sent) (Sheet, error) {
	for _, x := range []struct {
		field string
		this  time.Time
		other time.Time
	}{{"at", sent.At, sent.SentAt}, {"sent_at", sent.SentAt, sent.At}} {
		if x.this.IsZero() && !x.other.IsZero() {
			return Sheet{}, models.Invalid(x.field, "missing")
		}
	}
	person, err := models.Attribute(actor, sent.Person, func() ([]models.Person, error) { return s.store.People(ctx) })
	if err != nil {
		return Sheet{}, err
	}
	of, err := s.subject(ctx, inspectionID)
	if err != nil {
		return Sheet{}, fmt.Errorf("turn list of inspection %s: %w", inspectionID, err)
	}
	list, err := s.store.TurnList(ctx, inspectionID)
	if err != nil {
		return Sheet{}, err
	}
	plan, err := decoded(list)
	if err != nil {
		return Sheet{}, err
	}
	turns, err := plan.named(which)
	if err != nil {
		return Sheet{}, err
	}
	if n < 1 || n > len(turns.Turns) {
		return Sheet{}, fmt.Errorf("turn %d of a list of %d: %w", n, len(turns.Turns), models.ErrNotFound)
	}
	readSince, err := s.readSince(ctx, of)
	if err != nil {
		return Sheet{}, fmt.Errorf("turn list of inspection %s: %w", inspectionID, err)
	}
	stamp := models.NewStamp(actor, s.now())
	err = s.store.AddTurnDone(ctx, stamp, list, func(done []models.TurnDone, stands models.TurnListState) (*models.TurnDone, error) {
		next := models.TurnDone{ID: models.NewID(), TurnListID: list.ID, List: which, N: n, Turned: turned, DoneBy: person, DoneAt: sent.moment(stamp.At, list.MadeAt)}
		for _, d := range models.StandingTurns(done) {
			if d.List != which {
				return nil, refused("other_list_begun", "list", d.List)
			}
		}
		if !changes(done, next) {
			return nil, nil
		}
		if late := !readSince.IsZero() && next.DoneAt.Before(readSince); stands.Closed() || (stands.Compared || !readSince.IsZero()) && !late {
			return nil, refused("turns_closed")
		}
		return &next, nil
	})
	if err != nil {
		return Sheet{}, fmt.Errorf("turn %d of inspection %s: %w", n, inspectionID, err)
	}
	sheet, _, err := s.sheet(ctx, of)
	return sheet, err
}

// changes says whether another word on a turn makes a difference to what
// stands: not the same again, nor one that is older than what was said since.
func changes(done []models.TurnDone, next models.TurnDone) bool {
	stands := func(list []models.TurnDone) bool {
		return slices.ContainsFunc(models.StandingTurns(list), func(d models.TurnDone) bool { return d.List == next.List && d.N == next.N })
	}
	return stands(done) != stands(append(slices.Clone(done), next))
}

// named finds one of the two lists.
func (p *Plan) named(which string) (List, error) {
	switch which {
	case models.TurnsShort:
		return p.Short, nil
	case models.TurnsAll:
		return p.All, nil
	}
	return List{}, fmt.Errorf("a turn list named %.20q: %w", which, models.ErrNotFound)
}

func refused(code string, values ...string) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, values...)}}
}
