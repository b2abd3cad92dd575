package web

import (
	"strings"
	"testing"

	"tracewright/models/work/claims"
)

// The sentence over the table names the group that has most times its part of the
// returns, not the one that lost the larger share.
func TestTheSentenceNamesTheSurestGroup(t *testing.T) {
	s := sampleSite()
	page := s.othersPage(sampleFrame("Others", ""), sampleWheel(), claims.Others{Groups: []claims.Group{
		{Same: claims.SameLot, Name: "RL-1", Units: 41, Back: 8, Expected: 1.1, Elsewhere: 900, More: true, AtLeast: 3.5},
		{Same: claims.SameLot, Name: "SP-1", Units: 113, Back: 22, Expected: 3.1, Elsewhere: 900, More: true, AtLeast: 4.9},
	}})
	if !strings.HasPrefix(page.Answer, "22 of 113 with lot SP-1 came back") {
		t.Error(page.Answer)
	}
}
