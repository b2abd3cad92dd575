package release

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/trade/flow"
	"tracewright/models/trade/kinds"
)

// candidate is the item with the inspection that would be certified.
type candidate struct {
	item   models.Item
	family models.Family
	judged *models.InspectionView
	// concession is the newest of the item; nil for none.
	concession *models.Concession
	blocking   []models.Remark
}

// Gate says what keeps an item from being released, in the order: what was
// not measured or has failed, the state, a hold, turns made since and a stop, a part, a charge, carriage, an instrument. An empty list is release.
func (s *Service) Gate(ctx context.Context, itemID string) ([]models.Remark, error) {
	item, err := s.item(ctx, itemID)
	if err != nil {
		return nil, err
	}
	return s.GateOf(ctx, item)
}

// GateOf is Gate of an item that was just read.
func (s *Service) GateOf(ctx context.Context, item models.Item) ([]models.Remark, error) {
	c, err := s.candidate(ctx, item, false)
	if err != nil {
		return nil, err
	}
	return c.blocking, nil
}

func (s *Service) item(ctx context.Context, id string) (models.Item, error) {
	item, err := s.store.Item(ctx, id)
	if err != nil {
		return models.Item{}, fmt.Errorf("find item %s: %w", id, err)
	}
	return item, nil
}

// candidate takes the newest standing inspection at a stage that judges: an
// item is certified by what was found last, never by an earlier pass. Its
// readings are read when it is to be certified, or to tell what failed.
func (s *Service) candidate(ctx context.Context, item models.Item, whole bool) (candidate, error) {
	c := candidate{item: item}
	if c.item.FamilyID == nil || c.item.ProductID == nil || c.item.Serial == nil {
		c.block("no_specification")
		return c, nil
	}
	var inspections []models.Inspection
	err := s.store.Together(ctx, func(ctx context.Context) (err error) {
		if c.family, err = s.store.Family(ctx, *c.item.FamilyID); err != nil {
			return fmt.Errorf("family of %s: %w", c.item.Name(), err)
		}
		return nil
	}, func(ctx context.Context) (err error) {
		if inspections, err = s.store.InspectionsOf(ctx, c.item.ID); err != nil {
			return fmt.Errorf("inspections of %s: %w", c.item.Name(), err)
		}
		return nil
	}, func(ctx context.Context) error {
		switch concession, err := s.store.ConcessionOf(ctx, c.item.ID); {
		case err == nil:
			c.concession = &concession
		case !errors.Is(err, models.ErrNotFound):
			return fmt.Errorf("concession of %s: %w", c.item.Name(), err)
		}
		return nil
	})
	if err != nil {
		return c, err
	}
	kind, ok := kinds.Named(c.family.Kind)
	if !ok {
		c.block("no_specification")
		return c, nil
	}
	if i := kind.Judged(inspections); i != nil {
		c.judged = &models.InspectionView{Inspection: *i}
		if whole || i.Verdict == models.VerdictFail || i.Verdict == models.VerdictIncomplete {
			view, err := s.store.InspectionView(ctx, i.ID)
			if err != nil {
				return c, fmt.Errorf("inspection %s: %w", i.ID, err)
			}
			c.judged = &view
		}
	}
	err = s.blockBy(ctx, &c, blockByVerdict, s.blockByState, s.blockByRevision, s.blockByHolds, s.blockByTurns, s.blockByStop, s.blockByPartsAside, s.blockByPartsElsewhere, s.blockByLots,
		s.blockByRemovals, s.blockByBlocks, s.blockByCharge, s.blockByCarriage, blockByInstruments, s.blockByName)
	if err == nil && len(c.blocking) == 0 && c.item.State == models.StateInProcess { // It passed, and came back or was opened since.
		c.block("not_read_since")
	}
	return c, err
}

// blockBy asks at the same time what may hold an item back; the reasons stand in the
// order of the questions.
func (s *Service) blockBy(ctx context.Context, c *candidate, blocks ...func(context.Context, *candidate) error) error {
	found, parts := make([]candidate, len(blocks)), make([]func(context.Context) error, len(blocks))
	for i, block := range blocks {
		found[i] = *c
		parts[i] = func(ctx context.Context) error { return block(ctx, &found[i]) }
	}
	if err := s.store.Together(ctx, parts...); err != nil {
		return err
	}
	for _, f := range found {
		c.blocking = append(c.blocking, f.blocking...)
	}
	return nil
}

func (c *candidate) block(code string, values ...string) {
	c.blocking = append(c.blocking, models.NewRemark(code, values...))
}

