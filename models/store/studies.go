package store

import (
	"context"
	"errors"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// AddStudy numbers a study and keeps it.
func (s *Store) AddStudy(ctx context.Context, stamp models.Stamp, study models.GaugeStudy) (models.GaugeStudy, error) {
	study.ID, study.PlannedAt, study.PlannedBy = orNewID(study.ID), settled(study.PlannedAt, stamp), orActor(study.PlannedBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var last int
		if err := tx.Model(&models.GaugeStudy{}).Select("coalesce(max(number), 0)").Scan(&last).Error; err != nil {
			return err
		}
		study.Number = last + 1
		if err := add(tx, &study); err != nil {
			return err
		}
		return enter(tx, stamp, study, "")
	})
	return study, fault(err, "add a gauge study")
}

// Studies lists every study, the newest first.
func (s *Store) Studies(ctx context.Context) ([]models.GaugeStudy, error) {
	return list[models.GaugeStudy](ctx, s, "list gauge studies", "number DESC", everything)
}

// StudyNumbered finds a study by its number, with what was read and how it ended.
func (s *Store) StudyNumbered(ctx context.Context, number int) (models.StudyView, error) {
	study, err := first[models.GaugeStudy](ctx, s, "find the gauge study", "number = ?", number)
	if err != nil {
		return models.StudyView{}, err
	}
	views, err := s.StudyViews(ctx, []models.GaugeStudy{study})
	if err != nil {
		return models.StudyView{}, err
	}
	return views[0], nil
}

// StudyViews gives studies with what was read and how they ended, in the order of
// the studies.
func (s *Store) StudyViews(ctx context.Context, studies []models.GaugeStudy) ([]models.StudyView, error) {
	if len(studies) == 0 {
		return nil, nil
	}
	views, at, ids := make([]models.StudyView, len(studies)), map[string]int{}, make([]string, len(studies))
	for i, study := range studies {
		views[i] = models.StudyView{Study: study, Strikes: map[string]models.StudyStrike{}}
		at[study.ID], ids[i] = i, study.ID
	}
	readings, err := list[models.StudyReading](ctx, s, "list readings of studies", "study_id, id", "study_id IN ?", ids)
	if err != nil {
		return nil, err
	}
	of := map[string]int{}
	for _, r := range readings {
		v := &views[at[r.StudyID]]
		v.Readings = append(v.Readings, r)
		of[r.ID] = at[r.StudyID]
	}
	strikes, err := list[models.StudyStrike](ctx, s, "list struck readings", "reading_id", "reading_id IN (SELECT id FROM study_readings WHERE study_id IN ?)", ids)
	if err != nil {
		return nil, err
	}
	for _, x := range strikes {
		views[of[x.ReadingID]].Strikes[x.ReadingID] = x
	}
	ends, err := list[models.StudyEnd](ctx, s, "list ends of studies", "study_id", "study_id IN ?", ids)
	if err != nil {
		return nil, err
	}
	for i := range ends {
		views[at[ends[i].StudyID]].End = &ends[i]
	}
	return views, nil
}

// AddStudyReading keeps a reading. The same one again is no change; a turn that
// was read meanwhile, and a study that has ended, are models.ErrStale; an id with
// another content is models.ErrConflict.
func (s *Store) AddStudyReading(ctx context.Context, stamp models.Stamp, r models.StudyReading) error {
	r.EnteredAt, r.EnteredBy = settled(r.EnteredAt, stamp), orActor(r.EnteredBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.runs(tx, r.StudyID); err != nil {
			return err
		}
		var before models.StudyReading
		switch err := tx.Where("id = ?", r.ID).Take(&before).Error; {
		case err == nil && before.StudyID == r.StudyID && before.Turn == r.Turn && before.Typed == r.Typed && before.TypedUnit == r.TypedUnit:
			return nil
		case err == nil:
			return fmt.Errorf("reading %s: %w", r.ID, models.ErrConflict)
		case !errors.Is(err, gorm.ErrRecordNotFound):
			return err
		}
		var standing int64
		err := tx.Model(&models.StudyReading{}).Where("study_id = ? AND turn = ? AND NOT EXISTS (SELECT 1 FROM study_strikes WHERE reading_id = study_readings.id)", r.StudyID, r.Turn).Count(&standing).Error
		if err != nil {
			return err
		}
		if standing > 0 {
			return fmt.Errorf("turn %d was read: %w", r.Turn+1, models.ErrStale)
		}
		if err := add(tx, &r); err != nil {
			return err
		}
		return enter(tx, stamp, r, "")
	})
	return fault(err, "add a reading of a study")
}

