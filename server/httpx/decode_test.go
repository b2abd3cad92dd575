package httpx

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

// sample has every shape that a body of ours has.
type sample struct {
	Text  string            `json:"text"`
	Count int               `json:"count"`
	Yes   bool              `json:"yes"`
	Maybe *string           `json:"maybe"`
	Sets  []sampleSet       `json:"sets"`
	Named map[string]string `json:"named"`
	Sub   models.Conditions `json:"sub"`
	Steps []sampleStep      `json:"steps"`
	Hid   string            `json:"-"`
}

type sampleSet struct {
	Values []string          `json:"values"`
	Index  []models.Position `json:"index"`
}

type sampleStep struct {
	Done bool `json:"done" needed:"yes"`
	At   int  `json:"at" needed:"yes"`
}

func TestDecodeJSON(t *testing.T) {
	for _, test := range []struct {
		name, body string
		want       []string
	}{
		{"all of it", `{"text":"a","count":3,"yes":true,"maybe":"b","sets":[{"values":["1"],"index":[0,[1,2]]}],"named":{"k":"v"},"sub":{"tyre":"on"}}`, nil},
		{"nothing of it", `{}`, nil},
		{"null where there may be nothing", `{"maybe":null,"sets":null}`, nil},
		{"an unknown field", `{"colour":"red"}`, []string{"colour unknown_field"}},
		{"an unknown field deep inside", `{"sets":[{},{"values":[],"colour":1}]}`, []string{"sets[1].colour unknown_field"}},
		{"every problem at once", `{"colour":1,"count":"3","sets":[{"values":[1]}]}`, []string{"colour unknown_field", "count json_type", "sets[0].values[0] json_type"}},
		{"names are compared exactly", `{"Text":"a"}`, []string{"Text unknown_field"}},
		{"a field kept from JSON", `{"Hid":"a"}`, []string{"Hid unknown_field"}},
		{"a name twice", `{"text":"a","text":"b"}`, []string{"text twice"}},
		{"null for a text", `{"text":null}`, []string{"text json_type"}},
		{"null among texts", `{"sets":[{"values":["1",null]}]}`, []string{"sets[0].values[1] json_type"}},
		{"no and naught where they are needed", `{"steps":[{"done":false,"at":0},{"done":true,"at":7}]}`, nil},
		{"what is needed left out", `{"steps":[{"done":false,"at":0},{"at":7}]}`, []string{"steps[1].done missing"}},
		{"all that is needed left out", `{"steps":[{}]}`, []string{"steps[0].done missing", "steps[0].at missing"}},
		{"null for what is needed", `{"steps":[{"done":null,"at":0}]}`, []string{"steps[0].done json_type"}},
		{"a number for a text", `{"text":1}`, []string{"text json_type"}},
		{"a fraction for a count", `{"count":1.5}`, []string{"count json_type"}},
		{"a count beyond what fits", `{"count":1e999}`, []string{"count json_type"}},
		{"an object for a list", `{"sets":{}}`, []string{"sets json_type"}},
		{"a list for an object", `{"sub":[]}`, []string{"sub json_type"}},
		{"a place that is none", `{"sets":[{"index":[[0,1]]}]}`, []string{"sets[0].index[0] json_type"}},
		{"a list instead of all", `[]`, []string{" json_type"}},
		{"null instead of all", `null`, []string{" json_type"}},
		{"more after it", `{} {}`, []string{" json_trailing"}},
		{"cut off", `{"text":"a`, []string{" json_syntax"}},
		{"empty", ``, []string{" json_syntax"}},
		{"not UTF-8", "{\"text\":\"\xff\"}", []string{" json_utf8"}},
		{"half a character", `{"text":"\ud83d"}`, []string{"text not_text"}},
		{"the other half", `{"sets":[{"values":["1","\uDE00a"]}]}`, []string{"sets[0].values[1] not_text"}},
		{"two first halves", `{"maybe":"\ud83d\ud83d\ude00"}`, []string{"maybe not_text"}},
		{"half a character in a name", `{"named":{"\ud83d":"v"}}`, []string{"named not_text"}},
		{"half a character beside null", `{"maybe":null,"text":"\ud83d"}`, []string{"text not_text"}},
		{"both halves", `{"text":"\ud83d\ude00","maybe":null}`, nil},
		{"the character that stands for what is none", `{"text":"\ufffd","maybe":null}`, nil},
		{"a zero byte", `{"text":"a\u0000"}`, []string{"text not_text"}},
		{"a zero byte, deep", `{"sets":[{"values":["1","\u0000"]}],"count":"3"}`, []string{"sets[0].values[1] not_text", "count json_type"}},
		{"a zero byte in a name", `{"named":{"a\u0000":"v"}}`, []string{"named not_text"}},
		{"a backslash before it", `{"text":"C:\\u0000tmp"}`, nil},
		{"a name twice that anybody may choose", `{"named":{"a":"v","a":"w"}}`, []string{"named.a twice"}},
		{"a bare NaN", `{"count":NaN}`, []string{" json_syntax"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			var into sample
			err := decodeJSON([]byte(test.body), &into)
			if got := fieldsAndCodes(err); !slices.Equal(got, test.want) || err != nil && got == nil {
				t.Errorf("decodeJSON(%s) = %v, want %v", test.body, err, test.want)
			}
			if err != nil && !reflect.DeepEqual(into, sample{}) {
				t.Errorf("decodeJSON(%s) leaves %+v behind", test.body, into)
			}
		})
	}
}

