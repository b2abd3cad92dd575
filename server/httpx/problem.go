package httpx

import (
	"bytes"
	"encoding/json"

	"github.com/gin-gonic/gin"
)

// problem is an answer in the form of RFC 9457. The type is a tag URI (RFC
// 4151): a name, not an address to be opened.
type problem struct {
	Type     string        `json:"type"`
	Title    string        `json:"title"`
	Status   int           `json:"status"`
	Detail   string        `json:"detail,omitempty"`
	Instance string        `json:"instance"`
	Errors   []AnswerError `json:"errors,omitempty"`
}

func writeProblem(c *gin.Context, a Answer) {
	var body bytes.Buffer
	enc := json.NewEncoder(&body)
	enc.SetEscapeHTML(false)
	// A problem holds text and numbers only; encoding it cannot fail.
	_ = enc.Encode(problem{
		Type: "tag:tracewright,2026:problem/" + a.Kind, Title: a.Title, Status: a.Status, Detail: a.Detail,
		Instance: "tag:tracewright,2026:request/" + a.RequestID, Errors: a.Errors,
	})
	Send(c, a.Status, "application/problem+json", body.Bytes())
}
