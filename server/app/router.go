package app

import (
	"fmt"
	"net/http"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models/words"
	"tracewright/server/api"
	"tracewright/server/httpx"
	"tracewright/server/web"
)

const (
	// answerWithin ends the context of a request that takes longer.
	answerWithin = 30 * time.Second
	// atOnce is how many requests work at the same time; others wait a moment.
	atOnce = 64
	// sendAtOnce is how many may be sending more than a little at the same time, at most a megabyte each.
	sendAtOnce = 256
	// waitFor is how long they wait before they are asked to come back.
	waitFor = 5 * time.Second
)

// router mounts pages and API behind what every request passes: a name, a
// host that is ours, limits, and who is asking.
func router(services httpx.Services, config Config) (http.Handler, error) {
	gin.SetMode(gin.ReleaseMode)
	health := services.HealthRoutes()
	engine, routes := gin.New(), Routes(services)[len(health):]
	engine.HandleMethodNotAllowed = true
	// A lot or a scanned code may hold a slash: %2F belongs to its name.
	engine.UseRawPath = true
	// The router's own would be answered before anything below: without a look at the
	// host, without headers, and to where a header of the asker says.
	engine.RedirectTrailingSlash = false
	// The router's own list has another header behind it, which a proxy may pass on as a
	// browser wrote it.
	engine.RemoteIPHeaders = []string{"X-Forwarded-For"}
	if err := engine.SetTrustedProxies(trusted(config)); err != nil {
		return nil, fmt.Errorf("trust the proxy: %w", err)
	}
	answers := httpx.NewAnswers(sentence, web.ShowError, config.Log)
	strangers := httpx.NewStrangers(config.StrangersAtOnce, config.Proxied, time.Now)
	services.Sessions.CountStrangers(strangers)
	if config.Metrics != nil {
		engine.Use(httpx.Observe(asked(config.Metrics)))
	}
	engine.Use(
		httpx.NameRequests(),
		httpx.OneForwarded(),
		answers.Recover(),
		answers.Troubles(),
		httpx.SecurityHeaders(config.onlyTLS()),
		httpx.Hosts(answers, config.Hosts),
		httpx.SingleHeaders(answers),
	)
	if err := httpx.Mount(engine, answers, health); err != nil {
		return nil, err
	}
	engine.Use(
		httpx.LimitBody(answers, routes),
		httpx.ReadBodies(answers, routes, services.Sessions.Known, sendAtOnce, waitFor),
		httpx.LimitConcurrency(answers, atOnce, waitFor),
		httpx.LimitTime(answerWithin),
		httpx.SameOrigin(answers),
		services.Sessions.Authenticate(answers),
		strangers.Limit(answers),
	)
	engine.NoRoute(answers.NoRoute())
	engine.NoMethod(answers.NoMethod())
	if err := httpx.Mount(engine, answers, routes); err != nil {
		return nil, err
	}
	return engine, nil
}

// trusted are the addresses whose word about where a request comes from is
// taken: none, or this machine's own proxy.
func trusted(config Config) []string {
	if config.Proxied {
		return []string{"127.0.0.1", "::1"}
	}
	return nil
}

// english is the language of papers, pages and lists.
var english = words.In("en")

// Routes is every route of the server, with the act each needs.
func Routes(services httpx.Services) []httpx.Route {
	return slices.Concat(services.HealthRoutes(), web.Routes(services), api.Routes(services))
}

// sentence puts the code of a problem or reason into words.
func sentence(code string, values map[string]string) string {
	return english.Say(code, english.Readable(values))
}
