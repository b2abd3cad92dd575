package web

import (
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/access"
	"tracewright/server/httpx"
)

// DevicesPage lists the enrolled tablets and enrols the one it is opened on.
type DevicesPage struct {
	Frame
	Answer   string
	Rows     []DeviceRow
	Tablet   string // which this browser is, if it is one
	Fields   []Field
	Problems Problems
	Doubts   []DoubtRow
	Secret   *Field // the owner's password before the tablet is enrolled; nil within five minutes of the last one

	Key             string // of a gauge's program just enrolled; shown once
	KeyName         string
	Program         []Field
	ProgramSecret   *Field
	ProgramProblems Problems
}

// DeviceRow is one tablet.
type DeviceRow struct {
	ID, Name, Place, Enrolled string
	Program                   bool
	Revoked                   string
	Here                      bool
	Seen                      string // when and by what its key was last used
}

// DoubtRow is a tablet whose key seems to be in two places.
type DoubtRow struct {
	ID, Name, Place, Since string
	Says                   []string
}

func (s *site) devices(c *gin.Context) error { return s.showDevices(c, http.StatusOK, enrolled{}) }

// enrolled is what came of a form: a problem with the tablet, or with a
// program, or a program's key.
type enrolled struct {
	problem, program error
	key, name        string
}

func (s *site) showDevices(c *gin.Context, status int, came enrolled) error {
	ctx := c.Request.Context()
	list, err := s.services.Access.Devices(ctx)
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	f := filled(nil)
	if came.problem != nil {
		f = posted(c, came.problem)
	}
	page := DevicesPage{Frame: s.frame(c, "Tablets", "/devices"), Fields: []Field{
		f.field(Field{Name: "name", Label: "Name of this tablet", Width: "w6", Hint: "As it is written on its back."}),
		f.field(Field{Name: "place", Label: "Place of work", Width: "w6", Hint: "The stand or bench it stands at: stand 1."}),
	}}
	page.Secret = s.secretAt(c, f, "confirm-password")
	page.Problems = f.summary()
	g := filled(nil)
	if came.program != nil {
		g = posted(c, came.program)
	}
	page.Program = []Field{
		g.field(Field{Name: "name", ID: "program-name", Label: "Name of the interface", Width: "w6", Hint: "What it is, so that it can be told from others in this list."}),
		g.field(Field{Name: "place", ID: "program-place", Label: "Place of work", Width: "w6", Hint: "The same as that of the tablet beside it: stand 1."}),
	}
	page.ProgramSecret = s.secretAt(c, g, "confirm-for-program")
	page.ProgramProblems, page.Key, page.KeyName = g.summary(), came.key, came.name
	here, isDevice := httpx.Device(c)
	if isDevice {
		page.Tablet = here.Name
	}
	last, err := s.services.Access.LastSeen(ctx)
	if err != nil {
		return err
	}
	doubts, err := s.services.Access.Doubts(ctx)
	if err != nil {
		return err
	}
	page.Doubts = s.doubtRows(doubts)
	live := 0
	for _, d := range list {
		row := DeviceRow{ID: d.ID, Name: d.Name, Place: d.Place, Program: d.Program, Enrolled: s.day(d.EnrolledAt) + ", " + name(people, d.EnrolledBy), Here: isDevice && d.ID == here.ID}
		if seen, ok := last[d.ID]; ok {
			row.Seen = s.hour(seen.SeenAt) + ", " + browserWords(seen.Agent) + ", " + seen.Address
		}
		if d.RevokedAt != nil {
			row.Revoked = s.day(*d.RevokedAt) + ", " + name(people, pointed(d.RevokedBy))
		} else if !d.Program {
			live++
		}
		page.Rows = append(page.Rows, row)
	}
	page.Answer = words.Sentence(spelled(live)) + map[bool]string{true: " tablet is", false: " tablets are"}[live == 1] + " enrolled"
	return send(c, status, "devices", page)
}

