package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// usesShape is where a lot or a part went.
type usesShape struct {
	Lot    *lotShape  `json:"lot,omitempty"`
	Part   *itemLine  `json:"part,omitempty"`
	Pieces int        `json:"pieces"`
	Uses   []useShape `json:"uses"`
	Loops  [][]string `json:"loops"` // names of items
}

type useShape struct {
	Item     itemLine   `json:"item"`
	Pieces   int        `json:"pieces"`             // fitted into this item itself
	Left     int        `json:"left"`               // of these, in it now
	Possibly bool       `json:"possibly,omitempty"` // it holds pieces of a bin that the lot was mixed into
	Within   []itemLine `json:"within"`
	FittedAt instant    `json:"fitted_at"`
	FittedBy string     `json:"fitted_by"` // name
}

func (a *api) usesOfLot(c *gin.Context) error {
	uses, err := a.services.Trace.UsesOfLot(c.Request.Context(), c.Param("code"))
	return a.answerUses(c, uses, err)
}

func (a *api) usesOfPart(c *gin.Context) error {
	uses, err := a.services.Trace.UsesOfPart(c.Request.Context(), c.Param("item"))
	return a.answerUses(c, uses, err)
}

func (a *api) answerUses(c *gin.Context, uses trace.Uses, err error) error {
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	shape := usesShape{Pieces: uses.Pieces, Uses: make([]useShape, len(uses.Rows)), Loops: [][]string{}}
	if uses.Lot != nil {
		lot := lotOf(*uses.Lot)
		shape.Lot = &lot
	}
	if uses.Part != nil {
		part, err := a.itemLine(ctx, *uses.Part)
		if err != nil {
			return err
		}
		shape.Part = &part
	}
	for i, u := range uses.Rows {
		line := useShape{Pieces: u.Pieces, Left: u.Left, Possibly: u.Possibly, FittedAt: instant(u.FittedAt), FittedBy: named(uses.People, u.FittedBy)}
		if line.Item, err = a.itemLine(ctx, u.Item); err != nil {
			return err
		}
		if line.Within, err = a.itemLines(ctx, u.Within); err != nil {
			return err
		}
		shape.Uses[i] = line
	}
	for _, loop := range uses.Loops {
		var through []string
		for _, item := range loop {
			through = append(through, words.Serial(item.Name()))
		}
		shape.Loops = append(shape.Loops, through)
	}
	return answer(c, http.StatusOK, shape)
}

// sourcesShape is everything that went into an item.
type sourcesShape struct {
	Item  itemLine      `json:"item"`
	Lots  int           `json:"lots"`  // different ones
	Items int           `json:"items"` // different ones
	Parts []sourceShape `json:"parts"`
}

type sourceShape struct {
	builtShape
	FittedAt instant       `json:"fitted_at"`
	FittedBy string        `json:"fitted_by"`          // name
	Possibly []string      `json:"possibly,omitempty"` // codes of the lots that were put into the bin
	Again    bool          `json:"again"`
	Parts    []sourceShape `json:"parts"`
}

func (a *api) sources(c *gin.Context) error {
	ctx := c.Request.Context()
	sources, err := a.services.Trace.Sources(ctx, c.Param("item"))
	if err != nil {
		return err
	}
	shape := sourcesShape{Lots: sources.Lots, Items: sources.Items, Parts: sourcesOf(sources.Parts, sources.People)}
	if shape.Item, err = a.itemLine(ctx, sources.Item); err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

func sourcesOf(list []trace.Source, people map[string]string) []sourceShape {
	out := make([]sourceShape, len(list))
	for i, s := range list {
		p := s.Part
		out[i] = sourceShape{FittedAt: instant(p.FittedAt), FittedBy: named(people, p.FittedBy), Again: s.Again, Parts: sourcesOf(s.Parts, people),
			builtShape: builtShape{ID: p.ID, Left: p.Left(), Role: p.Role, Place: p.Place, Lot: p.LotCode, Number: p.Number, ItemID: pointed(p.PartID), Description: p.Description, Supplier: p.Supplier, Quantity: p.Quantity}}
		for _, l := range s.Possibly {
			out[i].Possibly = append(out[i].Possibly, l.Code)
		}
	}
	return out
}
