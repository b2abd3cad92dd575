package api

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/models/work/trace"
	"tracewright/server/httpx"
)

// findItems finds by a whole serial, its last five characters, or a maker's
// number.
func (a *api) findItems(c *gin.Context) error {
	q := query(c)
	ctx := c.Request.Context()
	items, err := a.services.Trace.Find(ctx, q["find"])
	if err != nil {
		return err
	}
	lines, err := a.itemLines(ctx, items)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"items": lines})
}

// makeItem gives the next serial to a new item of a product, or to a one-off
// item of a family; or makes the item of a printed label.
func (a *api) makeItem(c *gin.Context) error {
	var in struct {
		Product string `json:"product"`
		Family  string `json:"family"`
		Serial  string `json:"serial"` // of a printed label
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	if in.Serial != "" {
		item, err := a.services.Receive.MakeLabelled(ctx, httpx.Actor(c), in.Serial, in.Product)
		if err != nil {
			return err
		}
		return a.createdItem(c, item)
	}
	item, err := a.services.Receive.MakeItem(ctx, httpx.Actor(c), receive.NewItem{ProductID: in.Product, FamilyID: in.Family})
	if err != nil {
		return err
	}
	return a.createdItem(c, item)
}

func (a *api) createdItem(c *gin.Context, item models.Item) error {
	line, err := a.itemLine(c.Request.Context(), item)
	if err != nil {
		return err
	}
	key := item.ID
	if line.Serial != "" {
		key = line.Serial
	}
	return created(c, "/items/"+key, line)
}

// builtShape is a lot or a serialised part that was built in.
type builtShape struct {
	ID          string `json:"id"`
	Role        string `json:"role"`
	Place       string `json:"place,omitempty"`
	Lot         string `json:"lot,omitempty"`     // its code
	Number      string `json:"number,omitempty"`  // the maker's, or a serial
	ItemID      string `json:"item_id,omitempty"` // of a serialised part
	Description string `json:"description,omitempty"`
	Supplier    string `json:"supplier,omitempty"`
	Quantity    int    `json:"quantity"`
	Left        int    `json:"left"` // of them, in the item now
}

// partShape is one with what became of it.
type partShape struct {
	builtShape
	Reason string         `json:"reason,omitempty"`
	Out    []removalShape `json:"out"` // oldest first
}

// removalShape says that pieces of a part were taken out.
type removalShape struct {
	Quantity int     `json:"quantity"`
	Code     string  `json:"code"`
	Reason   string  `json:"reason,omitempty"`
	Fate     string  `json:"fate"`
	At       instant `json:"at"`
	By       string  `json:"by"` // id
}

func partOf(p trace.PartView) partShape {
	shape := partShape{builtShape{ID: p.Part.ID, Role: p.Part.Role, Place: p.Part.Place, Quantity: p.Part.Quantity, Left: p.Part.Left()}, p.Part.Reason, []removalShape{}}
	for _, r := range p.Out {
		shape.Out = append(shape.Out, removalShape{r.Quantity, r.Code, r.Reason, r.Fate, instant(r.RemovedAt), r.RemovedBy})
	}
	if p.Lot != nil {
		shape.Lot, shape.Description, shape.Supplier = p.Lot.Code, p.Lot.Description, p.Lot.Supplier
	}
	if p.Item != nil {
		shape.ItemID, shape.Description, shape.Supplier = p.Item.ID, p.Item.Model, p.Item.Supplier
		shape.Number = pointed(p.Item.MakerNumber)
		if shape.Number == "" {
			shape.Number = pointed(p.Item.Serial)
		}
	}
	return shape
}

// itemWhole is everything about one item.
type itemWhole struct {
	Item         itemLine           `json:"item"`
	Supplier     string             `json:"supplier,omitempty"`
	Model        string             `json:"model,omitempty"`
	MakerNumber  string             `json:"maker_number,omitempty"`
	Family       *familyLine        `json:"family,omitempty"`
	Product      *productLine       `json:"product,omitempty"`
	Form         models.ProductForm `json:"form"`
	Parts        []partShape        `json:"parts"`
	FittedInto   []fittedShape      `json:"fitted_into"`
	Inspections  []inspectionWhole  `json:"inspections"` // oldest first
	Holds        []holdShape        `json:"holds"`       // newest first
	Certificates []certificateShape `json:"certificates"`
	FirstPass    *firstPass         `json:"first_pass,omitempty"`
	Blocked      []remark           `json:"blocked_by"` // why it cannot be released; empty: it can
	Prints       []printShape       `json:"prints"`     // of labels and certificates, oldest first
	TrailEntries int                `json:"trail_entries"`
}

// firstPass is what a wheel took until it first passed after relief.
type firstPass struct {
	Inspection string `json:"inspection"` // id
	Rounds     int    `json:"rounds"`
	Minutes    int    `json:"minutes"` // of measuring, and of turning in one sitting
}

// fittedShape says that an item went into another one.
type fittedShape struct {
	Item  string   `json:"item_id"`
	Print string   `json:"print"`
	Role  string   `json:"role"`
	Place string   `json:"place,omitempty"`
	OutAt *instant `json:"out_at,omitempty"` // when it was taken out again
}

func (a *api) item(c *gin.Context) error {
	ctx := c.Request.Context()
	var blocked []models.Remark
	v, err := a.services.Trace.Item(ctx, c.Param("item"), func(ctx context.Context, item models.Item) (err error) {
		if item.FamilyID != nil {
			blocked, err = a.services.Release.GateOf(ctx, item)
		}
		return err
	})
	if err != nil {
		return err
	}
	whole, err := a.itemWhole(ctx, v, blocked)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, whole)
}

