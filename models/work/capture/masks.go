package capture

import (
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// readMasks checks the masks of a set and puts them in the order of the rim.
func (p *parsed) readMasks(c models.Characteristic, form models.ProductForm, invalid *models.InvalidError) {
	masks := p.sent.Masks
	if len(masks) == 0 {
		return
	}
	if form.Wheel == nil || !kinds.CanMask(c.Code, p.sent.Method) {
		invalid.Add(p.field+".masks", "mask_not_here", "characteristic", c.Code)
		return
	}
	holes := form.Wheel.Holes
	if most := kinds.MostMasked(holes); len(masks) > most {
		invalid.Add(p.field+".masks", "too_many_masked", "got", fmt.Sprint(len(masks)), "most", fmt.Sprint(most), "holes", fmt.Sprint(holes))
		return
	}
	if len(p.sent.Index) == 0 {
		invalid.Add(p.field+".index", "masks_without_index")
		return
	}
	read := p.sent.Index
	reread := len(read) > holes-len(masks)
	if reread {
		read = read[:len(read)-1]
	}
	for i, m := range masks {
		at := fmt.Sprintf("%s.masks[%d].", p.field, i)
		switch {
		case m.Index.IsBlock() || m.Index.Place < 0 || m.Index.Place >= holes:
			invalid.Add(at+"index", "index_out_of_range", "position", m.Index.Shown())
		case slices.ContainsFunc(masks[:i], func(other models.Mask) bool { return other.Index == m.Index }):
			invalid.Add(at+"index", "index_twice", "position", m.Index.Shown())
		case slices.Contains(read, m.Index):
			invalid.Add(at+"index", "masked_and_read", "position", m.Index.Shown())
		case m.Index.Place == 0 && reread:
			invalid.Add(at+"index", "mask_of_station_0")
		}
		note := models.Trimmed(m.Note)
		switch {
		case !slices.Contains(models.MaskReasons, m.Reason):
			invalid.Add(at+"reason", "mask_reason_unknown", "typed", models.Shortened(m.Reason), "reasons", strings.Join(models.MaskReasons, ", "))
		case m.Reason == models.MaskOther && note == "":
			invalid.Add(at+"note", "mask_note_needed")
		}
		invalid.Lines(at+"note", note, mostName)
	}
	p.set.Masks = slices.Clone(masks)
	for i := range p.set.Masks {
		p.set.Masks[i].Note = models.Trimmed(p.set.Masks[i].Note)
	}
	slices.SortFunc(p.set.Masks, func(a, b models.Mask) int { return a.Index.Place - b.Index.Place })
}
