package calc

import "slices"

// kinds returns the whole table, subject by subject.
func kinds() []Kind {
	return slices.Concat(numberKinds, recordKinds, wheelKinds, packKinds)
}
