package finder

import (
	"context"
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

const (
	// fewestShuffles is how often what survives is shuffled at the least, and
	// enoughLarger how many as large differences end it: what is nothing is known
	// to be after some hundred.
	firstShuffles  = 1_000
	fewestShuffles = 10_000
	enoughLarger   = 20
)

// find asks all questions and keeps what survives.
func (a *Answer) find(ctx context.Context, all gathered) error {
	searched := append(slices.Clone(all.series), all.pooled...)
	bySeries := make([][]*question, len(searched))
	var questions []*question
	for i, s := range searched {
		for _, q := range all.ask(s) {
			a.Small += q.small
			if q.count() == 0 {
				continue
			}
			bySeries[i] = append(bySeries[i], q)
			questions = append(questions, q)
		}
	}
	// What is nothing is known to be after few, and so is what is found beside many
	// others.
	how := stats.Shuffling{Most: shufflesFor(len(questions), 1), Enough: enoughLarger, Seed: seed}
	few := how
	few.Most = firstShuffles
	var asked []*question
	var p []float64
	for i, q := range questions {
		if err := ctx.Err(); err != nil {
			return err
		}
		few.Seed = seed + uint64(i)
		if err := q.shuffle(q.series.values, few); err != nil {
			return err
		}
		if q.asked {
			asked, p = append(asked, q), append(p, q.chance().P)
			a.Cuts += q.count()
		}
	}
	a.Questions = len(asked)
	if len(asked) == 0 {
		return nil
	}
	discoveries, err := stats.FalseDiscovery(p, rate)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(discoveries, func(d stats.Discovery) bool { return d.Found }) {
		for i, q := range asked {
			if p[i] > 0.01 {
				continue
			}
			if err := q.shuffle(q.series.values, how); err != nil {
				return err
			}
			p[i] = q.chance().P
		}
		if discoveries, err = stats.FalseDiscovery(p, rate); err != nil {
			return err
		}
	}
	survived := map[*question]bool{}
	for i, d := range discoveries {
		if d.Found {
			survived[asked[i]] = true
		}
	}
	// Drawn anew: who was chosen for luck with the last ones is not chosen again.
	how.Most, how.Seed = shufflesFor(len(asked), len(survived)), seed+999_983
	// What is left of the rate for the cuts of a question that was found.
	left := rate * float64(len(survived)) / float64(len(asked))
	candidates := map[*series][]*candidate{}
	for i, s := range searched {
		for _, q := range bySeries[i] {
			if survived[q] {
				candidates[s] = append(candidates[s], q.candidates(left)...)
			}
		}
	}
	if err := a.foldAll(ctx, all, candidates, left, how); err != nil {
		return err
	}
	if a.Findings, err = focused(a.Findings, a.Questions); err != nil {
		return err
	}
	slices.SortStableFunc(a.Findings, func(x, y Finding) int {
		if d := math.Abs(y.Distance) - math.Abs(x.Distance); d != 0 {
			return int(math.Copysign(1, d))
		}
		return 0
	})
	return nil
}

// foldAll says what survived of each series. What several families do together and most
// of them do not tell is said of all of them and taken out of each; then comes what
// families do by themselves; and then what several do that this leaves.
func (a *Answer) foldAll(ctx context.Context, all gathered, candidates map[*series][]*candidate, left float64, how stats.Shuffling) error {
	rest := map[*series][]float64{}
	fold := func(s *series, list []*candidate) error {
		found, values, err := s.fold(ctx, list, left, how)
		if err != nil {
			return err
		}
		a.Findings, rest[s] = append(a.Findings, found...), values
		return nil
	}
	later := map[*series][]*candidate{}
	for _, p := range all.pooled {
		var first []*candidate
		for _, c := range candidates[p] {
			if p.leads(c, candidates) {
				first = append(first, c)
			} else {
				later[p] = append(later[p], c)
			}
		}
		if err := fold(p, first); err != nil {
			return err
		}
		p.takeFromFamilies(rest[p])
	}
	for _, s := range all.series {
		if err := fold(s, candidates[s]); err != nil {
			return err
		}
	}
	for _, p := range all.pooled {
		if err := p.standardise(rest); err != nil {
			return err
		}
		if err := fold(p, later[p]); err != nil {
			return err
		}
	}
	return nil
}

// shufflesFor is how often what survives is shuffled: five times as often as it
// takes for the least p of one question beside so many that are found to pass, so
// that none passes by luck of the drawing.
func shufflesFor(questions, found int) int {
	return max(fewestShuffles, int(math.Ceil(5.5*float64(questions)/(rate*float64(max(1, found))))))
}

// focused keeps what is found at the rate when only what is said counts as found:
// many cuts show one thing, and to count each of them would leave room for false
// ones beside it (focused BH: Katsevich, Sabatti and Bogomolov, Journal of the
// American Statistical Association 118, 2023).
func focused(findings []Finding, questions int) ([]Finding, error) {
	p := make([]float64, max(questions, len(findings)))
	for i := range p {
		p[i] = 1
	}
	for i, f := range findings {
		p[i] = f.P
	}
	if len(p) == 0 {
		return findings, nil
	}
	discoveries, err := stats.FalseDiscovery(p, rate)
	if err != nil {
		return nil, err
	}
	var out []Finding
	for i, f := range findings {
		if discoveries[i].Found {
			out = append(out, f)
		}
	}
	return out, nil
}
