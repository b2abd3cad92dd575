package bench

import (
	"context"
	"fmt"
	"sync"
	"time"

	"tracewright/models"
)

// measureCapture posts wheels of 108 readings: judged, stored durably, the log
// of changes written and sealed.
func (m *measuring) measureCapture(ctx context.Context) error {
	next := turns(len(m.serials))
	rate, raw, err := m.inTurn(ctx,
		func(during time.Duration) (float64, error) {
			return closed(ctx, Clients, during, func(ctx context.Context) error { return m.server.Post(ctx, m.serials[next()]) })
		},
		func(during time.Duration) (float64, error) {
			if m.place.Kind() == SQLite {
				return RawSQLite(ctx, m.place.Folder, during)
			}
			return m.place.RawPostgres(ctx, m.options.Pgbench, during)
		})
	if err != nil {
		return fmt.Errorf("capture: %w", err)
	}
	m.top = rate
	f := Figure{Name: Capture, Value: rate, Unit: "inspections/s", Against: raw, With: m.with(), Ratio: rate / raw}
	f.atLeast(map[string]float64{SQLite: 0.6, Postgres: 0.8}[m.place.Kind()])
	m.add(f)
	return nil
}

// measureSteady posts at 80 % of the top rate, whether or not those before are
// answered. What the comparison left to the disk is written before, and the first
// quarter of the time is not counted: a steady pace is measured, not how it begins.
func (m *measuring) measureSteady(ctx context.Context) error {
	if err := m.place.settleRaw(ctx); err != nil {
		return fmt.Errorf("settle what the comparison wrote: %w", err)
	}
	next := turns(len(m.serials))
	post := func(ctx context.Context) error { return m.server.Post(ctx, m.serials[next()]) }
	_, err := open(ctx, 0.8*m.top, m.options.During/4, post)
	var took []time.Duration
	if err == nil {
		took, err = open(ctx, 0.8*m.top, m.options.During, post)
	}
	if err != nil {
		return fmt.Errorf("capture at a steady rate: %w", err)
	}
	slow, middle := quantile(took, 0.99), quantile(took, 0.5)
	f := Figure{Name: Steady, Value: millis(slow), Unit: "ms", Against: millis(middle), With: Median, Ratio: float64(slow) / float64(middle)}
	f.atMost(5)
	m.add(f)
	return nil
}

// measureDrafts saves drafts as stands do while somebody measures, each stand
// its own.
func (m *measuring) measureDrafts(ctx context.Context) error {
	free := make(chan *inTheMaking, Clients)
	for i := range Clients {
		free <- &inTheMaking{models.NewID(), m.serials[i], 0}
	}
	rate, err := closed(ctx, Clients, m.options.During/2, func(ctx context.Context) error {
		d := <-free
		err := m.server.Draft(ctx, d.id, d.serial, d.version)
		d.version++
		free <- d
		return err
	})
	if err != nil {
		return fmt.Errorf("save drafts: %w", err)
	}
	m.add(Figure{Name: Drafts, Value: rate, Unit: "drafts/s"})
	return nil
}

type inTheMaking struct {
	id, serial string
	version    int
}

// measureQueue sends what a tablet gathered without the network, in order, one
// at a time as it does, while others capture at half the top rate.
func (m *measuring) measureQueue(ctx context.Context) error {
	others, stop := context.WithCancel(ctx)
	defer stop()
	next := turns(len(m.serials) - m.options.Queue)
	var (
		busy sync.WaitGroup
		fail error
	)
	busy.Go(func() {
		_, err := open(others, m.top/2, time.Minute, func(context.Context) error {
			return m.server.Post(ctx, m.serials[m.options.Queue+next()]) // What was begun is finished.
		})
		if others.Err() == nil {
			fail = err
		}
	})
	began := time.Now()
	for _, serial := range m.serials[:m.options.Queue] {
		if err := m.server.Post(ctx, serial); err != nil {
			return fmt.Errorf("send a queue: %w", err)
		}
	}
	took := time.Since(began)
	stop()
	if busy.Wait(); fail != nil {
		return fmt.Errorf("capture beside a queue: %w", fail)
	}
	f := Figure{Name: Queue, Value: took.Seconds() * 500 / float64(m.options.Queue), Unit: "s"}
	f.atMost(3)
	m.add(f)
	return nil
}

func millis(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
