package pack

// smallAh is the capacity up to which a 12 V absorbed glass mat block belongs to
// the small ones.
const smallAh = 12.0

// ClassFor gives the class whose default limits hold for a block: by its
// chemistry, its cells and its capacity. A flooded block takes those of absorbed
// glass mat, a lead-acid block of other than six cells those of the 6 V block,
// per cell the same. An unknown chemistry has none.
func ClassFor(chemistry Chemistry, cells int, capacityAh float64) Class {
	switch {
	case chemistry == LiFePO4:
		return ClassLiFePO4
	case chemistry == LiIon:
		return ClassLiIon
	case !chemistry.LeadAcid():
		return ""
	case chemistry == Gel:
		return ClassGel
	case cells != CellsPer12V:
		return ClassSixVolt
	case chemistry == AGMSmall || chemistry == AGM && capacityAh > 0 && capacityAh <= smallAh:
		return ClassAGMSmall
	}
	return ClassAGM
}
