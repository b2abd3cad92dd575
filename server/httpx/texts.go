package httpx

import (
	"fmt"
	"mime"
	"net/url"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

// textual refuses what stands in a query or a form and is no text: bytes that are
// no UTF-8, and the zero byte, for which PostgreSQL has no place. No handler needs
// to think of them, and no record can come to hold them. Lines of a form end as they
// do everywhere else here: browsers send two characters for each end, whatever the
// machine (HTML, "constructing the entry list"; from memory).
func textual(h Handler) Handler {
	return func(c *gin.Context) error {
		if c.Request.URL.RawQuery != "" {
			if err := queryTexts(c.Request.URL.RawQuery); err != nil {
				return err
			}
		}
		if isForm(c) {
			if err := c.Request.ParseForm(); err != nil {
				return fmt.Errorf("read a form: %w", formError(err))
			}
			if err := texts(c.Request.PostForm); err != nil {
				return err
			}
			for _, list := range c.Request.PostForm {
				for i, v := range list {
					list[i] = strings.ReplaceAll(v, "\r\n", "\n")
				}
			}
		}
		return h(c)
	}
}

// uncoded refuses a body that is compressed: what it would be once taken apart, no limit
// here could tell before.
func uncoded(h Handler) Handler {
	return func(c *gin.Context) error {
		if coding := c.GetHeader("Content-Encoding"); coding != "" && !strings.EqualFold(coding, "identity") {
			return errMediaType
		}
		return h(c)
	}
}

// queryTexts also refuses what cannot be read: left away, as [url.URL.Query] does, a
// filter would not be, and everything would be the answer.
func queryTexts(raw string) error {
	values, err := url.ParseQuery(raw)
	if err == nil {
		return texts(values)
	}
	for part := range strings.SplitSeq(raw, "&") {
		if _, err := url.ParseQuery(part); err != nil {
			name, _, _ := strings.Cut(part, "=")
			if !isText(name) {
				name = ""
			}
			return models.Invalid(shortened(name), "query_form", "typed", models.Shortened(strings.ToValidUTF8(part, "\ufffd")))
		}
	}
	return models.Invalid("", "query_form", "typed", models.Shortened(strings.ToValidUTF8(raw, "\ufffd")))
}

// onlyAsked refuses names in a query that the route does not know, and one that stands
// twice: a mistyped filter that is passed over would answer another question.
func onlyAsked(known []string, h Handler) Handler {
	return func(c *gin.Context) error {
		var problems models.InvalidError
		for name, given := range c.Request.URL.Query() {
			switch {
			case !slices.Contains(known, name):
				problems.Add(shortened(name), "unknown_field", "name", shortened(name))
			case len(given) > 1:
				problems.Add(name, "twice")
			}
		}
		if err := problems.OrNil(); err != nil {
			return err
		}
		return h(c)
	}
}

func isForm(c *gin.Context) bool {
	kind, _, err := mime.ParseMediaType(c.GetHeader("Content-Type"))
	return err == nil && kind == "application/x-www-form-urlencoded"
}

// formError keeps what is wrong with the connection or the size, and makes a
// percent sign that begins nothing a mistake of the asker.
func formError(err error) error {
	if _, escaped := err.(url.EscapeError); escaped || strings.Contains(err.Error(), "semicolon") {
		return models.Invalid("", "not_text")
	}
	return bodyError(err)
}

func texts(values url.Values) error {
	var problems models.InvalidError
	for name, list := range values {
		if !isText(name) {
			problems.Add("", "not_text")
			continue
		}
		for _, v := range list {
			if !isText(v) {
				problems.Add(name, "not_text")
				break
			}
		}
	}
	return problems.OrNil()
}

func isText(s string) bool { return utf8.ValidString(s) && !strings.ContainsRune(s, 0) }
