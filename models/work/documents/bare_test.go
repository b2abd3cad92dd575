package documents_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"

	"tracewright/models"
	"tracewright/models/work/documents"
	"tracewright/models/work/worktest"
)

// tiff is EXIF as a telephone writes it (CIPA DC-008): which way up, the maker, and
// where it was.
func tiff(order binary.AppendByteOrder, turn uint16) []byte {
	mark := "MM"
	if order.String() == "LittleEndian" {
		mark = "II"
	}
	b := order.AppendUint32(order.AppendUint16([]byte(mark), 42), 8)
	b = order.AppendUint16(b, 3)
	entry := func(tag, kind uint16, count, value uint32) {
		b = order.AppendUint32(order.AppendUint32(order.AppendUint16(order.AppendUint16(b, tag), kind), count), value)
	}
	const behind = 8 + 2 + 3*12 + 4
	entry(0x010F, 2, 6, behind) // maker
	b = order.AppendUint32(order.AppendUint16(order.AppendUint16(b, 0x0112), 3), 1)
	b = order.AppendUint16(order.AppendUint16(b, turn), 0)
	entry(0x8825, 4, 1, behind+6) // place
	b = order.AppendUint32(b, 0)
	return append(b, "PLACEX59.33N18.06E"...)
}

// least is the EXIF that stays: one entry, of which way up.
func least(turn byte) string {
	return "MM\x00\x2A\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00" + string([]byte{turn}) + "\x00\x00\x00\x00\x00\x00"
}

func segment(marker byte, data string) string {
	return "\xFF" + string([]byte{marker}) + string(binary.BigEndian.AppendUint16(nil, uint16(2+len(data)))) + data
}

func chunk(kind, data string) string {
	sum := binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE([]byte(kind+data)))
	return string(binary.BigEndian.AppendUint32(nil, uint32(len(data)))) + kind + data + string(sum)
}

func riff(chunks ...string) string {
	all := "WEBP"
	for i := 0; i < len(chunks); i += 2 {
		all += chunks[i] + string(binary.LittleEndian.AppendUint32(nil, uint32(len(chunks[i+1])))) + chunks[i+1] + "\x00"[:len(chunks[i+1])%2]
	}
	return "RIFF" + string(binary.LittleEndian.AppendUint32(nil, uint32(len(all)))) + all
}

