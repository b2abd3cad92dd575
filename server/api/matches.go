package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/stock"
	"tracewright/server/httpx"
)

// sentAsk says which packs are wanted, as it is sent.
type sentAsk struct {
	Product string `json:"product"` // of the packs
	Blocks  string `json:"blocks"`  // product of the block model
	Lot     string `json:"lot"`
	Count   int    `json:"count"`
	Least   string `json:"least"`
	SameLot bool   `json:"same_lot"`
}

func (a sentAsk) ask() stock.Ask {
	return stock.Ask{Product: a.Product, Blocks: a.Blocks, Lot: a.Lot, Count: a.Count, Least: a.Least, SameLot: a.SameLot}
}

// openMatches lists the matches that were neither kept nor dropped.
func (a *api) openMatches(c *gin.Context) error {
	ctx := c.Request.Context()
	open, err := a.services.Stock.OpenMatches(ctx)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	lines := make([]matchLine, len(open))
	for i, m := range open {
		if lines[i], err = a.matchLine(ctx, m, names); err != nil {
			return err
		}
	}
	return answer(c, http.StatusOK, gin.H{"matches": lines})
}

// proposeMatch chooses packs out of the measured stock.
func (a *api) proposeMatch(c *gin.Context) error {
	var in sentAsk
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	v, err := a.services.Stock.Propose(c.Request.Context(), httpx.Actor(c), in.ask())
	if err != nil {
		return err
	}
	return a.createdMatch(c, v)
}

// pickMatch stores packs that were picked by hand.
func (a *api) pickMatch(c *gin.Context) error {
	var in struct {
		sentAsk
		Packs   [][]string `json:"packs"`
		Reason  string     `json:"reason"`
		InPlace bool       `json:"in_place"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	v, err := a.services.Stock.Pick(c.Request.Context(), httpx.Actor(c), in.ask(), stock.Picks{Packs: in.Packs, Reason: in.Reason, InPlace: in.InPlace})
	if err != nil {
		return err
	}
	return a.createdMatch(c, v)
}

func (a *api) createdMatch(c *gin.Context, v stock.View) error {
	shape, err := a.matchOf(c.Request.Context(), v)
	if err != nil {
		return err
	}
	return created(c, "/matches/"+v.ID, shape)
}

// spreadOfPicked measures blocks that are being picked for one pack.
func (a *api) spreadOfPicked(c *gin.Context) error {
	var in struct {
		sentAsk
		Picked []string `json:"picked"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	p, err := a.services.Stock.Spread(c.Request.Context(), in.ask(), in.Picked)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, spreadOf(p))
}

func (a *api) match(c *gin.Context) error {
	v, err := a.services.Stock.Match(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return a.answerMatch(c, v)
}

func (a *api) answerMatch(c *gin.Context, v stock.View) error {
	shape, err := a.matchOf(c.Request.Context(), v)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

// placeBlock confirms that a block lies in its place.
func (a *api) placeBlock(c *gin.Context) error {
	var in struct {
		Block    string `json:"block"`
		Pack     int    `json:"pack"`
		Place    int    `json:"place"`
		Override string `json:"override"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	v, err := a.services.Stock.Confirm(c.Request.Context(), httpx.Actor(c), c.Param("id"), in.Block, stock.Slot{Pack: in.Pack, Place: in.Place}, in.Override)
	if err != nil {
		return err
	}
	return a.answerMatch(c, v)
}

// keepMatch makes a match into packs.
func (a *api) keepMatch(c *gin.Context) error {
	v, err := a.services.Stock.Keep(c.Request.Context(), httpx.Actor(c), c.Param("id"))
	if err != nil {
		return err
	}
	return a.answerMatch(c, v)
}

// dropMatch ends a match without packs.
func (a *api) dropMatch(c *gin.Context) error {
	var in struct {
		Reason string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	if err := a.services.Stock.Drop(ctx, httpx.Actor(c), c.Param("id"), in.Reason); err != nil {
		return err
	}
	v, err := a.services.Stock.Match(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	return a.answerMatch(c, v)
}

// blockHistory lists what was decided about a block.
func (a *api) blockHistory(c *gin.Context) error {
	q := query(c)
	ctx := c.Request.Context()
	item, list, err := a.services.Stock.History(ctx, c.Param("block"), q["model"])
	if err != nil {
		return err
	}
	known, rested, err := a.services.Stock.Known(ctx, item.ID)
	if err != nil {
		return err
	}
	against, err := a.services.Stock.Against(ctx, []models.FittedPart{{PartID: &item.ID, Role: models.KindBlock, FittedAt: a.services.Now()}})
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	events := make([]blockDecision, len(list))
	for i, d := range list {
		events[i] = blockDecision{d.Decision, decided{d.Code, d.Reason, named(names, d.DecidedBy), instant(d.DecidedAt)}}
	}
	out := gin.H{"block": blockNameOf(item), "aside": len(list) > 0 && list[len(list)-1].Decision == models.Quarantine, "decisions": events, "against": remarks(against[item.ID])}
	if known.Match != "" {
		out["match"] = known.Match
	}
	if rested != nil {
		out["rest_v"], out["read_at"] = rested.Volts, instant(rested.MeasuredAt)
	}
	return answer(c, http.StatusOK, out)
}

// blockDecision is one decision about a block.
type blockDecision struct {
	Decision string `json:"decision"`
	decided
}
