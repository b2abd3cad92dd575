package main

import (
	"net"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The manager of services hears, on its own socket, when the server answers and
// when it stops (sd_notify(3)).
func TestTheManagerIsTold(t *testing.T) {
	folder := t.TempDir()
	socket := filepath.Join(folder, "n")
	listener, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: socket, Net: "unixgram"})
	if err != nil {
		t.Skipf("left out: %v", err)
	}
	defer listener.Close()
	t.Setenv("NOTIFY_SOCKET", socket)
	hear := func() string {
		t.Helper()
		listener.SetReadDeadline(time.Now().Add(10 * time.Second))
		told := make([]byte, 200)
		n, err := listener.Read(told)
		if err != nil {
			t.Fatal(err)
		}
		return string(told[:n])
	}
	_, stop := startServe(t, serveCommand{databaseFlag: databaseFlag{Database: "sqlite:" + filepath.Join(folder, "shop.db")}}, "Tracewright answers at http://")
	if got := hear(); got != "READY=1" {
		t.Errorf("told %q once it answers", got)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
	if got := hear(); got != "STOPPING=1" {
		t.Errorf("told %q when it stops", got)
	}
	if err := notify("vsock:1:2", "READY=1"); err == nil || !strings.Contains(err.Error(), "NOTIFY_SOCKET") {
		t.Errorf("a socket of another kind: %v", err)
	}
}
