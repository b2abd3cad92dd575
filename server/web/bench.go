package web

import "github.com/gin-gonic/gin"

// bench is the page that records a pack; ?serial= or ?draft= say which.
func (s *site) bench(c *gin.Context) error {
	return s.floor(c, "bench", benchPage(s.frame(c, "Record a pack", "/bench"), c.Query("serial"), c.Query("draft")))
}

func benchPage(frame Frame, serial, draft string) FloorPage {
	return FloorPage{Frame: frame, Title: "Record a pack", Lead: "Scan a", Thing: "pack", Picture: "The pack, minus to plus", Sets: "Sets on this pack",
		Script: "bench.js", Serial: serial, Draft: draft, Keys: padKeys,
		Caution: "A pack can burn and weld: insulated tools, no rings, one hand; above 60 V it can kill."}
}
