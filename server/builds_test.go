package main

import (
	"crypto/sha256"
	"debug/buildinfo"
	"debug/elf"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// targets are the systems that the program is built for.
var targets = [][2]string{{"linux", "amd64"}, {"linux", "arm64"}, {"windows", "amd64"}}

// Nothing that the program is made of needs a C compiler, on any system that it is
// built for: it is one file that needs no other.
func TestNoTargetNeedsC(t *testing.T) {
	for _, x := range targets {
		list := exec.Command("go", "list", "-deps", "-f", "{{if .CgoFiles}}{{.ImportPath}} needs C{{end}}{{with .Error}}{{.}}{{end}}", ".")
		list.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+x[0], "GOARCH="+x[1])
		out, err := list.CombinedOutput()
		if said := strings.TrimSpace(string(out)); err != nil || said != "" {
			t.Errorf("%s on %s: %v\n%s", x[0], x[1], err, said)
		}
	}
}

// How the program is built: without what nothing here speaks or asks for.
const (
	buildTags = "-tags=nomsgpack,nopgxregisterdefaulttypes"
	linkFlags = "-ldflags=-s -w -funcalign=16" // Neither symbols nor gaps between functions.
)

// Built twice from the same sources in different folders, each time from nothing,
// the program is the same to the byte, for every system; it names no folder of
// the machine that built it and needs no library. It takes minutes.
func TestBuilds(t *testing.T) {
	if os.Getenv("TRACEWRIGHT_BUILDS") == "" {
		t.Skip("left out: builds the program six times from nothing; TRACEWRIGHT_BUILDS=1")
	}
	root, err := filepath.Abs("..")
	if err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "another folder")
	if err := os.CopyFS(other, os.DirFS(root)); err != nil {
		t.Fatal(err)
	}
	for _, x := range targets {
		t.Run(x[0]+" "+x[1], func(t *testing.T) {
			var sums [][32]byte
			for _, folder := range []string{root, other} {
				binary := filepath.Join(t.TempDir(), "tracewright")
				cmd := exec.Command("go", "build", "-trimpath", "-buildvcs=false", buildTags, linkFlags, "-o", binary, "./server")
				cmd.Dir = folder
				cmd.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+x[0], "GOARCH="+x[1], "GOCACHE="+t.TempDir())
				if out, err := cmd.CombinedOutput(); err != nil {
					t.Fatalf("%v\n%s", err, out)
				}
				raw, err := os.ReadFile(binary)
				if err != nil {
					t.Fatal(err)
				}
				sums = append(sums, sha256.Sum256(raw))
				t.Logf("%.1f MB, SHA-256 %x", float64(len(raw))/1e6, sums[len(sums)-1])
				if len(raw) > binaryMost {
					t.Errorf("the program has %d bytes, want %d at most", len(raw), int64(binaryMost))
				}
				if strings.Contains(string(raw), root) || strings.Contains(string(raw), other) {
					t.Errorf("it names the folder that it was built in")
				}
				if x[0] == "linux" {
					static(t, binary)
				}
				info, err := buildinfo.ReadFile(binary)
				if err != nil || info.Path != "tracewright/server" {
					t.Errorf("built as %v, %v", info, err)
				}
			}
			if sums[0] != sums[1] {
				t.Errorf("built in two folders, the sums are %x and %x", sums[0], sums[1])
			}
		})
	}
}

// static fails for a program that asks for a loader or a library.
func static(t *testing.T, binary string) {
	t.Helper()
	file, err := elf.Open(binary)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	libraries, err := file.ImportedLibraries()
	if err != nil || len(libraries) > 0 {
		t.Errorf("it needs %v, %v", libraries, err)
	}
	for _, p := range file.Progs {
		if p.Type == elf.PT_INTERP {
			t.Error("it asks for a loader")
		}
	}
}
