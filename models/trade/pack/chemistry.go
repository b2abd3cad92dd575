package pack

import "slices"

// Chemistry is what a block is made of, as far as the tables differ.
type Chemistry string

// The chemistries known here.
const (
	Flooded  Chemistry = "flooded"   // wet lead-acid
	AGM      Chemistry = "agm"       // absorbed glass mat, general
	AGMSmall Chemistry = "agm_small" // absorbed glass mat, small blocks with strong acid
	Gel      Chemistry = "gel"       // gelled lead-acid
	LiFePO4  Chemistry = "lifepo4"   // lithium iron phosphate
	LiIon    Chemistry = "li_ion"    // other lithium-ion
)

// Chemistries lists them all, lead first.
func Chemistries() []Chemistry {
	return []Chemistry{Flooded, AGM, AGMSmall, Gel, LiFePO4, LiIon}
}

// Known says whether the chemistry is one of ours.
func (c Chemistry) Known() bool { return slices.Contains(Chemistries(), c) }

// LeadAcid says whether the rules for lead-acid blocks hold.
func (c Chemistry) LeadAcid() bool {
	return c == Flooded || c == AGM || c == AGMSmall || c == Gel
}

// check refuses a chemistry that is none.
func (c Chemistry) check() error {
	if !c.Known() {
		return fieldf("chemistry", "%q is none of %v", string(c), Chemistries())
	}
	return nil
}

// CellsPer12V is the number of cells of a 12 V lead-acid block, for which the
// tables are written; a 6 V block has half of them.
const CellsPer12V = 6

// MostCells is the most that a block may have.
const MostCells = 24

// checkCells refuses a block that has no cells or more than any block has.
func checkCells(field string, cells int) error {
	if cells < 1 || cells > MostCells {
		return fieldf(field, "a block has 1 to %d cells, not %d", MostCells, cells)
	}
	return nil
}
