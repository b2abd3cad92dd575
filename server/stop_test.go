package main

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// Told to stop, the server finishes what is in flight, takes nothing new,
// closes the database and ends with status 0.
func TestStopping(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program and stops it")
	}
	binary := build(t)
	database := filepath.Join(t.TempDir(), "shop.db")
	k := &killed{binary: binary, database: "sqlite:" + database}
	k.start(t)
	defer k.process.Process.Kill()

	// A request whose body is still on its way when the signal comes.
	conn, err := net.Dial("tcp", strings.TrimPrefix(k.address, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	form := "login=nobody&password=rain+over+the+long+canal"
	fmt.Fprintf(conn, "POST /signin HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: %d\r\n\r\n%s", len(form), form[:10])
	if _, err := os.Stat(database + "-wal"); err != nil {
		t.Fatalf("while it runs: %v, want the database open", err)
	}
	time.Sleep(100 * time.Millisecond) // until the handler waits for the rest
	if err := k.process.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	waitUntilClosed(t, k.address)
	io.WriteString(conn, form[10:])
	conn.SetReadDeadline(time.Now().Add(10 * time.Second))
	answer, err := http.ReadResponse(bufio.NewReader(conn), nil)
	if err != nil {
		t.Fatalf("the request in flight got no answer: %v", err)
	}
	body, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(string(body), "</html>") {
		t.Errorf("the request in flight: %d, %d bytes, %v; want the whole sign-in page with what is wrong", answer.StatusCode, len(body), err)
	}
	if err := k.process.Wait(); err != nil {
		t.Errorf("the program ended with %v, want status 0", err)
	}
	// SQLite takes its log away when the last connection is closed properly.
	if _, err := os.Stat(database + "-wal"); !os.IsNotExist(err) {
		t.Errorf("the database was not closed: its log is still there (%v)", err)
	}
}

// waitUntilClosed waits until the address takes no new connection.
func waitUntilClosed(t *testing.T, address string) {
	t.Helper()
	for range 100 {
		conn, err := net.Dial("tcp", strings.TrimPrefix(address, "http://"))
		if err != nil {
			return
		}
		conn.Close()
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("two seconds after the signal new connections are still taken")
}

// build makes the program, as README.md says that it is made, and no larger than it
// may be.
func build(t *testing.T) string {
	t.Helper()
	binary := filepath.Join(t.TempDir(), "tracewright")
	command := exec.Command("go", "build", buildTags, linkFlags, "-o", binary, ".")
	command.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := command.CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	info, err := os.Stat(binary)
	if err != nil {
		t.Fatal(err)
	}
	if runtime.GOOS == "linux" && runtime.GOARCH == "amd64" && info.Size() > binaryMost {
		t.Errorf("the program has %d bytes, want %d at most", info.Size(), int64(binaryMost))
	}
	return binary
}
