package studies

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/spc"
)

// What a study may be at most, and what it is where nobody says: ten items read
// twice by three persons; common practice, no source.
const (
	mostPersons = 10
	mostItems   = 60
	mostTurns   = 1000
	longestName = 40
	longestNote = 300
)

// Usual is how often and how many, by design.
var Usual = map[string]struct{ Items, Repeats int }{
	models.StudyCrossed:   {10, 2},
	models.StudyBias:      {1, 10},
	models.StudyLinearity: {5, 3},
	models.StudyStability: {1, spc.FewestForLimits},
}

// Designs lists the designs, the usual one first.
func Designs() []string {
	return []string{models.StudyCrossed, models.StudyBias, models.StudyLinearity, models.StudyStability}
}

// Plan is a study as it is asked for.
type Plan struct {
	Design     string
	Instrument string // code
	FamilyID   string
	Result     string // code: lateral_tir
	Persons    []string
	Items      []models.StudyItem
	Repeats    int   // 0: the usual
	Seed       int64 // 0: one of chance
	Note       string
}

// Studied is a result of a specification that a gauge reads directly: what is typed
// is in a unit that can be turned into the result's.
type Studied struct {
	Characteristic models.Characteristic
	Limit          models.Limit
	Units          []string // a reading may be typed in, the result's own first
}

// StudiedOf lists the results of a specification that a study can be about: limited
// ones, for without a tolerance nothing says whether the gauge is good enough.
func StudiedOf(spec models.Specification) []Studied {
	var out []Studied
	for _, c := range spec.Characteristics {
		if c.Form != models.Measured {
			continue
		}
		for _, l := range c.Results {
			if !l.HasLimit() {
				continue
			}
			var units []string
			for _, u := range c.Units {
				if u != l.Unit && measure.Convertible(measure.Unit(u), measure.Unit(l.Unit)) {
					units = append(units, u)
				}
			}
			if slices.Contains(c.Units, l.Unit) || len(units) > 0 {
				out = append(out, Studied{Characteristic: c, Limit: l, Units: append([]string{l.Unit}, units...)})
			}
		}
	}
	return out
}

// Plan plans a study. The tolerance is that of the family's specification in force.
func (s *Service) Plan(ctx context.Context, actor models.Actor, in Plan) (View, error) {
	invalid := &models.InvalidError{}
	study := models.GaugeStudy{ID: models.NewID(), Design: in.Design, FamilyID: in.FamilyID, Result: in.Result, Note: models.Trimmed(in.Note), Repeats: in.Repeats, Seed: in.Seed}
	usual, ok := Usual[in.Design]
	if !ok {
		invalid.Add("design", "unknown_choice", "typed", models.Shortened(in.Design))
	}
	if study.Repeats == 0 {
		study.Repeats = usual.Repeats
	}
	if study.Seed == 0 {
		study.Seed = s.seed()
	}
	invalid.Lines("note", study.Note, longestNote)
	about, err := s.about(ctx, invalid, &study)
	if err != nil {
		return View{}, err
	}
	instrument, err := known(invalid, "instrument", "unknown_instrument", in.Instrument, func() (models.Instrument, error) { return s.instrument(ctx, strings.TrimSpace(in.Instrument)) })
	if err != nil {
		return View{}, err
	}
	study.InstrumentID = instrument.ID
	if about != nil && instrument.ID != "" && instrument.Kind != about.Characteristic.Instrument {
		invalid.Add("instrument", "wrong_instrument", "instrument", instrument.Code)
	}
	if instrument.State == models.InstrumentRetired {
		invalid.Add("instrument", "instrument_retired", "instrument", instrument.Code)
	}
	if study.Persons, err = s.persons(ctx, invalid, in); err != nil {
		return View{}, err
	}
	study.Items = items(invalid, in)
	sizes(invalid, study)
	if err := invalid.OrNil(); err != nil {
		return View{}, err
	}
	study.Turns = orderOf(study.Design, len(study.Persons), len(study.Items), study.Repeats, study.Seed)
	stamp := models.NewStamp(actor, s.now())
	added, err := s.store.AddStudy(ctx, stamp, study)
	if errors.Is(err, models.ErrConflict) { // Another took the number meanwhile.
		added, err = s.store.AddStudy(ctx, stamp, study)
	}
	if err != nil {
		return View{}, fmt.Errorf("plan a gauge study: %w", err)
	}
	return s.Study(ctx, added.Number)
}

