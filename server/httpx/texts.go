package httpx

import (
	"fmt"
	"mime"
	"net/url"
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
			if err := texts(c.Request.URL.Query()); err != nil {
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