// blockByVerdict holds back what was not inspected, or was and has results that are
// missing or failed. What fails under a concession for that very inspection does
// not.
func blockByVerdict(_ context.Context, c *candidate) error {
	if c.judged == nil {
		c.block("not_inspected")
		return nil
	}
	i := c.judged.Inspection
	if i.Verdict == models.VerdictPass || i.Verdict == models.VerdictProvisional {
		return nil
	}
	var required []string
	verdicts, unmet := map[string]string{}, map[string][]models.Result{}
	for _, r := range c.judged.Results {
		if r.Verdict == models.VerdictNone {
			continue
		}
		if _, there := verdicts[r.Code]; !there {
			required = append(required, r.Code)
		}
		if models.Worse(r.Verdict, verdicts[r.Code]) {
			verdicts[r.Code] = r.Verdict // The worst of its positions.
		}
		if !models.Accepted(r.Verdict) {
			unmet[r.Code] = append(unmet[r.Code], r)
		}
	}
	missing := map[string]models.Remark{}
	for _, r := range i.Remarks {
		if r.Code == "not_measured" || r.Code == "result_missing" {
			name := r.Values["characteristic"] + r.Values["result"]
			required, missing[name] = append(required, name), r
		}
	}
	named := false
	for _, u := range flow.UnmetOf(required, verdicts, c.concession.Covers(i.ID)) {
		named = true
		if u.Why == flow.Missing {
			r := missing[u.Result]
			c.block(r.Code, "characteristic", r.Values["characteristic"], "result", r.Values["result"])
			continue
		}
		code := "result_failed"
		if u.Why == flow.Approval {
			code = "result_undecided"
		}
		for _, r := range unmet[u.Result] {
			c.block(code, "result", r.Code, "value", r.Value, "unit", r.Unit)
		}
	}
	if i.Verdict != models.VerdictFail && !named && len(unmet) == 0 { // What a concession covers was judged.
		c.block("not_judged")
	}
	return nil
}

// blockByState holds back what a disposition of the item waits for, and what is
// gone.
func (s *Service) blockByState(ctx context.Context, c *candidate) error {
	if flow.Allows(c.item.State, flow.Release) || flow.Allows(c.item.State, flow.Revise) || c.item.State == models.StateHeld || c.item.State == models.StateInProcess {
		return nil // What keeps those back is said by what they lack, and by holds.
	}
	v, err := s.store.OpenNonconformity(ctx, c.item.ID)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return fmt.Errorf("nonconformity of %s: %w", c.item.Name(), err)
	}
	c.block("waits_in_state", "state", c.item.State, "number", v.Number)
	return nil
}

// blockByRevision holds an inspection against a newer specification only where one
// applies to stock; one that came after it and does not takes nothing back.
func (s *Service) blockByRevision(ctx context.Context, c *candidate) error {
	if c.judged == nil {
		return nil
	}
	newer, err := s.store.SpecificationForStock(ctx, c.judged.Inspection.SpecificationID, c.family.ID, c.item.ProductID)
	if errors.Is(err, models.ErrNotFound) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("specifications for %s: %w", c.item.Name(), err)
	}
	c.block("specification_newer", "revision", fmt.Sprint(newer.Revision))
	return nil
}

func (s *Service) blockByHolds(ctx context.Context, c *candidate) error {
	holds, err := s.store.OpenHolds(ctx, c.item.ID)
	if err != nil {
		return fmt.Errorf("holds on %s: %w", c.item.Name(), err)
	}
	for _, h := range holds {
		c.block("on_hold", "code", h.Code, "reason", h.Reason)
	}
	return nil
}

// blockByTurns holds back a wheel that was turned since it was judged.
func (s *Service) blockByTurns(ctx context.Context, c *candidate) error {
	if c.item.Kind != models.KindWheel || c.judged == nil {
		return nil
	}
	done, err := s.store.TurnsOf(ctx, c.item.ID)
	if err != nil {
		return fmt.Errorf("turns of %s: %w", c.item.Name(), err)
	}
	read, err := models.FirstRead(ctx, c.judged.Inspection, s.store.Inspection)
	if err != nil {
		return err
	}
	if models.TurnedSince(done, read) {
		c.block("turned_since")
	}
	return nil
}

// blockByStop holds back a wheel whose newest readings contradict the turns made
// before them: until a person has said what happened, and, where it was the
// readings, until they are taken again.
func (s *Service) blockByStop(ctx context.Context, c *candidate) error {
	if c.item.Kind != models.KindWheel {
		return nil
	}
	stop, err := s.store.TurnStopOf(ctx, c.item.ID)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return fmt.Errorf("turns of %s: %w", c.item.Name(), err)
	}
	if code := stop.Keeps(); err == nil && code != "" {
		c.block(code)
	}
	return nil
}

func blockByInstruments(_ context.Context, c *candidate) error {
	if c.judged == nil {
		return nil
	}
	for _, r := range c.judged.Inspection.Remarks {
		if r.Code == "instrument_out" || r.Code == "overdue_blocked" {
			c.block(r.Code, "instrument", r.Values["instrument"])
		}
	}
	return nil
}

// blockByName holds back what nobody would stand behind on paper.
func (s *Service) blockByName(ctx context.Context, c *candidate) error {
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return fmt.Errorf("settings of the shop: %w", err)
	}
	if settings[models.SettingShopName] == "" {
		c.block("shop_name_missing")
	}
	return nil
}
