package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A list goes in from the console and comes out again; what is wrong with it is
// said row by row, with status 2 and nothing on standard output.
func TestListsFromTheConsole(t *testing.T) {
	folder := t.TempDir()
	t.Setenv("TRACEWRIGHT_DATABASE", "sqlite:"+filepath.Join(folder, "shop.db"))
	good, bad := filepath.Join(folder, "good.csv"), filepath.Join(folder, "bad.csv")
	for name, raw := range map[string]string{good: "code;material;quantity;price\nSP-1;spokes;500;1\nSP-2;spokes;;1\n", bad: "code;material;quantity\nSP-3;spokes;500\nSP-4;gold;1.000\n"} {
		if err := os.WriteFile(name, []byte(raw), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, step := range []struct {
		name   string
		stdin  string
		args   []string
		status int
		out    string
		err    string
	}{
		{"no database", "", []string{"export", "list", "lots"}, 2, "", "There is no database at"},
		{"the schema", "", []string{"migrate", "up"}, 0, "applied", ""},
		{"an owner", "", []string{"user", "add", "--name", "Ilse Grauer", "--role", "owner", "--login", "ilse"}, 0, "", ""},
		{"an operator", "", []string{"user", "add", "--name", "Sefa Tamm", "--role", "operator"}, 0, "", ""},
		{"looked at", "", []string{"import", "lots", good, "--dry-run"}, 0, "2 of 2 rows can be taken in, 0 on record already.\n", "Not taken in: price."},
		{"taken in", "", []string{"import", "lots", good, "--as", "ilse"}, 0, "2 of 2 rows taken in, 0 on record already.\n", ""},
		{"again, from standard input", "code,material\nSP-1,spokes\n", []string{"import", "lots", "-"}, 0, "0 of 1 rows taken in, 1 on record already.\n", ""},
		{"with faults", "", []string{"import", "lots", bad}, 2, "", "\ntracewright: row 3, quantity: “1.000” is a thousand times more"},
		{"out", "", []string{"export", "list", "lots"}, 0, "SP-1,spokes,,,,,500,", ""},
		{"out, with semicolons", "", []string{"export", "list", "lots", "--semicolons"}, 0, "SP-2;spokes;;;;;;", ""},
		{"customers in", "name,phone\nMara Example,+1 555 0100\n", []string{"import", "customers", "-"}, 0, "1 of 1 rows taken in", ""},
		{"customers out to nobody", "", []string{"export", "list", "customers"}, 2, "", "--as"},
		{"customers out to an operator", "", []string{"export", "list", "customers", "--as", "Sefa Tamm"}, 2, "", "--as"},
		{"lots with names of customers, which they have not", "", []string{"export", "list", "lots", "--names"}, 0, "SP-1,spokes,", ""},
		{"with faults, looked at", "", []string{"import", "lots", bad, "--dry-run"}, 2, "", "row 3, quantity: "},
		{"customers out", "", []string{"export", "list", "customers", "--as", "ilse"}, 0, "Mara Example,'+1 555 0100,,,,", ""},
		{"a list that is only written", "", []string{"import", "shipments", good}, 2, "", "no list of shipments"},
		{"a list of nothing", "", []string{"export", "list", "secrets"}, 2, "", "no list of secrets"},
		{"what an operator may not", "", []string{"import", "build-records", good, "--as", "Sefa Tamm"}, 2, "", "may not"},
		{"no such file", "", []string{"import", "lots", "nowhere.csv"}, 2, "", "nowhere.csv"},
	} {
		got := command(t, step.stdin, step.args...)
		if got.status != step.status || !strings.Contains(got.out, step.out) || !strings.Contains(got.err, step.err) || step.status == 2 && got.out != "" {
			t.Errorf("%s: status %d\nout: %s\nerr: %s\nwant status %d, %q and %q", step.name, got.status, got.out, got.err, step.status, step.out, step.err)
		}
	}
}
