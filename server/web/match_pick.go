package web

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models/trade/pack"
	"tracewright/models/words"
	"tracewright/models/work/stock"
	"tracewright/server/httpx"
)

// PickPage picks the blocks of one pack by hand and shows how far they lie apart
// as they are picked. What is picked so far stands in the address: nothing is
// stored before the pack is kept.
type PickPage struct {
	Frame
	Product, Lot, Name string
	Picked             []PickedBlock
	Ask                string // "Scan block 3 of 4"; empty when the pack is whole
	Back               string // address without the last one
	Answer             string
	Grade              Mark
	Spread             [2]PickedSpread
	Refused            []string
	Typed              string
	Whole              bool
	Reason             Field // asked for where they lie apart beyond the limits
	Needs              bool
	Offered            []PickedBlock // to tap, nearest to the first picked
	Problems           Problems
}

// PickedBlock is a block that is picked, or may be.
type PickedBlock struct{ ID, Name, At, Volts, Milliohm, Path string }

// PickedSpread is one quantity's spread against its limits.
type PickedSpread struct{ Label, Value, Limits, Grade string }

// pickShown is how many blocks are offered to tap.
const pickShown = 24

func (s *site) matchPick(c *gin.Context) error { return s.showPick(c, http.StatusOK, nil) }

func (s *site) showPick(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	ask, err := askOf(c.Query)
	if err != nil {
		return err
	}
	picked := c.QueryArray("pick")
	page := PickPage{Frame: s.frame(c, "Pick blocks by hand", "/blocks"), Product: ask.Product, Lot: ask.Lot}
	product, err := s.services.Specify.Product(ctx, ask.Product)
	if err != nil {
		return err
	}
	page.Name = product.Product.Name
	if typed := strings.TrimSpace(c.Query("block")); typed != "" {
		p, err := s.services.Stock.Spread(ctx, ask, append(append([]string{}, picked...), typed))
		switch {
		case answerable(err):
			page.Typed, page.Refused = typed, reasonsOf(err)
		case err != nil:
			return err
		case len(p.Against) > 0:
			page.Typed = typed
			for _, l := range p.Against {
				page.Refused = append(page.Refused, l.Name+" cannot go in.")
				for _, r := range l.Reasons {
					page.Refused = append(page.Refused, say(r))
				}
			}
		case len(picked) < p.Size:
			c.Redirect(http.StatusSeeOther, pickPath(ask, append(picked, p.Blocks[len(p.Blocks)-1].Item)))
			return nil
		}
	}
	p, err := s.services.Stock.Spread(ctx, ask, picked)
	if err != nil {
		return err
	}
	s.fillPick(&page, ask, p, posted(c, problem))
	return send(c, status, "match_pick", page)
}

// pickPath is the address of a pack as it is picked so far.
func pickPath(ask stock.Ask, picked []string) string {
	query := url.Values{"product": {ask.Product}, "pick": picked}
	if ask.Lot != "" {
		query.Set("lot", ask.Lot)
	}
	return "/match/pick?" + query.Encode()
}

func (s *site) fillPick(page *PickPage, ask stock.Ask, p stock.Picking, f *form) {
	var ids []string
	for i, b := range p.Blocks {
		ids = append(ids, b.Item)
		page.Picked = append(page.Picked, pickedBlock(b, strconv.Itoa(i+1), ""))
	}
	page.Whole = len(ids) == p.Size
	if n := len(ids); n > 0 {
		page.Back = pickPath(ask, ids[:n-1])
	}
	page.Answer = english.Of(len(ids), p.Size) + " picked"
	if !page.Whole {
		page.Ask = "Scan block " + strconv.Itoa(len(ids)+1) + " of " + strconv.Itoa(p.Size)
	}
	if p.Graded {
		page.Grade, page.Needs = pickedGrade(p.Group)
		page.Spread = [2]PickedSpread{
			{"Voltage", words.Quantity(strconv.FormatInt(p.Group.RangeMV, 10), "mV"), "A to " + words.Quantity(inMilli(p.Limits.VoltageA), "mV") + ", B to " + words.Quantity(inMilli(p.Limits.VoltageB), "mV"), p.Group.ByVoltage},
			{"Resistance", milliohm(p.Group.RangeUohm) + ", " + strconv.FormatFloat(p.Group.RangePct, 'f', 1, 64) + "\u00a0%", "A to " + p.Limits.ResistA + "\u00a0%, B to " + p.Limits.ResistB + "\u00a0%", p.Group.ByResistance},
		}
	}
	page.Reason = f.field(Field{Name: "reason", Label: "Why they go together all the same", Optional: !page.Needs})
	page.Problems = f.summary()
	for i, b := range p.Nearest {
		if i == pickShown || page.Whole {
			break
		}
		page.Offered = append(page.Offered, pickedBlock(b, "", pickPath(ask, append(append([]string{}, ids...), b.Item))))
	}
}

func pickedBlock(b stock.Measured, at, path string) PickedBlock {
	return PickedBlock{ID: b.Item, Name: b.Name, At: at, Path: path, Volts: words.Quantity(strconv.FormatFloat(float64(b.MV)/1000, 'f', 3, 64), "V"), Milliohm: milliohm(b.Uohm)}
}

// pickedGrade is the mark of a pack as it is picked, and whether a reason is
// asked for.
func pickedGrade(g stock.Group) (Mark, bool) {
	mark := gradeMark(g)
	if mark.Word == "" {
		mark = Mark{"tick", "grade A so far", "pass"}
	}
	return mark, g.ByVoltage == pack.GradeReject || g.ByResistance == pack.GradeReject
}

// inMilli is a limit in V as mV.
func inMilli(volts string) string {
	x, err := strconv.ParseFloat(volts, 64)
	if err != nil {
		return volts
	}
	return strconv.FormatFloat(x*1000, 'f', -1, 64)
}

// pickMatch keeps a picked pack: in place where each block was laid there as it
// was scanned, to be confirmed otherwise.
func (s *site) pickMatch(c *gin.Context) error {
	ask, err := askOf(c.Query)
	if err != nil {
		return err
	}
	v, err := s.services.Stock.Pick(c.Request.Context(), httpx.Actor(c), ask, stock.Picks{Packs: [][]string{c.QueryArray("pick")}, Reason: c.PostForm("reason"), InPlace: c.PostForm("placed") != ""})
	if answerable(err) {
		return s.showPick(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/match/"+v.ID, "")
}
