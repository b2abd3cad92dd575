package api

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/stock"
	"tracewright/server/httpx"
)

// blockLine is a block of the measured stock.
type blockLine struct {
	blockName
	Lot       string   `json:"lot,omitempty"`
	MadeOn    string   `json:"made_on,omitempty"`
	Offered   bool     `json:"offered"`
	Reasons   []remark `json:"reasons"` // why it is not offered
	Notes     []remark `json:"notes"`
	ReadAt    *instant `json:"read_at,omitempty"` // of the newest reading at rest
	Volts     string   `json:"volts,omitempty"`   // at 25 degrees
	ChargePct *float64 `json:"charge_pct,omitempty"`
	Milliohm  string   `json:"milliohm,omitempty"` // at 25 degrees
	Method    string   `json:"method,omitempty"`
	LossMVDay *float64 `json:"loss_mv_day,omitempty"`
	LossZ     *float64 `json:"loss_z,omitempty"`
	SetAside  *decided `json:"set_aside,omitempty"`
}

// decided is the decision that holds.
type decided struct {
	Code   string  `json:"code"`
	Reason string  `json:"reason,omitempty"`
	By     string  `json:"by"` // name
	At     instant `json:"at"`
}

func blockLineOf(b stock.Block, names map[string]string) blockLine {
	line := blockLine{blockName: blockNameOf(b.Item), Lot: b.Lot, Offered: b.Offered(), Reasons: remarks(b.Reasons), Notes: remarks(b.Notes)}
	if !b.Made.IsZero() {
		line.MadeOn = dayText(b.Made)
	}
	if r := b.Reading; r != nil {
		at := instant(r.MeasuredAt)
		line.ReadAt, line.Volts = &at, r.Volts
	}
	if b.Charge != nil {
		pct := rounded(*b.Charge, 1)
		line.ChargePct = &pct
	}
	if r := b.Resistance; r != nil {
		line.Milliohm, line.Method = r.Milliohm, r.Manner
	}
	if l := b.Loss; l != nil {
		k, z := rounded(l.MVDay, 2), rounded(l.Z, 2)
		line.LossMVDay, line.LossZ = &k, &z
	}
	if d := b.Disposition; d != nil && d.Decision == models.Quarantine {
		line.SetAside = &decided{d.Code, d.Reason, names[d.DecidedBy], instant(d.DecidedAt)}
	}
	return line
}

// lotLine is a lot as a whole.
type lotLine struct {
	Lot            string   `json:"lot"`
	Blocks         int      `json:"blocks"`
	Compared       int      `json:"compared"`
	Flagged        int      `json:"flagged"`
	MedianMVDay    *float64 `json:"median_mv_day,omitempty"`
	StepMVDay      *float64 `json:"step_mv_day,omitempty"` // what one step of the meter makes: nothing finer is known
	MedianVolts    *float64 `json:"median_volts,omitempty"`
	MedianMilliohm *float64 `json:"median_milliohm,omitempty"`
	OfModel        *float64 `json:"resistance_of_model,omitempty"` // its middle over the model's
	Others         []string `json:"other_models,omitempty"`        // each compared by itself
	Suspect        []remark `json:"suspect"`                       // why the whole lot is in doubt
}

func lotLineOf(v stock.Screening) lotLine {
	line := lotLine{Lot: v.Lot, Blocks: v.Blocks, Compared: len(v.Losses), Flagged: v.Flagged, Suspect: remarks(v.Reasons)}
	for _, m := range v.Others {
		line.Others = append(line.Others, m.Name)
	}
	set := func(into **float64, x float64, decimals int, known bool) {
		if known {
			y := rounded(x, decimals)
			*into = &y
		}
	}
	set(&line.MedianMVDay, v.Median, 2, len(v.Losses) > 0)
	set(&line.StepMVDay, v.Step, 2, len(v.Losses) > 0)
	set(&line.MedianVolts, v.Rule.MedianOCV, 3, v.Rule.OCVKnown)
	set(&line.MedianMilliohm, v.Rule.MedianResistance, 2, v.Rule.ResistanceKnown)
	set(&line.OfModel, v.Rule.Ratio, 2, v.Rule.RatioIsKnown)
	return line
}

