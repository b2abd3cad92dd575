package documents

import (
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// A file that is kept has one of the few types, by its first bytes and whatever it
// calls itself; its name breaks no line and is no path.
func FuzzSent(f *testing.F) {
	for name, raw := range map[string]string{"a.jpg": "\xff\xd8\xff\xe0\x00\x10JFIF\x00", "..\\..\\b.pdf": "%PDF-1.7\n", "c/../d.webp": "RIFF\x24\x00\x00\x00WEBPVP8 ", "e\r\nf": "<html>%PDF-", "\xff": "", "g.svg": "<svg/>", "h": "\x89PNG\r\n\x1a\n"} {
		f.Add(name, "note", []byte(raw))
	}
	f.Fuzz(func(t *testing.T, name, note string, raw []byte) {
		in := Sent{Name: name, Note: note, Bytes: raw}
		kind, err := checked(&in)
		if utf8.RuneCountInString(in.Name) > longestName || !utf8.ValidString(in.Name) || strings.ContainsAny(in.Name, "/\\") || strings.ContainsFunc(in.Name, func(r rune) bool { return !unicode.IsPrint(r) }) {
			t.Errorf("the name %q becomes %q", name, in.Name)
		}
		if err != nil {
			return
		}
		first := map[string]string{"image/jpeg": "\xff\xd8\xff", "image/png": "\x89PNG", "image/webp": "RIFF", "application/pdf": "%PDF-"}
		if !slices.Contains(Accepted, kind) || !strings.HasPrefix(string(raw), first[kind]) || utf8.RuneCountInString(in.Note) > longestNote {
			t.Errorf("%.40q is kept as %q", raw, kind)
		}
	})
}
