package main

import (
	"os/exec"
	"runtime"
	"strings"
	"testing"
)

// A flag that is told is taken by a shell as it was typed, and tells no password.
func TestFlagsAsTheyAreTyped(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("left out: another shell")
	}
	for _, test := range []struct{ database, keys, want string }{
		{"sqlite:/srv/shop.db", "", "--database|sqlite:/srv/shop.db"},
		{"sqlite:/srv/$HOME/`id`/a!b's.db", "/srv/my keys", "--database|sqlite:/srv/$HOME/`id`/a!b's.db|--keys|/srv/my keys"},
		{`sqlite:/srv/a"b\c.db`, "", `--database|sqlite:/srv/a"b\c.db`},
		{"postgres://ann:secret@db/shop?sslmode=disable", "", "--database|postgres://ann@db/shop?sslmode=disable"},
		{"postgres://db/shop?user=ann&password=secret", "", "--database|postgres://db/shop?user=ann"},
		{"postgres://ann@db/shop?sslpassword=secret", "", "--database|postgres://ann@db/shop"},
		{"host=db password=secret dbname=shop", "", "--database|host=db dbname=shop"},
		{`host=db dbname=shop password = 'my \'secret'`, "", "--database|host=db dbname=shop"},
		{"postgres://ann:sec%ret@db/shop", "", "--database|postgres://USER@HOST/NAME"},
	} {
		said := typedFlags(test.database, test.keys)
		out, err := exec.Command("sh", "-c", `for word in "$@"; do :; done; printf '%s|' `+said).CombinedOutput()
		if got := strings.TrimSuffix(string(out), "|"); err != nil || got != test.want || strings.Contains(said, "secret") {
			t.Errorf("%s: told as %s, read as %s, want %s, %v", test.database, said, got, test.want, err)
		}
	}
}
