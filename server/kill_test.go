package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/models/work/access"
	"tracewright/models/work/worktest"
	"tracewright/server/httpx"
)

// killed is a server in a process of its own, to be killed.
type killed struct {
	binary, database string
	keys             string // folder; empty: beside the SQLite file
	device, person   string
	process          *exec.Cmd
	address          string
	hung             []sent // nobody knows what became of them
}

// sent is an inspection on its way.
type sent struct {
	id   string
	body []byte
}

var answersAt = regexp.MustCompile(`answers at (http://\S+)`)

func (k *killed) start(t *testing.T) {
	t.Helper()
	k.process = exec.Command(k.binary, "serve", "--database", k.database, "--listen", "127.0.0.1:0")
	if k.keys != "" {
		k.process.Args = append(k.process.Args, "--keys", k.keys)
	}
	out, err := k.process.StdoutPipe()
	if err == nil {
		err = k.process.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if m := answersAt.FindStringSubmatch(lines.Text()); m != nil {
			k.address = m[1]
			go io.Copy(io.Discard, out)
			return
		}
	}
	t.Fatal("the server ended before it answered")
}

// kill ends the process as a power cut would: SIGKILL, nothing is finished.
func (k *killed) kill() {
	k.process.Process.Kill()
	k.process.Wait()
}

func (k *killed) request(method, path string, body []byte) (int, []byte, error) {
	r, err := http.NewRequest(method, k.address+path, bytes.NewReader(body))
	if err != nil {
		return 0, nil, err
	}
	r.Header.Set("Authorization", "Bearer "+k.device)
	r.Header.Set(httpx.PersonHeader, k.person)
	r.Header.Set("Content-Type", "application/json")
	answer, err := (&http.Client{Timeout: 10 * time.Second}).Do(r)
	if err != nil {
		return 0, nil, err
	}
	defer answer.Body.Close()
	raw, err := io.ReadAll(answer.Body)
	return answer.StatusCode, raw, err
}

// An inspection that was answered is whole after a kill, and none is half
// there: that is what a shop's power cut asks for. TRACEWRIGHT_KILLS sets how
// often (5 by default).
func TestKillWhilePosting(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and kills it several times")
	}
	kills := 5
	if n, err := strconv.Atoi(os.Getenv("TRACEWRIGHT_KILLS")); err == nil {
		kills = n
	}
	binary := build(t)
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		s := storetest.Open(t, dsn)
		shop := worktest.On(t, s)
		shop.Now = time.Now()
		key, _, err := access.New(s, time.Now, access.Cost{}).Enrol(t.Context(), shop.Owner, "stand 1", "stand 1")
		if err != nil {
			t.Fatal(err)
		}
		k := &killed{binary: binary, database: dsn, keys: filepath.Join(t.TempDir(), "keys"), device: key, person: shop.Operator.PersonID}
		var serials []string
		for range 6 {
			serials = append(serials, *shop.AnotherWheel().Serial)
		}
		answered := map[string]bool{}
		for range kills {
			k.start(t)
			postUntilKilled(t, k, shop, serials, answered)
		}
		k.start(t)
		defer k.kill()
		checkWhole(t, k, shop, serials, answered)
		checkChain(t, shop.Store)
		k.kill()
		says(t, "verify", command(t, "", "verify", "database", "--database", dsn, "--keys", k.keys), 0, "", "")
	})
}

