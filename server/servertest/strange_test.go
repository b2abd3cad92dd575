package servertest

import (
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/server/api"
	"tracewright/server/app"
)

// What a stranger or a broken program may send is answered as their mistake and
// never as the server's, on each database.
func TestStrangeThingsAreNoFaultOfTheServer(t *testing.T) {
	long := strings.Repeat("Ж", 3000)
	Each(t, func(t *testing.T, s *Shop) {
		s.run(t, Row{Who: Operator, Path: api.Base + "/lots", Body: object{"code": "SP-1", "material": "spokes"}, Status: http.StatusCreated})
		sub := func(change func(*models.Submission)) models.Submission {
			sub := s.Extremes()
			sub.Serial = *s.AnotherWheel().Serial
			change(&sub)
			return sub
		}
		for _, c := range []struct {
			name, who, path string
			body            any
		}{
			{"a zero byte in a text", Operator, "/lots", object{"code": "X-1", "material": "spokes", "description": "a\x00b"}},
			{"a zero byte in a key", Desk, "/holds", object{"item": "a\x00b", "code": "W15", "reason": "x"}},
			{"a zero byte in a number", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.Sets[0].Values[0] = "0.1\x00" })},
			{"a zero byte in a note", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.Conditions.Note = "a\x00b" })},
			{"a zero byte in a draft's note", OperatorAtStand, "/preview", sub(func(x *models.Submission) { x.Place = "a\x00b" })},
			{"a page in a reason", Desk, "/holds", object{"item": s.Serial[models.KindWheel], "code": "W15", "reason": long}},
			{"a page in a place", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.Place = long })},
			{"a number of parts beyond counting", OperatorAtStand, "/inspections", sub(func(x *models.Submission) {
				x.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-1", Quantity: 1 << 40}}
			})},
			{"fewer parts than none", OperatorAtStand, "/inspections", sub(func(x *models.Submission) {
				x.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-1", Quantity: -5}}
			})},
			{"moments beyond counting", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.Sets[0].Moments = []int64{1 << 62, -(1 << 62)} })},
			{"the first year", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.StartedAt = time.Date(1, 1, 1, 0, 0, 1, 0, time.UTC) })},
			{"the year naught", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.StartedAt = time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC) })},
			{"the last year", OperatorAtStand, "/inspections", object{"id": models.NewID(), "serial": *s.AnotherWheel().Serial, "stage": "after_relief", "sets": s.Extremes().Sets,
				"started_at": "9999-12-31T23:00:00Z", "finished_at": "9999-12-31T23:30:00Z", "sent_at": "9999-12-31T23:59:59Z"}},
			{"a lot of the last year", Operator, "/lots", object{"code": "X-2", "material": "spokes", "received_at": "9999-12-31T23:00:00Z"}},
			{"a lot of the year naught", Operator, "/lots", object{"code": "X-3", "material": "spokes", "received_at": "0000-01-01T00:00:00Z"}},
			{"a person that is none", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.Person = "nobody" })},
			{"a correction of nothing", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.Corrects, x.Reason = "nothing", "x" })},
			{"a position beyond counting", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.Sets[0].Index[0] = models.Spoke(1 << 40) })},
			{"a block on a wheel", OperatorAtStand, "/inspections", sub(func(x *models.Submission) { x.Sets[0].Index[0] = models.Block(1, 1) })},
		} {
			t.Run(c.name, func(t *testing.T) {
				status, _, body := s.Do(t, Row{Who: c.who, Path: api.Base + c.path, Body: c.body})
				if status >= 500 {
					t.Errorf("status %d: %s", status, shortened(body))
				}
			})
		}
	})
}

// Every address with a key that is no key, an endless one, or one with a zero
// byte: nothing there, or a mistake of the asker.
func TestStrangeKeysAreNoFaultOfTheServer(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		for _, key := range []string{"nothing-of-ours", models.NewID(), strings.Repeat("9", 300), "99999999999", "-99999999999", "%00", "%FF", "..", "'%20OR%201=1--"} {
			for _, route := range app.Routes(s.App.Services) {
				if !strings.Contains(route.Path, ":") {
					continue
				}
				parts := strings.Split(route.Path, "/")
				for i, p := range parts {
					if strings.HasPrefix(p, ":") || strings.HasPrefix(p, "*") {
						parts[i] = key
					}
				}
				row := Row{Who: Owner, Method: route.Method, Path: strings.Join(parts, "/"), Body: bodyOf(route.Method)}
				if status, _, body := s.Do(t, row); status >= 500 {
					t.Errorf("%s %s: status %d: %.200s", row.Method, row.Path, status, body)
				}
			}
		}
		for _, path := range []string{"/items?find=%00", "/items?find=%FF", "/products?family=x", "/specifications?family=x", "/charts?family=x&result=y", "/charts?family=%00&result=y&from=0000-01-01&to=9999-12-31", "/plans/x?product=%00", "/how-good?family=x", "/how-good/%FF?family=%00", "/returns?family=x&lot=%00", "/returns?family=x&months=99999999999999999999"} {
			if status, _, body := s.Do(t, Row{Who: Owner, Path: api.Base + path}); status >= 500 {
				t.Errorf("%s: status %d: %s", path, status, shortened(body))
			}
		}
	})
}

// The same inspection from several hands at once is recorded once: one of them
// made it, the others get the same answer.
func TestOneInspectionFromManyHands(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		sub := s.EveryHole()
		const hands = 8
		statuses := make([]int, hands)
		var wait sync.WaitGroup
		for i := range hands {
			wait.Go(func() {
				statuses[i], _, _ = s.Do(t, Row{Who: OperatorAtStand, Path: api.Base + "/inspections", Body: sub})
			})
		}
		wait.Wait()
		count := map[int]int{}
		for _, status := range statuses {
			count[status]++
		}
		if count[http.StatusCreated] != 1 || count[http.StatusOK] != hands-1 {
			t.Errorf("statuses %v, want one 201 and the rest 200", count)
		}
		if n := s.Count(s.Item[models.KindWheel].ID); n != 1 {
			t.Errorf("%d inspections are stored", n)
		}
	})
}
