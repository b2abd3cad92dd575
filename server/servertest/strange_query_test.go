package servertest

import (
	"hash/crc32"
	"net/http"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/server/api"
	"tracewright/server/app"
	"tracewright/server/httpx"
)

var (
	handlerInSource = regexp.MustCompile(`(?m)^func (?:\(\w+ \*?\w+\) )?(\w+)\(`)
	nameInSource    = regexp.MustCompile(`"([a-z][a-z_0-9]*)"`)
	askedInSource   = regexp.MustCompile(`(?:(?:Query|QueryArray|GetQuery|DefaultQuery|FormValue|Get|Has|read)\(|Name: |days\(c, )((?:"[a-z_0-9]+"(?:, )?)+)`)
)

// asked are the names that the handlers of a folder may read from a query, by
// handler: those that its file writes and that some file reads.
func asked(t *testing.T, folders ...string) func(httpx.Handler) []string {
	t.Helper()
	read, byFile, fileOf := map[string]bool{}, map[string][]string{}, map[string]string{}
	for _, folder := range folders {
		files, err := filepath.Glob(filepath.Join("..", folder, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no source in %s: %v", folder, err)
		}
		for _, file := range files {
			if strings.HasSuffix(file, "_test.go") {
				continue
			}
			raw, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range askedInSource.FindAllSubmatch(raw, -1) {
				for _, n := range nameInSource.FindAllSubmatch(m[1], -1) {
					read[string(n[1])] = true
				}
			}
			for _, n := range nameInSource.FindAllSubmatch(raw, -1) {
				byFile[file] = append(byFile[file], string(n[1]))
			}
			for _, m := range handlerInSource.FindAllSubmatch(raw, -1) {
				fileOf[folder+"."+string(m[1])] = file
			}
		}
	}
	if len(read) < 50 {
		t.Fatalf("only %d names are read from queries: the source is not what it was", len(read))
	}
	return func(h httpx.Handler) []string {
		full := runtime.FuncForPC(reflect.ValueOf(h).Pointer()).Name()
		folder, _, _ := strings.Cut(full[strings.LastIndexByte(full, '/')+1:], ".")
		name := strings.TrimSuffix(full, "-fm")
		if at := strings.Index(name, ".func"); at >= 0 {
			name = name[:at]
		}
		name = name[strings.LastIndexByte(name, '.')+1:]
		var names []string
		for _, n := range byFile[fileOf[folder+"."+name]] {
			if read[n] && !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
		return names
	}
}

// strangeValues are what no page writes into its own addresses. Those that are
// not meant for one kind of reader are put into one name after the other; all are
// put into every name of an address at once.
var strangeValues = []struct {
	what, value string
	alone       bool
}{
	{"an id of nothing", models.NewID(), true},
	{"a zero byte", "a%00b", false},
	{"no text", "%FF%FE", false},
	{"a page", strings.Repeat("%D0%96", 3000), true},
	{"nearly an id", "01953a6b-7c00-7000-8000-00000000abcg", false},
	{"a quote", "'%20OR%201=1--", false},
	{"a number too large", "99999999999999999999", false},
	{"less than none", "-1", false},
	{"a day of no month", "2031-02-30", false},
	{"the last day", "9999-12-31", false},
	{"the year naught", "0000-01-01", false},
	{"a moment and a hint", "2031-03-04T05:06:07Z_01953a6b-7c00-7000-8000-00000000abcd", false},
}

// Whatever is written into an address behind its question mark, on every page and
// every address of the interface that looks at something, with records there: it
// is the asker's mistake, or finds nothing, and is never a fault of the server.
// With TRACEWRIGHT_TEST_ALL, where neither database is left out, each of the requests
// goes to one of the two; with TRACEWRIGHT_STRANGE=both, and otherwise, to both.
func TestStrangeQueriesAreNoFaultOfTheServer(t *testing.T) {
	namesOf := asked(t, "web", "httpx", "app", "trust")
	halved := os.Getenv("TRACEWRIGHT_TEST_ALL") != "" && os.Getenv("TRACEWRIGHT_STRANGE") != "both"
	Each(t, func(t *testing.T, s *Shop) {
		fill := s.everyPage(t)
		requests, with := 0, 0
		for _, route := range app.Routes(s.App.Services) {
			if route.Method != http.MethodGet || strings.HasPrefix(route.Path, "/static/") {
				continue
			}
			path := paths(route.Path, slices.Clone(fill[route.Path]))
			if len(path) == 0 || strings.Contains(path[0], ":") { // of the interface: what it is asked about is looked for too
				path = []string{regexp.MustCompile(`[:*]\w+`).ReplaceAllString(route.Path, "SP-0214")}
			}
			address, _, _ := strings.Cut(path[0], "?")
			names := namesOf(route.Handler)
			if strings.HasPrefix(route.Path, api.Base) {
				names = route.Asked
			}
			if len(names) > 0 {
				with++
			}
			for _, v := range strangeValues {
				var queries []string
				for _, n := range names {
					queries = append(queries, n+"="+v.value)
				}
				if all := strings.Join(queries, "&"); !v.alone {
					queries = []string{all}
				} else if len(names) > 1 {
					queries = append(queries, all)
				}
				for _, q := range queries {
					requests++
					if half := crc32.ChecksumIEEE([]byte(address+q))%2 == 0; halved && half == (s.Store.Dialect() == store.SQLite) {
						continue // The other database's half, whatever the value is.
					}
					if strings.HasSuffix(address, "/events") { // A stream goes on for minutes unless it is asked not to.
						q += "&follow=no"
					}
					status, _, body := s.Do(t, Row{Who: Owner, Path: address + "?" + q})
					if status >= 500 {
						t.Errorf("%s in %s?%.60s: status %d: %.200s", v.what, address, q, status, body)
					}
				}
			}
		}
		t.Logf("%d requests, %d addresses with a query", requests, with)
		if with < 60 || requests < 2000 {
			t.Errorf("%d addresses with a query, %d requests: the table is not what it was", with, requests)
		}
	})
}
