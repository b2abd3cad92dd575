package trail

import (
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"testing"

	"tracewright/testdata/cases"
)

// Cases of kind chain_verify: the attacks of the table and what finds each.
func TestChainVerifyCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "chain_verify") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Entries    []Entry
				Checkpoint *SignedCheckpoint
				Trusted    map[string]string `json:"trusted_keys"`
			}](t, c.Input)
			want := cases.Decode[struct {
				OK             bool
				Code           Code
				At             *int64
				Warnings       []Finding
				Uncheckpointed *int64
			}](t, c.Expected)
			v := NewVerifier(publicKeys(t, in.Trusted))
			if in.Checkpoint != nil {
				v.Checkpoint(*in.Checkpoint)
			}
			for _, e := range in.Entries {
				if err := v.Entry(e); err != nil {
					t.Fatal(err)
				}
			}
			got := v.Report()
			if (got.Problem == nil) != want.OK {
				t.Fatalf("problem %v; want ok %t", got.Problem, want.OK)
			}
			if !want.OK && (got.Problem.Code != want.Code || !equal(got.Problem.At, want.At)) {
				t.Errorf("got %s; want %s", say(got.Problem), say(&Finding{Code: want.Code, At: want.At}))
			}
			if want.OK && (len(got.Warnings) != len(want.Warnings) || got.Uncheckpointed != *want.Uncheckpointed) {
				t.Errorf("warnings %v, uncheckpointed %d; want %v, %d", got.Warnings, got.Uncheckpointed, want.Warnings, *want.Uncheckpointed)
			}
		})
	}
}

func equal(a, b *int64) bool { return (a == nil) == (b == nil) && (a == nil || *a == *b) }

func say(f *Finding) string {
	switch {
	case f == nil:
		return "nothing"
	case f.At == nil:
		return string(f.Code)
	}
	return fmt.Sprintf("%s at %d", f.Code, *f.At)
}

// chain makes a log of n entries with a genesis.
func chain(t testing.TB, n int, public ed25519.PublicKey) []Entry {
	t.Helper()
	entries := make([]Entry, n)
	for i := range entries {
		entries[i] = Entry{V: 1, TS: fmt.Sprintf("2026-03-02T08:00:%02d.000Z", i), Actor: "a", Kind: "k", Subject: "s", Data: json.RawMessage(`{}`)}
	}
	entries[0].Kind, entries[0].Data = KindGenesis, json.RawMessage(fmt.Sprintf(`{"log":"shop-1","key":"%x"}`, []byte(public)))
	return link(t, entries)
}

// link numbers and hashes entries anew, as somebody without the key can.
func link(t testing.TB, entries []Entry) []Entry {
	t.Helper()
	prev := FirstPrev
	for i := range entries {
		entries[i].Seq, entries[i].Prev = int64(i), prev
		hash, err := EntryHash(entries[i])
		if err != nil {
			t.Fatal(err)
		}
		entries[i].Hash, prev = hash, hash
	}
	return entries
}

