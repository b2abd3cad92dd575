package capture

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/google/uuid"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

const largestDraft = 256 << 10

// SaveDraft keeps a submission in the making. version is the one the tablet
// last saw, 0 for a new draft; models.ErrStale says that another tablet has
// saved meanwhile, models.ErrConflict that it was submitted or set aside.
func (s *Service) SaveDraft(ctx context.Context, actor models.Actor, sub models.Submission, version int) (models.Draft, error) {
	if id, err := uuid.Parse(sub.ID); err != nil || id.String() != sub.ID {
		return models.Draft{}, models.Invalid("content.id", "bad_id")
	}
	serial, err := ident.Normalise(sub.Serial)
	if err != nil {
		return models.Draft{}, models.Invalid("content.serial", "serial_form", "serial", models.Shortened(sub.Serial))
	}
	if raw, err := json.Marshal(sub); err != nil || len(raw) > largestDraft {
		return models.Draft{}, models.Invalid("content", "too_large", "most", "256 KiB")
	}
	now := models.Moment(s.now())
	d := models.Draft{ID: sub.ID, Version: version + 1, Serial: serial, Kind: kindOf(serial), Stage: sub.Stage, PersonID: actor.PersonID, DeviceID: device(actor),
		Content: sub, CreatedAt: now, UpdatedAt: now}
	saved, err := s.store.SaveDraft(ctx, d, version)
	if err != nil {
		return models.Draft{}, fmt.Errorf("save draft of %s: %w", serial, err)
	}
	return saved, nil
}

func kindOf(serial string) string {
	for _, k := range kinds.Catalogue() {
		if byte(k.Letter) == serial[0] {
			return k.Name
		}
	}
	return ""
}

// TakeOver makes a draft the actor's: the tablet that had it sees that at its
// next save.
func (s *Service) TakeOver(ctx context.Context, actor models.Actor, id string) (models.Draft, error) {
	d, err := s.Draft(ctx, id)
	if err != nil {
		return models.Draft{}, err
	}
	expected := d.Version
	d.Version++
	d.PersonID, d.DeviceID, d.UpdatedAt = actor.PersonID, device(actor), models.Moment(s.now())
	taken, err := s.store.SaveDraft(ctx, d, expected)
	if err != nil {
		return models.Draft{}, fmt.Errorf("take over draft of %s: %w", d.Serial, err)
	}
	return taken, nil
}

// Draft finds one, open or closed.
func (s *Service) Draft(ctx context.Context, id string) (models.Draft, error) {
	d, err := s.store.Draft(ctx, id)
	if err != nil {
		return models.Draft{}, fmt.Errorf("find draft %s: %w", id, err)
	}
	return d, nil
}

// Drafts lists the open ones, newest first.
func (s *Service) Drafts(ctx context.Context) ([]models.Draft, error) {
	list, err := s.store.OpenDrafts(ctx)
	if err != nil {
		return nil, fmt.Errorf("list drafts: %w", err)
	}
	return list, nil
}

// SetAside closes a draft without submitting it; it stays readable by its id.
func (s *Service) SetAside(ctx context.Context, _ models.Actor, id string) error {
	if err := s.store.CloseDraft(ctx, id, models.Moment(s.now())); err != nil {
		return fmt.Errorf("set draft %s aside: %w", id, err)
	}
	return nil
}
