package label

import (
	"errors"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// Job is labels to draw, in their order.
type Job struct {
	Labels []models.LabelContent
	Size   models.LabelSize
	Symbol string           // one of models.Symbols; empty: the usual one of the size
	Place  int              // of the first on its sheet, from 1
	Made   time.Time        // what the file says of its making
	Words  *words.Catalogue // nil is English
	Plain  bool             // uncompressed, so that a person can read the file
}

// Draw draws labels. A size too small for what was asked for is a
// *[models.RefusedError] that says so.
func Draw(job Job) ([]byte, error) {
	if len(job.Labels) == 0 {
		return nil, errors.New("no label to draw")
	}
	if job.Words == nil {
		job.Words = words.In("en")
	}
	meta := pdf.Meta{Title: job.Words.Say("label.title", map[string]string{"code": words.Serial(job.Labels[0].Code)}), Language: job.Words.Language(), Made: job.Made, Plain: job.Plain}
	per := job.Size.PerSheet()
	at := 0
	if per == 0 {
		meta.Width, meta.Height = job.Size.Width, job.Size.Height
	} else {
		if job.Place < 1 || job.Place > per {
			return nil, models.Invalid("place", "place_on_sheet", "most", fmt.Sprint(per))
		}
		at = job.Place - 1
	}
	d := pdf.New(meta)
	for i, c := range job.Labels {
		p, err := layout(c, job.Size, job.Symbol, job.Words)
		if err != nil {
			return nil, fmt.Errorf("label of %s: %w", c.Code, err)
		}
		x, y := 0.0, 0.0
		if per > 0 {
			x, y = corner(job.Size, (at+i)%per)
		}
		if per == 0 || i == 0 || (at+i)%per == 0 {
			d.AddPage()
		}
		p.draw(d, x, y)
	}
	out, err := d.Bytes()
	if err != nil {
		return nil, fmt.Errorf("labels of %s: %w", job.Size.Code, err)
	}
	return out, nil
}

// corner is the upper left corner of a place on a sheet, counted row by row
// from 0.
func corner(s models.LabelSize, n int) (x, y float64) {
	column, row := n%s.Columns, n/s.Columns
	return s.Left + float64(column)*(s.Width+s.GapX), s.Top + float64(row)*(s.Height+s.GapY)
}

func (p plan) draw(d *pdf.Document, x, y float64) {
	for _, s := range p.symbols {
		d.Symbol(x+s.x, y+s.y, s.width, s.height, s.code, ink)
	}
	for _, t := range p.pieces {
		d.Text(x+t.x, y+t.y, t.style, t.text, pdf.Left)
	}
}
