package pdf

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tracewright/reports/pdf/pdftest"
)

// The catalog of a file names its metadata, its language and that its title is shown
// (ISO 32000-1, 7.7.2); the table of places still leads to each object, whatever is
// attached: a file may hold what looks like a catalog.
func TestTheCatalogNamesMetadataAndLanguage(t *testing.T) {
	for name, attached := range map[string]string{"nothing attached": "", "a catalog attached": "9 0 obj\n<<\n/Type /Catalog\n>>\nendobj\nstartxref\n7\n%%EOF\n"} {
		for _, plain := range []bool{true, false} {
			d := New(Meta{Title: "Prüfbescheinigung C26-01250", Author: "Harrowmere & Co", Language: "de", Plain: plain})
			d.AddPage()
			d.Text(20, 20, plainText, "x", Left)
			if attached != "" {
				d.Attach(Attachment{Name: "a.pdf", Content: []byte(attached)})
			}
			out, err := d.Bytes()
			if err != nil {
				t.Fatal(err)
			}
			pdftest.Sound(t, out)
			object := objects(t, out)
			root := object[lastNumber(t, out, `/Root (\d+) 0 R`)]
			for _, want := range []string{"/Type /Catalog", "/Lang (de)", "/ViewerPreferences <</DisplayDocTitle true>>"} {
				if !strings.Contains(root, want) {
					t.Errorf("%s: no %s in the catalog %q", name, want, root)
				}
			}
			metadata := object[lastNumber(t, []byte(root), `/Metadata (\d+) 0 R`)]
			if !strings.Contains(metadata, "/Type /Metadata /Subtype /XML") || !strings.Contains(metadata, "Harrowmere &amp; Co") {
				t.Errorf("%s: the metadata are %q", name, metadata)
			}
			if info := pdftest.Info(t, out); !strings.Contains(info, "Metadata Stream: yes") || !strings.Contains(info, "C26-01250") {
				t.Errorf("%s: a reader finds %s", name, info)
			}
		}
	}
}

// lastNumber is the one that a pattern finds last.
func lastNumber(t *testing.T, in []byte, pattern string) int {
	t.Helper()
	found := regexp.MustCompile(pattern).FindAllSubmatch(in, -1)
	if len(found) == 0 {
		t.Fatalf("no %s", pattern)
	}
	n, err := strconv.Atoi(string(found[len(found)-1][1]))
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// objects follows the table of places as a reader does (7.5.4).
func objects(t *testing.T, out []byte) map[int]string {
	t.Helper()
	rows := bytes.Split(out[lastNumber(t, out, `startxref\n(\d+)\n%%EOF`):], []byte("\n"))
	if string(rows[0]) != "xref" {
		t.Fatalf("at startxref stands %q", rows[0])
	}
	list := map[int]string{}
	for n, row := range rows[3 : 3+lastNumber(t, rows[1], `0 (\d+)`)-1] {
		at, err := strconv.Atoi(string(row[:10]))
		if err != nil {
			t.Fatal(err)
		}
		body, begins := bytes.CutPrefix(out[at:], []byte(strconv.Itoa(n+1)+" 0 obj\n"))
		if !begins {
			t.Fatalf("at the place of object %d stands %.20q", n+1, out[at:])
		}
		one, _, _ := strings.Cut(string(body), "endobj\n")
		list[n+1] = one
	}
	return list
}
