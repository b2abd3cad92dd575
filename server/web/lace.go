package web

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/assembly"
	"tracewright/server/httpx"
)

// LacePage laces wheels of one product in a row: a scan for each motor, one for
// each change of lot. The lots in use stand in the address; nothing of them is
// stored before a wheel is made of them.
type LacePage struct {
	Frame
	Product, Name string
	Answer        string
	Told          string // what the last scan did
	ID            string // key of the next entry
	Motor         Field
	Lots          []Field
	Make          []Field // supplier and model of a motor that is not known
	Reason        Field
	Over          bool // a reason is asked for
	Problems      Problems
	Unlooked      []UnlookedLot // of those in use
	Rows          []LacedRow
	Products      []Span // to choose from, where none is chosen
}

// LacedRow is a wheel that was laced today.
type LacedRow struct {
	Serial, Path, Label, When string
	Newest                    bool
}

// UnlookedLot is a lot of which pieces are still to be looked at.
type UnlookedLot struct {
	Code, Says string
	Act        *Act // for who may do it
}

// laceLots are the fields of the lots in use.
var laceLots = []struct{ name, label string }{{"rim", "Rim"}, {"spokes_a", "Spokes, side A"}, {"spokes_b", "Spokes, side B"}, {"nipples", "Nipples"}}

func (s *site) lacePage(c *gin.Context) error { return s.showLace(c, http.StatusOK, c.Query, nil) }

func (s *site) showLace(c *gin.Context, status int, value func(string) string, problem error) error {
	ctx := c.Request.Context()
	page := LacePage{Frame: s.frame(c, "Lace wheels", "/lace"), Product: value("product")}
	if page.Product == "" {
		return s.chooseLaced(c, status, page)
	}
	product, err := s.services.Specify.Product(ctx, page.Product)
	if err != nil {
		return err
	}
	page.Name = product.Product.Name
	f := newForm(value, problem)
	page.ID = value("id")
	if page.ID == "" || problem == nil {
		page.ID = models.NewID()
	}
	page.Motor = f.field(Field{Name: "motor", Label: "Scan the motor, or another lot", Mono: true, Focus: true})
	if problem == nil {
		page.Motor.Value = ""
	}
	for _, l := range laceLots {
		page.Lots = append(page.Lots, f.field(Field{Name: l.name, Label: l.label, Mono: true, Optional: true, Width: "w3"}))
	}
	if f.codes["motor"] == "motor_unknown" || f.asked("supplier") || f.asked("model") {
		page.Make = []Field{f.field(Field{Name: "supplier", Label: "Its supplier", Width: "w6"}), f.field(Field{Name: "model", Label: "Its model", Width: "w6"})}
	}
	page.Over = f.asked("reason")
	page.Reason = f.field(Field{Name: "reason", Label: "Why more than the lot has"})
	page.Problems = f.summary()
	if page.Unlooked, err = s.unlooked(c, value); err != nil {
		return err
	}
	made, err := s.services.Assembly.LacedToday(ctx, httpx.Actor(c), page.Product)
	if err != nil {
		return err
	}
	page.Answer = "No wheel laced today"
	if n := len(made); n > 0 {
		page.Answer = counted(n, "wheel laced today", "wheels laced today")
	}
	if code := value("lot"); code != "" && problem == nil {
		lot, found, err := s.services.Assembly.Lot(ctx, code)
		if err != nil {
			return err
		}
		if found {
			name, err := s.materialName(ctx, lot.Material)
			if err != nil {
				return err
			}
			page.Told = words.Sentence(name) + " from lot " + lot.Code + " from now on."
		}
	}
	for i, item := range made {
		if problem == nil && value("made") == pointed(item.Serial) {
			page.Told = words.Serial(item.Name()) + " is made: write it on the wheel, or print its label."
		}
		path := itemPath(pointed(item.Serial), item.ID)
		page.Rows = append(page.Rows, LacedRow{words.Serial(item.Name()), path, path + "/label", s.hour(item.CreatedAt), i == 0})
	}
	return send(c, status, "lace", page)
}

