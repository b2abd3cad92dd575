package httpx

import (
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/gin-gonic/gin"
)

// A number that no record can have is not found, before anybody looks for it; a code
// may be as long as it is.
func TestNumbersThatNoRecordHas(t *testing.T) {
	engine, answers := gin.New(), testAnswers()
	err := Mount(engine, answers, []Route{
		{Method: http.MethodGet, Path: "/api/studies/:number", Act: Public, Handler: ok},
		{Method: http.MethodGet, Path: "/api/certificates/:number/:revision", Act: Public, Handler: ok},
		{Method: http.MethodGet, Path: "/api/lots/:code", Act: Public, Handler: ok},
	})
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]int{
		"/api/studies/2147483647": 200, "/api/studies/2147483648": 404, "/api/studies/-2147483648": 200, "/api/studies/-2147483649": 404,
		"/api/studies/99999999999999999999": 404, "/api/studies/C-31-0007": 200, "/api/certificates/C-31-0007/1": 200,
		"/api/certificates/C-31-0007/99999999999": 404, "/api/lots/99999999999": 200,
	} {
		w := httptest.NewRecorder()
		engine.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
		if w.Code != want {
			t.Errorf("%s: %d, want %d", path, w.Code, want)
		}
	}
}
