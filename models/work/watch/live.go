package watch

import (
	"errors"
	"fmt"

	"tracewright/models"
)

const (
	// mostPages listen at the same time.
	mostPages = 256
	// mostWaiting changes wait for one page before it is taken for gone.
	mostWaiting = 256
)

var (
	// ErrFull is returned when too many pages listen already.
	ErrFull = errors.New("too many pages listen")
	// ErrClosed is returned once the server is told to stop.
	ErrClosed = errors.New("no more changes are told")
)

// Page is a page that listens. Changes come until it is closed from either side;
// one that does not keep up is closed, comes back and looks for itself.
type Page struct {
	// Changes are the keys of what came: a field that is empty stands for all.
	Changes <-chan models.ChartKey

	about   models.ChartKey
	changes chan models.ChartKey
	leave   func()
}

// Leave ends listening.
func (p *Page) Leave() { p.leave() }

// Listen tells of values that come to the chart of a key; empty fields stand for
// all.
func (s *Service) Listen(about models.ChartKey) (*Page, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return nil, ErrClosed
	}
	if len(s.pages) >= mostPages {
		return nil, fmt.Errorf("listen to charts: %w", ErrFull)
	}
	changes := make(chan models.ChartKey, mostWaiting)
	p := &Page{Changes: changes, changes: changes, about: about}
	p.leave = func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.drop(p)
	}
	s.pages[p] = true
	return p, nil
}

// Close ends every page, and tells nothing more: the server stops.
func (s *Service) Close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed = true
	for p := range s.pages {
		s.drop(p)
	}
}

// tell hands each page what it asked about.
func (s *Service) tell(keys []models.ChartKey) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for p := range s.pages {
		for _, k := range keys {
			if !p.about.Meets(k) {
				continue
			}
			select {
			case p.changes <- k:
				continue
			default:
			}
			s.drop(p)
			break
		}
	}
}

// drop closes a page's changes, once.
func (s *Service) drop(p *Page) {
	if s.pages[p] {
		delete(s.pages, p)
		close(p.changes)
	}
}
