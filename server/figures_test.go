package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"tracewright/testdata/demo"
)

// Limits of what a small computer under the counter is asked for.
const (
	startWithin  = time.Second
	residentMost = 80 << 20
	binaryMost   = 50e6 // bytes of the program, for each system
)

// The program is small, starts on a shop of nine months at once, and takes little
// memory while nobody asks.
func TestFiguresOfOneServer(t *testing.T) {
	if os.Getenv("TRACEWRIGHT_FIGURES") == "" {
		t.Skip("left out: takes a minute, and its figures count on a machine that does nothing else; TRACEWRIGHT_FIGURES=1")
	}
	shop := ask(t, demo.Story, 1)
	folder := t.TempDir()
	database := filepath.Join(folder, "shop.db")
	do(t, "sqlite:"+filepath.Join(shop.folder, "shop.db"), "VACUUM INTO ?", database)
	info, err := os.Stat(database)
	if err != nil {
		t.Fatal(err)
	}
	binary := build(t)
	size, err := os.Stat(binary)
	if err != nil {
		t.Fatal(err)
	}
	var best time.Duration
	resident := 0
	for n := range 3 {
		began := time.Now()
		k := &killed{binary: binary, database: "sqlite:" + database, keys: filepath.Join(shop.folder, "keys")}
		k.start(t)
		for {
			if status, _ := fetched(t, k.address+"/readyz", ""); status == 200 {
				break
			}
			time.Sleep(2 * time.Millisecond)
		}
		took := time.Since(began)
		if n == 0 || took < best {
			best = took
		}
		if n == 2 {
			time.Sleep(50 * time.Second) // until what begins with a start is done, and nobody asks for anything
			resident = residentOf(t, k.process.Process.Pid)
		}
		k.process.Process.Kill()
		k.process.Wait()
	}
	t.Logf("binary %.1f MB; start on a shop of %.0f MB %s; resident while idle %.1f MB", float64(size.Size())/1e6, float64(info.Size())/1e6, best.Round(time.Millisecond), float64(resident)/1e6)
	if resident > residentMost {
		t.Errorf("idle it has %d bytes resident, want %d at most", resident, residentMost)
	}
	if best > startWithin {
		t.Errorf("a start took %s, want %s at most", best, startWithin)
	}
}

var residentLine = regexp.MustCompile(`(?m)^VmRSS:\s+(\d+) kB$`)

func residentOf(t *testing.T, pid int) int {
	t.Helper()
	raw, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/status")
	if err != nil {
		t.Fatal(err)
	}
	m := residentLine.FindStringSubmatch(string(raw))
	if m == nil {
		t.Fatalf("no VmRSS in %s", strings.ReplaceAll(string(raw), "\n", "; "))
	}
	n, err := strconv.Atoi(m[1])
	if err != nil {
		t.Fatal(err)
	}
	return n << 10
}
