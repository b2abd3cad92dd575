package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// fenced gives the one block of a kind in the manual.
func fenced(t *testing.T, kind string) string {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile("(?ms)^```"+kind+"\n(.*?)^```$").FindAllStringSubmatch(string(raw), -1)
	if len(found) != 1 {
		t.Fatalf("the manual has %d blocks of %s, want one", len(found), kind)
	}
	return found[0][1]
}

// understood says whether the command line takes these arguments.
func understood(t *testing.T, args []string) {
	t.Helper()
	var line commands
	parser, err := kong.New(&line, kong.Name("tracewright"), kong.DefaultEnvars("TRACEWRIGHT"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := parser.Parse(args); err != nil {
		t.Errorf("tracewright %q: %v", args, err)
	}
}

// The unit in the manual is one that systemd takes, gives the service no more than
// it needs, and starts it by a line that this program takes.
func TestTheUnitInTheManual(t *testing.T) {
	unit := fenced(t, "ini")
	settings := map[string][]string{}
	for line := range strings.Lines(unit) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' || line[0] == '[' && strings.HasSuffix(line, "]") {
			continue
		}
		name, value, ok := strings.Cut(line, "=")
		if !ok || !regexp.MustCompile(`^[A-Z][A-Za-z]+$`).MatchString(name) {
			t.Errorf("not a setting: %q", line)
		}
		settings[name] = append(settings[name], value)
	}
	start := strings.Fields(settings["ExecStart"][0])
	if start[0] != "/usr/local/bin/tracewright" || !slices.Contains(start, "sqlite:/var/lib/tracewright/shop.db") || settings["StateDirectory"][0] != "tracewright" {
		t.Errorf("it starts %q in %q", start, settings["StateDirectory"])
	}
	understood(t, start[1:])
	for name, want := range map[string]string{"Type": "notify", "ProtectSystem": "strict", "NoNewPrivileges": "yes", "CapabilityBoundingSet": "", "ProtectHome": "yes", "UMask": "0077", "Restart": "always"} {
		if got := settings[name]; len(got) != 1 || got[0] != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	// The host's own names and addresses are asked for by netlink, for --tls auto.
	if got := settings["RestrictAddressFamilies"]; len(got) != 1 || !strings.Contains(got[0], "AF_NETLINK") {
		t.Errorf("RestrictAddressFamilies is %q", got)
	}
	analyze, err := exec.LookPath("systemd-analyze")
	if err != nil {
		t.Logf("left out: systemd-analyze is not here")
		return
	}
	// The file that it starts has to be there.
	file := filepath.Join(t.TempDir(), "tracewright.service")
	if err := os.WriteFile(file, []byte(strings.Replace(unit, start[0], "/bin/true", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(analyze, "verify", "--man=no", file).CombinedOutput(); err != nil || strings.Contains(string(out), "tracewright.service:") {
		t.Errorf("systemd-analyze verify: %v\n%s", err, out)
	}
	// 0 is all closed, 100 is a service without any protection.
	out, err := exec.Command(analyze, "security", "--offline=yes", "--threshold=20", "--no-pager", file).CombinedOutput()
	if text := string(out); err != nil && !strings.Contains(text, "unrecognized option") {
		t.Errorf("systemd-analyze security: %v\n%s", err, text)
	}
}

// The Containerfile in the manual has known instructions, copies what is there,
// builds a static program, and starts it, not as root, by a line that it takes.
func TestTheContainerfileInTheManual(t *testing.T) {
	known := []string{"FROM", "WORKDIR", "COPY", "RUN", "ENV", "USER", "VOLUME", "EXPOSE", "STOPSIGNAL", "ENTRYPOINT", "CMD"}
	said := map[string][]string{}
	for line := range strings.Lines(fenced(t, "dockerfile")) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		name, value, _ := strings.Cut(line, " ")
		if !slices.Contains(known, name) {
			t.Errorf("not an instruction: %q", line)
		}
		said[name] = append(said[name], value)
	}
	if n := len(said["FROM"]); n != 2 || said["FROM"][1] != "scratch" || !strings.HasSuffix(said["FROM"][0], " AS build") {
		t.Errorf("from %q", said["FROM"])
	}
	module, err := os.ReadFile(filepath.Join("..", "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	version := regexp.MustCompile(`(?m)^go (\d+\.\d+)`).FindStringSubmatch(string(module))[1]
	if !strings.Contains(said["FROM"][0], "golang:"+version) {
		t.Errorf("built from %q, and go.mod says go %s", said["FROM"][0], version)
	}
	for _, copied := range said["COPY"] {
		for _, name := range strings.Fields(copied) {
			if strings.HasPrefix(name, "/") || strings.HasPrefix(name, "--") {
				continue
			}
			if _, err := os.Stat(filepath.Join("..", name)); err != nil {
				t.Errorf("COPY %s: %v", copied, err)
			}
		}
	}
	all := strings.Join(said["RUN"], "\n")
	for _, want := range []string{"CGO_ENABLED=0 ", "-trimpath", "-buildvcs=false", "-o /tracewright ./server"} {
		if !strings.Contains(all, want) {
			t.Errorf("RUN %s lacks %q", all, want)
		}
	}
	if user := said["USER"]; len(user) != 1 || strings.HasPrefix(user[0], "0") || strings.HasPrefix(user[0], "root") {
		t.Errorf("runs as %q", user)
	}
	if entry := said["ENTRYPOINT"]; len(entry) != 1 || entry[0] != `["/tracewright"]` {
		t.Errorf("starts %q", entry)
	}
	var args []string
	for _, m := range regexp.MustCompile(`"([^"]*)"`).FindAllStringSubmatch(said["CMD"][0], -1) {
		args = append(args, m[1])
	}
	t.Setenv("TRACEWRIGHT_DATABASE", strings.TrimPrefix(strings.Fields(said["ENV"][0])[0], "TRACEWRIGHT_DATABASE="))
	understood(t, args)
}

// Every flag of the server that the manual lists is there, with the variable that
// it names, and none is left out of it.
func TestFlagsInTheManual(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join("..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	manual := string(raw)
	var line commands
	parser, err := kong.New(&line, kong.Name("tracewright"), kong.DefaultEnvars("TRACEWRIGHT"))
	if err != nil {
		t.Fatal(err)
	}
	for _, leaf := range parser.Model.Leaves(false) {
		if leaf.Name != "serve" {
			continue
		}
		for _, flags := range leaf.AllFlags(true) {
			for _, f := range flags {
				if f.Name == "help" || f.Name == "without-backup" {
					continue
				}
				if !strings.Contains(manual, "`--"+f.Name+"`") {
					t.Errorf("--%s does not stand in the manual", f.Name)
				}
				for _, env := range f.Envs {
					if !strings.Contains(manual, env) {
						t.Errorf("%s does not stand in the manual", env)
					}
				}
			}
		}
	}
}
