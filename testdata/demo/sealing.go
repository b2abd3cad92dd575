package demo

import (
	"context"
	"crypto/ed25519"
	"crypto/sha256"
	"time"

	"tracewright/models"
	"tracewright/models/work/sealing"
)

// oneKey is a key that protects nothing, for a shop whose maker brings none: it
// is made of words that stand here, so that the same shop comes out every time.
// It implements sealing.Keys.
type oneKey struct{ log string }

// All implements sealing.Keys.
func (*oneKey) All() ([]ed25519.PrivateKey, error) {
	seed := sha256.Sum256([]byte("a key of the invented shop, known to all"))
	return []ed25519.PrivateKey{ed25519.NewKeyFromSeed(seed[:])}, nil
}

// Make implements sealing.Keys; there is one already.
func (k *oneKey) Make() (ed25519.PrivateKey, error) {
	all, err := k.All()
	return all[0], err
}

// Log implements sealing.Keys.
func (k *oneKey) Log() (string, error) { return k.log, nil }

// For implements sealing.Keys.
func (k *oneKey) For(log string) error {
	k.log = log
	return nil
}

// Place implements sealing.Keys.
func (*oneKey) Place() string { return "the invented shop" }

// daily seals once a day, with the first certificate of it: the others of that
// day are witnesses of the same checkpoint. A seal for each of some thousand
// would be most of the wait for the shop.
type daily struct {
	*sealing.Service
	today  func() time.Time
	day    time.Time
	sealed models.SealedLog
}

// Seal implements release.Sealing.
func (d *daily) Seal(ctx context.Context) (models.SealedLog, error) {
	day := on(d.today(), 0, 0)
	if day.Equal(d.day) {
		return d.sealed, nil
	}
	sealed, err := d.Service.Seal(ctx)
	if err == nil {
		d.day, d.sealed = day, sealed
	}
	return sealed, err
}

// beginLog begins the shop's log of changes on its first morning.
func (m *maker) beginLog() error { return m.seals.Begin(m.ctx) }

// BeginLog names the log as everything else of the invented shop is named.
func (k *keeper) BeginLog(ctx context.Context, stamp models.Stamp, _ string, key models.ServerKey) error {
	k.log = k.newID()
	return k.Store.BeginLog(ctx, stamp, k.log, key)
}

// ofLog are keys that are marked by the name that the keeper gave the log.
type ofLog struct {
	sealing.Keys
	keeper *keeper
}

// For implements sealing.Keys.
func (k ofLog) For(string) error { return k.Keys.For(k.keeper.log) }
