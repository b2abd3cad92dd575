package httpx

import (
	"errors"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

const (
	troubleKey = "tracewright trouble"
	// troubleFor is how long it is told on every page that something could not be
	// stored: who tries again hears of it anew, and it is gone soon after it is over.
	troubleFor = time.Minute
)

// Troubles lets every page know that something could not be stored just now: whoever
// only looks would not hear of it otherwise, and go on to measure.
func (a *Answers) Troubles() gin.HandlerFunc {
	return func(c *gin.Context) {
		a.mu.Lock()
		if a.trouble != "" && time.Since(a.troubled) < troubleFor {
			c.Set(troubleKey, a.trouble)
		}
		a.mu.Unlock()
		c.Next()
	}
}

// troubles keeps why something could not be stored, where pages can be shown still.
func (a *Answers) troubles(err error) {
	var away *models.UnavailableError
	if errors.As(err, &away) && models.OnlyReadable(err) {
		a.mu.Lock()
		defer a.mu.Unlock()
		a.trouble, a.troubled = away.Code, time.Now()
	}
}

// Trouble is the code of why something could not be stored within the last minute;
// empty where everything was.
func Trouble(c *gin.Context) string { return c.GetString(troubleKey) }
