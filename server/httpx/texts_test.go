package httpx

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/gin-gonic/gin"
)

// What is no text is refused before any handler sees it, by the name of its field;
// a form that is too large stays one that is too large.
func TestOnlyTextsComeIn(t *testing.T) {
	for _, c := range []struct {
		name, query, form string
		status            int
		says              string
	}{
		{"texts of the world", "q=%E6%BC%A2&r=%F0%9F%9A%B2", "a=%C3%A9+&b=1", http.StatusOK, "é 1"},
		{"lines as a browser sends them", "", "a=Dock+Road+4%0D%0ARiverside&b=%0D", http.StatusOK, "Dock Road 4\nRiverside\r"},
		{"a zero byte in a query", "q=a%00b", "", http.StatusUnprocessableEntity, `"q"`},
		{"no UTF-8 in a query", "a=1&q=%FF", "", http.StatusUnprocessableEntity, `"q"`},
		{"no UTF-8 in a second value", "q=a&q=%FF", "", http.StatusUnprocessableEntity, `"q"`},
		{"a half rune", "q=%C3", "", http.StatusUnprocessableEntity, `"q"`},
		{"a name that is none", "%FF=1", "", http.StatusUnprocessableEntity, "not_text"},
		{"a zero byte in a form", "", "a=%00", http.StatusUnprocessableEntity, `"a"`},
		{"no UTF-8 in a form", "", "b=1&a=%FE", http.StatusUnprocessableEntity, `"a"`},
		{"a percent sign alone", "", "a=100%", http.StatusUnprocessableEntity, "not_text"},
		{"too large", "", "a=" + strings.Repeat("x", MaxBody), http.StatusRequestEntityTooLarge, "too_large"},
	} {
		t.Run(c.name, func(t *testing.T) {
			engine := gin.New()
			engine.Use(LimitBody(testAnswers(), nil))
			err := Mount(engine, testAnswers(), []Route{{Method: http.MethodPost, Path: "/api/x", Act: Public, Handler: func(c *gin.Context) error {
				c.String(http.StatusOK, c.PostForm("a")+c.PostForm("b"))
				return nil
			}}})
			if err != nil {
				t.Fatal(err)
			}
			r := httptest.NewRequest(http.MethodPost, "/api/x?"+c.query, strings.NewReader(c.form))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			w := httptest.NewRecorder()
			engine.ServeHTTP(w, r)
			if w.Code != c.status || !strings.Contains(w.Body.String(), c.says) {
				t.Errorf("%d %s, want %d with %s", w.Code, w.Body, c.status, c.says)
			}
		})
	}
}