// unlooked names the lots in use that are still to be looked at.
func (s *site) unlooked(c *gin.Context, value func(string) string) ([]UnlookedLot, error) {
	var codes []string
	for _, l := range laceLots {
		if code := strings.TrimSpace(value(l.name)); code != "" {
			codes = append(codes, code)
		}
	}
	lines, err := s.services.Receive.ToLook(c.Request.Context(), codes)
	var out []UnlookedLot
	for _, l := range lines {
		lot := UnlookedLot{Code: l.Code, Says: lookSays(*l.Look)}
		if httpx.Actor(c).May(models.ActReceive) {
			lot.Act = &Act{Text: "Inspect", Path: lotPath(l.Code) + "/inspect"}
		}
		out = append(out, lot)
	}
	return out, err
}

// chooseLaced offers the products of wheels.
func (s *site) chooseLaced(c *gin.Context, status int, page LacePage) error {
	ctx := c.Request.Context()
	products, err := s.productsOf(ctx, models.KindWheel)
	if err != nil {
		return err
	}
	page.Answer = "Which wheel?"
	for _, p := range products {
		page.Products = append(page.Products, Span{Text: p.Name, Path: "/lace?product=" + url.QueryEscape(p.ID)})
	}
	return send(c, status, "lace", page)
}

// lace makes a wheel of what was scanned; a scanned lot replaces the one in use.
func (s *site) lace(c *gin.Context) error {
	ctx := c.Request.Context()
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	lots := assembly.Lots{Rim: text("rim"), SpokesA: text("spokes_a"), SpokesB: text("spokes_b"), Nipples: text("nipples")}
	scanned := text("motor")
	lot, found, err := s.services.Assembly.ToUse(ctx, scanned, "motor")
	if err != nil && !answerable(err) {
		return err
	}
	if scanned != "" && found {
		if err == nil {
			err = s.useLot(c, &lots, lot)
		}
		if answerable(err) {
			return s.showLace(c, http.StatusUnprocessableEntity, c.PostForm, err)
		}
		if err != nil {
			return err
		}
		return redirect(c, lacePath(text("product"), lots)+"&lot="+url.QueryEscape(lot.Code), "")
	}
	made, err := s.services.Assembly.Lace(ctx, httpx.Actor(c), assembly.Lacing{ID: text("id"), Product: text("product"), Lots: lots, Reason: text("reason"),
		Motor: models.PartName{Number: scanned, Supplier: text("supplier"), Model: text("model")}})
	if answerable(err) {
		return s.showLace(c, http.StatusUnprocessableEntity, c.PostForm, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, lacePath(text("product"), lots)+"&made="+url.QueryEscape(pointed(made.Item.Serial)), "")
}

// useLot puts a scanned lot where its material goes; spokes to both sides, or to
// the one whose spokes are like them.
func (s *site) useLot(c *gin.Context, lots *assembly.Lots, lot models.Lot) error {
	switch lot.Material {
	case "rim":
		lots.Rim = lot.Code
	case "nipples":
		lots.Nipples = lot.Code
	case "spokes":
		a, b, err := s.likeSpokes(c, *lots, lot)
		if err != nil {
			return err
		}
		if a {
			lots.SpokesA = lot.Code
		}
		if b {
			lots.SpokesB = lot.Code
		}
	default:
		return models.Invalid("motor", "lot_of_no_use", "lot", lot.Code)
	}
	return nil
}

// likeSpokes says which sides a lot of spokes is for.
func (s *site) likeSpokes(c *gin.Context, lots assembly.Lots, lot models.Lot) (a, b bool, err error) {
	if lots.SpokesA == lots.SpokesB || lots.SpokesA == "" && lots.SpokesB == "" {
		return true, true, nil
	}
	like := func(code string) (bool, error) {
		other, found, err := s.services.Assembly.Lot(c.Request.Context(), code)
		return found && other.Description == lot.Description, err
	}
	if a, err = like(lots.SpokesA); err != nil {
		return false, false, err
	}
	if b, err = like(lots.SpokesB); err != nil {
		return false, false, err
	}
	if a == b {
		return false, false, models.Invalid("motor", "which_side", "lot", lot.Code)
	}
	return a, b, nil
}

// lacePath is the page with the lots in use.
func lacePath(product string, lots assembly.Lots) string {
	query := url.Values{"product": {product}}
	for name, code := range map[string]string{"rim": lots.Rim, "spokes_a": lots.SpokesA, "spokes_b": lots.SpokesB, "nipples": lots.Nipples} {
		if code != "" {
			query.Set(name, code)
		}
	}
	return "/lace?" + query.Encode()
}