// runs locks a study and says models.ErrStale when it has ended.
func (s *Store) runs(tx *gorm.DB, studyID string) error {
	var study models.GaugeStudy
	if err := s.locked(tx).Where("id = ?", studyID).Take(&study).Error; err != nil {
		return err
	}
	var ended int64
	if err := tx.Model(&models.StudyEnd{}).Where("study_id = ?", studyID).Count(&ended).Error; err != nil {
		return err
	}
	if ended > 0 {
		return fmt.Errorf("study %d has ended: %w", study.Number, models.ErrStale)
	}
	return nil
}

// StrikeStudyReading takes a reading out of a study that runs; its turn is open
// again. One that is struck already is models.ErrConflict.
func (s *Store) StrikeStudyReading(ctx context.Context, stamp models.Stamp, x models.StudyStrike) error {
	x.StruckAt, x.StruckBy = settled(x.StruckAt, stamp), orActor(x.StruckBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var r models.StudyReading
		if err := tx.Where("id = ?", x.ReadingID).Take(&r).Error; err != nil {
			return err
		}
		if err := s.runs(tx, r.StudyID); err != nil {
			return err
		}
		if err := add(tx, &x); err != nil {
			return err
		}
		return enter(tx, stamp, x, "")
	})
	return fault(err, "strike a reading of a study")
}

// EndStudy ends a study, and with a budget that its figures go into keeps that in
// the same transaction. A study that has ended is models.ErrStale.
func (s *Store) EndStudy(ctx context.Context, stamp models.Stamp, end models.StudyEnd, budget *models.UncertaintyBudget) error {
	end.MadeAt, end.MadeBy = settled(end.MadeAt, stamp), orActor(end.MadeBy, stamp)
	if end.Figures == nil {
		end.Figures = []models.StudyFigure{}
	}
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.runs(tx, end.StudyID); err != nil {
			return err
		}
		if err := add(tx, &end); err != nil {
			return err
		}
		if err := enter(tx, stamp, end, ""); err != nil {
			return err
		}
		if budget == nil {
			return nil
		}
		return addBudget(tx, stamp, *budget)
	})
	return fault(err, "end a study")
}

// Budgets lists every budget of uncertainty, the newest of each first; of all
// families for "".
func (s *Store) Budgets(ctx context.Context, familyID string) ([]models.UncertaintyBudget, error) {
	if familyID == "" {
		return list[models.UncertaintyBudget](ctx, s, "list budgets", "family_id, result, revision DESC", everything)
	}
	return list[models.UncertaintyBudget](ctx, s, "list budgets", "result, revision DESC", "family_id = ?", familyID)
}

// Budget finds one revision by its id.
func (s *Store) Budget(ctx context.Context, id string) (models.UncertaintyBudget, error) {
	return first[models.UncertaintyBudget](ctx, s, "find the budget", "id = ?", id)
}

// AddBudget adds the next revision; models.ErrConflict when another came first.
func (s *Store) AddBudget(ctx context.Context, stamp models.Stamp, b models.UncertaintyBudget) error {
	err := s.changing(ctx, func(tx *gorm.DB) error { return addBudget(tx, stamp, b) })
	return fault(err, "add revision %d of the budget of %s", b.Revision, b.Result)
}

func addBudget(tx *gorm.DB, stamp models.Stamp, b models.UncertaintyBudget) error {
	b.ID, b.MadeAt, b.MadeBy = orNewID(b.ID), settled(b.MadeAt, stamp), orActor(b.MadeBy, stamp)
	var revision int
	if err := tx.Model(&models.UncertaintyBudget{}).Where("family_id = ? AND result = ?", b.FamilyID, b.Result).Select("coalesce(max(revision), 0)").Scan(&revision).Error; err != nil {
		return err
	}
	if b.Revision != revision+1 {
		return fmt.Errorf("revision %d does not follow %d: %w", b.Revision, revision, models.ErrConflict)
	}
	if err := add(tx, &b); err != nil {
		return err
	}
	return enter(tx, stamp, b, "")
}
