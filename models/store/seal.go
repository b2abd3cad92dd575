package store

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trail"
)

// Entered tells that a change was committed by this program since it was last
// asked; entries of other programs come unannounced.
func (s *Store) Entered() <-chan struct{} { return s.entered }

func (s *Store) tellEntered() {
	select {
	case s.entered <- struct{}{}:
	default: // It is told already.
	}
}

// BeginLog makes the log of a database that has none: entry 0, which carries
// the log's id and its first public key. Records that have no entry get one.
// models.ErrConflict says that it has begun.
func (s *Store) BeginLog(ctx context.Context, stamp models.Stamp, log string, key models.ServerKey) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		entry, err := models.AboutLog(stamp, trail.KindGenesis, log, trail.Genesis{Log: log, Key: key.Public})
		if err != nil {
			return err
		}
		seq, prev, at := int64(0), trail.FirstPrev, models.Moment(stamp.At)
		chained, err := entry.Chained(seq, prev, at)
		if err != nil {
			return err
		}
		hash, err := trail.EntryHash(chained)
		if err != nil {
			return err
		}
		entry.Seq, entry.Prev, entry.Hash, entry.SealedAt = &seq, &prev, &hash, &at
		// The head first: of two programs that begin at once, the later one waits
		// here and finds its key taken.
		if err := tx.Exec("INSERT INTO trail_heads (one, log, size, hash, frontier, sealed_at) VALUES (1, ?, 1, ?, ?, ?)", log, hash, hash, at).Error; err != nil {
			return err
		}
		if err := add(tx, &entry); err != nil {
			return err
		}
		key.EntryID, key.EnrolledAt = entry.ID, at
		if err := add(tx, &key); err != nil {
			return err
		}
		return adopt(tx, stamp)
	})
	return fault(err, "begin the log of changes")
}

// TrailHead tells where the chain ends; models.ErrNotFound before it has begun.
func (s *Store) TrailHead(ctx context.Context) (models.TrailHead, error) {
	var head models.TrailHead
	found := false
	err := s.ask(ctx, question{trailHead, nil, func(scan func(...any) error) error {
		var frontier string
		if err := scan(&head.Log, &head.Size, &head.Hash, &frontier, &head.SealedAt); err != nil {
			return err
		}
		found = true
		var err error
		head.Frontier, err = frontierOf(frontier)
		return err
	}})
	if err == nil && !found {
		err = models.ErrNotFound
	}
	return head, fault(err, "find the head of the trail")
}

const trailHead = "SELECT log, size, hash, frontier, sealed_at FROM trail_heads WHERE one = 1"

// Seal numbers and chains at most that many of the entries which wait, ordered
// by the moment of their change and then by id. It holds the head while it
// does, so that several programs may seal at once. An entry's seal is never
// dated before the one before. models.ErrNotFound says that the log has not
// begun.
func (s *Store) Seal(ctx context.Context, now time.Time, most int) (models.SealedBatch, error) {
	var done models.SealedBatch
	err := s.transactSilently(ctx, func(p pipeline) error {
		head, waiting, err := s.toSeal(ctx, p, most)
		if err != nil {
			return err
		}
		now := models.Moment(now)
		done = models.SealedBatch{Count: len(waiting), Size: head.Size + int64(len(waiting))}
		if now.Before(head.SealedAt) {
			done.ClockBack, now = head.SealedAt.Sub(now), head.SealedAt
		}
		if len(waiting) == 0 {
			return nil
		}
		done.Oldest = waiting[0].At
		b := &batch{}
		if err := s.chain(b, &head, waiting, now); err != nil {
			return err
		}
		b.exec("UPDATE trail_heads SET size = ?, hash = ?, frontier = ?, sealed_at = ? WHERE one = 1", head.Size, head.Hash, frontierText(head.Frontier), now)
		return p.commit(ctx, b)
	})
	return done, fault(err, "seal the trail")
}

