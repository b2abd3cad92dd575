package main

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"tracewright/models/store/storetest"
)

// The disk under the database has no room left while stands are posting. What was
// answered stays, pages can be read, the answers say what is wrong, and it goes on
// by itself once there is room.
func TestDiskFull(t *testing.T) {
	if testing.Short() {
		t.Skip("fills a small disk")
	}
	t.Run("sqlite", func(t *testing.T) {
		small := t.TempDir()
		storetest.SmallDisk(t, small, 24)
		fillsUp(t, "sqlite:"+filepath.Join(small, "shop.db"), small)
	})
	t.Run("postgres", func(t *testing.T) {
		own := storetest.OwnPostgres(t)
		small := own.Place(t, "small")
		storetest.SmallDisk(t, small, 64)
		own.Tablespace(t, "small", small)
		fillsUp(t, own.Database(t, "crowded", "small"), small)
	})
}

// The disk under PostgreSQL's write-ahead log is full: the server breaks off by itself
// and does not come up before there is room. What was answered stays, and work goes on
// once somebody, or what watches over it, has started it again.
func TestLogDiskFull(t *testing.T) {
	if faultFor(0) == 0 {
		t.Skip("left out: breaks a PostgreSQL off and moves its log; TRACEWRIGHT_FAULTS=long, as in .ci/long.sh")
	}
	own := storetest.OwnPostgres(t)
	small := own.Place(t, "wal")
	storetest.SmallDisk(t, small, 64)
	own.LogOn(t, small)
	s := serveShop(t, own.Database(t, "logged", ""), "", 4)
	w := s.works(s.address, patient)
	s.more(w, 20)
	filler := filled(t, small)
	s.until("PostgreSQL has broken off", 30*time.Second, func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		switchLog(t, own) // The next piece of the log is wanted sooner.
		return w.titles[away] != ""
	})
	time.Sleep(faultFor(300 * time.Millisecond))
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	if !own.Runs() {
		own.Start(t)
	}
	s.more(w, 20)
	s.settled(w)
}

// switchLog has the server begin another piece of its log, where it still can.
func switchLog(t *testing.T, own *storetest.Own) {
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
	defer cancel()
	conn, err := pgx.Connect(ctx, own.Address())
	if err != nil {
		return
	}
	defer conn.Close(ctx)
	conn.Exec(ctx, "SELECT pg_switch_wal()")
}

// filled fills a disk to its end, by a file whose path it gives.
func filled(t *testing.T, disk string) string {
	filler := filepath.Join(disk, "filler")
	file, err := os.Create(filler)
	if err != nil {
		t.Fatal(err)
	}
	for chunk := make([]byte, 64<<10); err == nil; {
		_, err = file.Write(chunk)
	}
	file.Close()
	if !full(err) {
		t.Fatalf("the disk took more than it has: %v", err)
	}
	return filler
}

func fillsUp(t *testing.T, dsn, disk string) {
	s := serveShop(t, dsn, "", 4)
	w := s.works(s.address, patient)
	s.more(w, 20)
	filler := filled(t, disk)
	const title = "The disk is full"
	s.refused(w, title)
	onlyReadable(s, title)
	time.Sleep(faultFor(300 * time.Millisecond))
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	s.more(w, 20)
	s.settled(w)
}

// onlyReadable holds that pages and records can be read, and that a form and a
// record are refused in words.
func onlyReadable(s *served, titles ...string) {
	s.Helper()
	for _, path := range []string{"/", "/items/" + s.serials[0], "/api/v1/items/" + s.serials[0], "/attention", "/failures", "/returns", "/charts"} {
		// On PostgreSQL the fault broke the connections, and each that was used within the
		// last second is found broken by somebody.
		got := s.page(path)
		for until := time.Now().Add(3 * time.Second); got.status == http.StatusServiceUnavailable && time.Now().Before(until); got = s.page(path) {
			time.Sleep(50 * time.Millisecond)
		}
		if got.status != http.StatusOK {
			s.Errorf("GET %s: %d, want it read: %.800s", path, got.status, got.body)
		}
	}
	if got := s.page("/"); !strings.Contains(got.body, "Nothing can be stored.") {
		s.Errorf("Today does not say that nothing can be stored: %.1500s", got.body)
	}
	s.until("a form is refused", 20*time.Second, func() bool {
		got := s.form()
		if got.status == http.StatusOK { // The page behind the form: there was room for it still, as in the log that SQLite writes over.
			return false
		}
		s.unavailable("a form", got, titles...)
		return true
	})
}

// Nothing can be written to the database's files any more, as on a disk that was
// made read-only; on PostgreSQL every transaction is a reading one.
func TestReadOnly(t *testing.T) {
	if testing.Short() {
		t.Skip("makes files read-only")
	}
	storetest.OnDisk(t)
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		set := storetest.TakesNothing(t, dsn)
		s := serveShop(t, dsn, "", 4)
		w := s.works(s.address, patient)
		s.more(w, 20)
		set(true)
		titles := []string{"Nothing can be written", "The disk refuses"}
		s.refused(w, titles[0])
		onlyReadable(s, titles...)
		time.Sleep(faultFor(300 * time.Millisecond))
		set(false)
		s.more(w, 20)
		s.settled(w)
	})
}