// A photo keeps its picture and which way up it is, and nothing of where it was
// taken; what is kept is known by the hash of what is kept.
func TestAPhotoSaysNothingBesideItsPicture(t *testing.T) {
	jpg := string(picture(t, func(b *bytes.Buffer, i image.Image) error { return jpeg.Encode(b, i, nil) }))
	pixels := string(picture(t, func(b *bytes.Buffer, i image.Image) error { return png.Encode(b, i) }))
	exif := "Exif\x00\x00" + string(tiff(binary.LittleEndian, 6))
	big, straight := "Exif\x00\x00"+string(tiff(binary.BigEndian, 3)), "Exif\x00\x00"+string(tiff(binary.BigEndian, 1))
	xmp := "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta>PLACE</x:xmpmeta>"
	jfif, colours, adobe := segment(0xE0, "JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"), segment(0xE2, "ICC_PROFILE\x00\x01\x01colours"), segment(0xEE, "Adobe\x00\x64\x00\x00\x00\x00\x01")
	ihdr, rest := pixels[:33], pixels[33:] // 8 of the signature, 25 of the head
	lossy := string(make([]byte, 20))
	extended := func(flags byte) string { return string([]byte{flags}) + "\x00\x00\x00\x03\x00\x00\x03\x00\x00" }
	for _, c := range []struct{ name, sent, kept string }{
		{"JPEG with everything", jpg[:2] + jfif + segment(0xE1, exif) + segment(0xE1, xmp) + colours + segment(0xED, "Photoshop 3.0\x00PLACE") + segment(0xFE, "PLACE") + adobe + jpg[2:] + "PLACE" + jpg,
			jpg[:2] + jfif + segment(0xE1, "Exif\x00\x00"+least(6)) + colours + adobe + jpg[2:]},
		{"JPEG of the other order of bytes, and a second EXIF", jpg[:2] + segment(0xE1, big) + segment(0xE1, exif) + jpg[2:], jpg[:2] + segment(0xE1, "Exif\x00\x00"+least(3)) + jpg[2:]},
		{"JPEG that lies as it is drawn", jpg[:2] + "\xFF\xFF" + segment(0xE1, straight) + jpg[2:], jpg},
		{"JPEG with pictures of other makes behind it", jpg[:2] + segment(0xE2, "MPF\x00PLACE") + segment(0xE5, "PLACE") + jpg[2:] + "ftypmp42PLACE", jpg},
		{"JPEG with a small copy in its first segment", jpg[:2] + segment(0xE0, "JFIF\x00\x01\x02\x01\x00\x48\x00\x48\x02\x01PLACE.") + jpg[2:], jpg[:2] + segment(0xE0, "JFIF\x00\x01\x02\x01\x00\x48\x00\x48\x00\x00") + jpg[2:]},
		{"JPEG with segments that nothing draws by", jpg[:2] + segment(0xF0, "PLACE") + segment(0xFD, "PLACE") + jpg[2:], jpg},
		{"JPEG whose first segment is cut short", jpg[:2] + segment(0xE0, "JFIF\x00\x01\x02\x01\x00\x48\x00\x48"), jpg[:2] + segment(0xE0, "JFIF\x00\x01\x02\x01\x00\x48\x00\x48")},
		{"JPEG with nothing to drop", jpg, jpg},
		{"JPEG that broke off", jpg[:len(jpg)-9], jpg[:len(jpg)-9]},
		{"JPEG that broke off within its place", jpg[:2] + segment(0xE1, exif)[:50], jpg[:2] + segment(0xE1, "Exif\x00\x00"+least(6))},
		{"PNG with everything", ihdr + chunk("gAMA", "\x00\x00\xb1\x8f") + chunk("eXIf", exif[6:]) + chunk("iTXt", "XML:com.adobe.xmp\x00\x00\x00\x00\x00PLACE") + chunk("tEXt", "Comment\x00PLACE") + chunk("zTXt", "PLACE") + chunk("tIME", "PLACE..") + rest + "PLACE",
			ihdr + chunk("gAMA", "\x00\x00\xb1\x8f") + chunk("eXIf", least(6)) + rest},
		{"PNG with nothing to drop", pixels, pixels},
		{"WebP with everything", riff("VP8X", extended(0x2C), "ICCP", "colours", "VP8 ", lossy, "EXIF", exif[6:], "XMP ", "PLACE", "more", "PLACE"), riff("VP8X", extended(0x28), "ICCP", "colours", "VP8 ", lossy, "EXIF", least(6))},
		{"WebP that lies as it is drawn", riff("VP8X", extended(0x1C), "VP8 ", lossy, "EXIF", straight, "XMP ", "PLACE") + "PLACE and more", riff("VP8X", extended(0x10), "VP8 ", lossy)},
		{"WebP with nothing to drop", riff("VP8 ", lossy), riff("VP8 ", lossy)},
		{"a paper", "%PDF-1.7\nPLACE\n%%EOF\n", "%PDF-1.7\nPLACE\n%%EOF\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			s, subject := documents.New(h.Store, h.Clock), models.NewID()
			for range 2 { // the same again is the same
				h.Must(s.Add(t.Context(), h.Operator, models.SubjectLot, subject, documents.Sent{Bytes: []byte(c.sent)}))
			}
			list, err := s.Of(t.Context(), models.SubjectLot, subject)
			h.Must(err)
			if len(list) != 1 {
				t.Fatalf("%d are kept", len(list))
			}
			_, raw, err := s.Open(t.Context(), list[0].ID)
			h.Must(err)
			if string(raw) != c.kept {
				t.Errorf("kept %q\nwant %q", raw, c.kept)
			}
			if want := fmt.Sprintf("%x", sha256.Sum256([]byte(c.kept))); list[0].FileHash != want || list[0].Size != len(c.kept) {
				t.Errorf("known by %s with %d bytes, want %s with %d", list[0].FileHash, list[0].Size, want, len(c.kept))
			}
		})
	}
}

// A photo that is drawn is drawn as before, to the last dot, by decoders that are
// not ours.
func TestAPhotoIsDrawnAsBefore(t *testing.T) {
	i := image.NewRGBA(image.Rect(0, 0, 61, 47))
	for n := range i.Pix {
		i.Pix[n] = byte(n*n/7 + n)
	}
	i.Set(3, 3, color.White)
	var asJPEG, asPNG bytes.Buffer
	if err := jpeg.Encode(&asJPEG, i, &jpeg.Options{Quality: 97}); err != nil {
		t.Fatal(err)
	}
	if err := png.Encode(&asPNG, i); err != nil {
		t.Fatal(err)
	}
	h := worktest.New(t)
	s, subject := documents.New(h.Store, h.Clock), models.NewID()
	for _, sent := range [][]byte{
		[]byte(asJPEG.String()[:2] + segment(0xE1, "Exif\x00\x00"+string(tiff(binary.BigEndian, 8))) + asJPEG.String()[2:]),
		[]byte(asPNG.String()[:33] + chunk("eXIf", string(tiff(binary.BigEndian, 8))) + asPNG.String()[33:]),
	} {
		h.Must(s.Add(t.Context(), h.Operator, models.SubjectLot, subject, documents.Sent{Bytes: sent}))
		list, err := s.Of(t.Context(), models.SubjectLot, subject)
		h.Must(err)
		_, kept, err := s.Open(t.Context(), list[len(list)-1].ID)
		h.Must(err)
		want, _, err := image.Decode(bytes.NewReader(sent))
		h.Must(err)
		got, _, err := image.Decode(bytes.NewReader(kept))
		if err != nil || got.Bounds() != want.Bounds() || bytes.Contains(kept, []byte("PLACE")) {
			t.Fatalf("%v, %v, want %v", err, got, want.Bounds())
		}
		for y := range 47 {
			for x := range 61 {
				if got.At(x, y) != want.At(x, y) {
					t.Fatalf("at %d, %d it is %v, want %v", x, y, got.At(x, y), want.At(x, y))
				}
			}
		}
	}
}
