package access

import (
	"context"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// What is counted in the database, so that a restart forgives nothing: tries of
// people who are known, at tablets that are enrolled. Those of strangers at the
// sign-in page are counted in memory (tries), where they can fill no table.
const (
	freeTries   = 5
	freeCodes   = 30 // of one person's codes, from all addresses together
	firstWait   = 30 * time.Second
	longestWait = 15 * time.Minute
	forgetAfter = 24 * time.Hour // without a try
)

// The counters of a secret. A PIN counts for the person at all tablets, and at
// the tablet for all people: neither every tablet nor every name gives somebody
// who guesses another five.
func pinTries(personID, deviceID string) []string {
	return []string{"pin device " + deviceID, "pin person " + personID}
}

func passwordTries(personID string) []string { return []string{"password person " + personID} }

// A code counts for the person from one address ("" for a session that is in), and for
// the person from all of them. Whoever knows a password and guesses at its codes keeps
// its person out at their own address alone, until so many addresses guess that a code
// could be hit.
func codeTries(personID, address string) []string {
	return []string{allCodes + personID, allCodes + personID + fromAddress + clientAt(address)}
}

// The counters of a person's codes begin alike, so that all of them are found.
const allCodes, fromAddress = "code person ", " from "

// freeOf is how many tries of a counter are free.
func freeOf(about string) int {
	if strings.HasPrefix(about, allCodes) && !strings.Contains(about, fromAddress) {
		return freeCodes
	}
	return freeTries
}

// forgetCodes lets somebody's codes be tried anew, from wherever, who has another password or no
// second factor any more. Never for what they did themselves: an own password after
// every five guesses would make the guesses free.
func (s *Service) forgetCodes(ctx context.Context, personID string) error {
	return s.store.ForgetTriesBeginning(ctx, allCodes+personID)
}

// beginTry counts a try at each of the counters as failed, before its secret is
// looked at: many at the same moment cannot slip through together. left is how
// many free tries remain; a [*WaitError] says how long nothing is looked at.
func (s *Service) beginTry(ctx context.Context, about []string) (left int, err error) {
	slices.Sort(about)
	now := s.now()
	var wait time.Duration
	err = s.store.CountTries(ctx, about, func(tries []models.SecretTries) error {
		left, wait = freeCodes, 0 // It may be asked again.
		back := false
		for i := range tries {
			t := &tries[i]
			if now.Sub(t.LastAt) > forgetAfter {
				t.Failures, t.WaitUntil = 0, time.Time{}
			}
			// A clock that was set back makes no wait longer: what is left of it counts from
			// now on. That is written down, for the next look is at a later moment.
			if ahead := models.Moment(t.LastAt).Sub(models.Moment(now)); ahead > 0 {
				t.LastAt, t.WaitUntil, back = now, t.WaitUntil.Add(-ahead), true
			}
			wait = max(wait, t.WaitUntil.Sub(now))
		}
		switch {
		case wait > 0 && back:
			return nil
		case wait > 0:
			return &WaitError{Wait: wait}
		}
		for i := range tries {
			t := &tries[i]
			t.Failures, t.LastAt = t.Failures+1, now
			free := freeOf(t.About)
			if over := t.Failures - free; over >= 0 {
				t.WaitUntil = now.Add(waitAfter(over))
			}
			left = min(left, max(0, free-t.Failures))
		}
		return nil
	})
	if err == nil && wait > 0 {
		err = &WaitError{Wait: wait}
	}
	return left, err
}

// waitAfter is the delay once the free tries are used up: the first, doubled over
// times, at most the longest.
func waitAfter(over int) time.Duration {
	d := firstWait
	for range over {
		if d *= 2; d >= longestWait {
			return longestWait
		}
	}
	return d
}

// endTry takes back what beginTry counted: the secret was right.
func (s *Service) endTry(ctx context.Context, about []string) error {
	return s.store.ForgetTries(ctx, about)
}

// Forget clears counters of tries that are long over.
func (s *Service) Forget(ctx context.Context) error {
	return s.store.ForgetTriesBefore(ctx, s.now().Add(-forgetAfter))
}
