package app

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "tracewright/"

// Words of the table below: what lies on the floors that several packages may
// reach.
const (
	numbers = "models/numbers/*"
	trade   = "models/trade/*"
	work    = "models/work/*"
)

// edges is who may import whom inside the module, floor by floor from the
// ground. An import only ever points down. Adding a line, or a word to one,
// means arguing for it in the same change.
var edges = map[string]string{
	// Pure arithmetic and the encoding of the trail.
	"models/numbers/measure":  "",
	"models/numbers/stats":    "",
	"models/numbers/spc":      "models/numbers/stats",
	"models/numbers/sampling": "models/numbers/stats",
	"models/numbers/life":     "models/numbers/stats",
	"models/numbers/gauge":    "models/numbers/measure models/numbers/spc models/numbers/stats",
	// Its integrals are taken at the nodes that stats gives: no rule of the library is used unproved.
	"models/numbers/conformity": "models/numbers/measure models/numbers/stats",
	"models/trail":              "",

	// What the workshop makes; the records; the words.
	"models":                 "models/trail",
	"models/trade/ident":     "",
	"models/trade/genealogy": "",
	"models/trade/symptom":   "",
	"models/trade/wheel":     "models/numbers/measure",
	"models/trade/pack":      "models/numbers/measure models/numbers/stats",
	"models/trade/kinds":     "models models/numbers/measure models/trade/ident models/trade/pack models/trade/wheel",
	"models/trade/flow":      "models",
	"models/words":           "models models/numbers/measure",
	"models/sheet":           "models/numbers/measure", // lists as spreadsheets save them
	"models/zones":           "",                       // time zones by name

	// Use cases: no store, no words, and never one another.
	"models/work/access":        "models",
	"models/work/attention":     "models",
	"models/work/review":        "models models/numbers/stats",
	"models/work/assembly":      "models " + trade,
	"models/work/shop":          "models models/zones",
	"models/work/claims":        "models " + numbers + " " + trade,
	"models/work/nonconforming": "models " + trade,
	"models/work/corrective":    "models",
	"models/work/failures":      "models models/trade/kinds " + numbers,
	"models/work/defects":       "models",
	"models/work/build":         "models models/sheet " + numbers + " " + trade,
	"models/work/capture":       "models models/trail " + numbers + " " + trade,
	"models/work/finder":        "models " + numbers + " " + trade,
	"models/work/effect":        "models " + numbers + " " + trade,
	"models/work/gauges":        "models " + numbers + " " + trade,
	"models/work/goodness":      "models " + numbers,
	"models/work/labels":        "models models/trade/ident models/trade/kinds",
	"models/work/lists":         "models models/sheet " + trade,
	"models/work/lookup":        "models models/numbers/conformity models/trade/ident",
	"models/work/monitor":       "models " + numbers + " " + trade,
	"models/work/privacy":       "models",
	"models/work/recall":        "models " + trade,
	"models/work/receive":       "models " + numbers + " " + trade,
	"models/work/release":       "models models/trail " + numbers + " " + trade,
	"models/work/returns":       "models " + numbers,
	"models/work/sealing":       "models models/trail",
	"models/work/shelf":         "models " + numbers + " " + trade,
	"models/work/stock":         "models " + numbers + " " + trade,
	"models/work/stands":        "models models/numbers/measure",
	"models/work/studies":       "models " + numbers + " " + trade,
	"models/work/shipping":      "models " + trade,
	"models/work/verify":        "models models/trail",
	"models/work/specify":       "models " + numbers + " " + trade,
	"models/work/trace":         "models " + numbers + " " + trade,
	"models/work/watch":         "models",
	"models/work/truing":        "models models/trail " + numbers + " " + trade,
	"models/work/backup":        "models models/trade/ident",
	// Papers of any record: it knows none of them.
	"models/work/documents": "models",

	// The database.
	"migrations":   "",
	"models/store": "models models/trail models/trade/flow models/trade/ident migrations",

	// Paper.
	"reports/figure":      "models",
	"reports/pdf":         "",
	"reports/packing":     "models models/words reports/pdf",
	"reports/review":      "models models/words reports/figure reports/pdf",
	"reports/label":       "models models/words reports/pdf",
	"reports/recovery":    "models models/words reports/pdf",
	"reports/certificate": "models models/numbers/measure models/words reports/figure reports/pdf",

	// The server: pages and API call work and reports, never the store; only
	// app and the commands know both.
	"server/calc":  numbers + " " + trade,
	"server/files": "",             // whole or not there
	"server/trust": "server/files", // certificates and listeners, nothing of the shop; known to the command that listens and to the page that helps a tablet to trust
	// Keys and copies of checkpoints, as files: known to the commands alone.
	"server/keyring": "models models/trail server/files",
	"server/httpx":   "server/limit models models/sheet models/words " + work,
	// How often each client asks: known to what strangers reach.
	"server/limit": "",
	// Backups as files: known to the commands alone.
	"server/backups": "server/files",
	// What is counted, for a collector; and the log of the program: neither knows who calls.
	"server/metrics": "models",
	"server/logs":    "",
	"server/api":     "models models/sheet models/trail models/words server/httpx reports/* " + numbers + " " + trade + " " + work,
	"server/web":     "models models/sheet models/words server/httpx server/trust reports/* " + numbers + " " + trade + " " + work,
	// What strangers see stands apart: it knows one service, and nothing of the
	// pages or the API.
	"server/public": "server/limit models models/words models/trade/ident models/work/lookup",
	"server/app":    "models models/numbers/spc models/words models/store server/httpx server/api server/web server/public server/metrics reports/* " + work,
	// Measuring needs the whole server, and the database beside it.
	"server/bench": "models models/store models/trade/ident models/trade/kinds models/work/access models/work/capture models/work/sealing server/app server/httpx server/keyring",
	"server":       "models models/sheet models/trail models/words models/store models/work/access models/work/backup models/work/lists models/work/lookup models/work/receive models/work/sealing models/work/shop models/work/verify models/zones reports/certificate reports/pdf reports/recovery server/app server/backups server/bench server/calc server/keyring server/logs server/metrics server/public server/trust testdata/demo",

	// What tests share. Nothing of the program imports these.
	"models/store/storetest": "models models/store",
	"models/work/worktest":   "models models/store models/store/storetest " + trade + " " + work,
	"reports/pdf/pdftest":    "",
	"server/servertest":      "models models/store models/store/storetest models/work/worktest server/app server/httpx " + trade + " " + work,
	"server/webtest":         "",
	"testdata/cases":         "",

	// The invented shop: made through the services, like a real one.
	"testdata/demo": "models models/trade/ident models/trade/kinds models/trade/wheel models/work/capture models/work/claims models/work/corrective models/work/documents models/work/gauges models/work/labels models/work/nonconforming models/work/receive models/work/release models/work/sealing models/work/stock models/work/studies models/zones",
}

