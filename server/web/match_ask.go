package web

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/pack"
	"tracewright/models/words"
	"tracewright/models/work/stock"
	"tracewright/server/httpx"
)

// MatchAskPage asks which packs are wanted, and lists the matches that are open.
type MatchAskPage struct {
	Frame
	Answer   string
	Fields   []Field
	Problems Problems
	Open     []OpenMatch
}

// OpenMatch is a match that was neither kept nor dropped.
type OpenMatch struct{ Path, Product, Made string }

func (s *site) matchAsk(c *gin.Context) error { return s.showMatchAsk(c, http.StatusOK, nil) }

func (s *site) showMatchAsk(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	products, err := s.packsOfBlocks(ctx, c.Query("blocks"))
	if err != nil {
		return err
	}
	page := MatchAskPage{Frame: s.frame(c, "Match blocks into packs", "/blocks"), Answer: "Which packs?"}
	if len(products) == 0 {
		page.Answer = "No pack says which blocks it is made of: name the block model in its form"
	}
	f := posted(c, problem)
	if problem == nil {
		f = filled(map[string]string{"lot": c.Query("lot")})
	}
	page.Fields = []Field{
		f.field(Field{Name: "product", Label: "Pack", Kind: "select", Width: "w4", Choices: choicesOf(products), Focus: true}),
		f.field(Field{Name: "count", Label: "How many", Mode: "numeric", Width: "w4", Optional: true, Hint: "Empty: the most that can be made."}),
		f.field(Field{Name: "lot", Label: "Of the lot", Mono: true, Width: "w4", Optional: true}),
		f.field(Field{Name: "least", Label: "Keep low", Kind: "select", Width: "w6", Choices: []Choice{{pack.LeastSum, "the spread of all packs together"}, {pack.LeastMax, "the spread of the worst pack"}}}),
		f.field(Field{Name: "same_lot", Label: "Blocks of one lot in each pack", Kind: "check", Width: "w6", Optional: true}),
	}
	page.Problems = f.summary()
	if page.Open, err = s.openMatches(ctx); err != nil {
		return err
	}
	return send(c, status, "match_ask", page)
}

func choicesOf(products []models.Product) []Choice {
	list := make([]Choice, len(products))
	for i, p := range products {
		list[i] = Choice{p.ID, p.Name}
	}
	return list
}

// packsOfBlocks lists the packs that are made of a block model; of any when none
// is named.
func (s *site) packsOfBlocks(ctx context.Context, model string) ([]models.Product, error) {
	packs, err := s.productsOf(ctx, models.KindPack)
	if err != nil {
		return nil, err
	}
	var list []models.Product
	for _, p := range packs {
		v, err := s.services.Specify.Product(ctx, p.ID)
		if err != nil {
			return nil, err
		}
		if form := v.Form.Form.Pack; form != nil && form.BlockProduct != "" && (model == "" || form.BlockProduct == model) {
			list = append(list, p)
		}
	}
	return list, nil
}

func (s *site) openMatches(ctx context.Context) ([]OpenMatch, error) {
	open, err := s.services.Stock.OpenMatches(ctx)
	if err != nil || len(open) == 0 {
		return nil, err
	}
	people, err := s.people(ctx)
	if err != nil {
		return nil, err
	}
	var list []OpenMatch
	for _, m := range open {
		v, err := s.services.Specify.Product(ctx, m.ProductID)
		if err != nil {
			return nil, err
		}
		list = append(list, OpenMatch{"/match/" + m.ID, v.Product.Name, s.hour(m.MadeAt) + ", " + name(people, m.MadeBy)})
	}
	return list, nil
}

// askOf reads which packs are wanted.
func askOf(value func(string) string) (stock.Ask, error) {
	text := func(name string) string { return strings.TrimSpace(value(name)) }
	ask := stock.Ask{Product: text("product"), Lot: text("lot"), Least: text("least"), SameLot: text("same_lot") != ""}
	if n := text("count"); n != "" {
		var err error
		if ask.Count, err = strconv.Atoi(n); err != nil {
			return ask, models.Invalid("count", "not_a_number", "typed", n)
		}
	}
	return ask, nil
}

// propose makes a proposal, or goes to where blocks are picked by hand.
func (s *site) propose(c *gin.Context) error {
	ask, err := askOf(c.PostForm)
	if err == nil && c.PostForm("by") == "hand" {
		query := url.Values{"product": {ask.Product}, "lot": {ask.Lot}}
		c.Redirect(http.StatusSeeOther, "/match/pick?"+query.Encode())
		return nil
	}
	var v stock.View
	if err == nil {
		v, err = s.services.Stock.Propose(c.Request.Context(), httpx.Actor(c), ask)
	}
	if answerable(err) {
		return s.showMatchAsk(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/match/"+v.ID, "")
}

func (s *site) dropMatchPage(c *gin.Context) error { return s.showDropMatch(c, http.StatusOK, nil) }

func (s *site) showDropMatch(c *gin.Context, status int, problem error) error {
	v, err := s.services.Stock.Match(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := ConfirmPage{Gloves: true, Frame: s.frame(c, "Drop the match", "/blocks"), About: v.Product.Name, Title: "Drop the match", Button: "Drop it", Path: "/match/" + v.ID + "/drop", Back: "/match/" + v.ID,
		Says:   []string{"No pack is made of it, and its blocks are free again. What was proposed and scanned stays on record."},
		Fields: []Field{f.field(Field{Name: "reason", Label: "Why", Kind: "text area", Focus: true})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) dropMatch(c *gin.Context) error {
	err := s.services.Stock.Drop(c.Request.Context(), httpx.Actor(c), c.Param("id"), c.PostForm("reason"))
	if answerable(err) {
		return s.showDropMatch(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/match", "match_dropped")
}

// quantityOf is a spread as people read it: "15 mV, 0.10 mΩ".
func quantityOf(mv, uohm int64) string {
	return words.Quantity(strconv.FormatInt(mv, 10), "mV") + ", " + milliohm(uohm)
}

func milliohm(uohm int64) string {
	return words.Quantity(strconv.FormatFloat(float64(uohm)/1000, 'f', 2, 64), "mohm")
}
