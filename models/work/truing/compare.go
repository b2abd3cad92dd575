package truing

import (
	"context"
	"errors"
	"fmt"
	"math"

	"tracewright/models"
	"tracewright/models/trade/wheel"
)

// noise is what a reading of a workshop's gauges scatters by, sd: 0.015 mm,
// and 2.5 % of 1000 N. Common practice, no source.
var noise = wheel.Noise{RunOutMM: 0.015, TensionN: 25}

// Compare holds the readings of an inspection against the turns that were made
// since the list before it, where one is open, and stores what they say. An
// inspection that was compared already, that is not of every hole, or whose
// item has no open list changes nothing.
func (s *Service) Compare(ctx context.Context, actor models.Actor, inspectionID string) error {
	of, err := s.subject(ctx, inspectionID)
	if err == nil {
		err = s.compareIfOpen(ctx, actor, of)
	}
	if err != nil {
		return fmt.Errorf("compare inspection %s with its turn list: %w", inspectionID, err)
	}
	return nil
}

// compareIfOpen compares a correction with the list that the corrected readings
// were compared with, and other readings with the item's open list where that
// was made from earlier ones.
func (s *Service) compareIfOpen(ctx context.Context, actor models.Actor, of subject) error {
	inspection := of.view.Inspection
	if len(of.notWheel) > 0 || inspection.SupersededBy != nil {
		return nil
	}
	listID, err := s.listBefore(ctx, of)
	if err != nil || listID == "" {
		return err
	}
	if _, err := s.store.TurnStop(ctx, inspection.ID); !errors.Is(err, models.ErrNotFound) {
		return err // Compared before, or a fault of the database.
	}
	list, err := s.store.TurnListByID(ctx, listID)
	if err != nil {
		return err
	}
	if list.InspectionID == inspection.ID {
		return nil
	}
	was, err := s.corrected(ctx, list.InspectionID)
	if err != nil || was.Inspection.ID == inspection.ID || was.Inspection.ItemID != inspection.ItemID || !inspection.MeasuredAt.After(was.Inspection.MeasuredAt) {
		return err
	}
	return s.compare(ctx, actor, of, list, was)
}

// listBefore gives the key of the list that readings are to be held against,
// empty for none.
func (s *Service) listBefore(ctx context.Context, of subject) (string, error) {
	if old := of.view.Inspection.Supersedes; old != nil {
		before, err := s.store.TurnStop(ctx, *old)
		if err == nil && before.Round.ItemID == of.item.ID {
			return before.Round.TurnListID, nil
		}
		if err != nil && !errors.Is(err, models.ErrNotFound) {
			return "", err
		}
	}
	if of.item.TurnsOpen != nil {
		return *of.item.TurnsOpen, nil
	}
	return "", nil
}

// corrected gives an inspection, or what took its place: the readings that a
// list was made from may have been corrected since, or moved to another wheel.
func (s *Service) corrected(ctx context.Context, id string) (models.InspectionView, error) {
	view, err := s.store.InspectionView(ctx, id)
	for err == nil && view.Inspection.SupersededBy != nil {
		view, err = s.store.InspectionView(ctx, *view.Inspection.SupersededBy)
	}
	return view, err
}

func (s *Service) compare(ctx context.Context, actor models.Actor, of subject, list models.TurnList, was models.InspectionView) error {
	plan, err := decoded(list)
	if err != nil {
		return err
	}
	form, err := s.store.ProductRevision(ctx, *was.Inspection.ProductID, plan.ProductRevision)
	if err != nil {
		return err
	}
	w := form.Form.Wheel
	if w.Holes != of.wheel.Holes {
		return nil // Another wheel, as far as the model goes.
	}
	after, missing, err := readAll(of.view, w.Holes)
	if err != nil || len(missing) > 0 {
		return err // The list stays open until every hole is read again.
	}
	before, missing, err := readAll(was, w.Holes)
	if err != nil || len(missing) > 0 {
		return err
	}
	done, err := s.store.TurnsDone(ctx, list.ID)
	if err != nil {
		return err
	}
	made := standing(done)
	read, err := models.FirstRead(ctx, of.view.Inspection, s.store.Inspection)
	if err != nil {
		return err
	}
	if len(made) == 0 || models.TurnedSince(done, read) {
		return nil // Nothing was turned, or more was since: the next readings show it.
	}
	pair := pair{plan: plan, form: *w, before: before, after: after, made: made}
	round, learned, err := pair.compare()
	if err != nil {
		return err
	}
	round.Of = was.Inspection.ID
	by := actor.PersonID
	if by == "" {
		by = of.view.Inspection.PersonID
	}
	content, hash, err := encoded(round)
	if err != nil {
		return err
	}
	stamp := models.NewStamp(actor, s.now())
	record := models.TurnRound{InspectionID: of.view.Inspection.ID, TurnListID: list.ID, ItemID: of.item.ID, RimType: list.RimType,
		Teaches: !learned.Stop && (round.Lateral.Told || round.Radial.Told || round.Tension.Told), Stop: learned.Stop, Content: content, ContentHash: hash, ComparedBy: by, ComparedAt: stamp.At}
	if learned.Stop {
		record.Cause = round.Stop.Cause
	} else {
		record.LateralScale, record.RadialScale, record.TensionScale = taught(round.Lateral, plan.Learned.Lateral), taught(round.Radial, plan.Learned.Radial), taught(round.Tension, plan.Learned.Tension)
	}
	err = s.store.AddTurnRound(ctx, stamp, record)
	if errors.Is(err, models.ErrConflict) {
		return nil // Compared by another request meanwhile.
	}
	return err
}