// about fills in what the specification in force says of the result; nil where
// there is no such result, which is noted.
func (s *Service) about(ctx context.Context, invalid *models.InvalidError, study *models.GaugeStudy) (*Studied, error) {
	spec, err := known(invalid, "family", "unknown_family", study.FamilyID, func() (models.Specification, error) {
		return s.store.SpecificationInForce(ctx, study.FamilyID, nil)
	})
	if err != nil {
		return nil, fmt.Errorf("specification in force: %w", err)
	}
	if spec.ID == "" {
		return nil, nil
	}
	for _, x := range StudiedOf(spec) {
		if x.Limit.Result == study.Result {
			study.SpecificationID, study.Characteristic, study.Unit, study.Units = spec.ID, x.Characteristic.Code, x.Limit.Unit, x.Units
			study.Low, study.High = x.Limit.Low, x.Limit.High
			return &x, nil
		}
	}
	invalid.Add("result", "study_result", "result", models.Shortened(study.Result))
	return nil, nil
}

// persons checks who takes part: people of the shop who may record.
func (s *Service) persons(ctx context.Context, invalid *models.InvalidError, in Plan) ([]string, error) {
	people, err := s.store.People(ctx)
	if err != nil {
		return nil, fmt.Errorf("people: %w", err)
	}
	var out []string
	for i, id := range in.Persons {
		at := fmt.Sprintf("persons[%d]", i)
		k := slices.IndexFunc(people, func(p models.Person) bool { return p.ID == id })
		switch {
		case k < 0 || !people[k].Active || !models.Permitted(people[k].Role, models.ActRecord):
			invalid.Add(at, "unknown_person")
		case slices.Contains(out, id):
			invalid.Add(at, "listed_twice", "code", people[k].Name)
		default:
			out = append(out, id)
		}
	}
	least := 1
	if in.Design == models.StudyCrossed {
		least = 2 // One person's share cannot be told from the gauge's.
	}
	count(invalid, "persons", len(in.Persons), least, mostPersons)
	return out, nil
}

// items checks what is read, and the references of those that need one.
func items(invalid *models.InvalidError, in Plan) []models.StudyItem {
	withReference := in.Design == models.StudyBias || in.Design == models.StudyLinearity
	out := make([]models.StudyItem, 0, len(in.Items))
	for i, x := range in.Items {
		at := fmt.Sprintf("items[%d]", i)
		x.Name, x.Reference = models.OneLine(x.Name), strings.TrimSpace(x.Reference)
		invalid.Line(at+".name", x.Name, longestName)
		switch {
		case x.Name == "":
			invalid.Add(at+".name", "missing")
		case slices.ContainsFunc(out, func(other models.StudyItem) bool { return strings.EqualFold(other.Name, x.Name) }):
			invalid.Add(at+".name", "listed_twice", "code", x.Name)
		}
		if x.Reference != "" {
			d, err := measure.ParseReading(x.Reference)
			if err != nil {
				invalid.Add(at+".reference", "not_a_number", "typed", models.Shortened(x.Reference))
			} else {
				x.Reference = d.String()
			}
		} else if withReference {
			invalid.Add(at+".reference", "reference_needed")
		}
		out = append(out, x)
	}
	switch in.Design {
	case models.StudyCrossed:
		count(invalid, "items", len(in.Items), 2, mostItems)
	case models.StudyLinearity:
		count(invalid, "items", len(in.Items), 2, mostItems)
		if len(out) > 1 && !slices.ContainsFunc(out, func(x models.StudyItem) bool { return x.Reference != out[0].Reference }) {
			invalid.Add("items", "references_differ")
		}
	default:
		count(invalid, "items", len(in.Items), 1, 1)
	}
	return out
}

// sizes refuses too few or too many readings.
func sizes(invalid *models.InvalidError, study models.GaugeStudy) {
	least := map[string]int{models.StudyCrossed: 2, models.StudyBias: 2, models.StudyLinearity: 1, models.StudyStability: 3}[study.Design]
	count(invalid, "repeats", study.Repeats, least, 100)
	if study.Design == models.StudyLinearity && len(study.Items) > 1 && study.Repeats > 0 && study.Repeats*len(study.Items) < 3 {
		invalid.Add("repeats", "too_small", "least", "2")
	}
	n := len(study.Items) * study.Repeats
	if study.Design == models.StudyCrossed {
		n *= len(study.Persons)
	}
	if n > mostTurns {
		invalid.Add("repeats", "too_many_turns", "n", fmt.Sprint(n), "most", fmt.Sprint(mostTurns))
	}
}

func count(invalid *models.InvalidError, field string, n, least, most int) {
	switch {
	case n < least:
		invalid.Add(field, "too_small", "least", fmt.Sprint(least))
	case n > most:
		invalid.Add(field, "too_big", "most", fmt.Sprint(most))
	}
}