// walls is where each library of others may be used; "*" is everywhere. A
// library that stands in no line may not be used at all.
var walls = map[string]string{
	"github.com/google/uuid":                "models models/work/capture models/work/stands",
	"github.com/govalues/decimal":           "models/numbers/measure",
	"gonum.org/v1/gonum":                    "models/numbers/* models/trade/wheel",
	"gonum.org/v1/gonum/integrate/quad":     "models/numbers/stats", // one of its rules is wrong
	"filippo.io/age":                        "server/backups",
	"github.com/pquerna/otp":                "models/work/access",
	"github.com/mileusna/useragent":         "models/work/access",
	"golang.org/x/crypto":                   "models/work/access",
	"golang.org/x/text":                     "models/sheet models/work/access reports/pdf",
	"golang.org/x/sync":                     "server/httpx",
	"golang.org/x/time":                     "server/limit",
	"gorm.io/gorm":                          "models/store",
	"gorm.io/driver/postgres":               "models/store",
	"github.com/libtnb/sqlite":              "models/store",
	"modernc.org/sqlite":                    "models/store server/bench",
	"github.com/jackc/pgx/v5":               "models/store models/store/storetest server/bench",
	"github.com/pressly/goose/v3":           "models/store",
	"github.com/gabriel-vasile/mimetype":    "models/work/documents",
	"github.com/jung-kurt/gofpdf":           "reports/pdf",
	"github.com/prometheus/client_golang":   "server/metrics",
	"github.com/prometheus/common":          "server/metrics", // the format that a collector reads
	"github.com/prometheus/client_model":    "",
	"github.com/boombuler/barcode":          "reports/pdf",
	"github.com/piglig/go-qr":               "reports/pdf",
	"golang.org/x/image":                    "reports/pdf",
	"gonum.org/v1/plot":                     "reports/figure reports/pdf reports/certificate reports/review",
	"github.com/gin-gonic/gin":              "server/httpx server/api server/web server/app",
	"github.com/go-json-experiment/json":    "server/httpx",
	"github.com/alexedwards/scs/v2":         "server/httpx",
	"github.com/alecthomas/kong":            "server",
	"github.com/getkin/kin-openapi":         "server/servertest",
	"pgregory.net/rapid":                    "",
	"github.com/chromedp/chromedp":          "",
	"github.com/chromedp/cdproto":           "",
	"github.com/santhosh-tekuri/jsonschema": "",
}

