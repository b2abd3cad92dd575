package web

import (
	"errors"
	"io"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/sheet"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
	"tracewright/server/httpx"
)

// chartPoints sends the points of a chart as a list, the unit in the heading.
func (s *site) chartPoints(c *gin.Context) error {
	look, err := s.charting(c, c.Query)
	if err != nil {
		return err
	}
	var view monitor.ChartView
	if err = look.problem; err == nil {
		view, err = s.services.Monitor.Chart(c.Request.Context(), look.query)
	}
	var invalid *models.InvalidError
	if errors.As(err, &invalid) {
		return s.chart(c) // It says what is wrong.
	}
	if err != nil {
		return err
	}
	page := ChartPage{}
	s.fillChart(&page, view, nil)
	name := "chart " + view.Query.Result + " " + s.now().Format(time.DateOnly) + ".csv"
	return httpx.SendFile(c, name, sheet.MediaType, func(to io.Writer) error {
		w := sheet.NewWriter(to, sheet.Commas)
		shown := firstOf(page.Heads.Shown, words.Unit(view.Unit))
		head := []string{"measured at", "serial", "product", "place", page.Heads.Value, "shown, " + shown, "centre, " + shown, "lower limit, " + shown, "upper limit, " + shown,
			"smoothed mean, " + shown, "its lower limit, " + shown, "its upper limit, " + shown, "signal"}
		if err := w.Row(head...); err != nil {
			return err
		}
		for _, ph := range view.Phases {
			for i := ph.From; i < ph.To; i++ {
				p, at := view.Points[i], i-ph.From
				cell := func(heights []float64) string {
					if at >= len(heights) || ph.Limits.Facts.NoLimits {
						return ""
					}
					return strconv.FormatFloat(heights[at], 'g', 6, 64)
				}
				row := []string{p.MeasuredAt.In(s.zone()).Format("2006-01-02 15:04"), p.Serial, view.Products[p.ProductID], p.Place, p.Value, strconv.FormatFloat(ph.Values.Points[at], 'g', 6, 64),
					cell(ph.Values.Centre), cell(ph.Values.Low), cell(ph.Values.High), cell(ph.Smoothed.Points), cell(ph.Smoothed.Low), cell(ph.Smoothed.High), page.Table[len(page.Table)-1-i].Signal}
				if err := w.Row(row...); err != nil {
					return err
				}
			}
		}
		return w.Flush()
	})
}
