package access

import (
	"fmt"
	"strconv"
	"sync"
	"time"

	"tracewright/models"
)

// WaitError says that a secret was tried too often; Wait is how long until the
// next try is looked at.
type WaitError struct{ Wait time.Duration }

func (e *WaitError) Error() string {
	return fmt.Sprintf("too many tries, wait %s", e.Wait.Round(time.Second))
}

// Remark says it in words: in seconds, and in minutes where those are many.
func (e *WaitError) Remark() models.Remark {
	seconds := max(1, int((e.Wait+time.Second-1)/time.Second))
	if seconds <= 90 {
		return models.NewRemark("too_many_tries", "seconds", strconv.Itoa(seconds))
	}
	return models.NewRemark("too_many_tries_minutes", "minutes", strconv.Itoa((seconds+59)/60))
}

// tries counts failed tries of strangers per key, in memory: what is known of
// people and tablets is counted in the database (beginTry). After the free ones
// each further failure doubles the wait, from first up to longest.
type tries struct {
	free    int
	first   time.Duration
	longest time.Duration
	forget  time.Duration // after so long without a try
	now     func() time.Time

	mu   sync.Mutex
	keys map[string]*tried
}

type tried struct {
	failures int
	last     time.Time
	until    time.Time
}

// maxKeys bounds the memory that strangers can make us use.
const maxKeys = 10_000

func newTries(free int, first, longest, forget time.Duration, now func() time.Time) *tries {
	return &tries{free: free, first: first, longest: longest, forget: forget, now: now, keys: map[string]*tried{}}
}

// begin counts a try as failed before its secret is looked at, so that many at
// the same moment cannot slip through together; success takes it back. left
// says how many free tries remain after this one.
func (t *tries) begin(key string) (left int, err error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	k := t.keys[key]
	if k == nil || now.Sub(k.last) > t.forget {
		if k == nil && len(t.keys) >= maxKeys {
			t.prune(now)
		}
		k = &tried{}
		t.keys[key] = k
	}
	if now.Before(k.until) {
		return 0, &WaitError{Wait: k.until.Sub(now)}
	}
	k.failures++
	k.last = now
	if over := k.failures - t.free; over >= 0 {
		k.until = now.Add(t.wait(over))
	}
	return max(0, t.free-k.failures), nil
}

// wait is the delay after the free tries are used up: first, doubled over
// times, at most longest.
func (t *tries) wait(over int) time.Duration {
	d := t.first
	for range over {
		if d *= 2; d >= t.longest {
			return t.longest
		}
	}
	return d
}

// success forgets the key's failures.
func (t *tries) success(key string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.keys, key)
}

// prune drops keys that are not waiting, and then, should every one be
// waiting, those nearest to their end.
func (t *tries) prune(now time.Time) {
	for name, k := range t.keys {
		if !now.Before(k.until) && k.failures < t.free || now.Sub(k.last) > t.forget {
			delete(t.keys, name)
		}
	}
	for len(t.keys) >= maxKeys {
		var oldest string
		for name, k := range t.keys {
			if oldest == "" || k.last.Before(t.keys[oldest].last) {
				oldest = name
			}
		}
		delete(t.keys, oldest)
	}
}
