package measure

// Finer reports whether d carries more decimals than an instrument of the
// given resolution shows: 0.210 from a gauge that reads 0.01. Such a reading is
// kept as typed and flagged; it is a hint that a digit was guessed or that the
// instrument named is not the one that was used.
func Finer(d Decimal, resolution Decimal) bool {
	return d.Decimals() > resolution.Decimals()
}
