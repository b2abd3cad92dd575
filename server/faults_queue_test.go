package main

import (
	"encoding/json"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
)

// A tablet was three days without the network: 520 inspections of 65 wheels with
// times of their own come in out of order, four at once, while another stand posts.
// Twice more they come again. Each is stored once, under its own time, and rounds
// follow the times.
func TestThreeDaysOfQueue(t *testing.T) {
	if testing.Short() {
		t.Skip("posts more than 1,500 inspections")
	}
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		const each = 8
		wheels := 65
		if !strings.HasPrefix(dsn, "sqlite:") && faultFor(0) == 0 {
			wheels = 13 // The rest in the long form.
		}
		s := serveShop(t, dsn, "", 1)
		queue, measured := s.queue(wheels, each)
		w := s.works(s.address, patient)
		s.more(w, 2)
		rand.Shuffle(len(queue), func(i, j int) { queue[i], queue[j] = queue[j], queue[i] })
		for pass, want := range []int{http.StatusCreated, http.StatusOK, http.StatusOK} {
			began := time.Now()
			s.replay(queue, want)
			t.Logf("pass %d: %d inspections in %s", pass+1, len(queue), time.Since(began).Round(time.Millisecond))
		}
		w.end()
		w.wait.Wait()
		for serial, times := range measured {
			item, err := s.shop.Store.ItemBySerial(t.Context(), serial)
			s.shop.Must(err)
			list, err := s.shop.Store.InspectionsOf(t.Context(), item.ID)
			s.shop.Must(err)
			if len(list) != each {
				t.Fatalf("%s has %d inspections, want %d", serial, len(list), each)
			}
			slices.SortFunc(list, func(a, b models.Inspection) int { return a.MeasuredAt.Compare(b.MeasuredAt) })
			for i, in := range list {
				if !in.MeasuredAt.Equal(times[i]) || in.Round != i+1 || in.FirstSet != (i == 0) {
					t.Errorf("%s: measured at %s as round %d, first %t; want %s, %d", serial, in.MeasuredAt, in.Round, in.FirstSet, times[i], i+1)
				}
			}
		}
		before := s.rows()
		s.settled(w)
		if after := s.rows(); after[0] < wheels*each || after[3] < before[3] {
			t.Errorf("rows %v, were %v", after, before)
		}
	})
}

// queue is what the tablet holds, and when each wheel was measured.
func (s *served) queue(wheels, each int) (queue [][]byte, measured map[string][]time.Time) {
	s.Helper()
	measured = map[string][]time.Time{}
	from := time.Now().Add(-3 * aDay)
	for range wheels {
		serial := *s.shop.AnotherWheel().Serial
		for n := range each {
			sub := s.shop.Extremes()
			sub.Serial = serial
			sub.FinishedAt = models.Moment(from.Add(time.Duration(n)*8*time.Hour + time.Duration(rand.IntN(3600))*time.Second))
			sub.StartedAt = sub.FinishedAt.Add(-5 * time.Minute)
			body, err := json.Marshal(sub)
			s.shop.Must(err)
			queue, measured[serial] = append(queue, body), append(measured[serial], sub.FinishedAt)
		}
	}
	return queue, measured
}

// replay sends a queue, four at once.
func (s *served) replay(queue [][]byte, want int) {
	s.Helper()
	next := make(chan []byte)
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for body := range next {
				got, err := s.ask(patient, s.address, http.MethodPost, "/api/v1/inspections", "application/json", body)
				if err != nil || got.status != want {
					s.Errorf("from the queue: %d %v, want %d: %.500s", got.status, err, want, got.body)
				}
			}
		})
	}
	for _, body := range queue {
		next <- body
	}
	close(next)
	wait.Wait()
}
