package models

import "time"

// Kinds of item.
const (
	KindWheel = "wheel"
	KindPack  = "pack"
	KindKit   = "kit"
	KindMotor = "motor"
	KindBlock = "block"
)

// Family is a group of products that share characteristics, limits and charts.
type Family struct {
	ID        string `gorm:"primaryKey"`
	Kind      string // wheel, pack, block or kit
	Name      string
	CreatedAt time.Time
	CreatedBy string
}

// Product is what an item is an instance of. Its form is revised, never
// edited: ProductRevision.
type Product struct {
	ID        string `gorm:"primaryKey"`
	FamilyID  string
	Name      string
	Revision  int // derived: the newest revision
	CreatedAt time.Time
	CreatedBy string
}

// ProductRevision is one immutable state of a product's short form.
type ProductRevision struct {
	ProductID string      `gorm:"primaryKey"`
	Revision  int         `gorm:"primaryKey"`
	Form      ProductForm `gorm:"serializer:json"`
	Reason    string
	CreatedAt time.Time
	CreatedBy string
}

// ProductForm is the short form a product is made from; Wheel, Pack, Block or Kit
// is set, by the kind of its family.
type ProductForm struct {
	Wheel *WheelForm `json:"wheel,omitempty"`
	Pack  *PackForm  `json:"pack,omitempty"`
	Block *BlockForm `json:"block,omitempty"`
	Kit   *KitForm   `json:"kit,omitempty"`
}

// WheelForm describes a wheel. Lengths are millimetres as decimal text; an
// empty text is "not known".
type WheelForm struct {
	Rim           string         `json:"rim"`                   // as the shop calls it
	Motor         string         `json:"motor"`                 // supplier and model
	Holes         int            `json:"holes"`                 // spokes, 12 to 72, even
	Crossing      int            `json:"crossing" needed:"yes"` // same-side spokes a spoke crosses; 0 is radial
	SpokeType     string         `json:"spoke_type"`            // wire, butting, material
	SideA         string         `json:"side_a"`                // the physical mark of side A: "cable side"
	SideB         string         `json:"side_b"`                //
	DishTarget    string         `json:"dish_target"`           // mm toward A, "0" by default
	DishReference string         `json:"dish_reference"`        // shoulders, face, frame_gauge
	DishNominal   string         `json:"dish_nominal"`          // with face: the distance read on a perfect wheel
	RimMaxTension string         `json:"rim_max_tension"`       // N, the rim maker's figure
	ExpectedRatio string         `json:"expected_ratio"`        // mean tension A over B; empty: not judged
	Geometry      *WheelGeometry `json:"geometry,omitempty"`
	Truing        *WheelTruing   `json:"truing,omitempty"` // nil in forms made before there was a turn list
}

// References a dish is measured from.
const (
	DishShoulders  = "shoulders"
	DishFace       = "face"
	DishFrameGauge = "frame_gauge"
)

// WheelGeometry is what the spoke's angle follows from, in mm.
type WheelGeometry struct {
	RimRadius     string `json:"rim_radius"`
	NippleInset   string `json:"nipple_inset"`
	FlangeRadiusA string `json:"flange_radius_a"`
	FlangeRadiusB string `json:"flange_radius_b"`
	FlangeOffsetA string `json:"flange_offset_a"`
	FlangeOffsetB string `json:"flange_offset_b"`
	SpokeDiameter string `json:"spoke_diameter"`
}

// WheelTruing is what the turn list needs beside the geometry: the rim as an
// elastic ring, and what the shop turns with. Section names the row of assumed
// values that the figures were taken from, or is SectionOwn.
type WheelTruing struct {
	Section     string `json:"section"`
	EA          string `json:"ea"`           // MN, stretching
	InPlaneEI   string `json:"ei_in_plane"`  // N m2, bending in the plane of the wheel
	LateralEI   string `json:"ei_lateral"`   // N m2, bending to the side
	GJ          string `json:"gj"`           // N m2, twisting
	GaugeOutset string `json:"gauge_outset"` // mm, where the lateral gauge touches, outward of the rim's centroid
	ThreadPitch string `json:"thread_pitch"` // mm for a turn of the nipple
	// SmallestTurn is the least part of a turn the shop asks for: 0.125.
	SmallestTurn string `json:"smallest_turn"`
	// EndsLength and MiddleDiameter describe a butted spoke: the thick ends
	// together, and the wire between them, mm. Empty for a plain one.
	EndsLength     string `json:"ends_length,omitempty"`
	MiddleDiameter string `json:"middle_diameter,omitempty"`
	// TensionUncertainty stands in where the gauge's own is not typed in, N.
	TensionUncertainty string `json:"tension_uncertainty,omitempty"`
}

// SectionOwn marks figures of the shop's own, measured or calculated.
const SectionOwn = "own"

// PackForm describes a pack: blocks in series make a string, strings side by
// side make the pack.
type PackForm struct {
	BlockModel       string `json:"block_model"`       // supplier and model of the blocks
	Chemistry        string `json:"chemistry"`         // flooded, agm, agm_small, gel, lifepo4, li_ion
	Cells            int    `json:"cells"`             // cells in one block
	CapacityAh       string `json:"capacity_ah"`       // rated, with its rate in Rate
	Rate             string `json:"rate"`              // "C20"
	Strings          int    `json:"strings"`           // side by side, at least 1
	Blocks           int    `json:"blocks"`            // in one string
	NominalV         string `json:"nominal_v"`         // of the whole pack
	ResistanceMethod string `json:"resistance_method"` // ac_1khz or dc_two_point
	ResistanceLow    string `json:"resistance_low"`    // plausible window of one block, milliohm
	ResistanceHigh   string `json:"resistance_high"`
	MinRestHours     string `json:"min_rest_hours"` // before a voltage may be judged
	// BlockProduct is the product of the block model that the pack is made of,
	// and BlockRevision the revision of its form that the figures above were
	// taken from; empty and 0 in forms that give the figures themselves.
	BlockProduct  string `json:"block_product,omitempty"`
	BlockRevision int    `json:"block_revision,omitempty"`
	// VoltageTable and Limits are those of the block model at that revision: the
	// pack is judged and kept by them. Forms that name no model have none, nor
	// those that were stored before packs took them over: common practice holds.
	VoltageTable []ChargePoint     `json:"voltage_table,omitempty"`
	Limits       map[string]string `json:"limits,omitempty"`
	// TestSummary is the number of the transport test summary of this pack's own
	// design (UN Manual of Tests and Criteria 38.3), or the exception it goes by:
	// of lithium alone.
	TestSummary string `json:"transport_test_summary,omitempty"`
}

// Methods of measuring a block's resistance; never mixed in one set.
const (
	ResistanceAC = "ac_1khz"
	ResistanceDC = "dc_two_point"
)
