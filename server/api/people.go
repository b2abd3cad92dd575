package api

import (
	"net/http"

	"github.com/gin-gonic/gin"
)

// personShape is a name that can be chosen at a stand by one tap.
type personShape struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Role string `json:"role"`
}

// people lists who may be chosen at an enrolled device.
func (a *api) people(c *gin.Context) error {
	people, err := a.services.Access.PeopleAtDevice(c.Request.Context())
	if err != nil {
		return err
	}
	shapes := make([]personShape, len(people))
	for i, p := range people {
		shapes[i] = personShape{ID: p.ID, Name: p.Name, Role: string(p.Role)}
	}
	return answer(c, http.StatusOK, gin.H{"people": shapes})
}