// tests may use these beside what their package may, and reach down freely:
// a test of the server looks into the store.
var (
	testLibraries = []string{"pgregory.net/rapid", "github.com/getkin/kin-openapi", "github.com/chromedp/chromedp", "github.com/chromedp/cdproto",
		"github.com/santhosh-tekuri/jsonschema", "github.com/jackc/pgx/v5", "modernc.org/sqlite", "github.com/boombuler/barcode", "github.com/piglig/go-qr", "github.com/pquerna/otp",
		"github.com/prometheus/common", "github.com/prometheus/client_model"}
	testEdges = map[string]string{
		"models/numbers": "models/numbers/* testdata/cases",
		"models/trail":   "models/numbers/measure testdata/cases",
		"models/trade":   "models models/numbers/* models/trade/* testdata/cases",
		"models/words":   "models",
		"models/store":   "models models/trail models/store/storetest models/trade/* models/work/*",
		"models/work":    "models models/trail models/words models/store models/store/storetest models/numbers/* models/trade/* models/work/* testdata/cases",
		"reports":        "models models/trail models/words reports/pdf/pdftest",
		"server":         "models models/* server/* reports/* testdata/cases testdata/demo",
		"testdata":       "models models/* testdata/cases",
	}
)

// source is one Go file.
type source struct {
	pkg    string // folder below the module's root
	name   string
	test   bool
	parsed *ast.File
}

