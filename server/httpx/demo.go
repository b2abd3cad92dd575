package httpx

import (
	"fmt"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

// SignInByItself makes every browser without a session this person. The demo
// alone calls it, over an invented shop and on a loopback address; no setting
// or variable reaches it.
func (s *Sessions) SignInByItself(personID string) { s.demo = personID }

func (s *Sessions) demoOwner(c *gin.Context) error {
	person, err := s.access.Person(c.Request.Context(), s.demo)
	if err != nil {
		return fmt.Errorf("find the demo's owner: %w", err)
	}
	if err := s.begin(c, beginning{person: person}); err != nil {
		return err
	}
	c.Set(actorKey, models.Actor{PersonID: person.ID, Name: person.Name, Role: person.Role})
	return nil
}
