package pdf

import (
	"bytes"
	"errors"
	"maps"
	"strings"
	"testing"

	"tracewright/reports/pdf/pdftest"
)

// attached is a document with two files inside, one with a name that needs
// every escape.
func attached(t testing.TB) []byte {
	t.Helper()
	d := New(Meta{Title: "t", Author: "a", Language: "en"})
	d.Attach(Attachment{Name: "content.json", Description: "the content", Content: bytes.Repeat([]byte(`{"value":"51.230"}`), 300)})
	d.Attach(Attachment{Name: `a (b) \ Ω ਊ ℹ.json`, Content: []byte("{}")})
	d.AddPage()
	out, err := d.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// What is read here is what another reader finds.
func TestAttachmentsAsAnotherReaderFindsThem(t *testing.T) {
	document := attached(t)
	got, err := Attachments(document)
	if err != nil || len(got) != 2 {
		t.Fatalf("%d files, %v", len(got), err)
	}
	if want := pdftest.Attachments(t, document); !maps.EqualFunc(got, want, bytes.Equal) {
		t.Errorf("read %d files %v, another reader %d", len(got), got, len(want))
	}
}

func TestAttachmentsRefused(t *testing.T) {
	document := string(attached(t))
	for name, damaged := range map[string]string{
		"twice the same name": strings.Replace(document, "%%EOF", document[strings.Index(document, "<< /Type /Filespec"):], 1),
		"no such object":      strings.Replace(document, "/EF << /F ", "/EF << /F 9", 1),
		"no content":          strings.Replace(document, "/EF << /F ", "/EE << /F ", 1),
		"a name that is none": strings.Replace(document, "/UF (\xfe\xff", "/UF (ab", 1),
		"longer than it is":   strings.Replace(document, "/EmbeddedFile /Length ", "/EmbeddedFile /Length 9999", 1),
		"of no length":        strings.Replace(document, "/EmbeddedFile /Length ", "/EmbeddedFile /Height ", 1),
		"cut":                 document[:strings.Index(document, "/EmbeddedFile")] + document[strings.Index(document, "<< /Type /Filespec"):],
	} {
		if damaged == document {
			t.Fatalf("%s: nothing was changed", name)
		}
		if files, err := Attachments([]byte(damaged)); !errors.Is(err, ErrAttached) {
			t.Errorf("%s: %d files, %v", name, len(files), err)
		}
	}
	if files, err := Attachments([]byte("%PDF-1.3\n%%EOF\n")); err != nil || len(files) != 0 {
		t.Errorf("a document without any: %v, %v", files, err)
	}
}

// Whatever the bytes are, they give files or an error.
func FuzzAttachments(f *testing.F) {
	f.Add(attached(f))
	f.Add([]byte("<< /Type /Filespec /UF (\xfe\xff\x00a) /EF << /F 1 0 R >> >>\nendobj\n1 0 obj\n<< /Length 0 >>\nstream\n"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		files, err := Attachments(raw)
		if err != nil && !errors.Is(err, ErrAttached) {
			t.Errorf("an error of another kind: %v", err)
		}
		for name, content := range files {
			if len(content) > mostAttached {
				t.Errorf("%q unpacks to %d bytes", name, len(content))
			}
		}
	})
}