// blocks is the measured stock of a model.
func (a *api) blocks(c *gin.Context) error {
	q := query(c)
	ctx := c.Request.Context()
	v, err := a.services.Stock.Stock(ctx, q["model"], q["lot"])
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	lines, offered := make([]blockLine, len(v.Blocks)), 0
	for i, b := range v.Blocks {
		if lines[i] = blockLineOf(b, names); b.Offered() {
			offered++
		}
	}
	lots := make([]lotLine, len(v.Lots))
	for i, l := range v.Lots {
		lots[i] = lotLineOf(l)
	}
	return answer(c, http.StatusOK, gin.H{"model": gin.H{"id": v.Model.ID, "name": v.Model.Name, "revision": v.Model.Revision}, "offered": offered, "blocks": lines, "lots": lots})
}

// screenedBlock is a block of a lot, compared with the others.
type screenedBlock struct {
	blockName
	Flagged  bool     `json:"flagged"`
	MVDay    *float64 `json:"mv_day,omitempty"`
	Z        *float64 `json:"z,omitempty"`
	Days     *float64 `json:"days,omitempty"`
	FirstAt  *instant `json:"first_at,omitempty"`
	SecondAt *instant `json:"second_at,omitempty"`
	Remarks  []remark `json:"remarks"`
}

// screenLot compares the blocks of one lot.
func (a *api) screenLot(c *gin.Context) error {
	v, err := a.services.Stock.Screen(c.Request.Context(), c.Param("lot"))
	if err != nil {
		return err
	}
	blocks := []screenedBlock{}
	for _, l := range v.Losses {
		k, z, days := rounded(l.MVDay, 3), rounded(l.Z, 2), rounded(l.Days, 2)
		first, second := instant(l.First.MeasuredAt), instant(l.Second.MeasuredAt)
		blocks = append(blocks, screenedBlock{blockName: blockNameOf(l.Block.Item), Flagged: l.Flagged, MVDay: &k, Z: &z, Days: &days, FirstAt: &first, SecondAt: &second, Remarks: remarks(l.Why)})
	}
	for _, n := range v.NotCompared {
		blocks = append(blocks, screenedBlock{blockName: blockNameOf(n.Block.Item), Remarks: remarks([]models.Remark{n.Why})})
	}
	return answer(c, http.StatusOK, gin.H{"lot": lotLineOf(v), "blocks": blocks})
}

// sentDecision decides about blocks.
type sentDecision struct {
	Blocks []string `json:"blocks"`
	Model  string   `json:"model"`
	Code   string   `json:"code"`
	Reason string   `json:"reason"`
}

func (a *api) setBlocksAside(c *gin.Context) error {
	var in sentDecision
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	return a.decideBlocks(c, in, a.services.Stock.SetAside)
}

// releaseBlocks lets blocks go; like every decision that lets something pass it
// is confirmed.
func (a *api) releaseBlocks(c *gin.Context) error {
	var in struct {
		sentDecision
		Confirm access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
		return err
	}
	return a.decideBlocks(c, in.sentDecision, a.services.Stock.Release)
}

func (a *api) decideBlocks(c *gin.Context, in sentDecision, decide func(context.Context, models.Actor, stock.Decision) ([]models.Item, error)) error {
	items, err := decide(c.Request.Context(), httpx.Actor(c), stock.Decision{Blocks: in.Blocks, Model: in.Model, Code: in.Code, Reason: in.Reason})
	if err != nil {
		return err
	}
	named := make([]blockName, len(items))
	for i, item := range items {
		named[i] = blockNameOf(item)
	}
	return answer(c, http.StatusCreated, gin.H{"blocks": named})
}
