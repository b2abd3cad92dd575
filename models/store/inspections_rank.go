package store

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// rank sets what is derived of the new inspection, decides the states of the
// items, and returns the standing inspections whose rank changes.
func (w *inspectionWrite) rank() (changed []standing) {
	i := &w.Inspection
	for _, item := range w.items {
		item.stateAfter = item.state
		list := item.standing
		if i.Supersedes != nil {
			list = slices.DeleteFunc(slices.Clone(list), func(s standing) bool { return s.id == *i.Supersedes })
		}
		if item.id == i.ItemID {
			list = append(slices.Clone(list), standing{id: i.ID, stage: i.Stage, startedAt: i.StartedAt, measuredAt: i.MeasuredAt, passes: passing(i.Verdict)})
			if w.StateAfter != "" {
				item.stateAfter = w.StateAfter
			}
		} else if after, err := flow.After(item.state, flow.PassWithdrawn); err == nil && !slices.ContainsFunc(list, func(s standing) bool { return s.passes }) {
			item.stateAfter = after
		}
		for _, s := range ranked(list) {
			if s.id == i.ID {
				i.Round, i.FirstSet, i.PassRounds, i.PassMinutes = s.round, s.firstSet, s.passRounds, s.passMinutes
				continue
			}
			changed = append(changed, s)
		}
	}
	return changed
}

// oneSitting is the longest pause between two inspections that counts as
// turning, and the longest that a form counts as being filled in: a wheel that
// waited longer was laid aside. Our own choice.
const oneSitting = time.Hour

// ranked returns those whose ranks are not what they should be, as they should
// be. Rounds count the inspections of a stage in the order of measuring. The
// first one after relief that passes also says what it took: its round, and
// the minutes at the stand, which are
//
//	sum over the rounds of (last reading - form opened), an hour at the most
//	+ sum of the pauses between rounds that are shorter than an hour
//
// rounded to the minute: measuring, and turning in between as far as it was
// one sitting. Times are the tablet's own, corrected by its offset. Nobody is
// asked, so that what was done before the first form was opened (lacing,
// seating, relief) is not in it, nor what was done at a longer pause.
func ranked(list []standing) (changed []standing) {
	slices.SortFunc(list, func(a, b standing) int {
		return cmp.Or(a.measuredAt.Compare(b.measuredAt), strings.Compare(a.id, b.id))
	})
	rounds := map[string]int{}
	var spent time.Duration
	var before *standing // the round after relief before this one
	passed := false
	for n, s := range list {
		rounds[s.stage]++
		should := ranks{round: rounds[s.stage], firstSet: s.stage == models.AfterRelief && rounds[s.stage] == 1}
		if s.stage == models.AfterRelief && !passed {
			spent += atStand(before, s)
			before = &list[n]
			if s.passes {
				passed = true
				should.passRounds, should.passMinutes = should.round, int(spent.Round(time.Minute)/time.Minute)
			}
		}
		if s.ranks != should {
			s.hadFirst = s.firstSet
			s.ranks = should
			changed = append(changed, s)
		}
	}
	return changed
}

// atStand is the time that a round adds: its readings, and the pause before it
// where that was short. A clock that ran backwards adds nothing; a form that was
// open longer than a sitting, as one that is corrected the next day, lay there.
func atStand(before *standing, s standing) time.Duration {
	spent := min(oneSitting, max(0, s.measuredAt.Sub(s.startedAt)))
	if before == nil {
		return spent
	}
	if pause := s.startedAt.Sub(before.measuredAt); pause > 0 && pause < oneSitting {
		spent += pause
	}
	return spent
}
