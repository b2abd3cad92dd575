package trail

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"tracewright/testdata/cases"
)

func TestEntryHashCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "chain_entry_hash") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Entry Entry `json:"entry_without_hash"`
			}](t, c.Input)
			want := cases.Decode[struct{ Canonical, Hash string }](t, c.Expected)
			canonical, err := Canonical(in.Entry)
			if err != nil || string(canonical) != want.Canonical {
				t.Errorf("canonical %s, %v; want %s", canonical, err, want.Canonical)
			}
			hash, err := EntryHash(in.Entry)
			if err != nil || hash != want.Hash {
				t.Errorf("hash %s, %v; want %s", hash, err, want.Hash)
			}
			// The hash is over everything but itself.
			in.Entry.Hash = strings.Repeat("0", 64)
			if again, err := EntryHash(in.Entry); err != nil || again != want.Hash {
				t.Errorf("with a hash in place: %s, %v", again, err)
			}
		})
	}
}

// Every member counts, and a trailing zero in a value as well; the order of
// members and the space between them do not.
func TestEntryHashSeesEveryChange(t *testing.T) {
	base := Entry{V: EntryVersion, Seq: 1, Prev: strings.Repeat("a", 64), TS: "2026-03-02T08:12:00.000Z",
		Actor: "a", Kind: "k", Subject: "s", Data: json.RawMessage(`{"value":"51.230","n":1}`)}
	hash := func(change func(*Entry)) string {
		e := base
		change(&e)
		h, err := EntryHash(e)
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	same := hash(func(*Entry) {})
	seen := map[string]string{same: "nothing"}
	for name, change := range map[string]func(*Entry){
		"v":             func(e *Entry) { e.V = 2 },
		"seq":           func(e *Entry) { e.Seq = 2 },
		"prev":          func(e *Entry) { e.Prev = strings.Repeat("b", 64) },
		"ts":            func(e *Entry) { e.TS = "2026-03-02T08:12:00.001Z" },
		"actor":         func(e *Entry) { e.Actor = "b" },
		"kind":          func(e *Entry) { e.Kind = "l" },
		"subject":       func(e *Entry) { e.Subject = "t" },
		"trailing zero": func(e *Entry) { e.Data = json.RawMessage(`{"value":"51.23","n":1}`) },
		"data removed":  func(e *Entry) { e.Data = json.RawMessage(`{"value":"51.230"}`) },
	} {
		h := hash(change)
		if other, taken := seen[h]; taken {
			t.Errorf("changing %s gives the same hash as changing %s", name, other)
		}
		seen[h] = name
	}
	if h := hash(func(e *Entry) { e.Data = json.RawMessage(" {\"n\":1.0,\n\"value\":\"51.230\"}") }); h != same {
		t.Error("order and space changed the hash")
	}
}

func TestEntryHashRefuses(t *testing.T) {
	if _, err := EntryHash(Entry{Data: json.RawMessage(`{"a":1,"a":2}`)}); !errors.Is(err, ErrDuplicateKey) {
		t.Errorf("equal names in data: %v", err)
	}
	if _, err := EntryHash(Entry{}); !errors.Is(err, ErrSyntax) {
		t.Errorf("no data: %v", err)
	}
}

// Cases of kind sha256: FIPS 180-4.
func TestDigestCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "sha256") {
		in := cases.Decode[struct {
			ASCII  string
			Repeat []any `json:"ascii_repeat"`
		}](t, c.Input)
		want := cases.Decode[struct{ Hex string }](t, c.Expected)
		message := []byte(in.ASCII)
		if len(in.Repeat) == 2 {
			message = bytes.Repeat([]byte(in.Repeat[0].(string)), int(in.Repeat[1].(float64)))
		}
		if got := Digest(message); got != want.Hex {
			t.Errorf("%s: %s; want %s", c.ID, got, want.Hex)
		}
	}
}

func TestTimestamp(t *testing.T) {
	zone := time.FixedZone("", 2*3600)
	tests := []struct {
		at   time.Time
		want string
	}{
		{time.Date(2026, 3, 2, 8, 12, 0, 0, time.UTC), "2026-03-02T08:12:00.000Z"},
		{time.Date(2026, 3, 2, 1, 12, 0, 999_999_999, zone), "2026-03-01T23:12:00.999Z"},
		{time.Date(2026, 3, 2, 8, 12, 0, 120_000_000, time.UTC), "2026-03-02T08:12:00.120Z"},
	}
	for _, test := range tests {
		if got := Timestamp(test.at); got != test.want {
			t.Errorf("%v: %s; want %s", test.at, got, test.want)
		}
	}
}
