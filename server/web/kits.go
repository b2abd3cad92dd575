package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/models/work/shipping"
	"tracewright/server/httpx"
)

// KitsPage lists the kits that are being packed, and offers to begin one.
type KitsPage struct {
	Frame
	Answer   string
	Rows     []KitRow
	Products []Choice
	Fields   []Field // what a new one is begun with
	Problems Problems
}

// KitRow is one kit that is packed here.
type KitRow struct {
	Serial, Path, Product, In, Since string
	Mark                             Mark
}

func (s *site) kits(c *gin.Context) error { return s.showKits(c, http.StatusOK, nil) }

func (s *site) showKits(c *gin.Context, status int, problem error) error {
	ctx, f := c.Request.Context(), posted(c, problem)
	kits, err := s.services.Shipping.OpenKits(ctx)
	if err != nil {
		return err
	}
	page := KitsPage{Frame: s.frame(c, "Kits", "/kits"), Answer: "No kit is being packed"}
	for _, k := range kits {
		full, all := linesFull(k)
		page.Rows = append(page.Rows, KitRow{words.Serial(k.Item.Name()), kitPath(k.Item), k.Product.Name, english.Of(full, all), s.day(k.Item.CreatedAt), kitMark(k)})
	}
	if n := len(page.Rows); n > 0 {
		page.Answer = counted(n, "kit is being packed", "kits are being packed")
	}
	products, err := s.productsOf(ctx, models.KindKit)
	if err != nil {
		return err
	}
	for _, p := range products {
		page.Products = append(page.Products, Choice{p.ID, p.Name})
	}
	page.Fields = kitFields(f, page.Products)
	page.Problems = f.summary()
	return send(c, status, "kits", page)
}

func kitFields(f *form, products []Choice) []Field {
	return []Field{
		f.field(Field{Name: "product", Label: "Product", Kind: "select", Width: "w6", Choices: products}),
		f.field(Field{Name: "serial", Label: "Its label", Mono: true, Width: "w6", Optional: true, Hint: "Scan one that was printed ahead. Empty: the next serial."}),
	}
}

func kitPath(item models.Item) string { return "/kits/" + url.PathEscape(pointed(item.Serial)) }

func linesFull(k shipping.Kit) (full, all int) {
	for _, l := range k.Lines {
		if l.Full() {
			full++
		}
	}
	return full, len(k.Lines)
}

// kitMark says how far a kit is: something against it first.
func kitMark(k shipping.Kit) Mark {
	switch {
	case k.Item.State == models.StateShipped:
		return Mark{"tick", "Shipped", "pass"}
	case len(k.Against) > 0:
		return Mark{"cross", "May not leave", "fail"}
	case k.Whole:
		return Mark{"tick", "Whole", "pass"}
	}
	return Mark{"ring", "Packing", "none"}
}