// toSeal locks the head and then reads what waits: a statement sees what was
// committed before it began, so whoever waited for the lock sees what the other
// has sealed.
func (s *Store) toSeal(ctx context.Context, p pipeline, most int) (models.TrailHead, []models.TrailEntry, error) {
	var (
		head    models.TrailHead
		waiting []models.TrailEntry
	)
	b := &batch{}
	b.query(trailHead+s.forUpdate(), func(row []any) (err error) {
		head.Log, head.Size, head.Hash = textOf(row[0]), int64(wholeOf(row[1])), textOf(row[2])
		head.SealedAt = timeOf(row[4])
		head.Frontier, err = frontierOf(textOf(row[3]))
		return err
	})
	b.query("SELECT CAST(id AS text), at, actor, kind, subject, encoding, digest, note, data FROM trail_entries WHERE seq IS NULL ORDER BY at, id LIMIT ?", func(row []any) error {
		e := models.TrailEntry{ID: textOf(row[0]), At: timeOf(row[1]), Actor: textOf(row[2]), Kind: textOf(row[3]), Subject: textOf(row[4]), Encoding: wholeOf(row[5]), Digest: textOf(row[6]), Note: textOf(row[7])}
		if row[8] != nil {
			data := textOf(row[8])
			e.Data = &data
		}
		waiting = append(waiting, e)
		return nil
	}, most)
	if err := p.send(ctx, b); err != nil {
		return models.TrailHead{}, nil, err
	}
	if head.Size == 0 {
		return models.TrailHead{}, nil, models.ErrNotFound
	}
	return head, waiting, nil
}

// chain queues the seals of entries and moves the head along.
func (s *Store) chain(b *batch, head *models.TrailHead, waiting []models.TrailEntry, at time.Time) error {
	tree, err := head.Tree()
	if err != nil {
		return err
	}
	ids, prevs, hashes, seqs := make([]string, len(waiting)), make([]string, len(waiting)), make([]string, len(waiting)), make([]int64, len(waiting))
	for i, e := range waiting {
		chained, err := e.Chained(head.Size, head.Hash, at)
		if err != nil {
			return err
		}
		text, err := trail.EntryHash(chained)
		if err != nil {
			return fmt.Errorf("entry %s: %w", e.ID, err)
		}
		leaf, err := trail.ParseHash(text)
		if err != nil {
			return err
		}
		tree.Append(leaf)
		ids[i], seqs[i], prevs[i], hashes[i] = e.ID, head.Size, head.Hash, text
		head.Size, head.Hash = head.Size+1, text
	}
	head.Frontier = tree.Frontier()
	if s.dialect == Postgres {
		b.exec(`UPDATE trail_entries AS t SET seq = r.seq, prev = r.prev, hash = r.hash, sealed_at = ?
			FROM unnest(?::text[], ?::bigint[], ?::text[], ?::text[]) AS r (id, seq, prev, hash) WHERE t.id = r.id::uuid`, at, ids, seqs, prevs, hashes)
		return nil
	}
	for i := range ids { // Compiled once; there is no way to the database that many rows at once would save.
		b.exec("UPDATE trail_entries SET seq = ?, prev = ?, hash = ?, sealed_at = ? WHERE id = ?", seqs[i], prevs[i], hashes[i], at, ids[i])
	}
	return nil
}

func frontierText(frontier []trail.Hash) string {
	texts := make([]string, len(frontier))
	for i, h := range frontier {
		texts[i] = h.String()
	}
	return strings.Join(texts, " ")
}

func frontierOf(text string) ([]trail.Hash, error) {
	texts := strings.Fields(text)
	frontier := make([]trail.Hash, len(texts))
	for i, t := range texts {
		var err error
		if frontier[i], err = trail.ParseHash(t); err != nil {
			return nil, fmt.Errorf("read the head of the trail: %w", err)
		}
	}
	return frontier, nil
}

// timeOf reads a time as the drivers give it.
func timeOf(v any) time.Time {
	t, _ := v.(time.Time)
	return t.UTC()
}

// SealedEntries lists the chain from a number on, in its order, at most limit.
func (s *Store) SealedEntries(ctx context.Context, from int64, limit int) ([]models.TrailEntry, error) {
	var entries []models.TrailEntry
	err := s.read.WithContext(ctx).Where("seq >= ?", from).Order("seq").Limit(limit).Find(&entries).Error
	return entries, fault(err, "read the sealed trail")
}

// FirstSealed is the number of the first entry sealed at that time or later, or
// of the next where there is none yet. Seals are dated in the order of their
// numbers, so that it is found by halving; where some are gone, the next one
// answers for them.
func (s *Store) FirstSealed(ctx context.Context, from time.Time) (int64, error) {
	head, err := s.TrailHead(ctx)
	if errors.Is(err, models.ErrNotFound) {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	low, high := int64(0), head.Size
	for low < high {
		middle := low + (high-low)/2
		var next []models.TrailEntry
		if err := s.read.WithContext(ctx).Select("seq, sealed_at").Where("seq >= ?", middle).Order("seq").Limit(1).Find(&next).Error; err != nil {
			return 0, fault(err, "find the first entry of a day")
		}
		if len(next) > 0 && next[0].SealedAt.Before(from) {
			low = *next[0].Seq + 1
		} else {
			high = middle
		}
	}
	return low, nil
}
