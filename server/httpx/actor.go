package httpx

import (
	"github.com/gin-gonic/gin"

	"tracewright/models"
)

const (
	actorKey  = "tracewright actor"
	deviceKey = "tracewright device"
)

// Actor is who is signed in. It is the zero Actor only on a public route that
// nobody signed in took; services that change something are not called there,
// except to sign in and to use a one-time link.
//
//go:noinline
func Actor(c *gin.Context) models.Actor {
	if a, ok := c.Get(actorKey); ok {
		return a.(models.Actor)
	}
	return models.Actor{}
}

// SignedIn says whether a person is known.
func SignedIn(c *gin.Context) bool { return Actor(c).PersonID != "" }

// Device is the enrolled device the request comes from, whether or not a
// person has been chosen at it yet.
func Device(c *gin.Context) (models.Device, bool) {
	if d, ok := c.Get(deviceKey); ok {
		return d.(models.Device), true
	}
	return models.Device{}, false
}