// enrol makes this browser a tablet of the shop and ends the session that did
// it: what stays at the stand is the tablet and no owner. The key of a program
// that reads a gauge is shown instead, this once.
func (s *site) enrol(c *gin.Context) error {
	var key string
	err, program := s.confirm(c), c.PostForm("what") == "program"
	enrol := s.services.Access.Enrol
	if program {
		enrol = s.services.Access.EnrolProgram
	}
	if err == nil {
		key, _, err = enrol(c.Request.Context(), httpx.Actor(c), c.PostForm("name"), c.PostForm("place"))
	}
	switch {
	case answerable(err) && program:
		return s.showDevices(c, http.StatusUnprocessableEntity, enrolled{program: err})
	case answerable(err):
		return s.showDevices(c, http.StatusUnprocessableEntity, enrolled{problem: err})
	case err != nil:
		return err
	case program:
		return s.showDevices(c, http.StatusOK, enrolled{key: key, name: c.PostForm("name")})
	}
	if err := s.services.Sessions.RememberDevice(c, key); err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, "/signin")
	return nil
}

func (s *site) revokePage(c *gin.Context) error { return s.showRevoke(c, http.StatusOK, nil) }

func (s *site) showRevoke(c *gin.Context, status int, problem error) error {
	return s.showDeviceForm(c, status, problem, func(page *ConfirmPage, d models.Device) {
		page.Title, page.Button, page.Path = "Revoke "+d.Name, "Revoke it", page.Path+"/revoke"
		switch {
		case d.RevokedAt != nil:
			page.Refused = []string{"It was revoked on " + s.day(*d.RevokedAt) + " already."}
		case d.Program:
			page.Says = []string{"Its key opens nothing from then on. What the gauge sends is refused until its program has a new key."}
		default:
			page.Says = []string{"Its key opens nothing from then on, and whoever works at it stops.", "What waits on the tablet is kept there, and is sent once the tablet is enrolled again."}
		}
	})
}

func (s *site) revoke(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		err = s.services.Access.Revoke(c.Request.Context(), httpx.Actor(c), c.Param("id"))
	}
	if answerable(err) {
		return s.showRevoke(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/devices", "revoked")
}

func (s *site) settlePage(c *gin.Context) error { return s.showSettle(c, http.StatusOK, nil) }

func (s *site) showSettle(c *gin.Context, status int, problem error) error {
	return s.showDeviceForm(c, status, problem, func(page *ConfirmPage, d models.Device) {
		page.Title, page.Button, page.Path = "Both are ours", "Keep the key", page.Path+"/settle"
		page.Says = []string{"Say so only of what you know: whoever else holds the key of " + d.Name + " goes on with it. What is noticed later is told again."}
	})
}

func (s *site) settleDoubts(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		err = s.services.Access.SettleDoubts(c.Request.Context(), httpx.Actor(c), c.Param("id"))
	}
	if answerable(err) {
		return s.showSettle(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/devices", "doubt_settled")
}

// showDeviceForm asks for the password before something is done about one device.
func (s *site) showDeviceForm(c *gin.Context, status int, problem error, about func(*ConfirmPage, models.Device)) error {
	d, err := s.services.Access.Device(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Tablets", "/devices"), About: d.Name + ", " + d.Place, Path: "/devices/" + url.PathEscape(d.ID), Back: "/devices"}
	about(&page, d)
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

// doubtRows puts what is doubted about one tablet together.
func (s *site) doubtRows(doubts []access.Doubt) (rows []DoubtRow) {
	at := map[string]int{}
	for _, d := range doubts {
		i, seen := at[d.DeviceID]
		if !seen {
			i, at[d.DeviceID] = len(rows), len(rows)
			rows = append(rows, DoubtRow{ID: d.DeviceID, Name: d.Device.Name, Place: d.Device.Place, Since: s.minute(d.FirstAt)})
		}
		says := doubtWords(d.DeviceDoubt) + " Last " + s.minute(d.SeenAt) + "."
		rows[i].Says = append(rows[i].Says, says)
	}
	return rows
}
