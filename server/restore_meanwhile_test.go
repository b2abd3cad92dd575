package main

import (
	"io"
	"path/filepath"
	"strings"
	"testing"

	"tracewright/models/store/storetest"
)

// Who begins a shop in the empty database while somebody types the recovery key keeps it:
// the restoration is refused, and only its own mark is taken away.
func TestAShopThatIsBegunWhileABackupIsPutBack(t *testing.T) {
	b := newBackedUp(t, storetest.NeedPostgres(t))
	file := b.make()
	database, keys := b.emptyPlace()
	in, typed := io.Pipe()
	said, says := io.Pipe()
	var out, rest strings.Builder
	status := make(chan int, 1)
	go func() {
		status <- run(t.Context(), []string{"restore", file, "--database", database, "--keys", keys}, streams{in, &out, says})
		says.Close()
	}()
	prompt := make([]byte, 1)
	if _, err := said.Read(prompt); err != nil { // It waits for the key.
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "other.keys")
	if err := startedOn(t, database, other); err != nil {
		t.Fatal(err)
	}
	do(t, database, "CREATE TABLE theirs (x int)")
	go io.WriteString(typed, b.typedKey()+"\n\n")
	io.Copy(&rest, said)
	if got := <-status; got == 0 || !strings.Contains(rest.String(), "There is a database already") {
		t.Errorf("restore: status %d, %s", got, rest.String())
	}
	do(t, database, "INSERT INTO theirs VALUES (1)")
	if err := startedOn(t, database, other); err != nil {
		t.Errorf("the other shop: %v", err)
	}
}