func sources(t *testing.T) []source {
	t.Helper()
	root := filepath.Join("..", "..")
	var out []source
	err := filepath.WalkDir(root, func(file string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && strings.HasPrefix(entry.Name(), ".") && file != root {
			return fs.SkipDir
		}
		if entry.IsDir() || path.Ext(file) != ".go" {
			return nil
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, filepath.Dir(file))
		if err != nil {
			return err
		}
		out = append(out, source{filepath.ToSlash(rel), entry.Name(), strings.HasSuffix(file, "_test.go"), parsed})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func (s source) imports(t *testing.T) []string {
	t.Helper()
	var out []string
	for _, i := range s.parsed.Imports {
		name, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, name)
	}
	return out
}

func TestImportsPointDown(t *testing.T) {
	there := map[string]bool{}
	for _, s := range sources(t) {
		there[s.pkg] = true
		row, known := edges[s.pkg]
		if !known {
			t.Errorf("%s/%s: its package stands in no line of the table of imports", s.pkg, s.name)
			continue
		}
		for _, i := range s.imports(t) {
			to, internal := strings.CutPrefix(i, module)
			switch {
			case internal:
				if !(listed(row, to) && (s.test || !shared(to) || shared(s.pkg))) && !(s.test && (to == s.pkg || listed(testRow(s.pkg), to))) {
					t.Errorf("%s/%s imports %s, which the table does not allow", s.pkg, s.name, to)
				}
			case strings.Contains(strings.Split(i, "/")[0], "."):
				library, where := wall(i)
				if library == "" {
					t.Errorf("%s/%s imports %s, which stands in no line of the table of libraries", s.pkg, s.name, i)
				} else if !listed(where, s.pkg) && !(s.test && slices.Contains(testLibraries, library)) {
					t.Errorf("%s/%s imports %s, which is kept to %q", s.pkg, s.name, i, where)
				}
			}
		}
	}
	for pkg := range edges {
		if !there[pkg] {
			t.Errorf("the table has a line for %s, which is not there", pkg)
		}
	}
}

// listed says whether a list of names, "a b/*", holds a name; b/* is what lies
// below b.
func listed(list, name string) bool {
	for entry := range strings.FieldsSeq(list) {
		below, wild := strings.CutSuffix(entry, "/*")
		if entry == name || wild && strings.HasPrefix(name, below+"/") {
			return true
		}
	}
	return false
}

// shared says whether a package is there for tests only.
func shared(pkg string) bool { return strings.HasSuffix(pkg, "test") }

// testRow is the line for a package's tests: that of the nearest folder above.
func testRow(pkg string) string {
	for at := pkg; at != "."; at = path.Dir(at) {
		if row, ok := testEdges[at]; ok {
			return row
		}
	}
	return ""
}

func wall(i string) (library, where string) {
	for l, w := range walls {
		if (i == l || strings.HasPrefix(i, l+"/")) && len(l) > len(library) {
			library, where = l, w
		}
	}
	return library, where
}

// Pure packages know no database, no HTTP, no file and no clock: time and
// chance come in as arguments.
func TestPureFloorsStayPure(t *testing.T) {
	forbidden := []string{"database/sql", "net", "net/http", "os", "os/exec", "io/ioutil", "embed", "log", "log/slog", "math/rand", "math/rand/v2", "crypto/rand"}
	clock := []string{"Now", "Since", "Until", "After", "Tick", "NewTimer", "NewTicker", "Sleep", "AfterFunc"}
	for _, s := range sources(t) {
		pure := strings.HasPrefix(s.pkg, "models/numbers") || strings.HasPrefix(s.pkg, "models/trade") || s.pkg == "models/trail" || s.pkg == "models/sheet"
		if !pure || s.test {
			continue
		}
		for _, i := range s.imports(t) {
			if slices.Contains(forbidden, i) {
				t.Errorf("%s/%s imports %s and should be pure", s.pkg, s.name, i)
			}
		}
		ast.Inspect(s.parsed, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok {
				if x, ok := sel.X.(*ast.Ident); ok && x.Name == "time" && slices.Contains(clock, sel.Sel.Name) {
					t.Errorf("%s/%s asks the clock: time.%s", s.pkg, s.name, sel.Sel.Name)
				}
			}
			return true
		})
	}
}

// The house has five rooms and a door plate.
func TestTopLevel(t *testing.T) {
	want := map[string]bool{"server": true, "models": true, "reports": true, "migrations": true, "testdata": true, "go.mod": false, "go.sum": false, "README.md": false, "DEVELOPERS.md": false}
	entries, err := os.ReadDir(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			got[e.Name()] = e.IsDir()
		}
	}
	if !maps.Equal(got, want) {
		t.Errorf("the top level holds %v, want exactly %v (true: a folder)", slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(want)))
	}
}
