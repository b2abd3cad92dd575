package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/server/httpx"
)

// rollShape is a roll of labels printed ahead. The serials stand in the answer
// to the request that made it, and not in the list.
type rollShape struct {
	ID        string   `json:"id"`
	Letter    string   `json:"letter"`
	Year      int      `json:"year"` // two digits
	First     int      `json:"first"`
	Last      int      `json:"last"`
	ProductID string   `json:"product_id,omitempty"`
	PrintedAt instant  `json:"printed_at"`
	Serials   []string `json:"serials,omitempty"`
}

func rollOf(r models.SerialRoll) rollShape {
	return rollShape{ID: r.ID, Letter: r.Letter, Year: r.Year, First: r.First, Last: r.Last, ProductID: pointed(r.ProductID), PrintedAt: instant(r.PrintedAt)}
}

func (a *api) rolls(c *gin.Context) error {
	rolls, err := a.services.Receive.Rolls(c.Request.Context())
	if err != nil {
		return err
	}
	shapes := make([]rollShape, len(rolls))
	for i, r := range rolls {
		shapes[i] = rollOf(r)
	}
	return answer(c, http.StatusOK, gin.H{"rolls": shapes})
}

// addRoll reserves serials and answers with them, to be printed.
func (a *api) addRoll(c *gin.Context) error {
	var in struct {
		Kind    string `json:"kind"`
		Product string `json:"product"`
		Count   int    `json:"count"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	roll, err := a.services.Receive.AddRoll(c.Request.Context(), httpx.Actor(c), receive.NewRoll{Kind: in.Kind, ProductID: in.Product, Count: in.Count})
	if err != nil {
		return err
	}
	shape := rollOf(roll)
	shape.Serials = receive.Serials(roll)
	return answer(c, http.StatusCreated, shape)
}
