package pdf

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"unicode/utf16"
)

// ErrAttached says that the files inside a document cannot be read.
var ErrAttached = errors.New("files inside the document cannot be read")

// mostAttached bounds what one file may unpack to.
const mostAttached = 16 << 20

var (
	fileSpec  = regexp.MustCompile(`<<\s*/Type\s*/Filespec\b`)
	fileName  = regexp.MustCompile(`/UF\s*\(`)
	embedded  = regexp.MustCompile(`/EF\s*<<\s*/F\s+(\d{1,9})\s+0\s+R\s*>>`)
	length    = regexp.MustCompile(`/Length\s+(\d{1,9})\b`)
	startData = []byte("stream\n")
)

// Attachments gives the files inside a document as [Document] writes them, by
// name. It looks for them itself and follows no table of the document, so that
// a document which was damaged elsewhere still gives them; one that another
// program saved anew may not. A name that is there twice is an error: nobody
// could say which of the two holds.
func Attachments(document []byte) (map[string][]byte, error) {
	files := map[string][]byte{}
	for _, at := range fileSpec.FindAllIndex(document, -1) {
		spec := document[at[0]:]
		if end := bytes.Index(spec, []byte("endobj")); end >= 0 {
			spec = spec[:end]
		}
		name, err := nameOf(spec)
		if err != nil {
			return nil, err
		}
		object := embedded.FindSubmatch(spec)
		if object == nil {
			return nil, fmt.Errorf("%w: %.60q names no content", ErrAttached, name)
		}
		if _, twice := files[name]; twice {
			return nil, fmt.Errorf("%w: %.60q is there twice", ErrAttached, name)
		}
		if files[name], err = streamOf(document, string(object[1])); err != nil {
			return nil, fmt.Errorf("%w: %.60q: %w", ErrAttached, name, err)
		}
	}
	return files, nil
}

// nameOf reads the name of a file: a text string (ISO 32000-1, 7.3.4.2 and
// 7.9.2.2) in UTF-16 with its byte order mark.
func nameOf(spec []byte) (string, error) {
	at := fileName.FindIndex(spec)
	if at == nil {
		return "", fmt.Errorf("%w: a file without a name", ErrAttached)
	}
	var raw []byte
	text := spec[at[1]:]
	for i := 0; i < len(text) && text[i] != ')'; i++ {
		c := text[i]
		if c == '\\' && i+1 < len(text) {
			i++
			switch c = text[i]; c {
			case 'r':
				c = '\r'
			case 'n':
				c = '\n'
			}
		}
		raw = append(raw, c)
	}
	units, marked := bytes.CutPrefix(raw, []byte{0xFE, 0xFF})
	if !marked || len(units)%2 != 0 {
		return "", fmt.Errorf("%w: name %.60q", ErrAttached, raw)
	}
	pairs := make([]uint16, len(units)/2)
	for i := range pairs {
		pairs[i] = uint16(units[2*i])<<8 | uint16(units[2*i+1])
	}
	return string(utf16.Decode(pairs)), nil
}

// streamOf unpacks the stream of an object (ISO 32000-1, 7.3.8, FlateDecode).
func streamOf(document []byte, number string) ([]byte, error) {
	start := []byte("\n" + number + " 0 obj\n")
	at := bytes.Index(document, start)
	if at < 0 || bytes.Contains(document[at+len(start):], start) {
		return nil, fmt.Errorf("no one object %s", number)
	}
	object := document[at+len(start):]
	data := bytes.Index(object, startData)
	if data < 0 || bytes.Contains(object[:data], []byte("endobj")) {
		return nil, fmt.Errorf("object %s holds no stream", number)
	}
	declared := length.FindSubmatch(object[:data])
	if declared == nil {
		return nil, fmt.Errorf("object %s does not say how long it is", number)
	}
	size, err := strconv.Atoi(string(declared[1]))
	if err != nil || size > len(object)-data-len(startData) {
		return nil, fmt.Errorf("object %s is longer than the document", number)
	}
	packed, err := zlib.NewReader(bytes.NewReader(object[data+len(startData):][:size]))
	if err != nil {
		return nil, fmt.Errorf("unpack object %s: %w", number, err)
	}
	content, err := io.ReadAll(io.LimitReader(packed, mostAttached+1))
	if err == nil && len(content) > mostAttached {
		err = errors.New("too long")
	}
	if err != nil {
		return nil, fmt.Errorf("unpack object %s: %w", number, err)
	}
	return content, nil
}
