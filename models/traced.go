package models

// Traced is a trace through what is built into what: every fitting on the way,
// oldest first, and the items that they name.
type Traced struct {
	Fitted []PartView
	Items  []Item
}

// Outermost maps parts to what each is built into now, followed to the last of it; a
// part that is in nothing to itself.
func (t Traced) Outermost(parts []string) map[string]string {
	in, out := map[string]string{}, make(map[string]string, len(parts))
	for _, p := range t.Fitted {
		if p.PartID != nil && p.InNow() {
			in[*p.PartID] = p.ItemID
		}
	}
	for _, part := range parts {
		out[part] = part
		for range in { // No longer than that: a loop in the records ends.
			next, held := in[out[part]]
			if !held {
				break
			}
			out[part] = next
		}
	}
	return out
}
