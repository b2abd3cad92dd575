package stock

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"tracewright/models"
	"tracewright/models/trade/pack"
)

// Content is a match as it was made: what it was made of, by which limits, and
// what came out. Its JSON is stored byte for byte.
type Content struct {
	Picked bool   `json:"picked"`           // by hand; otherwise proposed
	Reason string `json:"reason,omitempty"` // of the person who picked, where blocks lie apart beyond the limits

	Model    string `json:"model"` // product of the blocks
	Revision int    `json:"revision"`
	Form     int    `json:"pack_revision"`
	Strings  int    `json:"strings"`
	Blocks   int    `json:"blocks"` // in one string
	// LimitsVersion and TableVersion name the defaults and tables of package pack.
	LimitsVersion string `json:"limits_version"`
	TableVersion  string `json:"table_version"`
	Rules         Rules  `json:"rules"`

	Input      []Measured `json:"input"` // what was offered, in the order of their keys
	Packs      []Group    `json:"packs"` // cheapest first
	Left       []Left     `json:"left"`
	NotOffered []Left     `json:"not_offered"`

	Cost      float64 `json:"cost"`
	Bound     float64 `json:"bound"`               // no choice of as many packs costs less
	GapPct    float64 `json:"gap_pct"`             // that the cost may at most lie above the least there is
	GapKnown  bool    `json:"gap_known"`           // not above a bound of zero
	Exact     bool    `json:"exact"`               // no choice is better
	BestCount int64   `json:"best_count"`          // choices of this cost; 0 when not known
	MostPacks int     `json:"most_packs"`          // that can be made
	Tightened bool    `json:"tightened,omitempty"` // the limit of resistance is that of a pack of an earlier choice, which broke its own, or of the lowest block
}

// Rules are what every pack keeps and what a cost is counted by.
type Rules struct {
	Least     string `json:"least"` // sum, max
	Asked     int    `json:"asked"` // packs; 0: as many as can be made
	ScaleMV   int64  `json:"scale_mv"`
	ScaleUohm int64  `json:"scale_uohm"`
	MaxMV     *int64 `json:"max_mv,omitempty"`
	MaxUohm   *int64 `json:"max_uohm,omitempty"`
	MaxDays   *int64 `json:"max_days,omitempty"`
	SameLot   bool   `json:"same_lot"`
}

// Measured is a block as it was offered.
type Measured struct {
	Item       string `json:"item"`
	Name       string `json:"name"`
	Lot        string `json:"lot,omitempty"`
	Made       string `json:"made,omitempty"`
	MV         int64  `json:"mv"`
	Uohm       int64  `json:"uohm"`
	Reading    string `json:"reading"`    // inspection of the voltage
	Resistance string `json:"resistance"` // inspection of the resistance
}

// Group is one pack, its blocks in their places from minus to plus, string by
// string.
type Group struct {
	Blocks       []string `json:"blocks"` // keys
	RangeMV      int64    `json:"range_mv"`
	RangeUohm    int64    `json:"range_uohm"`
	RangePct     float64  `json:"range_pct"` // of resistance over its median
	Cost         float64  `json:"cost"`
	ByVoltage    string   `json:"by_voltage"` // grade: A, B, reject
	ByResistance string   `json:"by_resistance"`
	Lots         int      `json:"lots"`
	Days         int64    `json:"days"` // between the first made and the last
	Reason       string   `json:"reason"`
}

// Why a pack is as it is.
const (
	LowestInBoth     = "lowest_in_both"      // of all packs
	LowestLeftInBoth = "lowest_left_in_both" // of those after it
	LowestLeft       = "lowest_left"         // by cost
	WhatIsLeft       = "what_is_left"        // the last one
	ByHand           = "by_hand"
)

// Left is a block that is in no pack, and why.
type Left struct {
	Item    string          `json:"item"`
	Name    string          `json:"name"`
	Reasons []models.Remark `json:"reasons"`
}

// encode is the stored form and its hash.
func (c Content) encode() (text, hash string, err error) {
	raw, err := json.Marshal(c)
	if err != nil {
		return "", "", fmt.Errorf("content of a match: %w", err)
	}
	sum := sha256.Sum256(raw)
	return string(raw), hex.EncodeToString(sum[:]), nil
}

func decode(text string) (Content, error) {
	var c Content
	if err := json.Unmarshal([]byte(text), &c); err != nil {
		return Content{}, fmt.Errorf("read the content of a match: %w", err)
	}
	return c, nil
}

// grade measures a pack by its own limits: the range of voltage and that of
// resistance over its median, exactly.
func (g *Group) grade(blocks []Measured, cells int, limits pack.SpreadLimits) error {
	volts, ohms := decimals(blocks)
	spread, err := pack.Spread(volts, ohms, cells, limits)
	if err != nil {
		return fmt.Errorf("spread of a pack: %w", err)
	}
	g.ByVoltage, g.ByResistance, g.RangePct = spread.ByVoltage, spread.ByResistance, spread.ResistPct
	return nil
}
