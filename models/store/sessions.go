package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"gorm.io/gorm/clause"

	"tracewright/models"
)

// Sessions keeps the signed-in browsers for the session library. Only the
// hash of a token is stored: who reads the table cannot sign in with it.
type Sessions struct {
	store *Store
	now   func() time.Time
}

// Sessions gives the store of sessions; now decides what has run out.
func (s *Store) Sessions(now func() time.Time) *Sessions { return &Sessions{store: s, now: now} }

func tokenHash(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// FindCtx gives a session's data while it has not run out.
func (s *Sessions) FindCtx(ctx context.Context, token string) ([]byte, bool, error) {
	session, err := first[models.Session](ctx, s.store, "find a session", "token_hash = ? AND expires > ?", tokenHash(token), models.Moment(s.now()))
	if errors.Is(err, models.ErrNotFound) {
		return nil, false, nil
	}
	return session.Data, err == nil, err
}

// CommitCtx writes a session with the facts of it in the context. One that does
// not begin now and is no longer there was ended by somebody while the request
// ran, and stays so: models.ErrUnauthenticated.
func (s *Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	facts, told := models.SessionFactsOf(ctx)
	session := facts.Session
	session.TokenHash, session.Data, session.Expires = tokenHash(token), data, models.Moment(expiry)
	session.BeganAt, session.SeenAt = models.Moment(session.BeganAt), models.Moment(session.SeenAt)
	tx := s.store.write.WithContext(ctx)
	if told && !facts.Fresh {
		done := tx.Model(&models.Session{}).Where("token_hash = ?", session.TokenHash).Updates(map[string]any{"data": data, "expires": session.Expires, "agent": session.Agent, "address": session.Address, "seen_at": session.SeenAt})
		if done.Error == nil && done.RowsAffected == 0 {
			return fmt.Errorf("keep a session that was ended: %w", models.ErrUnauthenticated)
		}
		return fault(done.Error, "keep a session")
	}
	err := tx.Clauses(clause.OnConflict{
		Columns: []clause.Column{{Name: "token_hash"}}, DoUpdates: clause.AssignmentColumns([]string{"data", "expires"}),
	}).Create(&session).Error
	return fault(err, "keep a session")
}

// DeleteCtx ends a session.
func (s *Sessions) DeleteCtx(ctx context.Context, token string) error {
	err := s.store.write.WithContext(ctx).Where("token_hash = ?", tokenHash(token)).Delete(&models.Session{}).Error
	return fault(err, "end a session")
}

// DeleteExpired clears away what has run out.
func (s *Sessions) DeleteExpired(ctx context.Context) error {
	err := s.store.write.WithContext(ctx).Where("expires <= ?", models.Moment(s.now())).Delete(&models.Session{}).Error
	return fault(err, "clear sessions that ran out")
}

// Find, Commit and Delete are the forms without a context that the session
// library's interface asks for; it calls those above.

// Find is FindCtx.
func (s *Sessions) Find(token string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), token)
}

// Commit is CommitCtx.
func (s *Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return s.CommitCtx(context.Background(), token, data, expiry)
}

// Delete is DeleteCtx.
func (s *Sessions) Delete(token string) error { return s.DeleteCtx(context.Background(), token) }
