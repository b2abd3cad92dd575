package sealing_test

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/work/sealing"
)

const (
	childDSN     = "TRACEWRIGHT_SEAL_CHILD"
	childSeed    = "TRACEWRIGHT_SEAL_SEED"
	childWriters = "TRACEWRIGHT_SEAL_WRITERS" // names, a comma between
	loadSeconds  = "TRACEWRIGHT_SEAL_SECONDS"

	// childName is how a PostgreSQL server knows the connections of such a process.
	childName = "tracewright seal child"

	// betweenChanges leaves some of two processors to whoever seals: eight hands
	// make a thousand changes a second still.
	betweenChanges = 5 * time.Millisecond
)

// beChild is a server in a process of its own, so that it can be killed: it
// seals, and some writers change things and say so, one line for each change
// that is kept.
func beChild() int {
	ctx := context.Background()
	s, err := store.Open(ctx, os.Getenv(childDSN), store.Options{})
	if err != nil {
		return complain(err)
	}
	seed, err := strconv.Atoi(os.Getenv(childSeed))
	if err != nil {
		return complain(err)
	}
	keys := newRing(byte(seed))
	if _, err := keys.Make(); err != nil {
		return complain(err)
	}
	seals := sealing.New(s, sealing.Options{Keys: keys, Server: "child", Now: time.Now, Log: quiet})
	if err := seals.Begin(ctx); err != nil {
		return complain(err)
	}
	go seals.Run(ctx)
	var wait sync.WaitGroup
	for name := range strings.SplitSeq(os.Getenv(childWriters), ",") {
		wait.Go(func() {
			for {
				value := models.NewID()
				if err := s.SetSetting(ctx, models.NewStamp(models.Actor{}, time.Now()), name, value); err != nil {
					complain(err)
					return
				}
				fmt.Fprintln(os.Stdout, name, value)
				time.Sleep(betweenChanges)
			}
		})
	}
	wait.Wait() // until it is killed
	return 1
}

func complain(err error) int {
	fmt.Fprintln(os.Stderr, err)
	return 1
}

// server is such a process, with what its writers said.
type server struct {
	dsn, writers string
	seed         int
	process      *exec.Cmd
	heard        sync.WaitGroup
}

// said are the changes that were answered, by writer, in their order.
type said struct {
	mu sync.Mutex
	by map[string][]string
}

