package genealogy

import (
	"slices"
	"time"
)

// Handled says that an item was measured or worked on: with what, where, by
// whom, when.
type Handled struct {
	Item       string
	Instrument string
	Place      string
	Person     string
	At         time.Time
}

// ByInstrument are the items that an instrument measured after one moment and
// up to another: from the last time that it was found right, which is not in
// doubt, to the time that it was found wrong, which is.
func ByInstrument(all []Handled, instrument string, after, until time.Time) []string {
	return items(all, func(h Handled) bool {
		return h.Instrument == instrument && h.At.After(after) && !h.At.After(until)
	})
}

// ByPerson are the items that a person had in hand at a place from one moment
// on and before another. An empty place is any.
func ByPerson(all []Handled, person, place string, from, before time.Time) []string {
	return items(all, func(h Handled) bool {
		return h.Person == person && (place == "" || h.Place == place) && !h.At.Before(from) && h.At.Before(before)
	})
}

// items are those of what is wanted, each once, in bytewise order.
func items(all []Handled, wanted func(Handled) bool) []string {
	var out []string
	for _, h := range all {
		if wanted(h) {
			out = append(out, h.Item)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
