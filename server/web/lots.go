package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/receive"
	"tracewright/models/work/release"
	"tracewright/server/httpx"
)

// LotsPage lists the received lots, the last first, with what is left of each.
type LotsPage struct {
	Frame
	Answer          string
	Left            []LeftRow
	Material, State Field
	Rows            []LotRow
	Older, Newest   string // paths of the next page and of the first
	Rest            string // what the sums leave out
}

// LeftRow is what is left of a material.
type LeftRow struct {
	Name, Path string
	Pieces     string
	Lots       string
	Short      string // below what it should be
}

// LotRow is one lot.
type LotRow struct {
	Code, Material, Description, Supplier, Received string
	Quantity, Left                                  string
	State                                           Mark
	Path, HoldPath                                  string
}

// What a list of lots may be narrowed to.
const (
	lotsToUse   = "to_use"
	lotsStopped = "stopped"
	lotsUsedUp  = "used_up"
)

func (s *site) lots(c *gin.Context) error {
	ctx := c.Request.Context()
	materials, err := s.services.Receive.Materials(ctx)
	if err != nil {
		return err
	}
	material, before := c.Query("material"), models.LotKey{}
	if typed := c.Query("before"); typed != "" {
		at, code, _ := strings.Cut(typed, "_")
		if before.ReceivedAt, err = time.Parse(time.RFC3339, at); err != nil || code == "" {
			return models.Invalid("before", "unknown_choice", "typed", models.Shortened(typed))
		}
		before.Code = code
	}
	held, err := s.services.Monitor.HeldLots(ctx)
	if err != nil {
		return err
	}
	state := c.Query("state")
	lines, next, err := s.services.Receive.PageBefore(ctx, material, before, func(l receive.Line) bool { return lotAsked(l, held[l.ID], state) })
	if err != nil {
		return err
	}
	page := s.lotsPage(s.frame(c, "Lots", "/lots"), materials, lines, held, material, state)
	page.leaf(c.Request.URL.Query(), next)
	page.Answer = s.lotsAnswer(page, lines, next)
	if before.ReceivedAt.IsZero() {
		looked, err := s.services.Receive.Lines(ctx, material)
		if err != nil {
			return err
		}
		page.sums(materials, looked, material)
	}
	return show(c, "lots", page)
}

// leaf adds the ways to the pages before and behind.
func (p *LotsPage) leaf(asked url.Values, next models.LotKey) {
	if asked.Has("before") {
		asked.Del("before")
		p.Newest = "/lots?" + asked.Encode()
	}
	if !next.ReceivedAt.IsZero() {
		asked.Set("before", models.TimeText(next.ReceivedAt)+"_"+next.Code)
		p.Older = "/lots?" + asked.Encode()
	}
}

// sums says what is left of each material in the lots that are looked at.
func (p *LotsPage) sums(materials []models.Material, looked []receive.Line, material string) {
	p.Left = leftRows(materials, looked, material)
	if len(looked) == receive.MostLines {
		p.Rest = fmt.Sprintf("Summed up over the last %d lots; what is left of older ones stands on their own pages.", receive.MostLines)
	}
}

func (s *site) lotsPage(frame Frame, materials []models.Material, lines []receive.Line, held map[string]bool, material, state string) LotsPage {
	page := LotsPage{Frame: frame}
	page.Material = Field{Name: "material", ID: "material", Label: "Material", Kind: "select", Value: material, Choices: append([]Choice{{"", "every material"}}, materialChoices(materials)...)}
	page.State = Field{Name: "state", ID: "state", Label: "State", Kind: "select", Value: state, Choices: []Choice{{"", "every state"}, {lotsToUse, "to be used"}, {lotsStopped, "stopped"}, {lotsUsedUp, "used up"}}}
	names := materialNames(materials)
	for _, l := range lines {
		mark := lotState(l.Decision, held[l.ID], l.UsedUp(), l.Look != nil)
		row := LotRow{Code: l.Code, Material: words.Sentence(names[l.Lot.Material]), Description: l.Description, Supplier: l.Supplier, Received: s.day(l.ReceivedAt), State: mark, Path: lotPath(l.Code)}
		if l.Bin {
			row.Description = strings.TrimPrefix(row.Description+", a bin of several lots", ", ")
		}
		if !held[l.ID] && mark.Tone != "hold" {
			row.HoldPath = row.Path + "/hold"
		}
		if l.Quantity > 0 {
			row.Quantity = pieces(l.Quantity)
		}
		if l.Left != nil {
			row.Left = pieces(*l.Left)
		}
		page.Rows = append(page.Rows, row)
	}
	page.Answer = s.lotsAnswer(page, lines, models.LotKey{})
	return page
}

// lotAsked says whether a list that is narrowed to a state holds a lot.
func lotAsked(l receive.Line, held bool, state string) bool {
	stopped := lotState(l.Decision, held, l.UsedUp(), false).Tone == "hold"
	switch state {
	case lotsStopped:
		return stopped
	case lotsUsedUp:
		return l.UsedUp()
	case lotsToUse:
		return !stopped && !l.UsedUp()
	}
	return true
}

