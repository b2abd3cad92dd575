package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// GaugeTables is what the divisions of a tension gauge mean, and the form for
// another table.
type GaugeTables struct {
	Path     string
	Rows     []GaugeTableRow
	Fields   []Field
	Problems Problems
}

// GaugeTableRow is one table.
type GaugeTableRow struct {
	Spoke, Points, Reason, Entered string
	InForce                        bool
}

func (s *site) gaugeTables(c *gin.Context, code string, problem error) (*GaugeTables, error) {
	ctx := c.Request.Context()
	tables, err := s.services.Gauges.Tables(ctx, code)
	if err != nil {
		return nil, err
	}
	people, err := s.people(ctx)
	if err != nil {
		return nil, err
	}
	out := &GaugeTables{Path: "/instruments/" + code + "/tables"}
	for i, t := range tables {
		row := GaugeTableRow{Spoke: t.SpokeType, Reason: t.Reason, InForce: i == 0 || !strings.EqualFold(tables[i-1].SpokeType, t.SpokeType)}
		row.Entered = words.Date(t.EnteredAt.In(s.zone()).Format("2006-01-02")) + ", " + people[t.EnteredBy]
		var points []string
		for _, p := range t.Points {
			points = append(points, words.Number(p.Reading)+" is "+words.Quantity(p.Tension, "N"))
		}
		row.Points = strings.Join(points, "; ")
		out.Rows = append(out.Rows, row)
	}
	f := posted(c, problem)
	if problem == nil {
		f = filled(map[string]string{})
	}
	out.Fields = []Field{
		f.field(Field{Name: "spoke_type", Label: "For the spoke", Width: "w6", Hint: "As the product’s form names it."}),
		f.field(Field{Name: "reason", Label: "Where the table comes from", Width: "w6", Hint: "The maker’s sheet, or hung weights."}),
		f.field(Field{Name: "points", Label: "Reading and tension in newtons, a point a line", Kind: "text area", Hint: "22 1195. At least two; the tension only rises or only falls."}),
	}
	out.Problems = f.summary()
	return out, nil
}

// addGaugeTable reads the points as they were typed: two numbers a line.
func (s *site) addGaugeTable(c *gin.Context) error {
	code := c.Param("code")
	points, err := typedPoints(c.PostForm("points"))
	if err == nil {
		_, err = s.services.Gauges.AddTable(c.Request.Context(), httpx.Actor(c), code, gauges.NewTable{SpokeType: c.PostForm("spoke_type"), Points: points, Reason: c.PostForm("reason")})
	}
	if answerable(err) {
		return s.showGaugeTables(c, code, asLines(err))
	}
	if err != nil {
		return err
	}
	return redirect(c, "/instruments/"+code, "gauge_table")
}

// showGaugeTables shows the gauge with what was typed for its table and what is
// wrong with it.
func (s *site) showGaugeTables(c *gin.Context, code string, problem error) error {
	page, err := s.instrumentPage(c, nil)
	if err != nil {
		return err
	}
	if page.Tables, err = s.gaugeTables(c, code, problem); err != nil {
		return err
	}
	return send(c, http.StatusUnprocessableEntity, "instrument", page)
}

// typedPoints reads lines of a reading and a tension with anything between them
// but digits and marks.
func typedPoints(typed string) ([]models.GaugePoint, error) {
	var points []models.GaugePoint
	for i, line := range strings.Split(strings.TrimSpace(typed), "\n") {
		cells := strings.FieldsFunc(line, func(r rune) bool { return r == ' ' || r == '\t' || r == ';' || r == '\r' || r == '=' || r == ':' })
		if len(cells) == 0 {
			continue
		}
		if len(cells) != 2 {
			return nil, models.Invalid("points", "table_line", "line", fmt.Sprint(i+1))
		}
		points = append(points, models.GaugePoint{Reading: cells[0], Tension: cells[1]})
	}
	return points, nil
}

// asLines puts the problems of single points to the field that they were typed
// in.
func asLines(err error) error {
	invalid, ok := err.(*models.InvalidError)
	if !ok {
		return err
	}
	out := &models.InvalidError{}
	for _, p := range invalid.Problems {
		if strings.HasPrefix(p.Field, "points") {
			p.Field = "points"
		}
		out.Problems = append(out.Problems, p)
	}
	return out
}
