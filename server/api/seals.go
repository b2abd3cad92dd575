package api

import (
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trail"
)

// checkpointsAtOnce is how many checkpoints an answer holds.
const checkpointsAtOnce = 100

// checkpoints lists signed statements of what the log of changes held, newest
// first.
func (a *api) checkpoints(c *gin.Context) error {
	below := int64(0)
	if typed := query(c)["below"]; typed != "" {
		var err error
		if below, err = strconv.ParseInt(typed, 10, 64); err != nil || below < 1 {
			return models.Invalid("below", "not_a_number", "typed", models.Shortened(typed))
		}
	}
	list, err := a.services.Sealing.Checkpoints(c.Request.Context(), below, checkpointsAtOnce)
	if err != nil {
		return err
	}
	signed := make([]trail.SignedCheckpoint, len(list))
	for i, checkpoint := range list {
		signed[i] = checkpoint.Signed()
	}
	return answer(c, http.StatusOK, gin.H{"checkpoints": signed})
}

// keyShape is a public key that checkpoints and certificates are signed by.
type keyShape struct {
	ID        string     `json:"id"`
	Public    string     `json:"public"`
	Server    string     `json:"server"`
	VouchedBy string     `json:"vouched_by,omitempty"`
	Since     time.Time  `json:"since"`
	Retired   *time.Time `json:"retired,omitempty"`
}

// keys lists every public key, oldest first, and how the log stands.
func (a *api) keys(c *gin.Context) error {
	state, err := a.services.Sealing.State(c.Request.Context())
	if err != nil {
		return err
	}
	keys := make([]keyShape, len(state.Keys))
	for i, k := range state.Keys {
		keys[i] = keyShape{ID: k.ID, Public: k.Public, Server: k.Server, VouchedBy: pointed(k.VouchedBy), Since: k.EnrolledAt, Retired: k.RetiredAt}
	}
	return answer(c, http.StatusOK, gin.H{"log": state.Log, "sealed": state.Sealed, "waiting": state.Waiting, "keys": keys})
}