// postUntilKilled posts from several hands and kills the server among it.
// What the kill before left open is sent again first, under its id.
func postUntilKilled(t *testing.T, k *killed, shop *worktest.Shop, serials []string, answered map[string]bool) {
	t.Helper()
	for _, s := range k.hung {
		status, raw, err := k.request(http.MethodPost, "/api/v1/inspections", s.body)
		if err != nil || status != http.StatusCreated && status != http.StatusOK {
			t.Errorf("sent again after a kill, %s: %d %v %s", s.id, status, err, raw)
		}
		answered[s.id] = true
	}
	k.hung = nil
	var (
		mu   sync.Mutex
		wait sync.WaitGroup
	)
	before := len(answered)
	ctx, cancel := context.WithCancel(t.Context())
	for _, serial := range serials {
		wait.Go(func() {
			for ctx.Err() == nil {
				mu.Lock()
				sub := shop.EveryHole()
				mu.Unlock()
				sub.Serial, sub.StartedAt, sub.FinishedAt = serial, time.Now().Add(-time.Minute), time.Now()
				body, err := json.Marshal(sub)
				if err != nil {
					t.Error(err)
					return
				}
				status, raw, err := k.request(http.MethodPost, "/api/v1/inspections", body)
				if err != nil {
					mu.Lock()
					defer mu.Unlock()
					k.hung = append(k.hung, sent{sub.ID, body})
					return // killed
				}
				if status != http.StatusCreated {
					t.Errorf("posting answered %d: %s", status, raw)
					return
				}
				mu.Lock()
				answered[sub.ID] = true
				mu.Unlock()
			}
		})
	}
	// Under load the first answer may take longer than the whole of that.
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until) && !someAnswered(&mu, answered, before); {
		time.Sleep(5 * time.Millisecond)
	}
	time.Sleep(time.Duration(100+rand.IntN(400)) * time.Millisecond)
	k.kill()
	cancel()
	wait.Wait()
}

func someAnswered(mu *sync.Mutex, answered map[string]bool, before int) bool {
	mu.Lock()
	defer mu.Unlock()
	return len(answered) > before
}

// checkWhole asks for every inspection that was answered, and looks at every
// one that is there: 11 sets, as many results as the first, one trail entry.
func checkWhole(t *testing.T, k *killed, shop *worktest.Shop, serials []string, answered map[string]bool) {
	t.Helper()
	if len(answered) == 0 {
		t.Fatal("nothing was posted before the kills")
	}
	for id := range answered {
		status, raw, err := k.request(http.MethodGet, "/api/v1/inspections/"+id, nil)
		if err != nil || status != http.StatusOK {
			t.Fatalf("answered inspection %s is gone: %d %v %s", id, status, err, raw)
		}
	}
	stored, results := 0, 0
	for _, serial := range serials {
		item, err := shop.Store.ItemBySerial(t.Context(), serial)
		if err != nil {
			t.Fatal(err)
		}
		views, err := shop.Store.ViewsOf(t.Context(), item.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range views {
			stored++
			if results == 0 {
				results = len(v.Results)
			}
			entries, err := shop.Store.TrailOf(t.Context(), []string{v.Inspection.ID}, 10)
			if err != nil {
				t.Fatal(err)
			}
			digest, err := models.Digest(models.RecordedInspection{Inspection: v.Inspection, Sets: v.Sets, Results: v.Results})
			if err != nil {
				t.Fatal(err)
			}
			if len(v.Sets) != 11 || len(v.Results) != results || len(entries) != 1 || entries[0].Digest != digest {
				t.Errorf("inspection %s is not whole: %d sets, %d results of %d, %d trail entries", v.Inspection.ID, len(v.Sets), len(v.Results), results, len(entries))
			}
		}
	}
	if stored < len(answered) {
		t.Errorf("%d inspections are stored, %d were answered", stored, len(answered))
	}
	t.Logf("%d answered, %d stored, all whole", len(answered), stored)
}

// checkChain waits until everything is sealed, and walks along the chain.
func checkChain(t *testing.T, s *store.Store) {
	t.Helper()
	for waits := true; waits; {
		var err error
		if waits, err = s.Unsealed(t.Context()); err != nil {
			t.Fatal(err)
		}
		time.Sleep(20 * time.Millisecond)
	}
	entries, err := s.SealedEntries(t.Context(), 0, 1_000_000)
	if err != nil {
		t.Fatal(err)
	}
	v := trail.NewVerifier(nil)
	for _, e := range entries {
		chained, err := e.Sealed()
		if err == nil {
			err = v.Entry(chained)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if r := v.Report(); r.Problem != nil || r.Entries < 10 {
		t.Errorf("the chain after the kills: %+v in %d entries", r.Problem, r.Entries)
	}
}
