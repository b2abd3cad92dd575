package web

import (
	"cmp"
	"context"
	"math"
	"net/url"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/words"
	"tracewright/models/work/stock"
)

// BlocksPage is the measured stock of one model of block: what may go into a
// pack, and why the rest may not.
type BlocksPage struct {
	Frame
	Model, Lot Field // what is looked at
	Answer     string
	Says       string
	In, Match  Act
	Open       []OpenMatch
	Lots       []LotOfBlocks
	Groups     []BlockGroup
	Cautions   []string
}

// LotOfBlocks is a lot of the list with what screening says of it.
type LotOfBlocks struct {
	Code, Path string
	Blocks     string
	Loss       string // its middle
	Mark       Mark
	Why        string
}

// BlockGroup is the blocks that may be built in, or those that may not.
type BlockGroup struct {
	Name, Note string
	Rows       []BlockRow
	More       string // address of the whole list; empty where all is shown
}

// BlockRow is one block.
type BlockRow struct {
	Name, Path, Lot    string
	Volts, Read        string // at 25 degrees; when
	Milliohm           string
	Charge, Loss, Made string
	Mark               Mark
	Reasons            []string
	Act                *Act
	rank               int // among those not offered
}

// How much of a long group is shown at first: what may not go in is told by its
// lot above, as a rule.
const (
	offeredShown = 60
	notShown     = 10
)

func (s *site) blocks(c *gin.Context) error {
	ctx := c.Request.Context()
	page := BlocksPage{Frame: s.frame(c, "Blocks", "/blocks"), Answer: "No model of block is known yet", Says: "Add a family of blocks and a product for each model; then blocks are taken in here."}
	products, err := s.blockProducts(ctx)
	if err != nil {
		return err
	}
	id, lot := c.Query("model"), c.Query("lot")
	v, err := s.stockShown(ctx, products, id, lot)
	if err != nil {
		return err
	}
	if v != nil {
		s.fillBlocks(&page, products, *v, lot, c.Query("all"))
		if page.Open, err = s.openMatches(ctx); err != nil {
			return err
		}
	}
	return show(c, "blocks", page)
}

// stockShown is the stock that is looked at: that of the model asked for,
// otherwise of the first that has any. nil: there is no model.
func (s *site) stockShown(ctx context.Context, products []models.Product, id, lot string) (*stock.StockView, error) {
	if id != "" {
		products = []models.Product{{ID: id}}
	}
	for i, p := range products {
		v, err := s.services.Stock.Stock(ctx, p.ID, lot)
		if err != nil {
			return nil, err
		}
		if len(v.Blocks) > 0 || i == len(products)-1 {
			return &v, nil
		}
	}
	return nil, nil
}

func (s *site) fillBlocks(page *BlocksPage, products []models.Product, v stock.StockView, lot, all string) {
	page.Model = Field{Name: "model", ID: "model", Label: "Model", Kind: "select", Value: v.Model.ID}
	for _, p := range products {
		page.Model.Choices = append(page.Model.Choices, Choice{p.ID, p.Name})
	}
	page.Lot = Field{Name: "lot", ID: "lot", Label: "Lot", Kind: "select", Value: lot, Choices: []Choice{{"", "every lot"}}}
	if lot != "" {
		page.Lot.Choices = append(page.Lot.Choices, Choice{lot, lot})
	}
	var offered, not []BlockRow
	for _, b := range v.Blocks {
		if row := s.blockRow(page.Frame, b); b.Offered() {
			offered = append(offered, row)
		} else {
			not = append(not, row)
		}
	}
	// What only lies in a match needs nobody: it comes last.
	slices.SortStableFunc(not, func(a, b BlockRow) int { return cmp.Compare(a.rank, b.rank) })
	for _, l := range v.Lots {
		if l.Lot != lot {
			page.Lot.Choices = append(page.Lot.Choices, Choice{l.Lot, l.Lot})
		}
		page.Lots = append(page.Lots, lotOfBlocks(l))
	}
	page.Says = ""
	switch n := len(v.Blocks); {
	case n == 0:
		page.Answer = "No loose block of " + v.Model.Name
	default:
		page.Answer = english.Of(len(offered), n) + " blocks may go into a pack"
	}
	query := url.Values{"model": {v.Model.ID}}
	if page.Actor.May(models.ActReceive) {
		page.In = Act{Text: "Take blocks in", Path: "/blocks/in?" + query.Encode(), First: len(offered) == 0}
	}
	if page.Actor.May(models.ActRecord) && len(offered) > 0 {
		page.Match = Act{Text: "Match into packs", Path: "/match?blocks=" + url.QueryEscape(v.Model.ID), First: true}
	}
	group := func(name, note, key string, rows []BlockRow, most int) {
		if len(rows) == 0 {
			return
		}
		g := BlockGroup{Name: name, Note: note}
		if len(rows) > most && all != key {
			query := url.Values{"model": {v.Model.ID}, "lot": {lot}, "all": {key}}
			g.More, g.Note = "/blocks?"+query.Encode(), english.Of(most, len(rows))+" shown; "+note
			rows = rows[:most]
		}
		g.Rows = rows
		page.Groups = append(page.Groups, g)
	}
	group("Not offered", "each with why", "not", not, notShown)
	group("May go into a pack", "rested, measured of late, within every limit", "offered", offered, offeredShown)
	page.Cautions = []string{english.Caution("short_circuit"), english.Caution("makers_data_first")}
}

