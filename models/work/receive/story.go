package receive

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/genealogy"
)

// Story is everything about one lot.
type Story struct {
	Lot      models.Lot
	Material models.Material
	models.LotRecords
	Totals   models.LotTotals
	Decision *models.LotDecision // the newest, nil for none
	Stops    []models.LotStop    // why it may not be fitted, none: it may
	Balance  *Balance            // nil where nobody said how many came
	Look     *Sample             // what is still to be looked at, nil for nothing
	Codes    map[string]string   // of the lots that its mixes name, by key
}

// Bin says whether it is a mix of other lots.
func (s *Story) Bin() bool { return len(s.Contents) > 0 }

// Since is the key of the decision that holds, empty for none.
func (s *Story) Since() string {
	if s.Decision == nil {
		return ""
	}
	return s.Decision.ID
}

// Check is the newest incoming inspection, nil for none.
func (s *Story) Check() *models.LotCheck {
	if n := len(s.Checks); n > 0 {
		return &s.Checks[n-1]
	}
	return nil
}

// Balance is what a lot adds up to, and which questions are open.
type Balance struct {
	genealogy.Balance // with the newest count, where there is one
	Count             *models.LotCount
	Explained         *models.LotExplanation // of that count
	// Beyond is how many more were used than came; Unexplained how many of them
	// nobody has explained.
	Beyond, Unexplained int
}

// Open says whether the newest count differs and nobody has said why.
func (b *Balance) Open() bool {
	return b.Count != nil && b.Count.Difference() != 0 && b.Explained == nil
}

// Story tells everything about a lot, named by its code.
func (s *Service) Story(ctx context.Context, code string) (Story, error) {
	lot, err := s.lot(ctx, code)
	if err != nil {
		return Story{}, err
	}
	story := Story{Lot: lot, Codes: map[string]string{lot.ID: lot.Code}}
	if story.Material, err = s.store.Material(ctx, lot.Material); err != nil {
		return Story{}, fmt.Errorf("material of lot %s: %w", code, err)
	}
	if story.LotRecords, err = s.store.LotRecords(ctx, lot.ID); err != nil {
		return Story{}, err
	}
	totals, err := s.store.LotTotals(ctx, []string{lot.ID})
	if err != nil {
		return Story{}, err
	}
	story.Totals = totals[lot.ID]
	if n := len(story.Decisions); n > 0 {
		story.Decision = &story.Decisions[n-1]
	}
	if story.Stops, err = s.store.LotStops(ctx, []string{lot.ID}); err != nil {
		return Story{}, err
	}
	story.Balance = balance(lot, story.Totals, story.Counts, story.Explanations)
	line := Line{Lot: lot, Decision: story.Decision, Bin: story.Bin()}
	if b := story.Balance; b != nil {
		line.Left = &b.Expected
	}
	finished := slices.ContainsFunc(story.Checks, func(c models.LotCheck) bool { return c.Verdict != models.CheckUnfinished })
	story.Look = toLook(story.Material, line, story.Totals.Came(lot), finished)
	return story, s.nameMixes(ctx, &story)
}

func (s *Service) nameMixes(ctx context.Context, story *Story) error {
	var ids []string
	for _, m := range append(append([]models.LotMix{}, story.Contents...), story.Bins...) {
		ids = append(ids, m.LotID, m.MixID)
	}
	lots, err := s.store.LotsByID(ctx, ids)
	for _, l := range lots {
		story.Codes[l.ID] = l.Code
	}
	return err
}

// lot finds one by its code.
func (s *Service) lot(ctx context.Context, code string) (models.Lot, error) {
	lot, err := s.store.LotByCode(ctx, code)
	if err != nil {
		return models.Lot{}, fmt.Errorf("lot %.40q: %w", code, err)
	}
	return lot, nil
}

// balance adds a lot up: what came and was put in, less what was built in, put
// into bins, thrown away and sent back. nil where nobody said how many came.
func balance(lot models.Lot, t models.LotTotals, counts []models.LotCount, explanations []models.LotExplanation) *Balance {
	received := t.Came(lot)
	if received == 0 {
		return nil
	}
	of := func(n int) []genealogy.Count { return []genealogy.Count{{Lot: lot.ID, Quantity: n}} }
	b := &Balance{}
	counted := 0
	if n := len(counts); n > 0 {
		b.Count = &counts[n-1]
		counted = b.Count.Counted
	}
	b.Balance = genealogy.Balances(of(received), []genealogy.Use{{Input: lot.ID, Quantity: t.BuiltIn + t.Mixed}}, of(t.Scrapped), of(t.Returned), of(counted))[0]
	b.Beyond = max(0, -b.Expected)
	said := 0
	for i, e := range explanations {
		switch {
		case e.CountID == nil:
			said = max(said, -e.Difference)
		case b.Count != nil && *e.CountID == b.Count.ID:
			b.Explained = &explanations[i]
		}
	}
	b.Unexplained = max(0, b.Beyond-said)
	return b
}

