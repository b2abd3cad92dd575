package web

import (
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/shelf"
	"tracewright/server/httpx"
)

// chargeOne puts one pack on a charger and comes back to the shelf.
func (s *site) chargeOne(c *gin.Context) error {
	_, err := s.services.Shelf.StartCharge(c.Request.Context(), httpx.Actor(c), c.PostForm("item"), shelf.NewCharge{Kind: models.ChargeRefresh})
	if err != nil && !answerable(err) {
		return err
	}
	return redirect(c, "/shelf", "charging") // Somebody who put it there a moment ago did the same.
}

// chargeAllPage asks once: a charge that was begun stays on record.
func (s *site) chargeAllPage(c *gin.Context) error {
	look, err := s.services.Shelf.Look(c.Request.Context())
	if err != nil {
		return err
	}
	page := ConfirmPage{Gloves: true, Frame: s.frame(c, "Charge all", "/shelf"), About: "Shelf", Title: "Are they on the charger?", Button: "On the charger", Path: "/shelf/charge-all", Back: "/shelf"}
	for _, r := range look.Today {
		page.Says = append(page.Says, shortName(r.Item)+", "+r.Product+".")
	}
	if len(look.Today) == 0 {
		page.Title, page.Refused = "Charge all", []string{"Nothing to charge today."}
	}
	return show(c, "confirm", page)
}

func (s *site) chargeAll(c *gin.Context) error {
	if _, err := s.services.Shelf.StartAll(c.Request.Context(), httpx.Actor(c), ""); err != nil {
		return err
	}
	return redirect(c, "/shelf", "charging")
}

func (s *site) shelfTemperaturePage(c *gin.Context) error {
	return s.showShelfTemperature(c, http.StatusOK, nil)
}

func (s *site) showShelfTemperature(c *gin.Context, status int, problem error) error {
	places, err := s.services.Shelf.Places(c.Request.Context())
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := ConfirmPage{Gloves: true, Frame: s.frame(c, "Shelf temperature", "/shelf"), About: "Shelf", Title: "How warm is it there?", Button: "Keep", Path: "/shelf/temperature", Back: "/shelf",
		Says: []string{"It holds until the next one. A place without a temperature of its own is taken to be as warm as the warmest."}}
	for _, p := range places {
		said := "no temperature yet"
		if p.Known {
			said = strconv.FormatFloat(p.TempC, 'f', -1, 64) + "\u00a0°C since " + s.minute(p.Since)
		}
		page.Says = append(page.Says, p.Place+": "+said+".")
	}
	page.Fields = []Field{f.field(Field{Name: "place", Label: "Place", Hint: "As the packs’ place is called.", Focus: true}),
		f.field(Field{Name: "temperature_c", Label: "Temperature", Unit: "°C", Width: "w6", Mode: "decimal"})}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) addShelfTemperature(c *gin.Context) error {
	err := s.services.Shelf.AddTemperature(c.Request.Context(), httpx.Actor(c), c.PostForm("place"), c.PostForm("temperature_c"), time.Time{})
	if answerable(err) {
		return s.showShelfTemperature(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/shelf", "warmth")
}

func (s *site) endChargePage(c *gin.Context) error { return s.showEndCharge(c, http.StatusOK, nil) }

func (s *site) showEndCharge(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	charge, err := s.services.Shelf.Charge(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	v, err := s.services.Trace.Glance(ctx, charge.ItemID, "")
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := ConfirmPage{Gloves: true, Frame: s.frame(c, "End the charge", "/shelf"), About: words.Serial(v.Item.Name()), Mono: true, Title: "Has the charge ended?", Button: "Keep", Path: "/charges/" + charge.ID + "/end", Back: "/shelf",
		Says:   []string{"On the charger since " + s.minute(charge.StartedAt) + ". Rest counts from now; it is read when the rest is over."},
		Fields: []Field{f.field(Field{Name: "end_current", Label: "Current at the end", Unit: "A", Width: "w6", Mode: "decimal", Optional: true, Focus: true, Hint: "Where the charger shows one: full is 0.01 of the rated capacity or less."})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) endCharge(c *gin.Context) error {
	_, err := s.services.Shelf.EndCharge(c.Request.Context(), httpx.Actor(c), c.Param("id"), c.PostForm("end_current"), time.Time{})
	if answerable(err) {
		return s.showEndCharge(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/shelf", "charged")
}

func (s *site) placePage(c *gin.Context) error { return s.showPlace(c, http.StatusOK, nil) }

func (s *site) showPlace(c *gin.Context, status int, problem error) error {
	v, err := s.services.Trace.Glance(c.Request.Context(), c.Param("serial"), "")
	if err != nil {
		return err
	}
	now, wanted, err := s.services.Shelf.Stands(c.Request.Context(), v.Item.ID)
	if err != nil {
		return err
	}
	f := posted(c, problem)
	from := shelf.Whereabouts{Place: c.PostForm("from.place"), Day: c.PostForm("from.day")}
	if problem == nil {
		f, from = filled(map[string]string{"place": now, "day": wanted}), shelf.Whereabouts{Place: now, Day: wanted}
	}
	path := itemPath(pointed(v.Item.Serial), v.Item.ID)
	page := ConfirmPage{Gloves: true, Frame: s.frame(c, "Place on the shelf", "/shelf"), About: words.Serial(v.Item.Name()), Mono: true, Title: "Where does it stand?", Button: "Keep", Path: path + "/place", Back: path, Hidden: []Choice{{"from.place", from.Place}, {"from.day", from.Day}},
		Fields: []Field{f.field(Field{Name: "place", Label: "Place", Optional: true, Focus: true, Hint: "Empty: it is not on the shelf any more."}),
			f.field(Field{Name: "day", Label: "Wanted for", Kind: "date", Width: "w6", Optional: true, Hint: "Then it is charged when it may no longer ship, should that come first."})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) place(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := s.services.Trace.Glance(ctx, c.Param("serial"), "")
	if err != nil {
		return err
	}
	from := shelf.Whereabouts{Place: c.PostForm("from.place"), Day: c.PostForm("from.day")}
	err = s.services.Shelf.Change(ctx, httpx.Actor(c), v.Item.ID, from, shelf.Whereabouts{Place: c.PostForm("place"), Day: c.PostForm("day")})
	if answerable(err) {
		return s.showPlace(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath(pointed(v.Item.Serial), v.Item.ID), "placed_shelf")
}
