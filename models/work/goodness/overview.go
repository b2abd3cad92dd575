package goodness

import (
	"context"
	"fmt"

	"tracewright/models"
)

// Overview is every result of a family side by side.
type Overview struct {
	Query   Query
	Family  models.Family
	Product *models.Product
	Results []ResultLine // in the order of the specification
	Rounds  *Share       // of wheels
}

// ResultLine is one result in short.
type ResultLine struct {
	Result string
	Limit  models.Limit // as the specification says now
	Ticked bool
	Share  Share
	// Limits is how many different limits the values were judged by; with one, Judged
	// is it.
	Limits int
	Judged Limits
}

// Overview answers for all results of a family at once, those with a limit or a tick.
func (s *Service) Overview(ctx context.Context, q Query) (Overview, error) {
	q, family, product, err := s.settled(ctx, q, false)
	if err != nil {
		return Overview{}, fmt.Errorf("how good in family %.40q: %w", q.FamilyID, err)
	}
	out := Overview{Query: q, Family: family, Product: product}
	specification, err := s.store.SpecificationInForce(ctx, family.ID, idOf(product))
	if err != nil {
		return Overview{}, fmt.Errorf("specification of family %s: %w", family.Name, err)
	}
	counts, err := s.store.ResultShares(ctx, q.measured(family.Kind))
	if err != nil {
		return Overview{}, fmt.Errorf("shares of family %s: %w", family.Name, err)
	}
	by := map[string]models.ResultShare{}
	for _, c := range counts {
		by[c.Code] = c
	}
	for _, c := range specification.Characteristics {
		for _, l := range c.Results {
			found := by[l.Result]
			if !ticked(c) && !l.HasLimit() && found.Limits <= 1 && found.Low == "" && found.High == "" {
				continue
			}
			line := ResultLine{Result: l.Result, Limit: l, Ticked: ticked(c), Limits: found.Limits, Judged: Limits{found.Low, found.High, found.N}}
			if line.Share, err = shareOf(found.Below+found.Above+found.Failed, found.N); err != nil {
				return Overview{}, fmt.Errorf("share of %s: %w", l.Result, err)
			}
			out.Results = append(out.Results, line)
		}
	}
	if family.Kind == models.KindWheel {
		rounds, err := s.rounds(ctx, q, family.Kind)
		if err != nil {
			return Overview{}, err
		}
		out.Rounds = &rounds
	}
	return out, nil
}

// ticked says whether what is asked has an answer and no value.
func ticked(c models.Characteristic) bool { return c.Form == models.Ticked || c.Form == models.Chosen }

// Answered lists the results of a specification that this package answers for: those that are
// numbers of a whole item, then those that are ticked, each in its order.
func Answered(specification models.Specification, kind string) []string {
	out := Measurable(specification, kind)
	for _, c := range specification.Characteristics {
		if ticked(c) {
			for _, l := range c.Results {
				out = append(out, l.Result)
			}
		}
	}
	return out
}

// Measurable lists the results of a specification that are numbers of a whole item, in
// its order.
func Measurable(specification models.Specification, kind string) []string {
	var out []string
	for _, c := range specification.Characteristics {
		if c.Form != models.Measured && c.Form != models.Counted {
			continue
		}
		for _, l := range c.Results {
			// Of a pack these stand at each of its blocks.
			if kind == models.KindPack && (l.Result == "block_ocv25" || l.Result == "block_soc" || l.Result == "block_r25") {
				continue
			}
			out = append(out, l.Result)
		}
	}
	return out
}
