package httpx

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"reflect"
	"strings"
	"unicode/utf8"

	"github.com/gin-gonic/gin"
	jsonv2 "github.com/go-json-experiment/json"

	"tracewright/models"
)

// DecodeJSON reads the body, one JSON object, into the struct that into points
// at. Everything that does not fit is one [*models.InvalidError]: a field that
// is not known, a value of the wrong type, a name given twice, trailing data.
// Names are compared exactly, and null stands only where the Go field can be
// nil. A field tagged needed:"yes" has to be said: nothing said is not taken for no,
// nor for naught.
func DecodeJSON(c *gin.Context, into any) error {
	kind, params, err := mime.ParseMediaType(c.GetHeader("Content-Type"))
	charset := params["charset"]
	if err != nil || kind != "application/json" || charset != "" && !strings.EqualFold(charset, "utf-8") {
		return errMediaType
	}
	var raw bytes.Buffer
	if length := c.Request.ContentLength; length > 0 {
		raw.Grow(int(min(length, MaxBody)) + bytes.MinRead) // Read at once, and never grown.
	}
	if _, err := raw.ReadFrom(c.Request.Body); err != nil {
		return fmt.Errorf("read the request's body: %w", bodyError(err))
	}
	return decodeJSON(raw.Bytes(), into)
}

// bodyError is what became of a body that did not arrive whole: one that was cut off,
// or came too slowly. One that is too large stays what it is.
func bodyError(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	return fmt.Errorf("%w: %w", errBrokenOff, err)
}

func decodeJSON(raw []byte, into any) error {
	if fits(raw, into) {
		return nil
	}
	if !utf8.Valid(raw) {
		return models.Invalid("", "json_utf8")
	}
	dec := json.NewDecoder(bytes.NewReader(raw))
	var whole json.RawMessage
	if err := dec.Decode(&whole); err != nil {
		return syntaxProblem(err, len(raw))
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return models.Invalid("", "json_trailing")
	}
	problems := &models.InvalidError{}
	checkShape(problems, "", whole, reflect.TypeOf(into).Elem())
	if err := problems.OrNil(); err != nil {
		return err
	}
	if err := jsonv2.Unmarshal(whole, into); err != nil {
		return fmt.Errorf("decode a body that was found to fit: %w", models.Invalid("", "json_type"))
	}
	return nil
}

// fits decodes a body that has nothing wrong with it in one pass. A body that
// does not fit is looked at again, slowly, to name every problem; so is one
// with null, which this pass would take for an empty value, one that may hold a zero
// byte, and one in which a needed field may be left out.
func fits(raw []byte, into any) bool {
	if bytes.Contains(raw, []byte("null")) || bytes.Contains(raw, []byte(`\u0000`)) {
		return false
	}
	if err := jsonv2.Unmarshal(raw, into, jsonv2.RejectUnknownMembers(true)); err != nil {
		reflect.ValueOf(into).Elem().SetZero()
		return false
	}
	if unsaid(reflect.ValueOf(into).Elem()) {
		reflect.ValueOf(into).Elem().SetZero()
		return false
	}
	return true
}

func syntaxProblem(err error, length int) error {
	at := length
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		at = int(syntax.Offset)
	}
	return models.Invalid("", "json_syntax", "at", fmt.Sprint(at))
}
