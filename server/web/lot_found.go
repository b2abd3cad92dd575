package web

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
)

// FoundRow is an incoming inspection.
type FoundRow struct {
	Mark       Mark
	Says       string
	Faults     string
	Note       string
	When, Who  string
	Photos     []PaperRow
	PlanInWord string
}

func (s *site) foundRow(c models.LotCheck, photos []models.AttachmentView, people map[string]string) FoundRow {
	word := words.Sentence(english.CheckVerdict(c.Verdict))
	row := FoundRow{Note: c.Note, When: s.minute(c.CheckedAt), Who: name(people, c.CheckedBy), Says: checkSays(c), PlanInWord: planWords(c.Plan)}
	switch c.Verdict {
	case models.CheckAccepted:
		row.Mark = Mark{"tick", word, "pass"}
	case models.CheckRejected:
		row.Mark = Mark{"cross", word, "fail"}
	default:
		row.Mark = Mark{"triangle", word, "care"}
	}
	var faults []string
	for _, b := range c.Bad {
		faults = append(faults, pieces(b.Count)+" "+s.fault(b.Code, c.CheckedAt))
	}
	row.Faults = english.Join(faults)
	var own []models.AttachmentView
	for _, a := range photos {
		if a.SubjectID == c.ID {
			own = append(own, a)
		}
	}
	row.Photos = s.paperRows(own, "", people)
	return row
}

// checkSays is what an incoming inspection found and what it lets through.
func checkSays(c models.LotCheck) string {
	bad := "none bad"
	if n := c.BadPieces(); n > 0 {
		bad = pieces(n) + " bad"
	}
	said := pieces(c.Looked) + " looked at, " + bad
	switch {
	case c.Verdict == models.CheckUnfinished:
		return said + ": the plan asks for " + pieces(c.Size) + ", so that nothing is accepted yet."
	case c.Verdict == models.CheckRejected && c.Accept == 0:
		return said + ": the plan allows none."
	case c.Verdict == models.CheckRejected:
		return said + ": the plan allows " + pieces(c.Accept) + "."
	}
	share, passes, ok, err := receive.Shown(c)
	if err != nil || !ok {
		return said + ": every piece was looked at."
	}
	return said + ": " + letsThrough(share, passes) + "."
}

// letsThrough says what a sample lets through, as a number of cases.
func letsThrough(share, passes float64) string {
	cases := fmt.Sprintf("%.0f of 100 cases", passes*100)
	if passes < 0.005 {
		cases = "fewer than 1 of 200 cases"
	}
	return "a lot with " + words.Number(shareText(share)) + "\u00a0% bad would pass in " + cases
}

// shareText is a share in three figures, without idle noughts: what was typed as
// 0.25 is not shown as 0.2.
func shareText(x float64) string { return fmt.Sprintf("%.3g", x) }

// planWords is a plan as people say it.
func planWords(plan models.LotPlan) string {
	switch plan.Kind {
	case models.PlanZero:
		return "a sample, none of it bad"
	case models.PlanSingle:
		return "normal single plan, level " + plan.Level + ", AQL " + plan.AQL
	}
	return english.PlanKind(plan.Kind)
}
