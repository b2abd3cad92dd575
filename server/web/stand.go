package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// FloorPage is a page where readings are taken. It carries who is at it and
// what lies there; the rest is the public interface's, asked by the page's
// module.
type FloorPage struct {
	Frame
	Title   string // in the head band, until a serial is known
	Lead    string // "Scan a"
	Thing   string // "wheel"
	Picture string // what the middle shows, for a screen reader
	Sets    string // what the list of sets is called
	Caution string // stands at the foot
	Script  string // the page's module
	Serial  string // asked for in the address
	Draft   string // id of the draft to go on with
	Zone    string // the shop's time zone, for the times shown
	Keys    []PadKey
	Lock    int    // minutes without a hand until the page locks
	Given   string // what the module is given beside it, JSON; empty for most
}

// PadKey is a key of the keypad. Label is what a screen reader says where the
// face is only a sign.
type PadKey struct{ Key, Face, Label, Class string }

// padKeys is the keypad, row by row.
var padKeys = []PadKey{
	{Key: "7", Face: "7"}, {Key: "8", Face: "8"}, {Key: "9", Face: "9"}, {Key: "rub", Face: "⌫", Label: "rub out"},
	{Key: "4", Face: "4"}, {Key: "5", Face: "5"}, {Key: "6", Face: "6"}, {Key: "clear", Face: "C", Label: "clear"},
	{Key: "1", Face: "1"}, {Key: "2", Face: "2"}, {Key: "3", Face: "3"}, {Key: "sign", Face: "±", Label: "change sign", Class: "tall"},
	{Key: "0", Face: "0", Class: "broad"}, {Key: ".", Face: ".", Label: "point or comma"},
}

// floorRoutes are the pages where readings are taken.
func (s *site) floorRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: "/stand", Act: models.ActRecord, Handler: s.stand},
		{Method: http.MethodGet, Path: "/bench", Act: models.ActRecord, Handler: s.bench},
		{Method: http.MethodGet, Path: "/blocks/in", Act: models.ActReceive, Handler: s.blocksIn},
		{Method: http.MethodGet, Path: "/floor-worker.js", Act: httpx.Public, Handler: floorWorker}, // a static file with its version
	}
}

// stand is the page that records a wheel; ?serial= or ?draft= say which.
func (s *site) stand(c *gin.Context) error {
	return s.floor(c, "stand", standPage(s.frame(c, "Record a wheel", "/stand"), c.Query("serial"), c.Query("draft")))
}

// floor sends a page where readings are taken.
func (s *site) floor(c *gin.Context, name string, page FloorPage) error {
	page.Zone = s.zone().String()
	if s.services.Sessions != nil {
		page.Lock = int(s.services.Sessions.Idle(c.Request.Context()).Minutes())
	}
	httpx.AllowDecoder(c)
	return show(c, name, page)
}

func standPage(frame Frame, serial, draft string) FloorPage {
	return FloorPage{Frame: frame, Title: "Record a wheel", Lead: "Scan a", Thing: "wheel", Picture: "The rim unrolled", Sets: "Sets on this wheel",
		Script: "stand.js", Serial: serial, Draft: draft, Keys: padKeys,
		Caution: "Keep fingers and sleeves clear of a turning wheel."}
}
