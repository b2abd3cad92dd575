package web

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/stock"
	"tracewright/server/httpx"
)

// chosen are the blocks that a decision is about: one, or those of a lot.
type chosen struct {
	ids   []string
	about string
	mono  bool
	code  string // that fits best
	back  string
	query string // that names them again
}

// chosenBlocks reads them from the address: ?block=KEY, or ?lot=CODE of which
// all that lie loose, or with &flagged=yes those that screening flagged.
func (s *site) chosenBlocks(c *gin.Context) (chosen, error) {
	ctx := c.Request.Context()
	if id := c.Query("block"); id != "" {
		v, err := s.services.Trace.Glance(ctx, id, "")
		if err != nil {
			return chosen{}, err
		}
		path := itemPath(pointed(v.Item.Serial), v.Item.ID)
		return chosen{ids: []string{v.Item.ID}, about: blockName(v.Item), mono: true, back: path, query: "?block=" + url.QueryEscape(id)}, nil
	}
	lot, flagged := c.Query("lot"), c.Query("flagged") != ""
	screening, err := s.services.Stock.Screen(ctx, lot)
	if err != nil {
		return chosen{}, err
	}
	out := chosen{back: "/blocks/lots/" + url.PathEscape(screening.Lot), query: "?lot=" + url.QueryEscape(screening.Lot), code: "lot_suspect"}
	take := func(b models.StockBlock) {
		if aside := b.Disposition != nil && b.Disposition.Decision == models.Quarantine; !aside && !b.Fitted {
			out.ids = append(out.ids, b.Item.ID)
		}
	}
	for _, l := range screening.Losses {
		if l.Flagged || !flagged {
			take(l.Block)
		}
	}
	if flagged {
		out.code, out.query = "loses_charge", out.query+"&flagged=yes"
	} else {
		for _, n := range screening.NotCompared {
			take(n.Block)
		}
	}
	out.about = plural(len(out.ids), "block", "blocks") + " of lot " + screening.Lot
	return out, nil
}

func (s *site) setBlocksAsidePage(c *gin.Context) error {
	return s.showBlocksAside(c, http.StatusOK, nil)
}

func (s *site) showBlocksAside(c *gin.Context, status int, problem error) error {
	blocks, err := s.chosenBlocks(c)
	if err != nil {
		return err
	}
	f := posted(c, problem)
	if problem == nil {
		f = filled(map[string]string{"code": blocks.code})
	}
	page := ConfirmPage{Gloves: true, Frame: s.frame(c, "Set aside", "/blocks"), About: blocks.about, Mono: blocks.mono, Title: "Set aside", Button: "Set aside", Bars: true, Path: "/blocks/set-aside" + blocks.query, Back: blocks.back,
		Says: []string{"What is set aside goes into no pack, here and at the bench, until an inspector or the owner releases it."}}
	if len(blocks.ids) == 0 {
		page.Refused = []string{"None of them lies loose and is not set aside already."}
	}
	page.Fields = []Field{f.field(Field{Name: "code", Label: "Why", Kind: "select", Focus: true, Choices: dispositionChoices(models.Quarantine)}),
		f.field(Field{Name: "reason", Label: "What was seen", Kind: "text area", Optional: true})}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func dispositionChoices(decision string) []Choice {
	return append([]Choice{{"", "choose"}}, choices(models.DispositionCodes[decision], func(code string) string { return words.Sentence(english.Disposition(code)) })...)
}

func (s *site) setBlocksAside(c *gin.Context) error {
	blocks, err := s.chosenBlocks(c)
	if err != nil {
		return err
	}
	_, err = s.services.Stock.SetAside(c.Request.Context(), httpx.Actor(c), decisionOf(c, blocks))
	if answerable(err) {
		return s.showBlocksAside(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, blocks.back, "blocks_aside")
}

func decisionOf(c *gin.Context, blocks chosen) stock.Decision {
	return stock.Decision{Blocks: blocks.ids, Code: c.PostForm("code"), Reason: strings.TrimSpace(c.PostForm("reason"))}
}

func (s *site) releaseBlocksPage(c *gin.Context) error {
	return s.showReleaseBlocks(c, http.StatusOK, nil)
}

func (s *site) showReleaseBlocks(c *gin.Context, status int, problem error) error {
	blocks, err := s.chosenBlocks(c)
	if err != nil {
		return err
	}
	f := posted(c, problem)
	page := ConfirmPage{Gloves: true, Frame: s.frame(c, "Release", "/blocks"), About: blocks.about, Mono: blocks.mono, Title: "Release it", Button: "Release", Path: "/blocks/release" + blocks.query, Back: blocks.back,
		Says: []string{"It may go into a pack again, as far as its readings allow. What was decided before stays on record."}}
	page.Fields = []Field{f.field(Field{Name: "code", Label: "Why it may go on", Kind: "select", Focus: true, Choices: dispositionChoices(models.Release)}),
		f.field(Field{Name: "reason", Label: "What was found", Kind: "text area"})}
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) releaseBlocks(c *gin.Context) error {
	blocks, err := s.chosenBlocks(c)
	if err != nil {
		return err
	}
	if err = s.confirm(c); err == nil {
		_, err = s.services.Stock.Release(c.Request.Context(), httpx.Actor(c), decisionOf(c, blocks))
	}
	if answerable(err) {
		return s.showReleaseBlocks(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, blocks.back, "blocks_free")
}
