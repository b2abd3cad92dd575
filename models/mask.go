package models

// Why a station may be masked.
const (
	MaskWeld   = "weld"
	MaskPaint  = "paint" // paint or decal
	MaskJoint  = "joint"
	MaskDamage = "damage"
	MaskOther  = "other" // Note says what
)

// MaskReasons lists them in the order in which they are offered.
var MaskReasons = []string{MaskWeld, MaskPaint, MaskJoint, MaskDamage, MaskOther}

// Mask takes one station out of a set: what lay under the gauge there was not
// the rim's shape. Note is needed where the reason is [MaskOther].
type Mask struct {
	Index  Position `json:"index"`
	Reason string   `json:"reason"`
	Note   string   `json:"note,omitempty"`
}

// canonical is the mask as its JSON has it, and as it is recorded.
func (m Mask) canonical() fields {
	f := fields{"index": m.Index.canonical(), "reason": m.Reason}
	put(f, "note", m.Note)
	return f
}

func canonicalMasks(masks []Mask) []any {
	list := make([]any, len(masks))
	for i, m := range masks {
		list[i] = m.canonical()
	}
	return list
}
