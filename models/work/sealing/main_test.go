package sealing_test

import (
	"bytes"
	"crypto/ed25519"
	"log/slog"
	"os"
	"testing"

	"tracewright/models/store"
	"tracewright/models/store/storetest"
	"tracewright/models/trail"
	"tracewright/models/work/sealing"
)

func TestMain(m *testing.M) {
	if os.Getenv(childDSN) != "" {
		os.Exit(beChild())
	}
	storetest.Main(m)
}

// ring is keys that are nowhere but here. Each key made is the next of a row of
// seeds, so that two rings of one beginning make the same.
type ring struct {
	keys []ed25519.PrivateKey
	log  string
	next byte
}

func newRing(first byte) *ring { return &ring{next: first} }

func (r *ring) All() ([]ed25519.PrivateKey, error) { return r.keys, nil }
func (r *ring) Log() (string, error)               { return r.log, nil }
func (r *ring) For(log string) error               { r.log = log; return nil }
func (r *ring) Place() string                      { return "a ring" }

func (r *ring) Make() (ed25519.PrivateKey, error) {
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{r.next}, ed25519.SeedSize))
	r.keys, r.next = append(r.keys, key), r.next+1
	return key, nil
}

func publicOf(key ed25519.PrivateKey) ed25519.PublicKey { return key.Public().(ed25519.PublicKey) }

func must[T any](t *testing.T) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// quiet is a log that nobody reads.
var quiet = slog.New(slog.DiscardHandler)

// verify walks along the chain with the verifier of package trail, told of the
// first key alone, and gives what it found.
func verify(t *testing.T, s *store.Store, first ed25519.PublicKey) trail.Report {
	t.Helper()
	v := trail.NewVerifier(trail.Keys{trail.KeyID(first): first})
	checkpoints, err := s.Checkpoints(t.Context(), 0, 100_000)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range checkpoints {
		v.Checkpoint(c.Signed())
	}
	for from, more := int64(0), true; more; {
		entries, err := s.SealedEntries(t.Context(), from, 1000)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			chained, err := e.Sealed()
			if err != nil {
				t.Fatal(err)
			}
			if err := v.Entry(chained); err != nil {
				t.Fatal(err)
			}
		}
		from, more = from+int64(len(entries)), len(entries) == 1000
	}
	r := v.Report()
	if r.Problem != nil {
		t.Errorf("the log does not verify: %s at %v", r.Problem.Code, r.Problem.At)
	}
	return r
}

var _ sealing.Keys = &ring{}