// checkpoint signs what the first n entries hold.
func checkpoint(t testing.TB, entries []Entry, n int, key ed25519.PrivateKey) SignedCheckpoint {
	t.Helper()
	var leaves []Hash
	for _, e := range entries[:n] {
		leaf, err := ParseHash(e.Hash)
		if err != nil {
			t.Fatal(err)
		}
		leaves = append(leaves, leaf)
	}
	c, err := Checkpoint{V: 1, Log: "shop-1", Size: int64(n), Head: entries[n-1].Hash, Root: Root(leaves).String(), TS: entries[n-1].TS}.Sign(key)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// run gives the entries with each checkpoint behind the last entry it covers;
// one that covers more comes at the end.
func run(t *testing.T, trusted Keys, entries []Entry, points ...SignedCheckpoint) Report {
	t.Helper()
	v := NewVerifier(trusted)
	for i, e := range entries {
		if err := v.Entry(e); err != nil {
			t.Fatal(err)
		}
		for _, p := range points {
			if p.Body.Size == int64(i)+1 || i == len(entries)-1 && p.Body.Size > int64(i)+1 {
				v.Checkpoint(p)
			}
		}
	}
	return v.Report()
}

// Several checkpoints along a log: the first that fails is told, and what stands
// behind the newest good one is counted.
func TestVerifierWithSeveralCheckpoints(t *testing.T) {
	key, trusted := testKey(1)
	stranger, _ := testKey(2)
	clean := func() []Entry { return chain(t, 10, key.Public().(ed25519.PublicKey)) }
	four, eight := checkpoint(t, clean(), 4, key), checkpoint(t, clean(), 8, key)

	got := run(t, trusted, clean(), four, eight)
	if got.Problem != nil || got.Checkpoints != 2 || got.Uncheckpointed != 2 || got.Entries != 10 || got.Log != "shop-1" || got.Newest.Size != 8 {
		t.Errorf("clean: %s, %+v", say(got.Problem), got)
	}
	tests := []struct {
		name    string
		entries []Entry
		points  []SignedCheckpoint
		want    string
	}{
		{"rewritten behind the first", func() []Entry { e := clean(); e[5].Actor = "b"; return link(t, e) }(), []SignedCheckpoint{four, eight}, "E_CHECKPOINT at 7"},
		{"rewritten before both", func() []Entry { e := clean(); e[2].Actor = "b"; return link(t, e) }(), []SignedCheckpoint{four, eight}, "E_CHECKPOINT at 3"},
		{"cut between", clean()[:6], []SignedCheckpoint{four, eight}, "E_TRUNCATED at 6"},
		{"an entry's error comes before a checkpoint's", func() []Entry { e := clean(); e[9].Hash = e[0].Hash; return e }(),
			[]SignedCheckpoint{checkpoint(t, clean(), 4, stranger)}, "E_HASH at 9"},
		{"by a stranger's key", clean(), []SignedCheckpoint{four, checkpoint(t, clean(), 8, stranger)}, "E_KEY"},
		{"of another log", clean(), []SignedCheckpoint{func() SignedCheckpoint {
			c := four.Body
			c.Log = "shop-2"
			signed, err := c.Sign(key)
			if err != nil {
				t.Fatal(err)
			}
			return signed
		}()}, "E_CHECKPOINT at 3"},
		{"right head, wrong root", clean(), []SignedCheckpoint{func() SignedCheckpoint {
			c := four.Body
			c.Root = eight.Body.Root
			signed, err := c.Sign(key)
			if err != nil {
				t.Fatal(err)
			}
			return signed
		}()}, "E_CHECKPOINT at 3"},
		{"signature not hex", clean(), []SignedCheckpoint{{four.Body, "?"}}, "E_SIG"},
		{"first entry names one before", func() []Entry {
			e := clean()
			e[0].Prev = e[1].Hash
			return e
		}(), nil, "E_PREV at 0"},
	}
	for _, test := range tests {
		if got := say(run(t, trusted, test.entries, test.points...).Problem); got != test.want {
			t.Errorf("%s: %s; want %s", test.name, got, test.want)
		}
	}
	// Held elsewhere and given first, in any order.
	v := NewVerifier(trusted)
	v.Checkpoint(eight)
	v.Checkpoint(four)
	for _, e := range clean() {
		if err := v.Entry(e); err != nil {
			t.Fatal(err)
		}
	}
	if got := v.Report(); got.Problem != nil || got.Checkpoints != 2 {
		t.Errorf("given first: %s, %d good", say(got.Problem), got.Checkpoints)
	}
}

// A clock that goes backwards is a warning; tidying it later breaks the hash.
func TestVerifierClockBack(t *testing.T) {
	key, trusted := testKey(1)
	entries := chain(t, 6, key.Public().(ed25519.PublicKey))
	entries[3].TS, entries[4].TS = "2026-03-02T07:00:00.000Z", "2026-03-02T07:00:01.000Z"
	link(t, entries)
	got := run(t, trusted, entries)
	at := func(n int64) *int64 { return &n }
	want := []Finding{{Code: CodeClockBack, At: at(3)}, {Code: CodeClockBack, At: at(4)}}
	if got.Problem != nil || got.WarningCount != 2 || !slices.EqualFunc(got.Warnings, want, func(a, b Finding) bool { return say(&a) == say(&b) }) {
		t.Errorf("%s, warnings %v", say(got.Problem), got.Warnings)
	}
	entries[3].TS = "2026-03-02T08:00:03.000Z"
	if got := say(run(t, trusted, entries).Problem); got != "E_HASH at 3" {
		t.Errorf("tidied: %s", got)
	}
}

// A key joins by an entry that an older one signed, signs beside it, and the
// older one leaves.
func TestVerifierFollowsKeys(t *testing.T) {
	older, trusted := testKey(1)
	newer, _ := testKey(2)
	olderID := KeyID(older.Public().(ed25519.PublicKey))
	log := func(by ed25519.PrivateKey) []Entry {
		enrolment, err := Enrol(by, "shop-1", newer.Public().(ed25519.PublicKey))
		if err != nil {
			t.Fatal(err)
		}
		data, err := Canonical(enrolment)
		if err != nil {
			t.Fatal(err)
		}
		entries := chain(t, 8, older.Public().(ed25519.PublicKey))
		entries[2].Kind, entries[2].Data = KindKeyEnrolled, data
		entries[5].Kind, entries[5].Data = KindKeyRetired, json.RawMessage(`{"key":"`+olderID+`"}`)
		return link(t, entries)
	}
	good := log(older)
	tests := []struct {
		name   string
		log    []Entry
		points []SignedCheckpoint
		want   string
	}{
		{"overlap and rotation", good, []SignedCheckpoint{checkpoint(t, good, 4, older), checkpoint(t, good, 5, newer), checkpoint(t, good, 8, newer)}, "nothing"},
		{"before it joined", good, []SignedCheckpoint{checkpoint(t, good, 2, newer)}, "E_KEY"},
		{"after it left", good, []SignedCheckpoint{checkpoint(t, good, 6, older)}, "E_KEY"},
		{"vouched for by itself", log(newer), []SignedCheckpoint{checkpoint(t, log(newer), 5, newer)}, "E_KEY"},
	}
	for _, test := range tests {
		if got := say(run(t, trusted, test.log, test.points...).Problem); got != test.want {
			t.Errorf("%s: %s; want %s", test.name, got, test.want)
		}
	}
	if len(trusted) != 1 {
		t.Error("the keys given were changed")
	}
}

func TestVerifierRefusesLaterVersion(t *testing.T) {
	e := chain(t, 1, nil)[0]
	e.V = 2
	if err := NewVerifier(nil).Entry(e); !errors.Is(err, ErrVersion) {
		t.Errorf("%v", err)
	}
}

// What a certificate names of the log holds it as a checkpoint does, without the
// key that signed checkpoints.
func TestVerifierWithCertificates(t *testing.T) {
	key, trusted := testKey(1)
	entries := chain(t, 10, key.Public().(ed25519.PublicKey))
	root := func(n int) string { return checkpoint(t, entries, n, key).Body.Root }
	anew := slices.Clone(entries)
	anew[2].Actor = "b"
	for _, test := range []struct {
		name    string
		log     []Entry
		of      string
		size    int
		root    string
		want    string
		witness int64
	}{
		{"leads to it", entries, "shop-1", 6, root(6), "nothing", 1},
		{"written anew", link(t, anew), "shop-1", 6, root(6), "E_CHECKPOINT at 5", 0},
		{"shortened", entries[:5], "shop-1", 6, root(6), "E_TRUNCATED at 5", 0},
		{"of another log", entries, "shop-2", 6, root(6), "E_CHECKPOINT at 5", 0},
	} {
		v := NewVerifier(trusted)
		v.Witness(test.of, int64(test.size), test.root)
		for _, e := range test.log {
			if err := v.Entry(e); err != nil {
				t.Fatal(err)
			}
		}
		if got := v.Report(); say(got.Problem) != test.want || got.Witnesses != test.witness || got.Newest != nil {
			t.Errorf("%s: %s, %d certificates; want %s", test.name, say(got.Problem), got.Witnesses, test.want)
		}
	}
}
