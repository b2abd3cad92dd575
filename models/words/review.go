package words

import (
	"strings"
	"time"

	"tracewright/models"
)

// Asks is one of the owner's questions, as a review puts it.
func (c *Catalogue) Asks(about string) string { return c.named("asks.", about) }

// Review says something around what a review says; values are name, value pairs.
func (c *Catalogue) Review(code string, pairs ...string) string {
	values := map[string]string{}
	for i := 0; i+1 < len(pairs); i += 2 {
		values[pairs[i]] = pairs[i+1]
	}
	return c.Say("review."+code, values)
}

// ReviewPeriod names the time that a review looks back on, and says so where it was
// not over.
func (c *Catalogue) ReviewPeriod(r models.ReviewContent) string {
	name := c.Review("week", "from", c.Date(r.FirstDay), "to", c.Date(r.LastDay))
	if r.Period == models.ReviewMonth {
		if first, err := time.Parse(time.DateOnly, r.FirstDay); err == nil {
			name = c.Review("month", "month", first.Format("January 2006"))
		}
	}
	if r.Running() {
		name += ", " + c.Review("running", "date", c.Date(r.Through))
	}
	return name
}

// PlotLabel is what stands along a plot: days without their year, names with a
// capital.
func (c *Catalogue) PlotLabel(r models.Remark) string {
	text := c.Remark(r)
	if day := r.Values["date"]; day != "" {
		if at, err := time.Parse(time.DateOnly, day); err == nil {
			return strings.TrimSuffix(at.Format(c.writes.day), at.Format(" 2006"))
		}
	}
	return Sentence(text)
}
