package api

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// checkListShape is what is asked about a complaint; the first question that is
// answered yes gives the code.
type checkListShape struct {
	Symptom   string          `json:"symptom"`
	Name      string          `json:"name"`
	Kind      string          `json:"kind"`
	Revision  int             `json:"revision"` // 0 is the shipped one
	Questions []checkQuestion `json:"questions"`
	Otherwise string          `json:"otherwise"`
}

type checkQuestion struct {
	Code string `json:"code"`
	Text string `json:"text"`
	Yes  string `json:"yes"`
}

func (a *api) checkLists(c *gin.Context) error {
	lists, err := a.services.Claims.Lists(c.Request.Context())
	if err != nil {
		return err
	}
	shapes := make([]checkListShape, len(lists))
	for i, l := range lists {
		shapes[i] = checkListShape{l.Symptom, english.Symptom(l.Symptom), l.Kind, l.Revision, make([]checkQuestion, len(l.Questions)), l.Otherwise}
		for k, q := range l.Questions {
			if q.Text == "" {
				q.Text = english.Question(q.Code)
			}
			shapes[i].Questions[k] = checkQuestion{q.Code, q.Text, q.Yes}
		}
	}
	return answer(c, http.StatusOK, gin.H{"check_lists": shapes})
}
