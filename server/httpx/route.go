package httpx

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
)

// Handler answers a request or returns an error, never both.
type Handler func(c *gin.Context) error

// Route is one row of a table of routes. Path is gin's: "/items/:serial".
type Route struct {
	Method  string
	Path    string
	Act     models.Act // or Public, or Enrolled, or AtTablet
	Handler Handler
	Asked   []string // names that may stand in its query; nil: any, and the handler takes what it knows
	File    bool     // the body holds a file: up to MaxFile, and the handler stops where it has enough
	Stream  bool     // the answer goes on for as long as somebody listens
}

// Public marks a route that needs nobody signed in: the sign-in page, static
// files. It is a word and not the empty act, so that a forgotten act is an
// error and not an open door.
const Public models.Act = "public"

// Enrolled marks a route that an enrolled device may take before a person is
// chosen at it, and anybody who is signed in: what a gauge's program sends.
const Enrolled models.Act = "enrolled"

// AtTablet is Enrolled without the programs that read gauges, also where they name a
// person: the names to choose from.
const AtTablet models.Act = "at_tablet"

// Mount puts routes on the router, each behind its act. It fails on a route
// without method, handler or known act.
func Mount(router gin.IRoutes, answers *Answers, routes []Route) error {
	known := map[models.Act]bool{Public: true, Enrolled: true, AtTablet: true}
	for _, a := range models.Acts {
		known[a] = true
	}
	for _, r := range routes {
		if r.Method == "" || r.Path == "" || r.Handler == nil || !known[r.Act] {
			return fmt.Errorf("route %s %s: method, handler or act %q missing or unknown", r.Method, r.Path, r.Act)
		}
		handler := answers.Adapt(guarded(r))
		router.Handle(r.Method, r.Path, handler)
		// What can be looked at can be asked about: HEAD is GET, of whose answer the server
		// sends no body (RFC 9110, 9.3.2). A stream would end for nobody.
		if r.Method == http.MethodGet && !r.Stream {
			router.Handle(http.MethodHead, r.Path, handler)
		}
	}
	return nil
}

// numbered finds nothing under a number that no record can have: of 32 bits is what
// PostgreSQL keeps them in, and SQLite would look for a longer one too. No handler
// needs to think of it. Codes and serials may be as long as somebody types.
func numbered(h Handler) Handler {
	return func(c *gin.Context) error {
		for _, name := range []string{"number", "revision", "n"} {
			_, err := strconv.ParseInt(c.Param(name), 10, 32)
			if errors.Is(err, strconv.ErrRange) {
				return fmt.Errorf("%s %.20q: %w", name, c.Param(name), models.ErrNotFound)
			}
		}
		return h(c)
	}
}

// guarded refuses whoever may not take the route, and what is no text.
func guarded(r Route) Handler {
	if r.Asked != nil {
		r.Handler = onlyAsked(r.Asked, r.Handler)
	}
	r.Handler = numbered(uncoded(textual(r.Handler)))
	if r.Act == Public {
		return r.Handler
	}
	return func(c *gin.Context) error {
		device, enrolled := Device(c)
		open := r.Act == Enrolled || r.Act == AtTablet && !device.Program
		switch actor := Actor(c); {
		case open && (enrolled || actor.PersonID != ""):
		case actor.PersonID == "":
			return fmt.Errorf("%s %s: %w", r.Method, r.Path, models.ErrUnauthenticated)
		case !actor.May(r.Act):
			return fmt.Errorf("%s may not %s: %w", actor.Role, r.Act, models.ErrForbidden)
		}
		return r.Handler(c)
	}
}
