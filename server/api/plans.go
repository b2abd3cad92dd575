package api

import (
	"context"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/build"
	"tracewright/models/work/capture"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// planShape is what a stand or bench needs before the first reading.
type planShape struct {
	Serial        string              `json:"serial"`
	Print         string              `json:"print"`
	Source        string              `json:"source"` // item, or roll: not scanned before
	Item          *itemLine           `json:"item"`
	Family        *familyLine         `json:"family"`
	Product       *productLine        `json:"product"`
	Form          models.ProductForm  `json:"form"`
	Specification *specificationShape `json:"specification"`
	Stage         string              `json:"stage"` // suggested
	Stages        []string            `json:"stages"`
	Instruments   []instrumentShape   `json:"instruments"`
	Products      []productLine       `json:"products"` // to choose from, when the roll names none
	Holds         []holdShape         `json:"holds"`
	Standing      []standingShape     `json:"standing"`
	OpenDraft     *draftShape         `json:"open_draft"`
	OpenTurns     string              `json:"open_turns,omitempty"` // inspection whose turn list was begun and not read after yet
	Parts         []partShape         `json:"parts"`
	Build         *buildShape         `json:"build,omitempty"` // of a pack
}

// standingShape is an earlier inspection that stands.
type standingShape struct {
	InspectionID string  `json:"inspection_id"`
	Stage        string  `json:"stage"`
	Verdict      string  `json:"verdict"`
	Person       string  `json:"person"` // name
	MeasuredAt   instant `json:"measured_at"`
}

func (a *api) plan(c *gin.Context) error {
	q := query(c)
	ctx := c.Request.Context()
	p, err := a.services.Capture.Plan(ctx, httpx.Actor(c), c.Param("serial"), q["product"], q["stage"])
	if err != nil {
		return err
	}
	shape, err := a.planShape(ctx, p)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

func (a *api) planShape(ctx context.Context, p capture.Plan) (planShape, error) {
	shape := planShape{Serial: p.Serial, Print: ident.Print(p.Serial), Source: p.Source, Form: p.Form, Stage: p.Stage, Stages: list(p.Stages)}
	names, err := a.names(ctx)
	if err != nil {
		return planShape{}, err
	}
	if p.Item != nil {
		line, err := a.itemLine(ctx, *p.Item)
		if err != nil {
			return planShape{}, err
		}
		shape.Item = &line
		parts, err := a.partsOf(ctx, p.Item.ID)
		if err != nil {
			return planShape{}, err
		}
		shape.Parts = slices.DeleteFunc(parts, func(p partShape) bool { return p.Left == 0 })
		if p.Item.TurnsOpen != nil {
			if shape.OpenTurns, err = a.services.Truing.MadeFrom(ctx, *p.Item.TurnsOpen); err != nil {
				return planShape{}, err
			}
		}
	}
	if shape.Build, err = a.planBuild(ctx, p); err != nil {
		return planShape{}, err
	}
	if p.Family.ID != "" {
		line := familyLineOf(p.Family)
		shape.Family = &line
	}
	if p.Product != nil {
		line := productLineOf(*p.Product, p.Family.Name)
		shape.Product = &line
	}
	if p.Specification.ID != "" {
		specification := specificationOf(p.Specification)
		shape.Specification = &specification
	}
	if p.OpenDraft != nil {
		draft := draftOf(*p.OpenDraft, names, true)
		shape.OpenDraft = &draft
	}
	today := a.today(ctx)
	checks, err := a.services.Gauges.CheckStates(ctx, p.Instruments)
	if err != nil {
		return planShape{}, err
	}
	now := a.now()
	shape.Instruments = make([]instrumentShape, len(p.Instruments))
	for i, x := range p.Instruments {
		shape.Instruments[i] = instrumentOf(gauges.InstrumentView{Instrument: x}, today)
		shape.Instruments[i].Checks = checks[x.ID]
		if table := models.GaugeTableFor(p.GaugeTables, x.ID, p.SpokeType(), now); table != nil {
			shape.Instruments[i].Table = table.Points
		}
	}
	shape.Products = make([]productLine, len(p.Products))
	for i, x := range p.Products {
		family, err := a.cache.familyName(ctx, &x.FamilyID)
		if err != nil {
			return planShape{}, err
		}
		shape.Products[i] = productLineOf(x, family)
	}
	shape.Holds = make([]holdShape, len(p.Holds))
	for i, x := range p.Holds {
		shape.Holds[i] = a.holdOf(x, nil, names)
	}
	shape.Standing = make([]standingShape, len(p.Standing))
	for i, x := range p.Standing {
		shape.Standing[i] = standingShape{InspectionID: x.ID, Stage: x.Stage, Verdict: x.Verdict, Person: names[x.PersonID], MeasuredAt: instant(x.MeasuredAt)}
	}
	shape.Parts = list(shape.Parts)
	return shape, nil
}

// planBuild is how a pack is being built; nil for anything else, and for a
// label whose product is not chosen yet.
func (a *api) planBuild(ctx context.Context, p capture.Plan) (*buildShape, error) {
	var sheet build.Sheet
	var err error
	switch {
	case p.Item != nil && p.Item.Kind == models.KindPack:
		sheet, err = a.services.Build.Sheet(ctx, p.Item.ID)
	case p.Item == nil && p.Product != nil && p.Family.Kind == models.KindPack:
		sheet, err = a.services.Build.SheetOfLabel(ctx, *p.Product)
	default:
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	shape, err := a.buildOf(ctx, sheet)
	return &shape, err
}

// list makes an absent list an empty one: a program that reads it need not ask.
func list[T any](values []T) []T {
	if values == nil {
		return []T{}
	}
	return values
}