// await waits until that many writers have been heard.
func (a *said) await(t *testing.T, writers int) {
	t.Helper()
	for range 1500 {
		a.mu.Lock()
		n := len(a.by)
		a.mu.Unlock()
		if n == writers {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatalf("half a minute, and not all of %d writers are heard", writers)
}

func (c *server) start(t *testing.T, to *said) {
	t.Helper()
	c.process = exec.Command(os.Args[0], "-test.run=^$")
	c.process.Env = append(os.Environ(), childDSN+"="+c.dsn, childSeed+"="+strconv.Itoa(c.seed), childWriters+"="+c.writers, "PGAPPNAME="+childName)
	c.process.Stderr = t.Output()
	out, err := c.process.StdoutPipe()
	if err == nil {
		err = c.process.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	c.heard.Go(func() {
		for lines := bufio.NewScanner(out); lines.Scan(); {
			name, value, whole := strings.Cut(lines.Text(), " ")
			if whole && models.IsID(value) { // The last line may be cut.
				to.mu.Lock()
				to.by[name] = append(to.by[name], value)
				to.mu.Unlock()
			}
		}
		io.Copy(io.Discard, out)
	})
}

// kill ends it as a power cut would.
func (c *server) kill() {
	c.process.Process.Kill()
	c.heard.Wait()
	c.process.Wait()
}

// awaitOrphans waits until a PostgreSQL server has ended what it does for clients
// that were killed: a change that it was told to commit is committed after all,
// and would come after the last seal.
func awaitOrphans(t *testing.T, dsn string) {
	t.Helper()
	if strings.HasPrefix(dsn, "sqlite:") {
		return
	}
	db, err := sql.Open("pgx", dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for range 1500 {
		n := 0
		if err := db.QueryRowContext(t.Context(), "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND application_name = $1", childName).Scan(&n); err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			return
		}
		t.Logf("%d connections of killed servers are there still", n)
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("half a minute, and connections of killed servers are there still")
}

// Eight writers change things, a thousand times a second, while the log is sealed: by
// one server on SQLite, by two at once on PostgreSQL. First they run undisturbed,
// and the seals come within a second; then they are killed and started again at
// random. Every change that was answered stands in the chain, once, and those
// of one writer in the order in which it made them.
//
// TRACEWRIGHT_SEAL_SECONDS says for how long, 10 by default.
func TestSealUnderLoad(t *testing.T) {
	if testing.Short() {
		t.Skip("writes for seconds and kills what writes")
	}
	seconds := 10
	if n, err := strconv.Atoi(os.Getenv(loadSeconds)); err == nil {
		seconds = n
	}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		first, second := newRing(1), newRing(100)
		begin := sealing.New(s, sealing.Options{Keys: first, Server: "one", Now: time.Now, Log: quiet})
		if err := begin.Begin(t.Context()); err != nil {
			t.Fatal(err)
		}
		key, err := second.Make()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := begin.Enrol(t.Context(), publicOf(key), "two"); err != nil {
			t.Fatal(err)
		}
		servers := []*server{{dsn: dsn, seed: 1, writers: "w1,w2,w3,w4,w5,w6,w7,w8"}}
		if s.Dialect() == store.Postgres {
			servers = []*server{{dsn: dsn, seed: 1, writers: "w1,w2,w3,w4"}, {dsn: dsn, seed: 100, writers: "w5,w6,w7,w8"}}
		}
		answered := &said{by: map[string][]string{}}
		for _, c := range servers {
			c.start(t, answered)
		}
		answered.await(t, 8) // every writer is at it
		began := time.Now()
		time.Sleep(time.Duration(seconds) * time.Second / 2)
		calm := time.Now()
		for time.Since(began) < time.Duration(seconds)*time.Second {
			time.Sleep(time.Duration(rand.IntN(400)) * time.Millisecond)
			c := servers[rand.IntN(len(servers))]
			c.kill()
			c.start(t, answered)
		}
		for _, c := range servers {
			c.kill()
		}
		awaitOrphans(t, dsn)
		if sealed, err := begin.Seal(t.Context()); err != nil || sealed.Waiting {
			t.Fatalf("sealed at last: %+v, %v", sealed, err)
		}
		entries := chain(t, s)
		r := verify(t, s, publicOf(first.keys[0]))
		if r.Entries != int64(len(entries)) || r.Uncheckpointed != 0 || r.WarningCount != 0 {
			t.Errorf("verified %+v, want %d entries, all under a checkpoint", r, len(entries))
		}
		everyChangeOnce(t, answered.by, entries)
		inTime(t, entries, began, calm.Add(-time.Second))
	})
}

// chain reads what is sealed, and holds that nothing waits and no number is
// left out.
func chain(t *testing.T, s *store.Store) []models.TrailEntry {
	t.Helper()
	entries, err := s.SealedEntries(t.Context(), 0, 10_000_000)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range entries {
		if *e.Seq != int64(i) {
			t.Fatalf("number %d stands at place %d", *e.Seq, i)
		}
	}
	if n, err := s.UnsealedCount(t.Context()); err != nil || n != 0 {
		t.Errorf("%d entries wait still, %v", n, err)
	}
	return entries
}

// everyChangeOnce looks for the digest of each change that was answered.
func everyChangeOnce(t *testing.T, answered map[string][]string, entries []models.TrailEntry) {
	t.Helper()
	at := map[string]int64{}
	for _, e := range entries {
		if e.Kind != "setting" {
			continue
		}
		if before, twice := at[e.Digest]; twice {
			t.Errorf("one change stands at %d and at %d", before, *e.Seq)
		}
		at[e.Digest] = *e.Seq
	}
	all := 0
	for name, values := range answered {
		last := int64(-1)
		for _, value := range values {
			digest, err := models.Digest(models.Setting{Name: name, Value: value})
			if err != nil {
				t.Fatal(err)
			}
			seq, found := at[digest]
			switch {
			case !found:
				t.Errorf("a change of %s was answered and is not in the chain", name)
			case seq < last:
				t.Errorf("a change of %s stands at %d, before an earlier one at %d", name, seq, last)
			}
			last, all = seq, all+1
		}
	}
	if len(answered) != 8 || all < 100 {
		t.Errorf("%d writers made %d changes, want 8 and some hundred", len(answered), all)
	}
	t.Logf("%d changes answered, %d entries", all, len(entries))
}

// inTime holds that of the changes between two moments all but one in a hundred
// were sealed within a second.
func inTime(t *testing.T, entries []models.TrailEntry, from, to time.Time) {
	t.Helper()
	var delays []time.Duration
	for _, e := range entries {
		if e.At.After(from) && e.At.Before(to) {
			delays = append(delays, e.SealedAt.Sub(e.At))
		}
	}
	slices.Sort(delays)
	if len(delays) == 0 {
		t.Fatal("no change while all was calm")
	}
	p99 := delays[min(len(delays)-1, len(delays)*99/100)]
	t.Logf("sealed after %v in the middle, %v at the 99th percentile of %d", delays[len(delays)/2], p99, len(delays))
	if p99 >= time.Second {
		t.Errorf("the 99th percentile of the delay is %v, want less than a second", p99)
	}
}
