package store

// numberedPart is a motor or block that an inspection fits into its item.
type numberedPart struct {
	id string
	of *inspectionWrite
}

// numberedOf lists the motors and blocks that inspections fit, each once: of two
// that fit the same one into different items the second is not to have it.
func numberedOf(group []*inspectionWrite) []numberedPart {
	var list []numberedPart
	into := map[string]string{} // part -> item
	for _, w := range group {
		for _, p := range w.Parts {
			if p.PartID == nil {
				continue
			}
			switch item, known := into[*p.PartID]; {
			case !known:
				into[*p.PartID] = w.Inspection.ItemID
				list = append(list, numberedPart{*p.PartID, w})
			case item != w.Inspection.ItemID:
				w.taken = *p.PartID
			}
		}
	}
	return list
}

// ask finds out, behind the lock of the part, whether it is in another item or
// set aside, by itself or with its lot: whoever judged the inspection may have asked too early.
func (b numberedPart) ask(in *batch) {
	taken := func([]any) error {
		b.of.taken = b.id
		return nil
	}
	in.query("SELECT 1 FROM fitted_parts WHERE part_id = ? AND out_at IS NULL AND item_id NOT IN (?, ?)", taken, b.id, b.of.Inspection.ItemID, b.of.partsFrom())
	in.query("SELECT 1 FROM items WHERE id = ? AND state IN ('scrapped', 'returned_to_supplier')", taken, b.id)
	in.query("SELECT 1 FROM (SELECT decision FROM dispositions WHERE item_id = ? ORDER BY decided_at DESC, id DESC LIMIT 1) AS newest WHERE decision = 'quarantine'", taken, b.id)
	in.query("SELECT 1 FROM block_receipts WHERE item_id = ? AND "+lotStopped("block_receipts.lot_id"), taken, b.id)
}
