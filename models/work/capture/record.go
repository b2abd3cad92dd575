package capture

import (
	"context"
	"errors"
	"fmt"
	"time"

	"tracewright/models"
)

const (
	// farClock is how far a tablet's clock may be off, by its own account when
	// it sends, and the inspection still be placed: its times are then corrected
	// by the offset. Beyond it nobody can say when the readings were taken.
	farClock = 24 * time.Hour
	// noticedClock is the offset from which the inspection is flagged.
	noticedClock = 2 * time.Minute
	// farPast is how long ago readings may have been taken and be placed: a tablet
	// was without the network. A clock that says more cannot be right.
	farPast = longestTake
	// tries is how often an inspection is judged anew when the item's state
	// changed under it.
	tries = 4
)

// Outcome is the answer to an inspection sent in.
type Outcome struct {
	Created    bool // false: it was here already, this is the first answer again
	Placed     bool // false: kept as unplaced, not judged yet
	Inspection models.Inspection
	Results    []models.Result
	Sets       []models.ReadingSet
	Item       models.Item
	Unplaced   *models.Unplaced
}

// Record judges and stores a submission. sentAt is the tablet's clock when it
// sent (zero: not said, no offset). Errors: *models.InvalidError with every
// problem (nothing is stored), models.ErrConflict when the id is known with
// other content, models.ErrForbidden for a correction of another's work.
func (s *Service) Record(ctx context.Context, actor models.Actor, sub models.Submission, sentAt time.Time) (Outcome, error) {
	return s.arrive(ctx, arrival{actor: actor, sub: sub, received: models.Moment(s.now())}, sentAt)
}

// Tell has every submission told of when it was stored or refused. It is set
// before the first one comes.
func (s *Service) Tell(tell func(took time.Duration, out Outcome, err error)) { s.tell = tell }

func (s *Service) arrive(ctx context.Context, a arrival, sentAt time.Time) (out Outcome, err error) {
	if s.tell != nil {
		began := time.Now()
		defer func() { s.tell(time.Since(began), out, err) }()
	}
	sub := a.sub
	if sentAt.IsZero() && sub.FinishedAt.After(a.received.Add(noticedClock)) {
		sentAt = sub.FinishedAt // A clock that read this much then reads no less now.
	}
	if !sentAt.IsZero() {
		a.offset = sentAt.Sub(a.received)
	}
	if err := checkEnvelope(sub, a.received.Add(a.offset)); err != nil {
		return Outcome{}, err
	}
	hash, err := sub.Digest()
	if err != nil {
		return Outcome{}, fmt.Errorf("canonical form of inspection %s: %w", sub.ID, err)
	}
	a.hash = hash
	for range tries {
		out, err := s.record(ctx, a)
		if !errors.Is(err, models.ErrStale) {
			return out, err
		}
	}
	return Outcome{}, fmt.Errorf("record inspection %s: the item keeps changing: %w", sub.ID, models.ErrStale)
}

// arrival is a submission with what is known about its coming in.
type arrival struct {
	actor    models.Actor
	sub      models.Submission
	hash     string
	received time.Time
	offset   time.Duration // what the tablet's clock was ahead
	dated    bool          // its moment was looked at already: by a person, or with its list
	by       string        // whose readings they are, where that is settled already
	remarks  []models.Remark
}

// strangeClock says that nobody can tell when the readings were taken: the clock
// was far off when they were sent, or says that they are older than a tablet keeps
// any. A correction says better what was read, however long ago that was.
func (a arrival) strangeClock() (off time.Duration, strange bool) {
	if a.offset.Abs() > farClock {
		return a.offset, true
	}
	ago := a.received.Sub(a.sub.FinishedAt.Add(-a.offset))
	return -ago, ago > farPast && a.sub.Corrects == ""
}

// lateAfter is how long after its end an inspection may come that was not sent before.
const lateAfter = 10 * time.Second

// late says whether it may have been sent before, when a clock stood otherwise.
func (a arrival) late() bool {
	return a.offset.Abs() > noticedClock || a.received.Sub(a.sub.FinishedAt.Add(-a.offset)) > lateAfter
}

