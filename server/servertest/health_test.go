package servertest

import (
	"net/http"
	"sync"
	"testing"
	"time"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/server/app"
)

// Whether the process lives is told without a database; whether work can be sent
// here, by the database and its schema. Both are for everybody, and neither tells
// strangers more than a word.
func TestHealth(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.Run(t, []Row{
			{Name: "lives", Path: "/healthz", Status: http.StatusOK, Has: []string{"ok\n"}},
			{Name: "ready", Path: "/readyz", Status: http.StatusOK, Has: []string{"ready\n"}},
			{Name: "with a wrong key", Who: WrongKey, Path: "/readyz", Status: http.StatusOK},
		})
	})
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		open := func() (*Shop, *store.Store) {
			db := storetest.Open(t, dsn)
			a, err := app.New(db, app.Config{Now: time.Now})
			if err != nil {
				t.Fatal(err)
			}
			return &Shop{App: a, signing: &sync.Mutex{}, sign: map[string]func(*http.Request){Nobody: func(*http.Request) {}}}, db
		}
		s, db := open()
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		s.Run(t, []Row{
			{Name: "lives without its database", Path: "/healthz", Status: http.StatusOK},
			{Name: "is not ready without it", Path: "/readyz", Status: http.StatusServiceUnavailable, Has: []string{"not ready: database\n"}},
		})
	})
}