// Line is a lot in a list.
type Line struct {
	models.Lot
	Left     *int                // by the record; nil where nobody said how many came
	Decision *models.LotDecision // the newest, nil for none
	Bin      bool
	Look     *Sample // what is still to be looked at, nil for nothing
}

// UsedUp says whether nothing of it is left.
func (l Line) UsedUp() bool { return l.Left != nil && *l.Left <= 0 }

// MostLines is how many lots a list looks at: the newest. What is left of older
// ones, and what was built in beyond them, stands on their own pages.
const MostLines = 200

// Lines lists the newest lots, of one material where it is named, with what is
// left of each.
func (s *Service) Lines(ctx context.Context, material string) ([]Line, error) {
	lots, err := s.store.NewestLots(ctx, material, MostLines)
	if err != nil {
		return nil, err
	}
	lines, _, err := s.lines(ctx, lots)
	return lines, err
}

// PageOfLots is how many lots a page lists.
const PageOfLots = 100

// mostLooked is how many pages of lots are looked through for one of those that are
// asked for: what is rare among many is not looked for in all of them at once.
const mostLooked = 20

// PageBefore lists the lots behind one that are asked for, last received first, a page
// of them; of one material where it is named. A zero key begins with the newest. Next
// is where the page behind it begins, zero where there is none of them any more.
func (s *Service) PageBefore(ctx context.Context, material string, before models.LotKey, asked func(Line) bool) (found []Line, next models.LotKey, err error) {
	key := func(l Line) models.LotKey { return models.LotKey{ReceivedAt: l.ReceivedAt, Code: l.Code} }
	for range mostLooked {
		lots, err := s.store.LotsBefore(ctx, material, before, PageOfLots)
		if err != nil {
			return nil, next, err
		}
		lines, _, err := s.lines(ctx, lots)
		if err != nil {
			return nil, next, err
		}
		for _, l := range lines {
			if !asked(l) {
				continue
			}
			if len(found) == PageOfLots {
				return found, key(found[PageOfLots-1]), nil
			}
			found = append(found, l)
		}
		if len(lines) < PageOfLots {
			return found, models.LotKey{}, nil
		}
		before = key(lines[len(lines)-1])
	}
	return found, before, nil
}

func (s *Service) lines(ctx context.Context, lots []models.Lot) ([]Line, map[string]models.LotTotals, error) {
	ids := make([]string, len(lots))
	for i, l := range lots {
		ids[i] = l.ID
	}
	totals, err := s.store.LotTotals(ctx, ids)
	if err != nil {
		return nil, nil, err
	}
	decisions, err := s.store.NewestLotDecisions(ctx, ids)
	if err != nil {
		return nil, nil, err
	}
	lines := make([]Line, len(lots))
	for i, l := range lots {
		line := Line{Lot: l, Bin: totals[l.ID].PutIn > 0}
		if b := balance(l, totals[l.ID], nil, nil); b != nil {
			line.Left = &b.Expected
		}
		if d, decided := decisions[l.ID]; decided {
			line.Decision = &d
		}
		lines[i] = line
	}
	return lines, totals, s.lookAhead(ctx, lines, totals)
}

// Decided gives what was decided last about lots, by key.
func (s *Service) Decided(ctx context.Context, lotIDs []string) (map[string]models.LotDecision, error) {
	if len(lotIDs) == 0 {
		return nil, nil
	}
	decided, err := s.store.NewestLotDecisions(ctx, lotIDs)
	if err != nil {
		return nil, fmt.Errorf("what was decided about lots: %w", err)
	}
	return decided, nil
}

// Left is what is left of a material in the lots that may be used.
type Left struct {
	models.Material
	Pieces int
	Lots   int // that have some
	Short  bool
}

// LeftOf sums up what is left by material, of lines of every material.
func LeftOf(materials []models.Material, lines []Line) []Left {
	out := make([]Left, len(materials))
	for i, m := range materials {
		out[i].Material = m
		for _, l := range lines {
			if l.Material == m.Code && l.Left != nil && *l.Left > 0 && (l.Decision == nil || !l.Decision.Stops()) {
				out[i].Pieces += *l.Left
				out[i].Lots++
			}
		}
		out[i].Short = m.Least > 0 && out[i].Pieces < m.Least
	}
	return out
}