func (a *api) itemWhole(ctx context.Context, v trace.ItemView, blocked []models.Remark) (itemWhole, error) {
	line, err := a.itemLine(ctx, v.Item)
	if err != nil {
		return itemWhole{}, err
	}
	whole := itemWhole{Item: line, Supplier: v.Item.Supplier, Model: v.Item.Model, MakerNumber: pointed(v.Item.MakerNumber), TrailEntries: v.TrailEntries, Blocked: remarks(blocked)}
	if v.Family != nil {
		family := familyLineOf(*v.Family)
		whole.Family = &family
	}
	if v.Product != nil {
		product := productLineOf(*v.Product, line.Family)
		whole.Product, whole.Form = &product, v.Form.Form
	}
	whole.Parts = make([]partShape, len(v.Parts))
	for i, p := range v.Parts {
		whole.Parts[i] = partOf(p)
	}
	whole.FittedInto = make([]fittedShape, len(v.FittedInto))
	for i, f := range v.FittedInto {
		whole.FittedInto[i] = fittedShape{Item: f.Item.ID, Print: words.Serial(f.Item.Name()), Role: f.Part.Role, Place: f.Part.Place}
		if f.Part.OutAt != nil {
			out := instant(*f.Part.OutAt)
			whole.FittedInto[i].OutAt = &out
		}
	}
	whole.Inspections = make([]inspectionWhole, len(v.Inspections))
	for i, x := range v.Inspections {
		whole.Inspections[i] = wholeOf(x)
		if i := x.Inspection; i.PassRounds > 0 && i.SupersededBy == nil {
			whole.FirstPass = &firstPass{i.ID, i.PassRounds, i.PassMinutes}
		}
	}
	whole.Holds = make([]holdShape, len(v.Holds))
	for i, h := range v.Holds {
		whole.Holds[i] = a.holdOf(h.Hold, h.Lift, v.People)
		whole.Holds[i].Lot = h.Lot
	}
	whole.Certificates = make([]certificateShape, len(v.Certificates))
	for i, x := range v.Certificates {
		whole.Certificates[i] = certificateOf(x.Certificate, x.State, x.Change)
	}
	whole.Prints = printsOf(v.Prints)
	return whole, nil
}

// partsOf lists what is built into an item.
func (a *api) partsOf(ctx context.Context, itemID string) ([]partShape, error) {
	parts, err := a.services.Trace.Parts(ctx, itemID)
	if err != nil {
		return nil, err
	}
	shapes := make([]partShape, len(parts))
	for i, p := range parts {
		shapes[i] = partOf(p)
	}
	return shapes, nil
}
