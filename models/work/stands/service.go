package stands

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"

	"tracewright/models"
)

const (
	// mostKept readings of a stand are kept, and none for longer than keptFor:
	// whoever comes back later has gone on measuring by hand.
	mostKept = 256
	keptFor  = 5 * time.Minute
	// mostWaiting readings wait for one page. At ten a second a page has three
	// seconds before it is taken for gone.
	mostWaiting = 32
	// mostPages of one stand listen at the same time, and mostOfAll of all.
	mostPages = 8
	mostOfAll = 256
)

var (
	// ErrFull is returned when too many pages listen already.
	ErrFull = errors.New("too many pages listen")
	// ErrClosed is returned once the server is told to stop.
	ErrClosed = errors.New("no more readings are handed on")
)

// Event is a reading on its way to a page. ID orders the events of a stand and
// names the last one a page has seen.
type Event struct {
	ID      string
	Reading Reading
	number  uint64
	at      time.Time
}

// Receipt says what became of a reading.
type Receipt struct {
	Repeated bool // this id was here before, with the same content
	Pages    int  // that it was handed to; none is no error: nobody looks
}

// Service hands readings on. It has no store: nothing of it outlives the
// program.
type Service struct {
	now   func() time.Time
	epoch string // tells the events of this start from those of another

	mu     sync.Mutex
	stands map[string]*stand
	pages  int
	closed bool
}

// stand is what is known of one place.
type stand struct {
	last  uint64 // number of the latest event
	kept  []Event
	pages map[*Page]bool
}

// New makes the service.
func New(now func() time.Time) *Service {
	return &Service{now: now, epoch: strconv.FormatInt(now().UnixMilli(), 36), stands: map[string]*stand{}}
}

// Post hands a checked reading to every page that listens at a place. The same
// id again is answered and not handed on; with other content it is
// [models.ErrConflict].
func (s *Service) Post(place string, r Reading) (Receipt, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return Receipt{}, ErrClosed
	}
	at := s.stand(place)
	for _, e := range at.kept {
		if e.Reading.ID != r.ID {
			continue
		}
		if !e.Reading.same(r) {
			return Receipt{}, fmt.Errorf("reading %s at %s: %w", r.ID, place, models.ErrConflict)
		}
		return Receipt{Repeated: true, Pages: len(at.pages)}, nil
	}
	at.last++
	e := Event{ID: s.id(at.last), Reading: r, number: at.last, at: s.now()}
	at.kept = append(at.kept, e)
	for page := range at.pages {
		select {
		case page.events <- e:
		default:
			s.drop(place, page) // It comes back and asks from where it was.
		}
	}
	return Receipt{Pages: len(at.pages)}, nil
}

// Page is one page that listens. Events come until it is closed from either
// side.
type Page struct {
	Events <-chan Event
	// Since are the events after the one that was named, oldest first, and From
	// the id to go on from, before any of Events.
	Since []Event
	From  string
	// Missed counts those after the one that was named which are gone.
	Missed int

	events chan Event
	leave  func()
}

// Leave ends listening.
func (p *Page) Leave() { p.leave() }

// Listen opens a page at a place. after is the id of the last event the page
// has seen; empty for a page that has just been opened, which gets what comes
// from now on.
func (s *Service) Listen(place, after string) (*Page, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return nil, ErrClosed
	}
	at := s.stand(place)
	if len(at.pages) >= mostPages || s.pages >= mostOfAll {
		return nil, fmt.Errorf("listen at %s: %w", place, ErrFull)
	}
	events := make(chan Event, mostWaiting)
	p := &Page{Events: events, events: events}
	p.leave = func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.drop(place, p)
	}
	if after != "" {
		seen := s.number(after)
		for _, e := range at.kept {
			if e.number > seen {
				p.Since = append(p.Since, e)
			}
		}
		p.Missed = int(at.last-min(seen, at.last)) - len(p.Since)
	}
	p.From = s.id(at.last)
	at.pages[p] = true
	s.pages++
	return p, nil
}

// Close ends every page, and takes nothing more: the server stops.
func (s *Service) Close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed = true
	for place, at := range s.stands {
		for page := range at.pages {
			s.drop(place, page)
		}
	}
}

// drop closes a page's events, once.
func (s *Service) drop(place string, p *Page) {
	at := s.stands[place]
	if at == nil || !at.pages[p] {
		return
	}
	delete(at.pages, p)
	s.pages--
	close(p.events)
}

// stand finds a place, without what is too old or too much. Places are few:
// only those of enrolled devices are asked for.
func (s *Service) stand(place string) *stand {
	at := s.stands[place]
	if at == nil {
		at = &stand{pages: map[*Page]bool{}}
		s.stands[place] = at
	}
	old, now := max(0, len(at.kept)-mostKept+1), s.now()
	for old < len(at.kept) && now.Sub(at.kept[old].at) > keptFor {
		old++
	}
	if old > 0 {
		at.kept = append([]Event(nil), at.kept[old:]...)
	}
	return at
}

func (s *Service) id(number uint64) string { return s.epoch + "-" + strconv.FormatUint(number, 10) }

// number is the number of an event this start has sent. A name from before a
// restart, or none of ours, has seen nothing of this one.
func (s *Service) number(id string) uint64 {
	text, ours := strings.CutPrefix(id, s.epoch+"-")
	n, err := strconv.ParseUint(text, 10, 64)
	if !ours || err != nil {
		return 0
	}
	return n
}
