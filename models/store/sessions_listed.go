package store

import (
	"context"
	"time"

	"tracewright/models"
)

// SessionsSince lists who is signed in and was seen since a moment, the last seen
// first, without what the session library keeps; of one person, or of all where
// the key is empty.
func (s *Store) SessionsSince(ctx context.Context, personID string, since time.Time, limit int) ([]models.Session, error) {
	var found []models.Session
	query := s.read.WithContext(ctx).Omit("data").Where("person_id IS NOT NULL AND seen_at > ?", models.Moment(since))
	if personID != "" {
		query = query.Where("person_id = ?", personID)
	}
	err := query.Order("seen_at DESC, token_hash").Limit(limit).Find(&found).Error
	return found, fault(err, "list sessions")
}

// EndSession ends one of a person's sessions, or anybody's where the key is
// empty; models.ErrNotFound when there is none such.
func (s *Store) EndSession(ctx context.Context, personID, tokenHash string) error {
	query := s.write.WithContext(ctx).Where("token_hash = ? AND person_id IS NOT NULL", tokenHash)
	if personID != "" {
		query = query.Where("person_id = ?", personID)
	}
	return fault(changedOne(query.Delete(&models.Session{}), "session"), "end a session")
}

// EndSessionsOf ends all sessions of a person but one, named by its hash; with
// officeOnly those at devices go on.
func (s *Store) EndSessionsOf(ctx context.Context, personID, except string, officeOnly bool) error {
	query := s.write.WithContext(ctx).Where("person_id = ? AND token_hash <> ?", personID, except)
	if officeOnly {
		query = query.Where("device_id IS NULL")
	}
	return fault(query.Delete(&models.Session{}).Error, "end the sessions of a person")
}

// StillIn says of each of those who listen whether they may go on: the session is
// there and was seen since a moment, the person works here, the device is not
// revoked. It asks three questions, however many listen.
func (s *Store) StillIn(ctx context.Context, list []models.Presence, since time.Time) ([]bool, error) {
	var tokens, people, devices []string
	for _, p := range list {
		tokens, people, devices = appendText(tokens, p.TokenHash), appendText(people, p.PersonID), appendText(devices, p.DeviceID)
	}
	there := map[string]bool{"": true} // What a presence does not have cannot end it.
	for _, ask := range []struct {
		record any
		column string
		where  string
		args   []any
		keys   []string
	}{
		{&models.Session{}, "token_hash", "seen_at > ?", []any{models.Moment(since)}, tokens},
		{&models.Person{}, "id", "active", nil, people},
		{&models.Device{}, "id", "revoked_at IS NULL", nil, devices},
	} {
		for from := 0; from < len(ask.keys); from += inOneQuestion {
			var found []string
			keys := ask.keys[from:min(from+inOneQuestion, len(ask.keys))]
			if err := s.read.WithContext(ctx).Model(ask.record).Where(ask.where, ask.args...).Where(ask.column+" IN ?", keys).Pluck(ask.column, &found).Error; err != nil {
				return nil, fault(err, "ask who is still in")
			}
			for _, key := range found {
				there[key] = true
			}
		}
	}
	still := make([]bool, len(list))
	for i, p := range list {
		still[i] = there[p.TokenHash] && there[p.PersonID] && there[p.DeviceID]
	}
	return still, nil
}

// inOneQuestion bounds how many keys one statement names.
const inOneQuestion = 500

func appendText(list []string, text string) []string {
	if text == "" {
		return list
	}
	return append(list, text)
}
