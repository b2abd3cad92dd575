package main

import (
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"tracewright/server/keyring"
)

// demoRun is a demo that runs in this process until the test stops it.
type demoRun struct {
	address string
	said    string
	took    time.Duration // until it answered
	stop    func() error
}

func startDemo(t *testing.T, d demoCommand) demoRun {
	t.Helper()
	d.Listen = "127.0.0.1:0"
	if d.wheels == 0 {
		d.wheels, d.packs = 60, 24
	}
	ctx, cancel := context.WithCancel(t.Context())
	read, write := io.Pipe()
	done := make(chan error, 1)
	started := time.Now()
	go func() {
		done <- d.Run(ctx, streams{strings.NewReader(""), write, io.Discard})
		write.Close()
	}()
	var said strings.Builder
	buffer := make([]byte, 4096)
	for !strings.Contains(said.String(), "Ctrl-C stops.") {
		n, err := read.Read(buffer)
		said.Write(buffer[:n])
		if err != nil {
			t.Fatalf("the demo ended: %v, %v\n%s", err, <-done, said.String())
		}
	}
	run := demoRun{said: said.String(), took: time.Since(started), stop: func() error { cancel(); return <-done }}
	t.Cleanup(func() { cancel() })
	run.address = regexp.MustCompile(`answers at (\S+)`).FindStringSubmatch(run.said)[1]
	return run
}

func browse(t *testing.T, jar http.CookieJar, address string) string {
	t.Helper()
	answer, err := (&http.Client{Jar: jar}).Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK || strings.HasPrefix(answer.Request.URL.Path, "/signin") {
		t.Fatalf("GET %s: %d at %s, %v\n%.500s", address, answer.StatusCode, answer.Request.URL, err, body)
	}
	return string(body)
}

func TestDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("invents a small shop")
	}
	folder := filepath.Join(t.TempDir(), "demo")
	first := startDemo(t, demoCommand{Folder: folder})
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	if page := browse(t, jar, first.address); !strings.Contains(page, "Mirela Tarn") {
		t.Errorf("the first page does not name the owner as who is signed in:\n%.800s", page)
	}
	stops := regexp.MustCompile(`(?m)^     (http://\S+)$`).FindAllStringSubmatch(first.said, -1)
	if len(stops) < 5 {
		t.Errorf("a tour of %d stops:\n%s", len(stops), first.said)
	}
	for _, s := range stops {
		browse(t, jar, s[1])
	}
	if err := first.stop(); err != nil {
		t.Fatalf("stopping: %v", err)
	}

	second := startDemo(t, demoCommand{Folder: folder})
	if second.took > time.Second {
		t.Errorf("the second start took %s, want less than 1 s", second.took)
	}
	if err := second.stop(); err != nil {
		t.Fatal(err)
	}

	seven := uint64(7)
	var exit *exitError
	other := demoCommand{Folder: folder, Listen: "127.0.0.1:0", Seed: &seven}
	if err := other.Run(t.Context(), streams{out: io.Discard, err: io.Discard}); !errors.As(err, &exit) || !strings.Contains(exit.line, "--fresh") {
		t.Errorf("another seed over a shop that is there: %v, want to be told of --fresh", err)
	}
	kept := filepath.Join(folder, "my notes.txt")
	if err := os.WriteFile(kept, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	third := startDemo(t, demoCommand{Folder: folder, Seed: &seven, Fresh: true, Scenario: "quiet"})
	if err := third.stop(); err != nil {
		t.Fatal(err)
	}
	if made, err := readShop(folder); err != nil || made.Seed != 7 || made.Scenario != "quiet" {
		t.Errorf("after --fresh: %+v, %v", made, err)
	}
	if _, err := os.Stat(kept); err != nil {
		t.Errorf("--fresh took away what is not its own: %v", err)
	}
}

// A folder in which somebody's own shop lies, or its keys alone, is left as it is.
func TestDemoTakesNobodysShopAway(t *testing.T) {
	for _, name := range []string{demoDatabase, filepath.Join(demoKeys, "one.key"), filepath.Join(demoCheckpoints, "2031-05.jsonl")} {
		for _, fresh := range []bool{false, true} {
			folder := t.TempDir()
			theirs := filepath.Join(folder, name)
			if err := errors.Join(os.MkdirAll(filepath.Dir(theirs), 0o700), os.WriteFile(theirs, []byte("theirs"), 0o600)); err != nil {
				t.Fatal(err)
			}
			var exit *exitError
			d := demoCommand{Folder: folder, Listen: "127.0.0.1:0", Fresh: fresh}
			if err := d.Run(t.Context(), streams{out: io.Discard, err: io.Discard}); !errors.As(err, &exit) || exit.status != 2 || !strings.Contains(exit.line, "another folder") {
				t.Errorf("over %s, --fresh=%t: %v", name, fresh, err)
			}
			if kept, err := os.ReadFile(theirs); err != nil || string(kept) != "theirs" {
				t.Errorf("--fresh=%t took %s away: %q, %v", fresh, name, kept, err)
			}
		}
	}
}

// A start that is broken off while the shop is being made leaves none behind; what
// one that was killed left is no hindrance to the next.
func TestDemoBrokenOff(t *testing.T) {
	if testing.Short() {
		t.Skip("begins to invent a shop")
	}
	folder := t.TempDir()
	ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer cancel()
	d := demoCommand{Folder: folder, Listen: "127.0.0.1:0"}
	if err := d.Run(ctx, streams{out: io.Discard, err: io.Discard}); err != nil {
		t.Errorf("told to stop: %v, want a quiet end", err)
	}
	left, err := os.ReadDir(folder)
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}

	whole := startDemo(t, demoCommand{Folder: folder})
	if err := whole.stop(); err != nil {
		t.Fatal(err)
	}
	// As --fresh leaves it when it is killed: half a shop under another name, and keys that
	// no log is sealed by yet.
	if err := errors.Join(takeAway(folder), os.WriteFile(filepath.Join(folder, demoMaking), []byte("half of it"), 0o600)); err != nil {
		t.Fatal(err)
	}
	keys, err := keyring.Open(filepath.Join(folder, demoKeys))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := keys.Make(); err != nil {
		t.Fatal(err)
	}
	if err := keys.For("another log"); err != nil {
		t.Fatal(err)
	}
	again := startDemo(t, demoCommand{Folder: folder})
	browse(t, nil, again.address+"/changes")
	if err := again.stop(); err != nil {
		t.Fatal(err)
	}
}
