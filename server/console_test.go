package main

import (
	"io"
	"strings"
	"sync/atomic"
	"testing"

	"tracewright/models/store/storetest"
)

// reads counts how often somebody reads.
type reads struct{ n atomic.Int32 }

func (r *reads) Read([]byte) (int, error) { r.n.Add(1); return 0, io.EOF }

// What is told by flags is not read from the console: in a loop of a shell over a list
// that is the list.
func TestNothingIsReadThatIsNotAsked(t *testing.T) {
	b := newBackedUp(t, storetest.SQLite(t))
	file := b.make()
	database, keys := b.emptyPlace()
	for _, args := range [][]string{
		{"backup", "--check", file, "--key-file", b.key},
		{"restore", file, "--key-file", b.key, "--database", database, "--keys", keys, "--last-label", *b.shop.AnotherWheel().Serial},
	} {
		in := &reads{}
		var out, said strings.Builder
		if status := run(t.Context(), args, streams{in, &out, &said}); status != 0 || in.n.Load() > 0 {
			t.Errorf("%s: status %d, %d reads; %s", args[0], status, in.n.Load(), said.String())
		}
	}
}
