package words

// Serial shows a stored serial as it is printed: W26000051 is "W26-00005-1"
// (kind and year, counter, check character). Other text comes back as it is.
//
//go:noinline
func Serial(stored string) string {
	if len(stored) != 9 {
		return stored
	}
	for i := range len(stored) {
		c := stored[i]
		if (c < '0' || c > '9') && (c < 'A' || c > 'Z') {
			return stored
		}
	}
	return stored[:3] + "-" + stored[3:8] + "-" + stored[8:]
}