// lotsAnswer counts the lots of the page, and says where they are not all.
func (s *site) lotsAnswer(p LotsPage, lines []receive.Line, next models.LotKey) string {
	if len(lines) == 0 {
		switch {
		case !next.ReceivedAt.IsZero():
			return "None of these lots from " + s.day(next.ReceivedAt) + " on"
		case p.Material.Value+p.State.Value+p.Newest != "":
			return "None of these lots"
		}
		return "No lot yet"
	}
	answer := counted(len(lines), "lot", "lots")
	switch {
	case p.Newest != "":
		answer = counted(len(lines), "older lot", "older lots")
	case p.Older != "":
		answer = "The last " + plural(len(lines), "lot", "lots")
	}
	return answer + ", received " + s.between(lines[len(lines)-1].ReceivedAt, lines[0].ReceivedAt)
}

// between is a span of days: one day alone where both are that.
func (s *site) between(from, to time.Time) string {
	if first, last := s.day(from), s.day(to); first != last {
		return "from " + first + " to " + last
	}
	return "on " + s.day(to)
}

// leftRows say what is left of each material that any lot holds; what is short
// comes first.
func leftRows(materials []models.Material, lines []receive.Line, material string) []LeftRow {
	there := map[string]bool{}
	for _, l := range lines {
		there[l.Lot.Material] = true
	}
	var short, rest []LeftRow
	for _, l := range receive.LeftOf(materials, lines) {
		if material != "" && l.Code != material || !there[l.Code] && l.Least == 0 {
			continue
		}
		row := LeftRow{Name: words.Sentence(l.Name), Path: "/lots?state=" + lotsToUse + "&material=" + l.Code, Pieces: pieces(l.Pieces) + " " + l.Unit, Lots: "in " + plural(l.Lots, "lot", "lots")}
		if l.Short {
			row.Short = "Short: fewer than " + pieces(l.Least)
			short = append(short, row)
			continue
		}
		rest = append(rest, row)
	}
	return append(short, rest...)
}

// lotState is how a lot stands: what stops it comes before everything.
func lotState(d *models.LotDecision, held, usedUp, look bool) Mark {
	switch {
	case d != nil && d.Stops():
		return Mark{"bars", words.Sentence(english.LotState(d.Decision)), "hold"}
	case held:
		return Mark{"bars", "On hold", "hold"}
	case usedUp:
		return Mark{"", "Used up", "none"}
	case d != nil && d.Decision == models.LotConcession:
		return Mark{"triangle", words.Sentence(english.LotState(d.Decision)), "care"}
	case d != nil:
		return Mark{"tick", words.Sentence(english.LotState(d.Decision)), "pass"}
	case look:
		return Mark{"triangle", "To be looked at", "care"}
	}
	return Mark{"", "To be used", "none"}
}

func materialChoices(list []models.Material) []Choice {
	out := make([]Choice, len(list))
	for i, m := range list {
		out[i] = Choice{m.Code, words.Sentence(m.Name)}
	}
	return out
}

func materialNames(list []models.Material) map[string]string {
	names := map[string]string{}
	for _, m := range list {
		names[m.Code] = m.Name
	}
	return names
}

// materialName is what the shop calls a material.
func (s *site) materialName(ctx context.Context, code string) (string, error) {
	list, err := s.services.Receive.Materials(ctx)
	return materialNames(list)[code], err
}

// pieces is a number of pieces as people read it.
func pieces(n int) string { return words.Number(strconv.Itoa(n)) }

// ReceiveForm takes something in: a lot, or one motor or block.
type ReceiveForm struct {
	Frame
	Labels                    bool // scanned supplier's labels fill in its fields
	Title, Path, Back, Button string
	Says                      string
	Tell                      []Span   // what is worth knowing before it is sent
	Hidden                    []Choice // sent along as they are
	Scan                      bool     // Enter, as a scanner ends with, goes to the next field
	Fields                    []Field
	Problems                  Problems
}

func (s *site) newLot(c *gin.Context) error {
	return s.showNewLot(c, http.StatusOK, filled(map[string]string{"material": c.Query("material")}))
}