func fieldsAndCodes(err error) []string {
	var invalid *models.InvalidError
	if !errors.As(err, &invalid) {
		return nil
	}
	var out []string
	for _, p := range invalid.Problems {
		out = append(out, p.Field+" "+p.Code)
	}
	return out
}

// A sender's own text must not fill the answer.
func TestAnswersToBadBodiesAreBounded(t *testing.T) {
	var many strings.Builder
	for range 1000 {
		many.WriteString(`"x` + strings.Repeat("y", 500) + `":1,`)
	}
	for name, body := range map[string]string{
		"a very long name":       `{"` + strings.Repeat("é", 100_000) + `":1}`,
		"very many names":        `{` + many.String() + `"text":"a"}`,
		"very deep in a map":     `{"named":` + strings.Repeat(`{"a":`, 10_000) + `1` + strings.Repeat(`}`, 10_000) + `}`,
		"very deep in a list":    `{"sets":` + strings.Repeat(`[`, 100_000) + strings.Repeat(`]`, 100_000) + `}`,
		"very deep and unclosed": strings.Repeat(`{"sub":`, 100_000),
	} {
		t.Run(name, func(t *testing.T) {
			var into sample
			err := decodeJSON([]byte(body), &into)
			if len(fieldsAndCodes(err)) == 0 || len(err.Error()) > 20_000 {
				t.Errorf("%d problems in %d bytes of words", len(fieldsAndCodes(err)), len(err.Error()))
			}
		})
	}
}

func TestDecodeJSONWantsJSON(t *testing.T) {
	for kind, want := range map[string]int{
		"application/json":                    http.StatusOK,
		"application/json; charset=UTF-8":     http.StatusOK,
		"application/json; charset=utf-16":    http.StatusUnsupportedMediaType,
		"text/plain":                          http.StatusUnsupportedMediaType,
		"application/x-www-form-urlencoded":   http.StatusUnsupportedMediaType,
		"":                                    http.StatusUnsupportedMediaType,
		"application/json, multipart/related": http.StatusUnsupportedMediaType,
	} {
		r := httptest.NewRequest(http.MethodPost, "/api/x", strings.NewReader(`{}`))
		r.Header.Set("Content-Type", kind)
		w := serve(r, func(c *gin.Context) error { return DecodeJSON(c, &sample{}) })
		if w.Code != want {
			t.Errorf("Content-Type %q: %d, want %d", kind, w.Code, want)
		}
	}
}

// A body that is compressed is not taken apart: its sender is told, not that it is no text.
func TestBodiesComeUncompressed(t *testing.T) {
	for coding, want := range map[string]int{"": http.StatusOK, "identity": http.StatusOK, "gzip": http.StatusUnsupportedMediaType, "br": http.StatusUnsupportedMediaType} {
		engine := gin.New()
		if err := Mount(engine, testAnswers(), []Route{{Method: http.MethodPost, Path: "/api/x", Act: Public, Handler: func(c *gin.Context) error { return DecodeJSON(c, &sample{}) }}}); err != nil {
			t.Fatal(err)
		}
		r := httptest.NewRequest(http.MethodPost, "/api/x", strings.NewReader(`{}`))
		r.Header.Set("Content-Type", "application/json")
		if coding != "" {
			r.Header.Set("Content-Encoding", coding)
		}
		w := httptest.NewRecorder()
		engine.ServeHTTP(w, r)
		if w.Code != want {
			t.Errorf("Content-Encoding %q: %d, want %d", coding, w.Code, want)
		}
	}
}

// What is taken says the same when it is written and read again; nothing
// panics, and what is refused names a problem.
func FuzzDecodeJSON(f *testing.F) {
	for _, seed := range []string{`{}`, `{"id":"x","serial":"W26000051","sets":[{"characteristic":"lateral_runout","method":"extremes","values":["0,12"],"index":[3]}]}`,
		`{"sets":[{"index":[[1,2]]}],"started_at":"2027-05-24T08:00:00Z"}`, `{"started_at":1}`, `{"a":null}`, "\xff", `{"id":"\ud800"}`, `[[[[`} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		var first, second models.Submission
		if err := decodeJSON(body, &first); err != nil {
			if len(fieldsAndCodes(err)) == 0 {
				t.Fatalf("%q: %v names no problem", body, err)
			}
			return
		}
		again, err := json.Marshal(first)
		if err != nil {
			return // A year that RFC 3339 cannot write.
		}
		if err := decodeJSON(again, &second); err != nil {
			t.Fatalf("%q was taken, written as %q, and then refused: %v", body, again, err)
		}
		third, err := json.Marshal(second)
		if err != nil || string(third) != string(again) {
			t.Fatalf("%q: %q becomes %q", body, again, third)
		}
	})
}
