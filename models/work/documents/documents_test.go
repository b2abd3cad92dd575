package documents_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/documents"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

func picture(t *testing.T, encode func(*bytes.Buffer, image.Image) error) []byte {
	t.Helper()
	i := image.NewGray(image.Rect(0, 0, 4, 4))
	i.SetGray(1, 1, color.Gray{Y: 200})
	var b bytes.Buffer
	if err := encode(&b, i); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A file is what its bytes are. The heads are those of the formats' own
// descriptions: JPEG of ISO/IEC 10918-1, PNG of its W3C recommendation, WebP of
// RFC 9649, PDF of ISO 32000-1.
func TestAFileIsWhatItsBytesAre(t *testing.T) {
	jpg := picture(t, func(b *bytes.Buffer, i image.Image) error { return jpeg.Encode(b, i, nil) })
	pixels := picture(t, func(b *bytes.Buffer, i image.Image) error { return png.Encode(b, i) })
	webp := append([]byte("RIFF\x20\x00\x00\x00WEBPVP8 \x14\x00\x00\x00"), make([]byte, 20)...)
	pdf := []byte("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n%%EOF\n")
	for _, c := range []struct {
		name  string
		bytes []byte
		kind  string // empty: refused
		want  string
	}{
		{"photo.jpg", jpg, models.MediaJPEG, ""},
		{"photo.png", pixels, models.MediaPNG, ""},
		{"photo.webp", webp, models.MediaWebP, ""},
		{"paper.pdf", pdf, models.MediaPDF, ""},
		{"a photo that calls itself a paper.pdf", jpg, models.MediaJPEG, ""},
		{"no name at all", pdf, models.MediaPDF, ""},
		{"a page.pdf", []byte("<!doctype html><script>alert(1)</script>"), "", "file: file_type"},
		{"a page behind blanks.pdf", []byte("\n\n  <html><body>%PDF-1.7</body></html>"), "", "file: file_type"},
		{"a drawing.svg", []byte(`<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"/>`), "", "file: file_type"},
		{"a program.jpg", []byte("MZ\x90\x00\x03\x00\x00\x00"), "", "file: file_type"},
		{"an animation.gif", []byte("GIF89a\x01\x00\x01\x00"), "", "file: file_type"},
		{"an archive.pdf", []byte("PK\x03\x04\x14\x00"), "", "file: file_type"},
		{"words.txt", []byte("delivery note"), "", "file: file_type"},
		{"half a head.jpg", jpg[:2], "", "file: file_type"},
		{"empty.pdf", nil, "", "file: file_empty"},
		{"as large as may be.pdf", append(bytes.Clone(pdf), make([]byte, documents.MostBytes-len(pdf))...), models.MediaPDF, ""},
		{"one byte more.jpg", append(bytes.Clone(jpg), make([]byte, documents.MostBytes-len(jpg)+1)...), "", "file: file_too_large"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			s, subject := documents.New(h.Store, h.Clock), models.NewID()
			err := s.Add(t.Context(), h.Operator, models.SubjectLot, subject, documents.Sent{Name: c.name, Bytes: c.bytes})
			kept, listed := s.Of(t.Context(), models.SubjectLot, subject)
			h.Must(listed)
			if c.kind == "" {
				worktest.WantProblems(t, err, c.want)
				if len(kept) != 0 {
					t.Errorf("kept as %s", kept[0].MediaType)
				}
				return
			}
			h.Must(err)
			if len(kept) != 1 || kept[0].MediaType != c.kind || kept[0].Size != len(c.bytes) {
				t.Fatalf("kept %+v, want one %s", kept, c.kind)
			}
			view, raw, err := s.Open(t.Context(), kept[0].ID)
			h.Must(err)
			if view.MediaType != c.kind || !bytes.Equal(raw, c.bytes) {
				t.Errorf("opened as %s with %d bytes", view.MediaType, len(raw))
			}
		})
	}
}

// The same file is kept once, on a record and over all of them; names are only
// shown, and shown safely.
func TestPapersAreKeptOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, s := t.Context(), documents.New(h.Store, h.Clock)
		one, other := models.NewID(), models.NewID()
		pdf := []byte("%PDF-1.7\n%%EOF\n")
		for _, subject := range []string{one, one, other} {
			h.Must(s.Add(ctx, h.Operator, models.SubjectLot, subject, documents.Sent{Name: "C:\\in\\..\\note\r\nX: y.pdf", Note: " as it came ", Bytes: pdf}))
		}
		kept, err := s.Of(ctx, models.SubjectLot, one, other)
		h.Must(err)
		if len(kept) != 2 || kept[0].FileHash != kept[1].FileHash || kept[0].Name != "noteX: y.pdf" || kept[0].Note != "as it came" || kept[0].Salt == kept[1].Salt {
			t.Errorf("kept %+v, want one file on two records, each with a salt of its own", kept)
		}
		worktest.WantProblems(t, s.Add(ctx, h.Operator, models.SubjectLot, one, documents.Sent{Bytes: pdf, Note: strings.Repeat("x", 501)}), "note: too_long")
		if entries, err := h.Store.TrailOf(ctx, []string{kept[0].ID}, 9); err != nil || len(entries) != 1 {
			t.Errorf("%d trail entries, %v", len(entries), err)
		}
	})
}