func (s *site) newKit(c *gin.Context) error {
	ctx, id, label := c.Request.Context(), c.PostForm("product"), strings.TrimSpace(c.PostForm("serial"))
	products, err := s.productsOf(ctx, models.KindKit)
	if err != nil {
		return err
	}
	var item models.Item
	// Who packs may make no wheel, neither by its product nor by its label.
	switch scan := ident.Recognise(label); {
	case !slices.ContainsFunc(products, func(p models.Product) bool { return p.ID == id }):
		err = models.Invalid("product", "unknown_product", "product", models.Shortened(id))
	case label == "":
		item, err = s.services.Receive.MakeItem(ctx, httpx.Actor(c), receive.NewItem{ProductID: id})
	case scan.Serial != "" && ident.KindOf(scan.Serial) != ident.Kit:
		err = models.Invalid("serial", "no_kit", "serial", scan.Serial)
	default:
		item, err = s.services.Receive.MakeLabelled(ctx, httpx.Actor(c), label, id)
	}
	if answerable(err) {
		return s.showKits(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, kitPath(item), "")
}

// KitPage packs one kit: a scan for each item, a tick for small parts.
type KitPage struct {
	Frame
	Serial, Path, Item string
	Product            string
	Answer             string
	Mark               Mark
	Open               bool // it may still be packed
	Scan               Field
	Typed              string
	Refused            []string // why the scan was not taken
	Concede            bool     // the owner may let it in all the same
	Reason             Field
	Secret             *Field
	Told               string
	Lines              []KitLineRow
	Against            []string // what keeps it from leaving
	Let                []string // what the owner let in
	Certificates       string   // where those of all that is in it come as one file
	Ship               string   // path of the form that sends it off
	Shipped            []Span
}

// KitLineRow is one line with what of it is in the box.
type KitLineRow struct {
	Name, Count string
	Full        bool
	Part        string // small parts are ticked by their words
	In          []KitItem
}

// KitItem is an item in the box.
type KitItem struct{ Serial, Path, Out string }

func (s *site) kit(c *gin.Context) error { return s.showKit(c, http.StatusOK, "", nil) }

func (s *site) showKit(c *gin.Context, status int, typed string, problem error) error {
	k, err := s.services.Shipping.Kit(c.Request.Context(), c.Param("serial"))
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := s.kitPage(s.frame(c, "Kit "+words.Serial(k.Item.Name()), "/kits"), k)
	page.Typed = typed
	page.Scan = Field{Name: "item", ID: "item"}
	if problem != nil {
		page.Refused = reasonsOf(problem)
		page.Concede = concedable(problem) && page.Actor.May(models.ActConcede)
		page.Reason = f.field(Field{Name: "reason", Label: "Why it goes in all the same: it is printed", Hint: noNameHint})
		page.Secret = s.secretField(c, f)
	}
	if in := c.Query("in"); in != "" && problem == nil {
		page.Told = words.Serial(in) + " is in."
	}
	return send(c, status, "kit", page)
}

func (s *site) kitPage(frame Frame, k shipping.Kit) KitPage {
	full, all := linesFull(k)
	page := KitPage{Frame: frame, Serial: words.Serial(k.Item.Name()), Path: kitPath(k.Item), Item: itemPath(pointed(k.Item.Serial), k.Item.ID), Product: k.Product.Name, Mark: kitMark(k), Open: k.Item.State != models.StateShipped}
	page.Answer = english.Of(full, all) + " lines are in"
	switch {
	case k.Shipment != nil:
		page.Answer = "Shipped on " + s.day(k.Shipment.ShippedAt)
		page.Shipped = []Span{{Text: "Shipment "}, {Text: k.Shipment.Number, Mono: true, Path: "/shipments/" + k.Shipment.Number}}
	case k.Whole && len(k.Against) == 0:
		page.Answer = "Everything is in"
	}
	for _, l := range k.Lines {
		row := KitLineRow{Name: l.Name, Count: english.Of(l.Done, l.Quantity), Full: l.Full(), Part: l.Part}
		for _, i := range l.In {
			row.In = append(row.In, kitItem(page.Path, i))
		}
		page.Lines = append(page.Lines, row)
	}
	if len(k.Extra) > 0 {
		row := KitLineRow{Name: "Not on the list", Count: fmt.Sprint(len(k.Extra))}
		for _, i := range k.Extra {
			row.In = append(row.In, kitItem(page.Path, i))
		}
		page.Lines = append(page.Lines, row)
	}
	if len(k.Inside()) > 0 {
		page.Certificates = page.Path + "/certificates"
	}
	for _, r := range k.Against {
		page.Against = append(page.Against, say(r))
	}
	for _, p := range k.Let {
		text := "By " + name(k.People, p.PackedBy) + ", " + s.day(p.PackedAt) + ": " + stopped(p.Reason)
		for _, r := range p.Against {
			text += " " + say(r)
		}
		page.Let = append(page.Let, text)
	}
	if page.Open && frame.Actor.May(models.ActShip) {
		page.Ship = "/ship?item=" + url.QueryEscape(pointed(k.Item.Serial))
	}
	return page
}

func kitItem(kit string, i models.Item) KitItem {
	return KitItem{words.Serial(i.Name()), itemPath(pointed(i.Serial), i.ID), kit + "/out?item=" + url.QueryEscape(i.Name())}
}

// packKit takes a scan.
func (s *site) packKit(c *gin.Context) error {
	typed, reason := strings.TrimSpace(c.PostForm("item")), strings.TrimSpace(c.PostForm("reason"))
	if reason != "" {
		if err := s.confirm(c); answerable(err) {
			return s.showKit(c, http.StatusUnprocessableEntity, typed, err)
		} else if err != nil {
			return err
		}
	}
	packed, err := s.services.Shipping.Pack(c.Request.Context(), httpx.Actor(c), c.Param("serial"), typed, reason)
	if answerable(err) {
		return s.showKit(c, http.StatusUnprocessableEntity, typed, err)
	}
	if err != nil {
		return err
	}
	return redirectWith(c, kitPath(packed.Kit.Item), url.Values{"in": {packed.Item.Name()}})
}

// tickKit says that small parts are in, or not after all.
func (s *site) tickKit(c *gin.Context) error {
	k, err := s.services.Shipping.Tick(c.Request.Context(), httpx.Actor(c), c.Param("serial"), c.PostForm("part"), c.PostForm("in") == "yes")
	if err != nil {
		return err
	}
	return redirect(c, kitPath(k.Item), "")
}

func (s *site) takeOutOfKitPage(c *gin.Context) error {
	return s.showTakeOutOfKit(c, http.StatusOK, nil)
}

func (s *site) showTakeOutOfKit(c *gin.Context, status int, problem error) error {
	k, err := s.services.Shipping.Kit(c.Request.Context(), c.Param("serial"))
	if err != nil {
		return err
	}
	f := posted(c, problem)
	path := kitPath(k.Item)
	page := ConfirmPage{Frame: s.frame(c, "Take out of a kit", "/kits"), About: words.Serial(k.Item.Name()), Mono: true, Title: "Take " + words.Serial(c.Query("item")) + " out of the kit", Button: "Take it out", Path: path + "/out?item=" + url.QueryEscape(c.Query("item")), Back: path,
		Fields: []Field{f.field(Field{Name: "reason", Label: "Why", Focus: true})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) takeOutOfKit(c *gin.Context) error {
	k, err := s.services.Shipping.TakeOut(c.Request.Context(), httpx.Actor(c), c.Param("serial"), c.Query("item"), strings.TrimSpace(c.PostForm("reason")))
	if answerable(err) {
		return s.showTakeOutOfKit(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, kitPath(k.Item), "")
}

// whereabouts says in a line where an item lies or with what it went.
func (s *site) whereabouts(ctx context.Context, itemID string) ([]Span, error) {
	at, err := s.services.Shipping.Where(ctx, itemID)
	if err != nil {
		return nil, err
	}
	var spans []Span
	if at.Kit != nil {
		spans = append(spans, Span{Text: "In kit "}, Span{Text: words.Serial(at.Kit.Name()), Mono: true, Path: kitPath(*at.Kit)})
	}
	if at.Shipment != nil {
		text := "Shipped on "
		if at.Kit != nil {
			text = ", shipped on "
		}
		spans = append(spans, Span{Text: text + s.day(at.Shipment.ShippedAt) + " with "}, Span{Text: at.Shipment.Number, Mono: true, Path: "/shipments/" + at.Shipment.Number})
	}
	return spans, nil
}
