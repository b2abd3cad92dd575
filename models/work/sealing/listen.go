package sealing

// Listen gives a channel that gets a word each time this server has sealed
// something, until stop is called. Words are not counted: whoever was busy finds
// one that stands for all. What another server seals comes unannounced.
func (s *Service) Listen() (sealed <-chan struct{}, stop func()) {
	c := make(chan struct{}, 1)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.listeners[c] = true
	return c, func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		delete(s.listeners, c)
	}
}

// tellSealed leaves a word for everybody who listens.
func (s *Service) tellSealed() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for c := range s.listeners {
		select {
		case c <- struct{}{}:
		default: // There is one already.
		}
	}
}
