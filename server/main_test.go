package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"

	"tracewright/models"
)

// ran is what a command left behind.
type ran struct {
	status   int
	out, err string
}

// command runs the command line in this process.
func command(t *testing.T, stdin string, args ...string) ran {
	t.Helper()
	var out, err bytes.Buffer
	status := run(t.Context(), args, streams{strings.NewReader(stdin), &out, &err})
	return ran{status, out.String(), err.String()}
}

func TestCommandLine(t *testing.T) {
	for _, test := range []struct {
		name   string
		args   []string
		stdin  string
		status int
		out    string // a part of it
		err    string
	}{
		{"nothing asked: help", nil, "", 0, "Usage: tracewright <command>", ""},
		{"help of a command", []string{"serve", "--help"}, "", 0, "SIGTERM", ""},
		{"an unknown command", []string{"fly"}, "", 2, "", "unexpected argument fly"},
		{"an unknown flag", []string{"version", "--loud"}, "", 2, "", "unknown flag --loud"},
		{"a database is needed", []string{"serve"}, "", 2, "", "--database"},
		{"a database of an unknown kind", []string{"migrate", "up", "--database", "ledger:x"}, "", 1, "", "sqlite:PATH"},
		{"a server on one of an unknown kind", []string{"serve", "--listen", "127.0.0.1:0", "--database", "foo"}, "", 1, "", "sqlite:PATH"},
		{"a server with TLS on one of an unknown kind", []string{"serve", "--listen", "127.0.0.1:0", "--database", "foo", "--tls", "auto"}, "", 1, "", "sqlite:PATH"},
		{"a server on one without a path", []string{"serve", "--listen", "127.0.0.1:0", "--database", "sqlite:"}, "", 1, "", "needs the path of a file"},
		{"a server on PostgreSQL without a folder of keys", []string{"serve", "--listen", "127.0.0.1:0", "--database", "postgres://x/y"}, "", 2, "", "needs --keys"},
		{"what the doctor takes of serve", []string{"doctor", "--help"}, "", 0, "those below", ""},
		{"version", []string{"version"}, "", 0, "tracewright ", ""},
		{"a role nobody has", []string{"user", "add", "--database", "sqlite:x", "--name", "A", "--role", "boss"}, "", 2, "", "operator"},
		{"a key without its certificate", []string{"serve", "--database", "sqlite:x", "--tls-key", "main_test.go"}, "", 2, "", "--tls-cert"},
		{"the demo on a network", []string{"demo", "--listen", "0.0.0.0:0"}, "", 2, "", "127.0.0.1"},
		{"the demo on a name of the network", []string{"demo", "--listen", "shop.example:80"}, "", 2, "", "127.0.0.1"},
		{"the demo on no port", []string{"demo", "--listen", "127.0.0.1"}, "", 2, "", "HOST:PORT"},
		{"a scenario nobody wrote", []string{"demo", "--scenario", "loud"}, "", 2, "", "story"},
		{"calc computes", []string{"calc", "dish"}, `{"shoulder_distance_A": 12.4, "shoulder_distance_B": 11.2}`, 0, `"dish_abs":0.6`, ""},
		{"calc takes the kind from its input", []string{"calc"}, `{"kind":"dish","input":{"shoulder_distance_A": 12.4, "shoulder_distance_B": 11.2}}`, 0, `"dish_abs":0.6`, ""},
		{"calc lists", []string{"calc", "--list"}, "", 0, "Example:", ""},
		{"calc without a file", []string{"calc", "dish", "--in", "no such file"}, "", 2, "", "no such file"},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := command(t, test.stdin, test.args...)
			if got.status != test.status || !strings.Contains(got.out, test.out) || !strings.Contains(got.err, test.err) {
				t.Errorf("tracewright %q: status %d\nout: %s\nerr: %s\nwant status %d, %q and %q", test.args, got.status, got.out, got.err, test.status, test.out, test.err)
			}
		})
	}
}