func (s *site) blockRow(frame Frame, b stock.Block) BlockRow {
	row := BlockRow{Name: blockName(b.Item), Path: itemPath(pointed(b.Item.Serial), b.Item.ID), Lot: b.Lot, Mark: Mark{"tick", "Offered", "pass"}}
	if r := b.Reading; r != nil {
		row.Volts, row.Read = conformity.ShownText(r.Volts, 3, "", ""), s.day(r.MeasuredAt)
	}
	if r := b.Resistance; r != nil {
		row.Milliohm = conformity.ShownText(r.Milliohm, 2, "", "")
	}
	if b.Charge != nil {
		row.Charge = strconv.FormatFloat(math.Round(*b.Charge), 'f', 0, 64) + "\u00a0%"
	}
	if b.Loss != nil {
		row.Loss = mvDay(b.Loss.MVDay)
	}
	if !b.Made.IsZero() {
		row.Made = words.DateOf(b.Made)
	}
	aside := b.Disposition != nil && b.Disposition.Decision == models.Quarantine
	switch {
	case aside:
		row.Mark = Mark{"bars", "Set aside", "hold"}
	case !b.Offered():
		row.Mark = Mark{"triangle", "Not offered", "care"}
	}
	if len(b.Reasons) == 1 && b.Reasons[0].Code == "block_in_match" {
		row.rank = 1
	}
	for _, r := range b.Reasons {
		row.Reasons = append(row.Reasons, say(r))
	}
	for _, r := range b.Notes {
		row.Reasons = append(row.Reasons, say(r))
	}
	query := "?block=" + url.QueryEscape(b.Item.ID)
	switch {
	case aside && frame.Actor.May(models.ActLiftHold):
		row.Act = &Act{Text: "Release", Path: "/blocks/release" + query}
	case !aside && frame.Actor.May(models.ActRecord):
		row.Act = &Act{Text: "Set aside", Path: "/blocks/set-aside" + query}
	}
	return row
}

// blockName is what people call a block: its maker's number, or its serial.
func blockName(i models.Item) string {
	if i.MakerNumber != nil {
		return *i.MakerNumber
	}
	return words.Serial(i.Name())
}

// mvDay is a loss in mV a day, with a sign only where it rises.
func mvDay(x float64) string { return words.Number(strconv.FormatFloat(x, 'f', 1, 64)) }

func lotOfBlocks(l stock.Screening) LotOfBlocks {
	out := LotOfBlocks{Code: l.Lot, Path: "/blocks/lots/" + url.PathEscape(l.Lot), Blocks: plural(l.Blocks, "block", "blocks"), Mark: lotMark(l)}
	if len(l.Losses) > 0 {
		out.Loss = mvDay(l.Median) + " mV a day"
	}
	switch {
	case len(l.Reasons) > 0:
		out.Why = say(l.Reasons[0])
	case l.Flagged > 0:
		out.Why = plural(l.Flagged, "block stands", "blocks stand") + " out"
	case len(l.Losses) == 0:
		out.Why = "No two readings of a block yet that can be compared."
	}
	return out
}

// lotMark says what screening found in a lot.
func lotMark(l stock.Screening) Mark {
	switch {
	case len(l.Reasons) > 0:
		return Mark{"cross", "In doubt", "fail"}
	case l.Flagged > 0:
		return Mark{"triangle", "Look", "care"}
	case len(l.Losses) == 0:
		return Mark{"square", "To be read again", "none"}
	}
	return Mark{"tick", "Holds its charge", "pass"}
}
