package public

import (
	"context"
	"errors"
	"log/slog"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/lookup"
	"tracewright/server/limit"
)

const (
	// atOnce is how many look-ups the database is asked at the same time:
	// strangers must not keep the stands waiting.
	atOnce = 4
	// answerWithin ends a look-up that waits longer, for the others or for the
	// database.
	answerWithin = 5 * time.Second
	// each is how often one client may ask in the long run, burst how often at
	// once: a box of ten certificates is looked up without waiting, a list of
	// codes is not tried through.
	each  = 2 * time.Second
	burst = 30
	// longCode is the longest code, or address with its code, that is read.
	longCode = 300
)

// robots asks search engines to stay away.
const robots = "User-agent: *\nDisallow: /\n"

// Options are how the pages are served.
type Options struct {
	Proxied bool // a proxy on this machine says where requests come from
	OnlyTLS bool // browsers are told to insist on TLS
	Now     func() time.Time
	Log     *slog.Logger
}

type handler struct {
	Options
	certificates *lookup.Service
	limit        *limit.Limiter
	slots        chan struct{}
}

// New makes the handler of the listener for strangers.
func New(certificates *lookup.Service, o Options) http.Handler {
	return &handler{Options: o, certificates: certificates, limit: limit.New(each, burst), slots: make(chan struct{}, atOnce)}
}

func (h *handler) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h.headers(w.Header())
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		w.WriteHeader(http.StatusMethodNotAllowed)
		return
	}
	if wait := h.limit.Wait(limit.ClientOf(r, h.Proxied), h.Now()); wait > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(int(math.Ceil(wait.Seconds()))))
		h.send(w, r, http.StatusTooManyRequests, tooManyPage())
		return
	}
	ctx, cancel := context.WithTimeout(r.Context(), answerWithin)
	defer cancel()
	select {
	case h.slots <- struct{}{}:
		defer func() { <-h.slots }()
	case <-ctx.Done():
		h.unanswered(w, r, ctx.Err())
		return
	}
	shop, err := h.certificates.Shop(ctx)
	if err != nil {
		h.unanswered(w, r, err)
		return
	}
	h.answer(ctx, w, r, shop)
}

// answer takes the address with the folder of the shop's public address or
// without: a proxy may leave it or take it away. Where a page leads is written
// relative to it, for the same reason.
func (h *handler) answer(ctx context.Context, w http.ResponseWriter, r *http.Request, shop lookup.Shop) {
	path := "/" + strings.TrimPrefix(r.URL.Path, "/")
	if within, ok := strings.CutPrefix(path, shop.Path+"/"); ok {
		path = "/" + within
	}
	switch path {
	case "/":
		h.ask(w, r, shop)
		return
	case shop.Path:
		lead(w, http.StatusPermanentRedirect, "."+path[strings.LastIndexByte(path, '/'):]+"/")
		return
	case "/robots.txt":
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		h.write(w, r, http.StatusOK, []byte(robots))
		return
	}
	asked := strings.TrimSuffix(path[1:], "/")
	c, err := h.certificates.ByToken(ctx, asked)
	switch {
	case errors.Is(err, models.ErrNotFound):
		home := "./" + strings.Repeat("../", strings.Count(path[1:], "/"))
		h.send(w, r, http.StatusNotFound, missingPage(shop, home))
	case err != nil:
		h.unanswered(w, r, err)
	default:
		h.send(w, r, http.StatusOK, pageOf(c))
	}
}

// ask shows the form, or leads from what was typed into it to the page: the
// code, or the whole address from the paper.
func (h *handler) ask(w http.ResponseWriter, r *http.Request, shop lookup.Shop) {
	typed := strings.TrimSpace(r.URL.Query().Get("code"))
	if typed == "" {
		h.send(w, r, http.StatusOK, askPage(shop, "./"))
		return
	}
	typed = strings.TrimSuffix(typed, "/")
	token, ok := ident.ReadToken(typed[strings.LastIndexByte(typed, '/')+1:])
	if !ok || len(typed) > longCode {
		h.send(w, r, http.StatusNotFound, missingPage(shop, "./"))
		return
	}
	lead(w, http.StatusSeeOther, "./"+token)
}

// lead sends a browser on, to an address relative to the one it asked for.
func lead(w http.ResponseWriter, status int, to string) {
	w.Header().Set("Location", to)
	w.WriteHeader(status)
}

// unanswered says that nothing is known just now; the log has the cause, and
// never the token.
func (h *handler) unanswered(w http.ResponseWriter, r *http.Request, cause error) {
	if r.Context().Err() == nil {
		h.Log.Error("a public look-up was not answered", "cause", cause)
	}
	w.Header().Set("Retry-After", "60")
	h.send(w, r, http.StatusServiceUnavailable, unansweredPage())
}

// headers stand on every answer. A state may change at any time, so nothing is
// kept; and the address is the secret, so no other site learns of it.
func (h *handler) headers(to http.Header) {
	to.Set("Content-Security-Policy", policy+"; frame-ancestors 'none'")
	to.Set("X-Content-Type-Options", "nosniff")
	to.Set("X-Frame-Options", "DENY")
	to.Set("Referrer-Policy", "no-referrer")
	to.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=(), usb=()")
	to.Set("Cross-Origin-Opener-Policy", "same-origin")
	to.Set("Cross-Origin-Resource-Policy", "same-origin")
	to.Set("X-Robots-Tag", "noindex, nofollow")
	to.Set("Cache-Control", "no-store")
	if h.OnlyTLS {
		to.Set("Strict-Transport-Security", "max-age=31536000; includeSubDomains")
	}
}

func (h *handler) send(w http.ResponseWriter, r *http.Request, status int, p page) {
	body, err := p.render()
	if err != nil {
		h.Log.Error("a public page was not shown", "cause", err)
		w.WriteHeader(http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	h.write(w, r, status, body)
}

func (h *handler) write(w http.ResponseWriter, r *http.Request, status int, body []byte) {
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		// Nobody is left to be told of a connection that broke off.
		_, _ = w.Write(body)
	}
}
