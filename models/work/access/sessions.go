package access

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/mileusna/useragent"

	"tracewright/models"
)

// mostListed bounds a list of sessions.
const mostListed = 500

// SessionKey is what a session is listed and ended by: the hash of its token.
func SessionKey(token string) string { return tokenHash(token) }

// Sessions lists who is signed in, the last seen first, of those who were seen
// within idle: everybody for an owner who asks for that, else the actor's own.
func (s *Service) Sessions(ctx context.Context, actor models.Actor, everybody bool, idle time.Duration) ([]models.Session, error) {
	person := actor.PersonID
	switch {
	case everybody && !actor.May(models.ActManagePeople), person == "":
		return nil, fmt.Errorf("list sessions: %w", models.ErrForbidden)
	case everybody:
		person = ""
	}
	return s.store.SessionsSince(ctx, person, s.now().Add(-idle), mostListed)
}

// EndSession ends one session, at once and on every server: one of the actor's
// own, or for an owner anybody's.
func (s *Service) EndSession(ctx context.Context, actor models.Actor, key string) error {
	person := actor.PersonID
	switch {
	case actor.DeviceID != "" || person == "":
		return fmt.Errorf("end a session: %w", models.ErrForbidden)
	case actor.May(models.ActManagePeople):
		person = ""
	}
	return s.store.EndSession(ctx, person, key)
}

// EndSessionsOf ends all sessions of a person but the one kept, by its key: one's
// own, or for an owner anybody's.
func (s *Service) EndSessionsOf(ctx context.Context, actor models.Actor, personID, keep string) error {
	if actor.DeviceID != "" || actor.PersonID != personID && !actor.May(models.ActManagePeople) {
		return fmt.Errorf("end the sessions of %s: %w", personID, models.ErrForbidden)
	}
	return s.store.EndSessionsOf(ctx, personID, keep, false)
}

// EndWithoutSecond ends the office sessions of everybody of whom the shop demands
// a second factor and who has none, but the actor's.
func (s *Service) EndWithoutSecond(ctx context.Context, actor models.Actor) error {
	people, err := s.store.People(ctx)
	if err != nil {
		return fmt.Errorf("list people: %w", err)
	}
	set, err := s.SecondsSet(ctx)
	if err != nil {
		return err
	}
	for _, p := range people {
		demanded, err := s.demandsSecond(ctx, p)
		if err != nil {
			return err
		}
		if demanded && !set[p.ID] && p.ID != actor.PersonID {
			if err := s.store.EndSessionsOf(ctx, p.ID, "", true); err != nil {
				return err
			}
		}
	}
	return nil
}

// StillIn says of each of those who listen to a stream whether they may go on.
func (s *Service) StillIn(ctx context.Context, list []models.Presence, idle time.Duration) ([]bool, error) {
	return s.store.StillIn(ctx, list, s.now().Add(-idle))
}

// LockAfter is how long a stand waits for a hand, and an office session for a
// request.
func (s *Service) LockAfter(ctx context.Context) (time.Duration, error) {
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return 0, fmt.Errorf("settings of the shop: %w", err)
	}
	return models.LockAfter(settings), nil
}

// longestAgent bounds what a browser may call itself.
const longestAgent = 200

// ShortAgent is what a browser calls itself, as it is kept.
func ShortAgent(agent string) string {
	agent = strings.ToValidUTF8(agent, "")
	agent = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, agent)
	if len(agent) > longestAgent {
		agent = strings.ToValidUTF8(agent[:longestAgent], "")
	}
	return agent
}

// Browser names a browser and the system it runs on, as far as it says so, without
// their versions: an update makes no other machine of it.
func Browser(agent string) (name, system string) {
	ua := useragent.Parse(agent)
	return ua.Name, ua.OS
}
