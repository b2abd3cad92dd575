package lists

import (
	"context"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/sheet"
)

var lots = Kind{Name: "lots", In: models.ActReceive, Out: models.ActLook, plan: planLots, write: writeLots, Columns: []Column{
	{Name: "code", Also: []string{"lot"}, Example: "SP-0214"},
	{Name: "material", Needed: true, Example: "spokes"},
	{Name: "description", Also: []string{"note"}, Example: "2.34 mm plain, 186 mm"},
	{Name: "supplier", Example: "Drahtwerk Anselm"},
	{Name: "supplier lot", Field: "supplier_code", Also: []string{"supplier code", "supplier's lot", "batch"}, Example: "A-77120"},
	{Name: "date code", Field: "date_code", Example: "2608"},
	{Name: "quantity", Also: []string{"pieces"}, Example: "2000"},
	{Name: "received on", Field: "received_at", Also: []string{"received"}, Example: "2026-03-05"},
}}

func planLots(ctx context.Context, s *Service, l *list) (keep, error) {
	materials, err := s.checks.Materials(ctx)
	if err != nil {
		return nil, err
	}
	code, all := map[string]string{}, make([]string, len(materials))
	for i, m := range materials {
		code[sheet.Fold(m.Name)], all[i] = m.Code, m.Name
	}
	names := strings.Join(all, ", ")
	for _, m := range materials { // A code means its own material, whatever another is called.
		code[sheet.Fold(m.Code)] = m.Code
	}
	typed := make([]models.Lot, len(l.rows))
	for i, r := range l.rows {
		lot := models.Lot{Code: r.at("code"), Material: r.at("material"), Description: r.at("description"), Supplier: r.at("supplier"), SupplierCode: r.at("supplier lot"), DateCode: r.at("date code"),
			Quantity: l.whole(r, "quantity"), ReceivedAt: l.noon(l.day(r, "received on"))}
		if known, ok := code[sheet.Fold(lot.Material)]; ok {
			lot.Material = known
		}
		typed[i] = lot
	}
	checked, problems, err := s.checks.Lots(ctx, l.actor, typed)
	if err != nil {
		return nil, err
	}
	there, err := s.lotsThere(ctx, l, checked)
	if err != nil {
		return nil, err
	}
	first, fresh := map[string]int{}, []models.Lot{}
	for i, r := range l.rows {
		invalid := problems[i]
		if _, known := code[sheet.Fold(r.at("material"))]; !known && r.at("material") != "" {
			l.wrong(r, "material", "list_unknown_material", "typed", models.Shortened(r.at("material")), "names", names)
		}
		l.told(r, without(invalid, "material")) // Whether it is missing is said already.
		lot := checked[i]
		key := strings.ToLower(lot.Code)
		if key == "" {
			key = l.likeness(lot, true)
		}
		if before, twice := first[key]; twice {
			l.wrong(r, "code", "list_twice", "row", strconv.Itoa(before))
			continue
		}
		first[key] = r.number
		switch stored, known := there(r, lot); {
		case !known && l.bad[r.number]:
		case !known:
			if lot.Code == "" {
				l.Given++
			}
			l.New++
			fresh = append(fresh, lot)
		default:
			if names := l.lotDiffers(r, lot, stored); len(names) > 0 {
				l.differs(r, "code", names)
			} else if !l.bad[r.number] {
				l.Same++
			}
		}
	}
	return func(ctx context.Context) error {
		return s.store.AddLots(ctx, l.stamp, l.stamp.At.In(l.zone).Year()%100, fresh)
	}, nil
}

// lotsThere finds the lots of these codes; those without a code are looked for by
// everything else that they say.
func (s *Service) lotsThere(ctx context.Context, l *list, lots []models.Lot) (func(row, models.Lot) (models.Lot, bool), error) {
	var codes []string
	nameless := false
	for _, lot := range lots {
		if lot.Code == "" {
			nameless = true
			continue
		}
		codes = append(codes, lot.Code)
	}
	stored, err := s.store.LotsByCode(ctx, codes)
	if err == nil && nameless {
		stored, err = s.store.Lots(ctx)
	}
	if err != nil {
		return nil, err
	}
	byCode, alike := map[string]models.Lot{}, map[string]models.Lot{}
	for _, x := range stored {
		byCode[x.Code] = x
		if nameless {
			alike[l.likeness(x, true)], alike[l.likeness(x, false)] = x, x
		}
	}
	return func(r row, lot models.Lot) (found models.Lot, known bool) {
		if lot.Code == "" {
			found, known = alike[l.likeness(lot, r.at("received on") != "")]
			return found, known
		}
		found, known = byCode[lot.Code]
		return found, known
	}, nil
}

// likeness is all that is said of a lot beside its code. Of one that has no day it
// is left out: it would be that on which the list was taken in.
func (l *list) likeness(lot models.Lot, dated bool) string {
	day := ""
	if dated {
		day = l.shown(lot.ReceivedAt)
	}
	return strings.Join([]string{lot.Material, lot.Description, lot.Supplier, lot.SupplierCode, lot.DateCode, strconv.Itoa(lot.Quantity), day}, "\x00")
}

// lotDiffers names the columns that say something else than is on record; an
// empty cell says nothing.
func (l *list) lotDiffers(r row, lot, stored models.Lot) []string {
	day := func(t time.Time) string { return l.shown(t) }
	return differing(r, []said{{"material", lot.Material, stored.Material}, {"description", lot.Description, stored.Description}, {"supplier", lot.Supplier, stored.Supplier}, {"supplier lot", lot.SupplierCode, stored.SupplierCode},
		{"date code", lot.DateCode, stored.DateCode}, {"quantity", strconv.Itoa(lot.Quantity), strconv.Itoa(stored.Quantity)}, {"received on", day(lot.ReceivedAt), day(stored.ReceivedAt)}})
}

func writeLots(ctx context.Context, s *Service, o *output) error {
	return pages(ctx, s.store.LotsAfter, func(lot models.Lot) (string, error) {
		quantity := ""
		if lot.Quantity > 0 {
			quantity = strconv.Itoa(lot.Quantity)
		}
		return lot.ID, o.Row(lot.Code, lot.Material, lot.Description, lot.Supplier, lot.SupplierCode, lot.DateCode, quantity, o.day(lot.ReceivedAt))
	})
}
