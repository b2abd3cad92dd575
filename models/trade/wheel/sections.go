package wheel

// Section is a row of assumed values for the section of a rim: text, because
// a form shows and keeps it as it stands. EA in MN, the others in N m2.
type Section struct {
	Code string // kept with a product: which row its figures came from
	Name string // as a choice reads
	EA   string // stretching
	// InPlaneEI and LateralEI bend in the plane of the wheel and to the side;
	// GJ twists.
	InPlaneEI, LateralEI, GJ string
}

// Sections lists the rows that a form offers. They are assumed, not measured:
// thin-walled closed boxes of aluminium (E 70 GPa, G 26.3 GPa) of about that
// size, with
//
//	A = 2t(b+h-2t)   EI = E(b h^3 - (b-2t)(h-2t)^3)/12   GJ = G 2t(b-t)^2(h-t)^2/(b+h-2t)
//
// (textbook; Bredt for the twist), the open channel of the tyre beside them. A
// rim that is a factor 1.6 off is trued more slowly and is trued; figures of
// the shop's own are better (see PinchDiameterChange, SaddleDeflection).
func Sections() []Section {
	return []Section{
		{"16_wide", "16 inch, wide double wall", "10.5", "130", "600", "110"},
		{"20_double", "20 inch, double wall, about 35 mm", "12", "180", "700", "150"},
		{"20_fat", "20 inch, fat, 45 to 80 mm", "15", "230", "1300", "260"},
		{"24_double", "24 inch, double wall, about 30 mm", "9.8", "150", "420", "100"},
		{"26_double", "26 inch, double wall, about 32 mm", "11", "160", "550", "120"},
		{"28_deep", "28 or 29 inch, about 28 mm, deep", "8.5", "220", "380", "85"},
		{"28_narrow", "28 inch, narrow box", "6", "120", "220", "28"},
	}
}

// SectionCoded gives the row with a code.
func SectionCoded(code string) (Section, bool) {
	for _, s := range Sections() {
		if s.Code == code {
			return s, true
		}
	}
	return Section{}, false
}
