package documents

import (
	"bytes"
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
		if !slices.Contains(Accepted, kind) || !strings.HasPrefix(string(in.Bytes), first[kind]) || utf8.RuneCountInString(in.Note) > longestNote {
			t.Errorf("%.40q is kept as %q", raw, kind)
		}
	})
}

// Whatever bytes call themselves a photo: what is kept of them is no longer but by
// the least EXIF, is kept whole when it is sent again, and holds nothing else of
// an application's.
func FuzzBare(f *testing.F) {
	const exif = "Exif\x00\x00MM\x00\x2A\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00\x00\x00\x00\x00"
	for _, raw := range []string{
		"\xFF\xD8\xFF\xE0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00\xFF\xFF\xE1\x00\x22" + exif + "\xFF\xED\x00\x04xx\xFF\xDA\x00\x02\x01\xFF\x00\xFF\xD0\x02\xFF\xD9z",
		"\x89PNG\r\n\x1a\n\x00\x00\x00\x1AeXIf" + exif[6:] + "0000\x00\x00\x00\x00IEND0000z",
		"RIFF\x24\x00\x00\x00WEBPVP8X\x0A\x00\x00\x00\x0C000000000EXIF\x20\x00\x00\x00" + exif + "XMP \x01\x00\x00\x00x\x00",
		"\xFF\xD8\xFF\xE1\x00", "\x89PNG\r\n\x1a\n\xFF\xFF\xFF\xFFeXIf", "RIFF0000WEBPEXIF\xFF\xFF\xFF\xFF",
	} {
		f.Add([]byte(raw))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		for _, kind := range Accepted {
			sent := bytes.Clone(raw)
			kept := bare(kind, sent)
			if !bytes.Equal(sent, raw) {
				t.Errorf("%s: %.80q is written over", kind, raw)
			}
			if again := bare(kind, bytes.Clone(kept)); !bytes.Equal(again, kept) || len(kept) > len(raw)+len(exif)+12 {
				t.Errorf("%s: of %.80q is kept %.80q, and of that %.80q", kind, raw, kept, again)
			}
		}
	})
}
