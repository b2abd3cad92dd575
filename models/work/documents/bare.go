package documents

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"slices"

	"tracewright/models"
)

// bare gives a photo without what it says besides its picture: where and when it was
// taken, by which device, under which words (EXIF, XMP, IPTC, comments, what cameras
// hang behind the end). Kept is what a browser draws by: the picture as it was
// encoded, its colours, and which way up it is. What cannot be walked through is
// kept as it came; a paper is not a photo.
func bare(kind string, raw []byte) []byte {
	switch kind {
	case models.MediaJPEG:
		return bareJPEG(raw)
	case models.MediaPNG:
		return barePNG(raw)
	case models.MediaWebP:
		return bareWebP(raw)
	}
	return raw
}

const exifHead = "Exif\x00\x00"

// The markers of JPEG that matter here (ISO/IEC 10918-1, table B.1).
const (
	jpegEnd               = 0xD9
	jpegFirstOf           = 0xE0 // segments of applications; behind them such as nothing draws by
	jpegExif, jpegComment = 0xE1, 0xFE
	jfifWhole             = 18 // JFIF without a small copy (ISO/IEC 10918-5, 10.1), with its marker
)

// bareJPEG walks from marker to marker, also through what a scan encodes: there no
// byte 0xFF is a marker that has a length.
func bareJPEG(raw []byte) []byte {
	out, turned := make([]byte, 0, len(raw)), false
	for len(raw) > 0 {
		run := bytes.IndexByte(raw, 0xFF)
		if run < 0 || run+1 == len(raw) {
			return append(out, raw...)
		}
		out, raw = append(out, raw[:run]...), raw[run:]
		marker, length := raw[1], 2
		switch {
		case marker == 0xFF: // fills up, and says nothing
			raw = raw[1:]
			continue
		case marker <= 1, marker >= 0xD0 && marker <= jpegEnd: // stands alone
		case len(raw) >= 4:
			length = min(2+max(2, int(binary.BigEndian.Uint16(raw[2:]))), len(raw))
		default:
			length = len(raw)
		}
		segment := raw[:length]
		raw = raw[length:]
		switch {
		case marker == jpegEnd:
			return append(out, segment...)
		case marker == jpegFirstOf && length > jfifWhole && drawn(marker, segment):
			// Its small copy goes: a width and a height of nothing stand for it.
			out = append(binary.BigEndian.AppendUint16(append(out, 0xFF, marker), jfifWhole-2), segment[4:jfifWhole-2]...)
			out = append(out, 0, 0)
		case drawn(marker, segment):
			out = append(out, segment...)
		case marker == jpegExif && !turned && bytes.HasPrefix(segment[min(4, length):], []byte(exifHead)):
			if t := upright(segment[4+len(exifHead):]); t != nil {
				out = append(binary.BigEndian.AppendUint16(append(out, 0xFF, jpegExif), uint16(2+len(exifHead)+len(t))), exifHead...)
				out = append(out, t...)
			}
			turned = true
		}
	}
	return out
}

// drawn says of a segment of JPEG whether the picture is drawn by it.
func drawn(marker byte, segment []byte) bool {
	if marker < jpegFirstOf {
		return true
	}
	said := segment[min(4, len(segment)):]
	return marker == 0xE0 && bytes.HasPrefix(said, []byte("JFIF\x00")) || marker == 0xE2 && bytes.HasPrefix(said, []byte("ICC_PROFILE\x00")) || marker == 0xEE && bytes.HasPrefix(said, []byte("Adobe"))
}

// pngDrawn are the chunks beside the critical ones by which PNG is drawn (W3C, PNG,
// third edition, 11.3).
var pngDrawn = []string{"tRNS", "cHRM", "gAMA", "iCCP", "sBIT", "sRGB", "cICP", "mDCV", "cLLI", "bKGD", "hIST", "pHYs", "sPLT", "acTL", "fcTL", "fdAT"}

func barePNG(raw []byte) []byte {
	const signature = 8
	if len(raw) < signature {
		return raw
	}
	out := append(make([]byte, 0, len(raw)), raw[:signature]...)
	raw = raw[signature:]
	for len(raw) >= 12 {
		length := int(min(uint64(binary.BigEndian.Uint32(raw))+12, uint64(len(raw))))
		chunk, kind := raw[:length], string(raw[4:8])
		raw = raw[length:]
		switch critical := kind[0]&0x20 == 0; {
		case critical, slices.Contains(pngDrawn, kind):
			out = append(out, chunk...)
		case kind == "eXIf":
			if t := upright(chunk[8 : length-4]); t != nil {
				said := append([]byte(kind), t...)
				out = append(binary.BigEndian.AppendUint32(out, uint32(len(t))), said...)
				out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(said))
			}
		}
		if kind == "IEND" {
			return out
		}
	}
	return append(out, raw...)
}

// webpDrawn are the chunks by which WebP is drawn (RFC 9649, 2.7).
var webpDrawn = []string{"VP8 ", "VP8L", "VP8X", "ALPH", "ANIM", "ANMF", "ICCP"}

// What the first byte of VP8X says of what follows.
const webpExif, webpXMP = 0x08, 0x04

func bareWebP(raw []byte) []byte {
	const head = 12
	if len(raw) < head {
		return raw
	}
	out := append(make([]byte, 0, len(raw)), raw[:head]...)
	raw = raw[head:]
	flags, exif := 0, byte(0)
	for len(raw) >= 8 {
		size := uint64(binary.LittleEndian.Uint32(raw[4:]))
		length := int(min(8+size+size%2, uint64(len(raw))))
		chunk, kind := raw[:length], string(raw[:4])
		raw = raw[length:]
		switch {
		case slices.Contains(webpDrawn, kind):
			if kind == "VP8X" && length > 8 && flags == 0 {
				flags = len(out) + 8
			}
			out = append(out, chunk...)
		case kind == "EXIF" && exif == 0:
			if t := upright(bytes.TrimPrefix(chunk[8:], []byte(exifHead))); t != nil {
				out, exif = append(binary.LittleEndian.AppendUint32(append(out, kind...), uint32(len(t))), t...), webpExif
			}
		}
	}
	if flags > 0 {
		out[flags] = out[flags]&^(webpExif|webpXMP) | exif
	}
	binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	return out
}

// upright is the least EXIF that says which way up a picture is (CIPA DC-008, 4.6.2
// and 4.6.5); nil where it lies as it is drawn.
func upright(exif []byte) []byte {
	turn := orientation(exif)
	if turn < 2 || turn > 8 {
		return nil
	}
	return []byte("MM\x00\x2A\x00\x00\x00\x08" + "\x00\x01" + "\x01\x12\x00\x03\x00\x00\x00\x01\x00" + string(rune(turn)) + "\x00\x00" + "\x00\x00\x00\x00")
}

// orientation is what EXIF says of it, 0 when nothing.
func orientation(exif []byte) uint16 {
	const tag, short, entry = 0x0112, 3, 12
	if len(exif) < 8 {
		return 0
	}
	var order binary.ByteOrder = binary.BigEndian
	if string(exif[:2]) == "II" {
		order = binary.LittleEndian
	}
	at := uint64(order.Uint32(exif[4:]))
	if at+2 > uint64(len(exif)) {
		return 0
	}
	count, list := int(order.Uint16(exif[at:])), exif[at+2:]
	for ; count > 0 && len(list) >= entry; count-- {
		if order.Uint16(list) == tag && order.Uint16(list[2:]) == short {
			return order.Uint16(list[8:])
		}
		list = list[entry:]
	}
	return 0
}
