package main

import (
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"

	"tracewright/models/work/sealing"
	"tracewright/server/keyring"
)

// keysFlag says where a server's keys lie.
type keysFlag struct {
	Keys string `help:"Folder of the keys that seal the log of changes and sign certificates. By default beside the SQLite file." placeholder:"FOLDER" type:"path" env:"TRACEWRIGHT_KEYS"`
}

// open opens the folder: shop.db has its beside it in shop.keys. Each server
// that shares a PostgreSQL database has keys of its own, and so a folder.
func (f keysFlag) open(database string) (*keyring.Folder, error) {
	folder, err := f.folder(database)
	if err != nil {
		return nil, err
	}
	return keyring.Open(folder)
}

func (f keysFlag) folder(database string) (string, error) {
	if f.Keys != "" {
		return f.Keys, nil
	}
	if folder := beside(database, ".keys"); folder != "" {
		return folder, nil
	}
	return "", &exitError{2, "tracewright: this database needs --keys: the folder where this server keeps the keys that seal the log of changes"}
}

// sqliteFile is the file of a SQLite database: all that follows, whatever its
// signs would mean in an address.
func sqliteFile(database string) (string, bool) {
	file, isFile := strings.CutPrefix(database, "sqlite:")
	return file, isFile && file != "" && !strings.HasPrefix(file, ":memory:")
}

// beside is what lies beside the file of a SQLite database, by the end of its
// name; empty for other databases. Where the file is a link, that is what lies beside
// the file it leads to, by whichever name the file is opened, unless something lies
// beside the link.
func beside(database, end string) string {
	file, isFile := sqliteFile(database)
	if !isFile {
		return ""
	}
	named := withEnd(file, end)
	if _, err := os.Stat(named); err == nil {
		return named
	}
	return withEnd(behindLink(file), end)
}

func withEnd(file, end string) string { return strings.TrimSuffix(file, filepath.Ext(file)) + end }

// behindLink is the file that a link leads to; any other as it is named.
func behindLink(file string) string {
	for range 8 { // A link may lead to another, and to itself.
		to, err := os.Readlink(file)
		if err != nil {
			break
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(file), to)
		}
		file = to
	}
	return file
}

// copiesTo is where checkpoints are copied; nil where no folder is named.
func copiesTo(folder string) sealing.Copies {
	if folder == "" {
		return nil
	}
	return keyring.CopyTo(folder)
}

// typedFlags are the flags that name a database and a folder of keys, as they are typed; a
// password is left out, which others could read.
func typedFlags(database, keys string) string {
	flags := " --database " + typedWord(withoutPassword(database))
	if keys != "" {
		flags += " --keys " + typedWord(keys)
	}
	return flags
}

// passwordWords are those of an address in words that hold a password.
var passwordWords = regexp.MustCompile(`\b(?:ssl)?password\s*=\s*('(?:[^'\\]|\\.)*'|(?:[^\s\\]|\\.)*)`)

// withoutPassword is a database as it may be told to others.
func withoutPassword(database string) string {
	if _, isFile := sqliteFile(database); isFile {
		return database
	}
	if !strings.Contains(database, "://") {
		return strings.TrimSpace(strings.ReplaceAll(passwordWords.ReplaceAllString(database, ""), "  ", " "))
	}
	at, err := url.Parse(database)
	if err != nil {
		return "postgres://USER@HOST/NAME"
	}
	if at.User != nil {
		at.User = url.User(at.User.Username())
	}
	at.RawQuery = strings.Join(slices.DeleteFunc(strings.Split(at.RawQuery, "&"), func(word string) bool {
		name, _, _ := strings.Cut(word, "=")
		name, err := url.QueryUnescape(name)
		return err != nil || name == "password" || name == "sslpassword"
	}), "&")
	return at.String()
}

// typedWord puts a word between quotes where a shell would take it apart. In single ones
// it takes every sign as it is; Windows knows double ones alone.
func typedWord(word string) string {
	switch {
	case !strings.ContainsAny(word, " \t&;()<>|?*#~=%'$`!\"\\[]{}^"):
		return word
	case runtime.GOOS == "windows":
		return `"` + word + `"`
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}

// explain says what to do when the log cannot be sealed by the keys at hand; flags
// are those by which the same database and keys are named again.
func explain(err error, flags string) error {
	var unknown *sealing.NotEnrolledError
	switch {
	case errors.As(err, &unknown):
		file := filepath.Join(unknown.Place, unknown.KeyID+".pub")
		return &exitError{1, fmt.Sprintf(`tracewright: %v.
Where this shop's keys lie elsewhere, name their folder with --keys; where they were lost, put that folder back from a backup.
A further server on the same database has a key of its own. It is made; its public half is in %s.
Take that file to a server whose key the log knows, run there
  tracewright keys enrol %s --server %s
with its own --database and --keys, and start again here. Only where every key of the log is lost, run here
  tracewright keys enrol --alone%s`, unknown, file, filepath.Base(file), hostName(), flags)}
	case errors.Is(err, sealing.ErrOtherLog):
		return &exitError{1, fmt.Sprintf("tracewright: %v. Name the folder of this database's own keys with --keys, or an empty one where it has none yet.", err)}
	}
	return err
}

func hostName() string {
	name, err := os.Hostname()
	if err != nil {
		return "NAME"
	}
	return name
}
