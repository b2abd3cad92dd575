package httpx

import (
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"
)

// single are the headers that say who asks, from where and in what form. Given
// twice, two readers of one request could each believe another.
var single = []string{"Authorization", PersonHeader, "Content-Type", "Origin", "Sec-Fetch-Site"}

// errTwice is the answer to one of them given twice.
var errTwice = &statusError{status: http.StatusBadRequest, kind: "header_twice"}

// SingleHeaders refuses a request that says twice what is to be said once.
func SingleHeaders(answers *Answers) gin.HandlerFunc {
	return answers.guard(func(c *gin.Context) error {
		for _, name := range single {
			if len(c.Request.Header.Values(name)) > 1 {
				return fmt.Errorf("%s: %w", name, errTwice)
			}
		}
		return nil
	})
}