// taught is the scale of a channel against the model as built: the one found
// times the one that the prediction was made with already, held within what a
// round may teach. A channel that changed too little to tell teaches nothing.
func taught(f Fit, used float64) *float64 {
	if !f.Told {
		return nil
	}
	scale := math.Max(wheel.LeastScale, math.Min(wheel.MostScale, f.Scale*used))
	return &scale
}

// pair is two sets of readings with the turns made between them.
type pair struct {
	plan          *Plan
	form          models.WheelForm
	before, after taken
	made          []Done
}

// compare predicts what the turns that were made should have done, with the
// model and what was learned as the list was made with, and weighs it.
func (p pair) compare() (Round, wheel.Learned, error) {
	b, err := build(p.form, p.plan.ModelTension)
	if err != nil {
		return Round{}, wheel.Learned{}, err
	}
	model, err := wheel.NewModel(b)
	if err != nil {
		return Round{}, wheel.Learned{}, err
	}
	influence := model.Influence().Scaled(p.plan.Learned.Lateral, p.plan.Learned.Radial, p.plan.Learned.Tension)
	list, err := p.plan.named(p.made[0].List)
	if err != nil {
		return Round{}, wheel.Learned{}, err
	}
	turns := make([]float64, p.form.Holes)
	for _, d := range p.made {
		t := list.Turns[d.N-1]
		turns[t.Spoke] += t.Turns
	}
	predicted, err := influence.Of(turns)
	if err != nil {
		return Round{}, wheel.Learned{}, err
	}
	var f figures
	target := f.of("dish target", p.form.DishTarget)
	if f.err != nil {
		return Round{}, wheel.Learned{}, f.err
	}
	before, after := p.sides(target)
	observed := wheel.Changed{Lateral: less(after.Lateral, before.Lateral), Radial: less(after.Radial, before.Radial), Tension: less(after.Tension, before.Tension)}
	learned, err := learn(predicted, observed, before.ZeroKept && after.ZeroKept)
	if err != nil {
		return Round{}, wheel.Learned{}, err
	}
	round := Round{Version: planVersion, List: p.made[0].List, Turned: len(p.made), Listed: len(list.Turns), Before: p.plan.Before,
		Lateral: fit(learned.Lateral, predicted.Lateral, noise.RunOutMM), Radial: fit(learned.Radial, shifted(predicted.Radial, -average(predicted.Radial)), noise.RunOutMM),
		Tension: fit(learned.Tension, predicted.Tension, noise.TensionN)}
	if round.Predicted, err = condition(less(before.Lateral, negative(predicted.Lateral)), less(before.Radial, negative(predicted.Radial)), less(before.Tension, negative(predicted.Tension))); err != nil {
		return Round{}, wheel.Learned{}, err
	}
	if round.Observed, err = condition(after.Lateral, after.Radial, after.Tension); err != nil {
		return Round{}, wheel.Learned{}, err
	}
	ways, err := wheel.Explain(influence, turns, before, after, noise)
	if err != nil {
		return Round{}, wheel.Learned{}, err
	}
	if learned.Stop = learned.Stop || wheel.Outdone(ways); learned.Stop {
		round.Stop = stopOf(ways, rounded(Readings(predicted)), rounded(Readings(observed)))
	}
	return round, learned, nil
}

// sides gives both readings, lateral referred to the dish where both times the
// dish was read.
func (p pair) sides(target float64) (before, after wheel.Before) {
	kept := p.before.dish != nil && p.after.dish != nil
	before = wheel.Before{Lateral: p.before.toDish(target), Radial: p.before.Radial, Tension: p.before.Tension, ZeroKept: kept}
	after = wheel.Before{Lateral: p.after.toDish(target), Radial: p.after.Radial, Tension: p.after.Tension, ZeroKept: kept}
	return before, after
}

// learn compares the changes; without the dish of both times the mean of the
// lateral one says nothing.
func learn(predicted, observed wheel.Changed, zeroKept bool) (wheel.Learned, error) {
	if !zeroKept {
		predicted.Lateral = shifted(predicted.Lateral, -average(predicted.Lateral))
		observed.Lateral = shifted(observed.Lateral, -average(observed.Lateral))
	}
	return wheel.Learn(predicted, observed, noise)
}

func fit(f wheel.ScaleFit, predicted []float64, sd float64) Fit {
	square := 0.0
	for _, v := range predicted {
		square += v * v
	}
	return Fit{Scale: f.Scale, Correlation: f.Correlation, Told: math.Sqrt(square/float64(len(predicted))) > 3*math.Sqrt2*sd}
}

func less(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range out {
		out[i] = a[i] - b[i]
	}
	return out
}

func negative(a []float64) []float64 {
	out := make([]float64, len(a))
	for i := range out {
		out[i] = -a[i]
	}
	return out
}