func (s *site) showNewLot(c *gin.Context, status int, f *form) error {
	ctx := c.Request.Context()
	materials, err := s.services.Receive.Materials(ctx)
	if err != nil {
		return err
	}
	suppliers, err := s.services.Receive.Suppliers(ctx)
	if err != nil {
		return err
	}
	var known []string
	for _, x := range suppliers {
		known = append(known, x.Name)
	}
	page := ReceiveForm{Frame: s.frame(c, "Receive a lot", "/lots"), Title: "Receive a lot", Path: "/lots/new", Back: "/lots", Button: "Receive it", Scan: true, Labels: true, Fields: []Field{
		f.field(Field{Name: "code", Label: "Lot", Mono: true, Width: "w4", Focus: true, Hint: "The shop’s own code: SP-0214."}),
		f.field(Field{Name: "material", Label: "What it is", Kind: "select", Width: "w4", Choices: append([]Choice{{"", "choose"}}, materialChoices(materials)...)}),
		f.field(Field{Name: "quantity", Label: "Pieces", Mode: "numeric", Width: "w4", Optional: true, Hint: "Without it nothing can be added up."}),
		f.field(Field{Name: "supplier_code", Label: "Supplier’s lot", Mono: true, Width: "w4", Optional: true, Hint: "A GS1 code fills in date and pieces too."}),
		f.field(Field{Name: "date_code", Label: "Date code", Mono: true, Width: "w4", Optional: true}),
		f.field(Field{Name: "supplier", Label: "Supplier", Width: "w4", Optional: true, Suggest: known, Hint: "A new name joins the register."}),
		f.field(Field{Name: "description", Label: "Description", Width: "w8", Optional: true, Hint: "2.34 mm plain, 186 mm"}),
		f.field(Field{Name: "received_on", Label: "Received on", Kind: "date", Width: "w4", Optional: true, Hint: "Empty: today."}),
	}}
	page.Problems = f.summary()
	return send(c, status, "receive", page)
}

func (s *site) addLot(c *gin.Context) error {
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	lot := models.Lot{Code: text("code"), Material: text("material"), Description: text("description"), Supplier: text("supplier"), SupplierCode: text("supplier_code"), DateCode: text("date_code")}
	invalid := &models.InvalidError{}
	if q := text("quantity"); q != "" {
		n, err := strconv.Atoi(q)
		if err != nil {
			invalid.Add("quantity", "not_a_number", "typed", q)
		}
		lot.Quantity = n
	}
	if d := text("received_on"); d != "" {
		day, err := models.ReadDay(d, s.zone())
		if err != nil {
			invalid.Add("received_on", "bad_date", "typed", d)
		}
		lot.ReceivedAt = day
	}
	err := invalid.OrNil()
	if err == nil {
		lot, err = s.services.Receive.AddLot(c.Request.Context(), httpx.Actor(c), lot)
	}
	if answerable(err) {
		return s.showNewLot(c, http.StatusUnprocessableEntity, posted(c, err))
	}
	if err != nil {
		return err
	}
	return redirect(c, lotPath(lot.Code), "lot")
}

func (s *site) newPart(c *gin.Context) error { return s.showNewPart(c, http.StatusOK, nil) }

func (s *site) showNewPart(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	page := ReceiveForm{Frame: s.frame(c, "Receive a motor or block", "/lots"), Title: "Receive a motor or block", Path: "/parts/new", Back: "/lots", Button: "Receive it",
		Says: "They keep their maker’s number. A block without one gets a serial of the shop.", Fields: []Field{
			f.field(Field{Name: "kind", Label: "Kind", Kind: "select", Width: "w4", Choices: choices([]string{models.KindMotor, models.KindBlock}, func(k string) string { return words.Sentence(english.Kind(k)) })}),
			f.field(Field{Name: "supplier", Label: "Supplier", Width: "w4"}),
			f.field(Field{Name: "model", Label: "Model", Width: "w4"}),
			f.field(Field{Name: "maker_number", Label: "Maker’s number", Mono: true, Width: "w8", Optional: true}),
		}}
	page.Problems = f.summary()
	return send(c, status, "receive", page)
}

func (s *site) addPart(c *gin.Context) error {
	item, err := s.services.Receive.AddPart(c.Request.Context(), httpx.Actor(c), receive.NewPart{Kind: c.PostForm("kind"), Supplier: c.PostForm("supplier"), Model: c.PostForm("model"), MakerNumber: c.PostForm("maker_number")})
	if answerable(err) {
		return s.showNewPart(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath(pointed(item.Serial), item.ID), "part")
}

func (s *site) holdLotPage(c *gin.Context) error { return s.showHoldLot(c, http.StatusOK, nil) }

func (s *site) showHoldLot(c *gin.Context, status int, problem error) error {
	code := c.Param("code")
	f := posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Hold a lot", "/lots"), About: code, Mono: true, Title: "Put the whole lot on hold", Button: "Put on hold", Bars: true, Path: lotPath(code) + "/hold", Back: "/lots",
		Says: []string{"No item that holds a part of this lot can be certified until an inspector or the owner lifts the hold."},
		Fields: []Field{f.field(Field{Name: "code", Label: "What is wrong", Kind: "select", Choices: s.faultChoices(""), Focus: true}),
			f.field(Field{Name: "reason", Label: "What you saw", Kind: "text area", Most: models.LongestReason})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) holdLot(c *gin.Context) error {
	_, err := s.services.Release.RaiseHold(c.Request.Context(), httpx.Actor(c), release.HoldRequest{Lot: c.Param("code"), Code: c.PostForm("code"), Reason: strings.TrimSpace(c.PostForm("reason"))})
	if answerable(err) {
		return s.showHoldLot(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/holds", "held")
}

// Filters are what the list is narrowed by.
func (p LotsPage) Filters() []Field { return []Field{p.Material, p.State} }