// What is to be copied stands on a line of its own: help fills lines up into
// paragraphs but for those that are set in.
func TestHelpKeepsItsLines(t *testing.T) {
	var line commands
	parser, err := kong.New(&line, kong.DefaultEnvars("TRACEWRIGHT"), kong.Writers(io.Discard, io.Discard))
	if err != nil {
		t.Fatal(err)
	}
	err = kong.Visit(parser.Model, func(node kong.Visitable, next kong.Next) error {
		if n, ok := node.(*kong.Node); ok {
			before := ""
			for _, text := range strings.Split(n.Detail, "\n") {
				if before != "" && text != "" && !strings.HasPrefix(text, " ") {
					t.Errorf("%s: joined with the line before: %q", n.Path(), text)
				}
				before = text
			}
		}
		return next(nil)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Bad input: status 2, one line on standard error that names the field,
// nothing on standard output.
func TestCalcRefusesInOneLine(t *testing.T) {
	for _, test := range []struct{ name, kind, input, names string }{
		{"an unknown kind", "fly", `{}`, "kind"},
		{"not JSON", "dish", `{"shoulder_distance_A":`, ""},
		{"an unknown field", "dish", `{"shoulder_distance_A": 1, "shoulder_distance_B": 1, "colour": "red"}`, "colour"},
		{"a missing field", "dish", `{"shoulder_distance_A": 1}`, "shoulder_distance_B"},
		{"a text for a number", "dish", `{"shoulder_distance_A": "x", "shoulder_distance_B": 1}`, "shoulder_distance_A"},
		{"two objects", "dish", `{"shoulder_distance_A": 1, "shoulder_distance_B": 1} {}`, ""},
		{"nothing", "dish", ``, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := command(t, test.input, "calc", test.kind)
			if got.status != 2 || got.out != "" || strings.Count(got.err, "\n") != 1 || !strings.HasSuffix(got.err, "\n") || !strings.Contains(got.err, test.names) {
				t.Errorf("calc %s: status %d, out %q, err %q; want 2, nothing, one line naming %q", test.kind, got.status, got.out, got.err, test.names)
			}
		})
	}
}

// Every example that the list shows works, with --in as on standard input.
func TestCalcExamples(t *testing.T) {
	var list ran
	if list = command(t, "", "calc", "--list"); list.status != 0 {
		t.Fatal(list)
	}
	found := regexp.MustCompile(`(?m)^(\w+)\n  .*\n  Source: (.+)\n  Example: (.+)$`).FindAllStringSubmatch(list.out, -1)
	if len(found) < 10 || len(found) != strings.Count(list.out, "Example:") {
		t.Fatalf("%d of %d kinds are listed with a source and an example", len(found), strings.Count(list.out, "Example:"))
	}
	for _, f := range found {
		file := filepath.Join(t.TempDir(), "in.json")
		if err := os.WriteFile(file, []byte(f[3]), 0o600); err != nil {
			t.Fatal(err)
		}
		got := command(t, "", "calc", f[1], "--in", file)
		if got.status != 0 || !json.Valid([]byte(got.out)) || strings.Contains(got.out, "NaN") {
			t.Errorf("calc %s on its example: %d %s %s", f[1], got.status, got.out, got.err)
		}
	}
}

func TestMigrate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.db")
	dsn := "sqlite:" + path
	if got := command(t, "", "migrate", "status", "--database", dsn); got.status != 2 || !strings.Contains(got.err, "There is no database at") {
		t.Errorf("status of no database: %+v", got)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("looking made a database")
	}
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if got := command(t, "", "migrate", "status", "--database", dsn); got.status != 2 || !strings.Contains(got.err, "is empty") {
		t.Errorf("status of an empty file: %+v", got)
	}
	if info, err := os.Stat(path); err != nil || info.Size() != 0 {
		t.Errorf("looking wrote into it: %v, %v", info, err)
	}
	if got := command(t, "", "migrate", "up", "--database", dsn); got.status != 0 || !strings.Contains(got.out, "0001_people applied") {
		t.Errorf("up: %+v", got)
	}
	if got := command(t, "", "migrate", "up", "--database", dsn); got.status != 0 || got.out != "up to date\n" {
		t.Errorf("up again: %+v", got)
	}
	if got := command(t, "", "migrate", "status", "--database", dsn); got.status != 0 || strings.Contains(got.out, "missing") {
		t.Errorf("status after: %+v", got)
	}
	t.Setenv("TRACEWRIGHT_DATABASE", dsn)
	if got := command(t, "", "migrate", "up"); got.status != 0 || got.out != "up to date\n" {
		t.Errorf("with TRACEWRIGHT_DATABASE: %+v", got)
	}
}

func TestUsers(t *testing.T) {
	t.Setenv("TRACEWRIGHT_DATABASE", "sqlite:"+filepath.Join(t.TempDir(), "shop.db"))
	says(t, "the schema", command(t, "", "migrate", "up"), 0, "applied", "")
	for _, step := range []struct {
		name   string
		stdin  string
		args   []string
		status int
		out    string
		err    string
	}{
		{"an owner gets a link", "", []string{"user", "add", "--name", "Ilse Grauer", "--role", "owner", "--login", "ilse", "--at", "https://shop.example/"}, 0, "https://shop.example/setup/", ""},
		{"an operator needs none", "", []string{"user", "add", "--name", "Sefa Tamm", "--role", "operator"}, 0, "Sefa Tamm is added as operator.\n", ""},
		{"a login that is taken", "", []string{"user", "add", "--name", "Another", "--role", "desk", "--login", "ilse"}, 2, "", "tracewright: login: ilse is taken already.\n"},
		{"a PIN, by name", "8302\n", []string{"user", "pin", "sefa tamm"}, 0, "Sefa Tamm has a new PIN.\n", ""},
		{"a PIN that is easy", "1234\n", []string{"user", "pin", "Sefa Tamm"}, 2, "", "tracewright: pin: "},
		{"no PIN at all", "", []string{"user", "pin", "Sefa Tamm"}, 2, "", "tracewright: pin: "},
		{"a link, by login", "", []string{"user", "password", "ilse"}, 0, "/setup/", ""},
		{"a link for somebody without login", "", []string{"user", "password", "Sefa Tamm"}, 2, "", "tracewright: login: "},
		{"a second factor that nobody set up", "", []string{"user", "second-factor", "ilse"}, 2, "", "Ilse Grauer has no second factor"},
		{"nobody of that name", "", []string{"user", "password", "nobody"}, 2, "", "nobody has the login or the name nobody"},
		{"a namesake", "", []string{"user", "add", "--name", "Sefa Tamm", "--role", "inspector", "--login", "sefa2"}, 0, "", "Another is called Sefa Tamm: "},
		{"a namesake without a login", "", []string{"user", "add", "--name", "sefa tamm ", "--role", "operator"}, 2, "", "Another is called sefa tamm: "},
		{"a name that two have", "", []string{"user", "deactivate", "Sefa Tamm"}, 2, "", "2 people are called Sefa Tamm: give the login, or choose one on the page People"},
		{"somebody who left", "", []string{"user", "deactivate", "sefa2"}, 0, "may not sign in", ""},
		{"a PIN, by the name of one who is left", "8302\n", []string{"user", "pin", "Sefa Tamm"}, 0, "Sefa Tamm has a new PIN.\n", ""},
		{"the list", "", []string{"user", "list"}, 0, "Sefa Tamm    operator   -      -         set  yes", ""},
	} {
		got := command(t, step.stdin, step.args...)
		if got.status != step.status || !strings.Contains(got.out, step.out) || !strings.Contains(got.err, step.err) {
			t.Errorf("%s: status %d\nout: %s\nerr: %s\nwant status %d, %q and %q", step.name, got.status, got.out, got.err, step.status, step.out, step.err)
		}
	}
}

// What is wrong with all of a list names no field.
func TestAProblemOfTheWhole(t *testing.T) {
	var said bytes.Buffer
	if !sayProblems(&said, models.Invalid("", "list_empty")) || said.String() != "tracewright: There is no row below a heading.\n" {
		t.Errorf("said %q", said.String())
	}
}