func (s *Service) record(ctx context.Context, a arrival) (Outcome, error) {
	left, err := s.left(ctx, a)
	if err != nil {
		return Outcome{}, err
	}
	if left {
		return s.keepUnplaced(ctx, a, models.NewRemark("person_left"))
	}
	target, err := s.place(ctx, a.sub)
	var unknown *unknownSerialError
	switch {
	case errors.As(err, &unknown):
		return s.keepUnplaced(ctx, a, unknown.cause())
	case err != nil:
		return Outcome{}, err
	}
	if off, strange := a.strangeClock(); strange {
		return s.keepUnplaced(ctx, a, models.NewRemark("clock_strange", "hours", fmt.Sprintf("%.0f", off.Hours())))
	}
	// An item made after the readings were taken may have been unknown when
	// this inspection first came: then it waits among the unplaced, and the
	// first answer holds. So it may where a clock was strange then that has been set
	// right since, this program's own too; what comes as it is measured is not asked for.
	if target.newItem != nil || target.Item.CreatedAt.After(a.sub.StartedAt) || a.late() {
		if waiting, err := s.store.Unplaced(ctx, a.sub.ID); err == nil {
			return Outcome{Unplaced: &waiting}, sameOrConflict(waiting.SentHash, a)
		} else if !errors.Is(err, models.ErrNotFound) {
			return Outcome{}, fmt.Errorf("look for %s among the unplaced: %w", a.sub.ID, err)
		}
	}
	return s.recordOn(ctx, a, target)
}

func sameOrConflict(hash string, a arrival) error {
	if hash == a.hash {
		return nil
	}
	return fmt.Errorf("inspection %s is known with other content: %w", a.sub.ID, models.ErrConflict)
}

// recordOn judges a submission against the item it belongs to and stores it.
func (s *Service) recordOn(ctx context.Context, a arrival, target target) (Outcome, error) {
	made, err := s.make(ctx, a, target)
	if err != nil {
		return Outcome{}, err
	}
	corrected, err := s.correction(ctx, a)
	if err != nil {
		return Outcome{}, err
	}
	if corrected != nil {
		made.Inspection.Supersedes, made.Inspection.Reason = &corrected.ID, models.Trimmed(a.sub.Reason)
	}
	if len(made.Traced) > 0 { // First: what is asked for again too often does no harm.
		if err := s.store.TraceAgain(ctx, made.Traced, s.now()); err != nil {
			return Outcome{}, fmt.Errorf("ask again what failed gauges had measured: %w", err)
		}
	}
	stored, created, err := s.store.AddInspection(ctx, models.NewStamp(a.actor, a.received), made)
	if err != nil {
		return Outcome{}, fmt.Errorf("store inspection of %s: %w", target.Item.Name(), err)
	}
	out := Outcome{Created: created, Placed: true, Inspection: stored, Results: made.Results, Sets: made.Sets, Item: target.Item}
	out.Item.State = made.StateAfter
	if created {
		return out, nil
	}
	// A repeat: what was answered first stands, whatever has changed since.
	first, err := s.store.InspectionView(ctx, stored.ID)
	if err != nil {
		return Outcome{}, fmt.Errorf("read inspection %s again: %w", stored.ID, err)
	}
	out.Results, out.Sets = first.Results, first.Sets
	if out.Item, err = s.store.Item(ctx, stored.ItemID); err != nil {
		return Outcome{}, fmt.Errorf("read the item of inspection %s: %w", stored.ID, err)
	}
	return out, nil
}

// Preview judges what a submission holds so far and stores nothing.
func (s *Service) Preview(ctx context.Context, actor models.Actor, sub models.Submission) (Outcome, error) {
	a := arrival{actor: actor, sub: sub, received: models.Moment(s.now())}
	if err := checkSoFar(sub); err != nil {
		return Outcome{}, err
	}
	target, err := s.place(ctx, sub)
	var unknown *unknownSerialError
	if errors.As(err, &unknown) {
		if unknown.number != "" {
			return Outcome{}, models.Invalid("part.number", "unknown_number", "number", models.Shortened(unknown.number))
		}
		return Outcome{}, models.Invalid("serial", "unknown_serial", "serial", unknown.serial)
	}
	if err != nil {
		return Outcome{}, err
	}
	made, err := s.make(ctx, a, target)
	if err != nil {
		return Outcome{}, err
	}
	return Outcome{Placed: true, Inspection: made.Inspection, Results: made.Results, Sets: made.Sets, Item: target.Item}, nil
}
